"""CSV files of a store in memory, and lists read from them."""

from __future__ import annotations

import csv
import io
from typing import Any

from strandwright.planning.desk.builds import Desk
from strandwright.planning.ports import Store
from strandwright.planning.spreadsheet.taking_in import keep, looked_at
from strandwright.planning.spreadsheet.writing import write_sheets


def sheets(store: Store, system: Any = "in") -> dict[str, str]:
    """Give the text of every file, by name."""
    files: dict[str, io.StringIO] = {}

    def opened(name: str) -> io.StringIO:
        files[name] = io.StringIO(newline="")
        return files[name]

    write_sheets(store.contents(), opened, system)
    return {name: file.getvalue() for name, file in files.items()}


def rows(text: str) -> list[dict[str, str]]:
    """Give the rows under a header, as any CSV reader reads them."""
    return list(csv.DictReader(io.StringIO(text, newline="")))


def text_of(rows: list[dict[str, str]], *, end: str = "\r\n") -> str:
    """Write rows as somebody's spreadsheet would."""
    file = io.StringIO(newline="")
    writer = csv.DictWriter(file, list(rows[0]), lineterminator=end)
    writer.writeheader()
    writer.writerows(rows)
    return file.getvalue()


def take_in(desk: Desk, what: str, text: str, **renamed: str) -> list[str]:
    """Look at a list and keep it; give the outcomes."""
    report = looked_at(desk, what, text, renamed)
    keep(desk, report)
    return [row.outcome for row in report.rows]
