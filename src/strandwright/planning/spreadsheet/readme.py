"""The README beside the CSV files: what each column is, made from the table of sheets."""

from __future__ import annotations

from collections.abc import Iterable

from strandwright import __version__
from strandwright.planning.spreadsheet.sheets import Sheet
from strandwright.planning.spreadsheet.table import NOT_HERE
from strandwright.units import System

README = "README.txt"

_HEAD = """\
Everything strandwright keeps, as CSV (strandwright {version})

Each file is CSV as RFC 4180 has it: UTF-8, commas, a header row, one row a thing. An empty cell
says that nothing was said. Moments are in UTC, as ISO 8601 writes them.

A quantity stands in two columns: a plain number whose unit ends the column's name, which can be
added up, and the quantity as it was typed, with its unit and its +-. Where it was told in words,
such as unknown, the number is empty. The +- of a quantity is a 95 % half-range.
Money is an exact decimal without a currency; the currency stands in the quote.

A text that a spreadsheet would work out as a formula (it begins with =, +, - or @) has an
apostrophe before it. 'strandwright csv-import' takes that one off again.
Open the files by your spreadsheet's import, as UTF-8, and take identities as text: a spreadsheet
may otherwise read one as a number and change it.

These files are for reading and reckoning. They do not hold everything: no plan, no photo, and
nothing of the kinds below. What brings all of it back is a backup.
"""


def readme(sheets: Iterable[Sheet], system: System) -> str:
    """Write the README.

    Parameters
    ----------
    sheets : iterable of Sheet
        The sheets it tells of.
    system : str
        ``in`` or ``mm``.

    Returns
    -------
    str
        Plain text, lines parted by line feeds.
    """
    parts = [_HEAD.format(version=__version__)]
    parts += ["Not in these files\n" + "\n".join(_not_here()) + "\n"]
    for sheet in sheets:
        columns = sheet.columns(system)
        lines = [f"  {c.name}  [{c.unit}]  {c.meaning}" for c in columns]
        title = f"{sheet.file}: a row is {sheet.about}"
        parts.append("\n".join([title, "-" * len(title), *lines]) + "\n")
    return "\n".join(parts)


def _not_here() -> Iterable[str]:
    return (f"  {kind}: {why}" for kind, why in NOT_HERE.items())
