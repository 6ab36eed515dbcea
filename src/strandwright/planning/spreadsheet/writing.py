"""Writing: everything kept as CSV files, all of one moment."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, TextIO

from strandwright.planning.spreadsheet.cells import write_row
from strandwright.planning.spreadsheet.columns import header
from strandwright.planning.spreadsheet.readme import README, readme
from strandwright.planning.spreadsheet.sheets import Log, Sheet
from strandwright.planning.spreadsheet.table import SHEETS
from strandwright.units import System
from strandwright.workshop.documents import Document, LogHead, Table
from strandwright.workshop.events import StoredEvent, event_of_table
from strandwright.workshop.listings import log_listing


@dataclass
class _Open:
    """A sheet that is being written."""

    sheet: Sheet
    file: TextIO
    headers: tuple[str, ...]
    rows: int = 0

    def write(self, row: Mapping[str, str]) -> None:
        """Write a row under the header."""
        write_row(self.file, (row.get(name, "") for name in self.headers))
        self.rows += 1


def write_sheets(
    contents: Iterable[Table], opened: Callable[[str], TextIO], system: System = "in"
) -> dict[str, int]:
    """Write every sheet, and the README that tells its columns.

    Parameters
    ----------
    contents : iterable of dict
        Everything kept, as :meth:`strandwright.planning.ports.Store.contents` gives it.
    opened : callable
        Gives a file of a name, open for writing UTF-8, its line ends left alone.
    system : str
        ``in`` or ``mm``: units of the numbers beside quantities.

    Returns
    -------
    dict
        From the name of each file to how many rows stand under its header [-]
    """
    sheets: dict[str, list[_Open]] = {}
    for sheet in SHEETS:
        begun = _Open(sheet, opened(sheet.file), header(sheet.columns(system)))
        write_row(begun.file, begun.headers)
        sheets.setdefault(sheet.of, []).append(begun)
    for thing in things(contents):
        kind = thing.kind if isinstance(thing, Document) else thing.head.kind
        for one in sheets.get(kind, ()):
            for row in one.sheet.rows(thing, system):
                one.write(row)
    opened(README).write(readme(SHEETS, system))
    return {one.sheet.file: one.rows for several in sheets.values() for one in several}


@dataclass
class _Draft:
    """A log whose events are still coming."""

    head: LogHead
    plan: str
    events: list[StoredEvent] = field(default_factory=list[StoredEvent])

    def log(self) -> Log:
        """Give it whole."""
        events = tuple(self.events)
        return Log(self.head, self.plan, events, log_listing(self.head, events))


def things(contents: Iterable[Table]) -> Iterator[Document | Log]:
    """Gather everything kept to documents and logs: of a document the newest revision.

    Parameters
    ----------
    contents : iterable of dict
        Records in the order of a backup.

    Yields
    ------
    Document or Log
        One after the other, so that a shop of any size is never held whole.
    """
    draft: Document | _Draft | None = None
    for record in contents:
        what = record["record"]
        if what == "blob":
            break  # they come last, and no sheet shows a photo
        if what == "event" and isinstance(draft, _Draft):
            draft.events.append(StoredEvent(record["seq"], event_of_table(record["event"])))
            continue
        begun = _begun(what, record)
        if draft is not None and not _goes_on(draft, begun):
            yield draft.log() if isinstance(draft, _Draft) else draft
        draft = begun
    if draft is not None:
        yield draft.log() if isinstance(draft, _Draft) else draft


def _begun(what: str, record: Mapping[str, Any]) -> Document | _Draft | None:
    if what == "document":
        fields = {key: value for key, value in record.items() if key != "record"}
        return Document(**fields)
    if what == "build":
        head = LogHead(record["id"], "build", record["job_id"], record["began_at"])
        return _Draft(head, record["plan_id"])
    if what == "log":
        head = LogHead(record["id"], record["kind"], record["subject"], record["began_at"])
        return _Draft(head, "")
    return None


def _goes_on(draft: Document | _Draft, begun: Document | _Draft | None) -> bool:
    """Whether a further revision of the same document has come."""
    if not isinstance(draft, Document) or not isinstance(begun, Document):
        return False
    return (draft.kind, draft.id) == (begun.kind, begun.id)
