"""Cells: text as a CSV file holds it, so that no spreadsheet takes it for a formula.

A text that a spreadsheet would work out gets an apostrophe before it; when it is read again that
one is taken off. A text that has apostrophes there already gets one more, so every text comes
back as it was.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from typing import TextIO

from strandwright.errors import SpecError
from strandwright.workshop.said import short

#: Such a text is worked out by some spreadsheet: a formula, or one behind a blank or a tab.
_WORKED_OUT = re.compile(r"[\s\ufeff]*[=+\-@\uff1d\uff0b\uff0d\uff20]|[\t\r\n]")
_GUARDED = re.compile(rf"'+(?:{_WORKED_OUT.pattern})")
#: Rows are parted so in RFC 4180.
LINE_END = "\r\n"
#: What parts cells: RFC 4180 has commas, some spreadsheets write semicolons or tabs.
_PARTED_BY = (",", ";", "\t")


def guarded(text: str) -> str:
    """Give a text so that no spreadsheet works it out.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        The text, with an apostrophe before it where it needs one.
    """
    needs = _WORKED_OUT.match(text) or _GUARDED.match(text)
    return f"'{text}" if needs else text


def unguarded(cell: str) -> str:
    """Give the text that was guarded.

    Parameters
    ----------
    cell : str
        A cell.

    Returns
    -------
    str
        As it was before :func:`guarded`; any other cell as it is.
    """
    return cell[1:] if _GUARDED.match(cell) else cell


def write_row(file: TextIO, cells: Iterable[str]) -> None:
    """Write one row.

    Parameters
    ----------
    file : TextIO
        Open for writing, its line ends left alone.
    cells : iterable of str
        Guarded where they are text.
    """
    csv.writer(file, lineterminator=LINE_END).writerow(list(cells))


def read_rows(text: str, source: str) -> Iterator[list[str]]:
    """Read the rows of a CSV file.

    Parameters
    ----------
    text : str
        The file's text, its line ends as they were.
    source : str
        What to call the file in an error.

    Yields
    ------
    list of str
        The cells of a row, still guarded; the first row is the header.

    Raises
    ------
    InputError
        If it is no CSV: says the line.
    """
    file = io.StringIO(text.removeprefix("\ufeff"), newline="")
    rows = csv.reader(file, delimiter=_parted_by(text), strict=True)
    try:
        yield from rows
    except csv.Error as error:
        rule = f"must be CSV, and line {rows.line_num} is not: {error}"
        raise SpecError(source, short(text), rule, "save it again as CSV") from error


def _parted_by(text: str) -> str:
    """Tell what parts the cells of the header; a comma where it has but one."""
    header = text.split("\n", 1)[0]
    return max(_PARTED_BY, key=lambda sign: (header.count(sign), -_PARTED_BY.index(sign)))


def header_of(rows: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """Give the header among rows.

    Parameters
    ----------
    rows : sequence of sequence of str
        As they were read.

    Returns
    -------
    tuple of str
        Empty where there is no row.
    """
    return tuple(unguarded(cell) for cell in rows[0]) if rows else ()
