"""Taking in: a list of customers, bows, spools or small parts from a CSV file.

A file is first looked at: each row is new, the same as kept, changes what is kept, or is refused
and why. Only then, and only where no row is refused, all of it is kept in one go. A row that
changes something becomes a further revision; nothing is written over.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from strandwright.errors import InputErrors, SpecError
from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.spreadsheet.cells import header_of, read_rows
from strandwright.planning.spreadsheet.document_rows import NOUNS, REACH, DocumentRows
from strandwright.planning.spreadsheet.headers import match
from strandwright.planning.spreadsheet.leaves import leaves_of
from strandwright.planning.spreadsheet.report import Report, RowReport
from strandwright.planning.spreadsheet.stock_rows import StockRows
from strandwright.planning.spreadsheet.table import SHEETS
from strandwright.workshop.happenings.stock import StockReceived
from strandwright.workshop.said import short

#: What can be taken in.
KINDS = ("customers", "bows", "spools", "parts")
#: More rows than this are not a list [-]
MOST_ROWS = 20_000


def looked_at(
    desk: JobDesk,
    what: str,
    text: str,
    renamed: Mapping[str, str] | None = None,
    source: str = "file",
) -> Report:
    """Look at a file without keeping anything.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    what : str
        One of :data:`KINDS`.
    text : str
        The file's text.
    renamed : mapping or None
        From a header of the file to the column it is.
    source : str
        What to call the file in an error.

    Returns
    -------
    Report
        Row by row.

    Raises
    ------
    InputError
        If it is no CSV, has no row, or its header cannot be used.
    InputErrors
        For several things in its header.
    """
    if what not in KINDS:
        rule = f"must be one of {', '.join(KINDS)}"
        raise SpecError("kind", short(what), rule, "choose one of these")
    rows = list(read_rows(text, source))
    if len(rows) < 2:
        rule = "must have a header and a row under it"
        raise SpecError(source, f"{len(rows)} rows", rule, "give a CSV file with its header")
    if len(rows) > MOST_ROWS + 1:
        rule = f"must be {MOST_ROWS:,} rows at most"
        raise SpecError(source, f"{len(rows) - 1} rows", rule, "part it in several files")
    is_stock = what in ("spools", "parts")
    reader = StockRows(desk, what) if is_stock else DocumentRows(desk, what)
    written = next(sheet for sheet in SHEETS if sheet.file == f"{what}.csv")
    matched = match(
        header_of(rows),
        reader.leaves,
        renamed=renamed or {},
        aliases=reader.aliases,
        passed=[column.name for system in ("in", "mm") for column in written.columns(system)],
    )
    found = [
        reader.row(number, row, matched)
        for number, row in enumerate(rows[1:], start=2)
        if any(cell.strip() for cell in row)
    ]
    return Report(what, _told_of_length(found, rows), matched.left_out)


def columns_for(what: str) -> tuple[str, ...]:
    """Give the columns that a list may have.

    Parameters
    ----------
    what : str
        One of :data:`KINDS`.

    Returns
    -------
    tuple of str
        Names of headers; of a quantity the one of what was typed.
    """
    noun = StockReceived if what in ("spools", "parts") else NOUNS[what][1]
    aliases = REACH if what == "customers" else ()
    return ("id", *(leaf.name for leaf in leaves_of(noun)), *aliases)


def keep(desk: JobDesk, report: Report) -> None:
    """Keep everything of a report, in one go or not at all.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    report : Report
        As :func:`looked_at` gave it.

    Raises
    ------
    InputError
        If a row is refused: then nothing is kept.
    InputErrors
        If several are.
    Conflict
        If something was changed elsewhere since it was looked at: then nothing is kept.
    """
    errors = report.errors
    if errors:
        raise errors[0] if len(errors) == 1 else InputErrors(errors)
    if report.writes:
        desk.store.write(report.writes)


def _told_of_length(
    found: Sequence[RowReport], rows: Sequence[Sequence[str]]
) -> tuple[RowReport, ...]:
    """Refuse rows with more cells than the header has: their cells stand under wrong headers."""
    width, told = len(rows[0]), list[RowReport]()
    for report in found:
        row = rows[report.row - 1]
        if len(row) > width and any(cell.strip() for cell in row[width:]):
            rule = f"must have no more cells than the header, {width}"
            remedy = "put a text with a comma in quotes, or mend the header"
            error = SpecError("cells", str(len(row)), rule, remedy)
            report = replace(report, outcome="refused", errors=(error,), changes=(), writes=())
        told.append(report)
    return tuple(told)
