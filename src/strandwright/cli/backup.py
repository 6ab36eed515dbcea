"""The command ``backup``: everything a store keeps, in one file."""

from __future__ import annotations

from pathlib import Path

import click

from strandwright.cli.store_option import store_option
from strandwright.errors import SpecError


@click.command("backup", short_help="Write everything the store keeps into one file.")
@click.argument("file", metavar="[FILE]", required=False)
@click.option("--into", "folder", metavar="FOLDER", help="Folder for one named by its moment.")
@click.option("--keep-last", type=click.IntRange(1, 1000), help="Keep so many of the newest there.")
@click.option("--daily", type=click.IntRange(0, 400), help="And the newest of so many days.")
@click.option("--weekly", type=click.IntRange(0, 200), help="And the newest of so many weeks.")
@click.option("--monthly", type=click.IntRange(0, 240), help="And the newest of so many months.")
@store_option
def command(
    file: str | None,
    folder: str | None,
    keep_last: int | None,
    daily: int | None,
    weekly: int | None,
    monthly: int | None,
    place: str | None,
) -> None:
    """Write everything the store keeps into one file, whole or not at all.

    The file is compressed where its name ends in .gz. It can be restored into a store of any
    kind. The app may be open meanwhile: the backup shows one moment.

    With --into it is named by its moment, read back to its end, and those of that folder that no
    rule keeps make room; without --keep-last all stay. Days, weeks and months count where they
    have a backup; weeks begin on Monday, days at midnight UTC. Other files are never touched.
    """
    from strandwright.planning.people.audit import audit_where_people_sign_in
    from strandwright.store.open import open_store

    rules = {"--daily": daily, "--weekly": weekly, "--monthly": monthly}
    _refuse_half(file, folder, keep_last, rules)
    store = open_store(place)
    try:
        if folder is None:
            count = _one(store, Path(str(file)))
        else:
            counts = tuple(rule or 0 for rule in rules.values())
            count = _into(store, Path(folder), keep_last, counts)
        # After it, so that two backups of one store are alike but for this line.
        told = {"records": count}
        audit_where_people_sign_in(store, "backup-taken", told, by="command line")
    finally:
        store.close()


def _refuse_half(
    file: str | None, folder: str | None, keep_last: int | None, rules: dict[str, int | None]
) -> None:
    """Refuse a file and a folder, neither, and rules that nothing follows."""
    if (file is None) == (folder is None):
        given = "both" if file is not None else "neither"
        rule = "must be a file, or a folder after --into"
        raise SpecError("backup", given, rule, "name one of the two")
    for option, count in (("--keep-last", keep_last), *rules.items()):
        if count is not None and folder is None:
            rule, remedy = "is a rule for a folder", "give --into FOLDER too"
            raise SpecError(option, str(count), rule, remedy)
        if count is not None and keep_last is None:
            rule, remedy = "adds to --keep-last", "give --keep-last too"
            raise SpecError(option, str(count), rule, remedy)


def _one(store: object, path: Path) -> int:
    from typing import cast

    from strandwright.cli.files import refuse_place
    from strandwright.cli.layout import say
    from strandwright.planning.ports import Store
    from strandwright.store.backup import back_up

    refuse_place(path)
    count = back_up(cast(Store, store), path)
    say([f"wrote {path}: {count} records"])
    return count


def _into(store: object, folder: Path, keep_last: int | None, counts: tuple[int, ...]) -> int:
    from datetime import UTC, datetime
    from typing import cast

    from strandwright.cli.layout import say
    from strandwright.planning.ports import Store
    from strandwright.store.backups import take_into
    from strandwright.store.rotation import Thinning, backups_in

    if not folder.is_dir():
        rule = "must be a folder that is there"
        raise SpecError("--into", str(folder), rule, "make it, or name another")
    everything = len(backups_in(folder)) + 1
    rules = Thinning(everything if keep_last is None else keep_last, *counts)
    took = take_into(cast(Store, store), folder, rules, datetime.now(UTC))
    lines = [f"wrote {took.good.file}: {took.good.records} records, read back to its end"]
    lines += [f"took away {path.name}" for path in took.gone]
    if keep_last is not None:
        lines.append(rules.said())
    say(lines)
    return took.good.records
