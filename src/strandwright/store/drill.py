"""The drill: a backup restored for trial, compared with what is kept, and opened.

A backup that nobody ever restored is a hope. The drill restores one into a store of its own that
is thrown away, compares every record, opens some builds, and says in words what that proved.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from pathlib import Path

from strandwright.errors import InputError, StoreUnusable, StrandwrightError
from strandwright.planning.desk.builds import Desk
from strandwright.planning.ports import Store
from strandwright.store.backup import records_in, restore
from strandwright.store.open import open_store
from strandwright.store.records import as_kept_today
from strandwright.store.seals import Compared, Seals
from strandwright.workshop.backup_terms import BackupDrill, Proved
from strandwright.workshop.events import as_moment

#: So many builds are opened, the newest ones [-]
BUILDS = 5


@dataclass(frozen=True)
class Opened:
    """A build that was opened out of the restored store.

    Attributes
    ----------
    build, job : str
        Which.
    said : str
        What is to be done at it; or why it cannot be opened.
    is_open : bool
        Whether it opened.
    as_live : bool
        Whether the store at hand says the same of it, or does not have it.
    """

    build: str
    job: str
    said: str
    is_open: bool
    as_live: bool


@dataclass(frozen=True)
class Drill:
    """What a drill proved.

    Attributes
    ----------
    path : Path
        The backup.
    at : str
        When the drill was, UTC.
    records : int
        Records in the backup [-]
    kinds : dict
        How many there are of each sort [-]
    newest : str
        The moment of the newest of them, UTC.
    restored : Compared or None
        The restored store against the backup; None where it could not be restored.
    live : Compared or None
        The store at hand against the backup; None where that is empty.
    opened : tuple of Opened
        Builds that were opened.
    broken : str
        Why it could not be restored; empty where it could.
    seconds : float
        How long all of it took [s]
    """

    path: Path
    at: str
    records: int = 0
    kinds: dict[str, int] = field(default_factory=dict[str, int])
    newest: str = ""
    restored: Compared | None = None
    live: Compared | None = None
    opened: tuple[Opened, ...] = ()
    broken: str = ""
    seconds: float = 0.0

    @property
    def proved(self) -> Proved:
        """Say what it came to."""
        if self.broken or self.restored is None or not self.restored.is_equal:
            return "failed"
        if any(not one.is_open and not one.as_live for one in self.opened):
            return "failed"
        if self.live is not None and not self.live.holds_all:
            return "failed"
        differs = any(not one.as_live for one in self.opened)
        older = self.live is not None and self.live.older > 0
        return "in doubt" if differs or older else "proved"

    def lines(self) -> Iterator[str]:
        """Tell in words what was proved, what was not, and how long it took.

        Yields
        ------
        str
            A sentence.
        """
        if self.broken:
            yield f"It cannot be restored: {self.broken}."
        else:
            yield from self._restored()
            yield from self._live()
            yield from self._opened()
        yield f"The drill took {self.seconds:.1f} s: {VERDICTS[self.proved]}."

    def _restored(self) -> Iterator[str]:
        assert self.restored is not None
        kinds = ", ".join(f"{count} {_many(kind, count)}" for kind, count in self.kinds.items())
        until = f", the newest of {self.newest}" if self.newest else ""
        yield f"Its seal fits: {self.records} records ({kinds or 'none'}){until}."
        if self.restored.is_equal:
            yield f"Restored into a new store, {_all(self.restored.same)} came back the same."
        else:
            yield f"Restored into a new store, {_differences(self.restored)}."

    def _live(self) -> Iterator[str]:
        if self.live is None:
            yield "The store at hand is empty, so nothing was compared with it."
            return
        if self.live.holds_all:
            yield f"The store at hand holds {_all(self.live.same)} just as the backup has them."
        else:
            yield f"The store at hand and the backup differ: {_differences(self.live)}."
        since = self.live.added - self.live.older
        if since:
            has = "is" if since == 1 else "are"
            yield f"{_records(since)} came into the store since then and {has} not in this backup."
        if self.live.older:
            has = "is" if self.live.older == 1 else "are"
            yield (
                f"{_records(self.live.older)} of the store {has} dated before the newest of the "
                f"backup and {has} not in it: sent later by a bench that was away, or lost from "
                f"it ({'; '.join(self.live.names)})."
            )

    def _opened(self) -> Iterator[str]:
        if not self.opened:
            yield "There is no build to open."
        for one in self.opened:
            told = "opens" if one.is_open else "does not open"
            live = "" if one.as_live else "; the store at hand says otherwise"
            yield f"The build of {one.job} ({one.build[:8]}) {told}: {one.said}{live}."

    def noun(self) -> BackupDrill:
        """Give what is kept of it."""
        return BackupDrill(
            at=self.at,
            file=str(self.path)[:500],
            proved=self.proved,
            said=tuple(self.lines()),
            seconds=round(self.seconds, 3),
        )


VERDICTS: dict[Proved, str] = {
    "proved": "this backup brings everything back",
    "in doubt": "it restores, and something is to be looked at",
    "failed": "do not rely on this backup",
}


def drill(
    path: Path, live: Store, clock: Callable[[], datetime] = lambda: datetime.now(UTC)
) -> Drill:
    """Restore a backup for trial and say what that proves.

    Parameters
    ----------
    path : Path
        The backup.
    live : Store
        The store at hand; it is read and nothing is written to it.
    clock : callable
        Gives the moment, with its offset from UTC.

    Returns
    -------
    Drill
        What was proved, a backup that cannot be restored among it.

    Raises
    ------
    StoreUnusable
        If there is no room for the trial, or the store at hand cannot be read.
    """
    began, at = time.perf_counter(), as_moment(clock())
    try:
        with tempfile.TemporaryDirectory(prefix="strandwright-drill-") as place:
            done = _tried(path, live, Path(place), at)
    except OSError as error:
        raise StoreUnusable(f"there is no room for a trial of the backup: {error}") from error
    took = time.perf_counter() - began
    return replace(done, seconds=took)


def _tried(path: Path, live: Store, place: Path, at: str) -> Drill:
    trial = open_store(str(place / "trial.sqlite3"))
    seals = Seals(place / "seals.sqlite3")
    try:
        try:
            count = restore(trial, path)
            seals.add(as_kept_today(records_in(path)))
        except InputError as error:
            return Drill(path, at, broken=str(error))
        restored = seals.compare(trial.contents(), "")
        is_empty = next(iter(live.contents()), None) is None
        against = None if is_empty else seals.compare(live.contents(), _until(path, seals.newest))
        opened = tuple(_opened(trial, live))
        return Drill(path, at, count, seals.kinds, seals.newest, restored, against, opened)
    finally:
        seals.close()
        trial.close()


def _until(path: Path, newest: str) -> str:
    """Give the moment up to which the backup tells: a clock that ran ahead counts no further."""
    written = as_moment(datetime.fromtimestamp(path.stat().st_mtime, UTC))
    return min(newest, written)


def _opened(trial: Store, live: Store) -> Iterator[Opened]:
    """Open the newest builds of the restored store, and the same ones of the store at hand."""
    kept = {head.id for head in live.builds()}
    for head in sorted(trial.builds(), key=lambda head: head.began_at, reverse=True)[:BUILDS]:
        said, is_open = _advice(trial, head.id)
        as_live = True
        if head.id in kept and len(live.events(head.id)) == len(trial.events(head.id)):
            as_live = (said, is_open) == _advice(live, head.id)
        yield Opened(head.id, head.job_id, said, is_open, as_live)


def _advice(store: Store, build: str) -> tuple[str, bool]:
    """Fold a build and give what is to be done at it."""
    try:
        advice = Desk(store, learns=False).advice(build)
    except StrandwrightError as error:
        return str(error), False
    coming = "nothing more" if advice.act is None else advice.act.step.title
    count = len(store.events(build))
    events = "1 event" if count == 1 else f"{count} events"
    return f"{events}, next: {coming[:1].lower()}{coming[1:]}", True


def _records(count: int) -> str:
    return "1 record" if count == 1 else f"{count} records"


def _all(count: int) -> str:
    return "its one record" if count == 1 else f"all {count} records"


def _many(kind: str, count: int) -> str:
    return kind if count == 1 else f"{kind}s"


def _differences(compared: Compared) -> str:
    parts = [
        f"{_records(count)} {word}"
        for count, word in (
            (compared.changed, "changed"),
            (compared.missing, "missing"),
            (compared.added - compared.older, "added"),
        )
        if count
    ]
    return f"{', '.join(parts)} ({'; '.join(compared.names)})"
