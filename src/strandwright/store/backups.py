"""Backups of a shop: taken into its folder, read back, thinned out, and how that went kept."""

from __future__ import annotations

import contextlib
import platform
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from strandwright.errors import (
    Conflict,
    InputError,
    NotFound,
    SpecError,
    StoreError,
    StoreUnusable,
    StrandwrightError,
)
from strandwright.planning.ports import Store
from strandwright.store.backup import back_up, check
from strandwright.store.rotation import Thinning, name_at, thin
from strandwright.workshop.backup_terms import (
    BACKUPS_ID,
    STATE_ID,
    BackupDrill,
    BackupState,
    BackupTerms,
    FailedBackup,
    GoodBackup,
    backup_terms_from_table,
    noun_table,
)
from strandwright.workshop.events import as_moment
from strandwright.workshop.job import noun_from_table
from strandwright.workshop.said import short

#: One at a time: two into one folder in one second would be one file.
_ONE = threading.Lock()
_TRIES = 5


def this_computer() -> str:
    """Give the name of this computer.

    Returns
    -------
    str
        As its network knows it.
    """
    return platform.node()[:120]


def terms_of(store: Store) -> tuple[BackupTerms | None, int]:
    """Give the terms of backups.

    Parameters
    ----------
    store : Store
        Where they are kept.

    Returns
    -------
    terms : BackupTerms or None
        None where none were ever said.
    revision : int
        Of their document, 0 where there is none [-]
    """
    try:
        document = store.document("shop", BACKUPS_ID)
    except NotFound:
        return None, 0
    return backup_terms_from_table(document.table), document.revision


def keep_terms(store: Store, terms: BackupTerms, *, at: str, expected: int) -> int:
    """Keep terms of backups.

    Parameters
    ----------
    store : Store
        Where they are kept.
    terms : BackupTerms
        The terms.
    at : str
        When, UTC.
    expected : int
        The revision they follow [-]

    Returns
    -------
    int
        Their revision [-]

    Raises
    ------
    InputError
        If their folder cannot be used.
    Conflict
        If they were changed elsewhere.
    """
    if terms.computer in ("", this_computer()):
        folder_of(terms)
    table = noun_table(terms)
    return store.save("shop", BACKUPS_ID, table, at=at, expected=expected).revision


def folder_of(terms: BackupTerms) -> Path:
    """Give the folder of terms, and refuse one that cannot be used.

    Parameters
    ----------
    terms : BackupTerms
        The terms.

    Returns
    -------
    Path
        A folder that is there.

    Raises
    ------
    InputError
        If it is not.
    """
    folder = Path(terms.folder).expanduser()
    try:
        is_there = folder.is_dir()
    except (OSError, ValueError):
        is_there = False
    if not folder.is_absolute() or not is_there or folder == Path(folder.anchor):
        rule = "must be the full path of a folder that is there on this computer"
        remedy = "make it, plug its disk in, or name another"
        raise SpecError("backups.folder", short(terms.folder), rule, remedy)
    return folder


def state_of(store: Store) -> BackupState:
    """Give how the last backups went.

    Parameters
    ----------
    store : Store
        Where that is kept.

    Returns
    -------
    BackupState
        The state.
    """
    return _state(store)[0]


def _state(store: Store) -> tuple[BackupState, int]:
    try:
        document = store.document("shop", STATE_ID)
    except NotFound:
        return BackupState(), 0
    return noun_from_table(BackupState, document.table, "backups-state"), document.revision


def note(
    store: Store,
    *,
    at: str,
    good: GoodBackup | None = None,
    failed: FailedBackup | None = None,
    drill: BackupDrill | None = None,
) -> None:
    """Keep how a backup or a drill went; what else is known stays.

    Parameters
    ----------
    store : Store
        Where it is kept.
    at : str
        When, UTC.
    good, failed, drill : Noun or None
        What happened.
    """
    told = {"good": good, "failed": failed, "drill": drill}
    for _ in range(_TRIES):
        state, revision = _state(store)
        new = {name: noun for name, noun in told.items() if noun is not None}
        table = noun_table(state.model_copy(update=new))
        try:
            store.save("shop", STATE_ID, table, at=at, expected=revision)
        except Conflict:  # another bench noted something in the same moment
            continue
        return


@dataclass(frozen=True)
class Took:
    """A backup that was taken.

    Attributes
    ----------
    good : GoodBackup
        What is kept of it.
    gone : tuple of Path
        Older ones that made room.
    """

    good: GoodBackup
    gone: tuple[Path, ...]


def take(store: Store, clock: Callable[[], datetime] = lambda: datetime.now(UTC)) -> Took:
    """Take a backup by the shop's terms, read it back, and thin out the older ones.

    Parameters
    ----------
    store : Store
        The store.
    clock : callable
        Gives the moment, with its offset from UTC.

    Returns
    -------
    Took
        What was taken; kept in the store too.

    Raises
    ------
    InputError
        If no terms were said or their folder cannot be used. That it failed is kept.
    StoreUnusable
        If it cannot be written or read back. That it failed is kept.
    """
    with _ONE:
        moment = clock()
        try:
            terms = terms_of(store)[0]
            if terms is None:
                rule, remedy = "is not said yet", "say where backups go"
                raise SpecError("backups.folder", "nothing", rule, remedy)
            rules = Thinning(terms.keep_last, terms.daily, terms.weekly, terms.monthly)
            took = take_into(store, folder_of(terms), rules, moment)
        except Exception as error:
            ours = isinstance(error, StrandwrightError)
            why = str(error) if ours else f"the backup cannot be taken: {error or type(error)}"
            at = as_moment(moment)
            failed = FailedBackup(at=at, why=why[:1000], computer=this_computer())
            with contextlib.suppress(StoreError, InputError):
                note(store, at=at, failed=failed)
            if isinstance(error, OSError):
                raise StoreUnusable(why) from error
            raise
        note(store, at=as_moment(clock()), good=took.good)
        return took


def take_into(store: Store, folder: Path, rules: Thinning, moment: datetime) -> Took:
    """Take a backup into a folder, read it back to its end, and thin out the older ones.

    Parameters
    ----------
    store : Store
        The store.
    folder : Path
        A folder that is there.
    rules : Thinning
        Which are kept.
    moment : datetime
        Names the file.

    Returns
    -------
    Took
        What was taken.

    Raises
    ------
    StoreUnusable
        If it cannot be written, or does not read back; then no older one is taken away.
    """
    began = time.perf_counter()
    path = folder / name_at(moment)
    back_up(store, path)
    try:
        records = check(path)
    except InputError as error:
        raise StoreUnusable(f"the backup does not read back as it was written: {error}") from error
    gone = thin(folder, rules)
    good = GoodBackup(
        at=as_moment(moment),
        file=str(path),
        records=records,
        seconds=round(time.perf_counter() - began, 3),
        computer=this_computer(),
    )
    return Took(good, gone)
