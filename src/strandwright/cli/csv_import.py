"""The command ``csv-import``: a list of customers, bows, spools or parts into the store."""

from __future__ import annotations

import click

from strandwright.cli.store_option import store_option
from strandwright.errors import SpecError

#: No list comes near it; keeps a device that never ends from filling the memory [byte]
_LARGEST = 20_000_000


@click.command("csv-import", short_help="Look at a CSV list, and keep it in the store if asked to.")
@click.argument("file", metavar="FILE")
@click.option(
    "--kind",
    required=True,
    type=click.Choice(["customers", "bows", "spools", "parts"]),
    help="What the rows are.",
)
@click.option(
    "--map",
    "renamed",
    metavar="HEADER=COLUMN",
    multiple=True,
    help="Which column a header of the file is, such as 'Full name=name'.",
)
@click.option("--keep", is_flag=True, help="Keep it; left out, it is only looked at.")
@store_option
@click.pass_context
def command(
    ctx: click.Context,
    file: str,
    kind: str,
    renamed: tuple[str, ...],
    keep: bool,
    place: str | None,
) -> None:
    """Look at a list in a CSV file, and keep it with --keep: all of it or nothing.

    Each row is told: new, the same as kept, changed and what, or refused and why. A changed row
    becomes a further revision; nothing is written over. The columns are those that the command
    'csv' writes; its README.txt tells them. Columns that are left out stay as they are kept.
    A quantity is text with its unit, or a plain number in a column whose name ends in the unit.
    """
    from strandwright.cli.layout import say
    from strandwright.planning.desk.builds import Desk
    from strandwright.planning.spreadsheet.taking_in import keep as keep_report
    from strandwright.planning.spreadsheet.taking_in import looked_at
    from strandwright.store.open import open_store

    text = _text(file)
    named = dict(_pair(one) for one in renamed)
    store = open_store(place)
    try:
        desk = Desk(store)
        report = looked_at(desk, kind, text, named, file)
        say(list(report.lines()))
        if report.errors:
            say(["nothing was kept; mend the rows that are refused"])
            ctx.exit(2)
        if not keep:
            say(["nothing was kept; give --keep to keep it"])
            return
        keep_report(desk, report)
        say([f"kept {len(report.writes)} records" if report.writes else "nothing to be kept"])
    finally:
        store.close()


def _pair(text: str) -> tuple[str, str]:
    header, sign, column = text.rpartition("=")
    if not sign or not header.strip() or not column.strip():
        rule = "must be a header of the file, an equals sign and a column"
        raise SpecError("--map", text, rule, "write it such as 'Full name=name'")
    return header, column


def _text(file: str) -> str:
    try:
        with open(file, "rb") as opened:
            raw = opened.read(_LARGEST + 1)
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        rule = f"must be a file that can be read: {reason}"
        raise SpecError("CSV file", file, rule, "give another path") from error
    if len(raw) > _LARGEST:
        raise SpecError("CSV file", file, "must be under 20 MB", "part it in several files")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        rule = f"must be UTF-8 text, and line {line} is not"
        raise SpecError("CSV file", file, rule, "save it again as CSV in UTF-8") from error
