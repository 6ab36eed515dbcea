"""Report: what a file would bring in, row by row, before anything is kept."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, Literal

from strandwright.errors import InputError
from strandwright.workshop.said import short
from strandwright.workshop.writes import Write

Outcome = Literal["new", "same", "changes", "refused"]
_SAID: tuple[tuple[Outcome, str], ...] = (
    ("new", "new"),
    ("changes", "changed"),
    ("same", "the same as kept"),
    ("refused", "refused"),
)


@dataclass(frozen=True)
class Change:
    """One value that would be another.

    Attributes
    ----------
    name : str
        Its column.
    was, now : str
        As kept, and as the file has it; empty where nothing is said.
    """

    name: str
    was: str
    now: str


@dataclass(frozen=True)
class RowReport:
    """What one row brings.

    Attributes
    ----------
    row : int
        Its number in the file, the header being row 1 [-]
    id : str
        Identity of what it is about; empty where it has none.
    name : str
        What people call that.
    outcome : str
        New, same, changes or refused.
    changes : tuple of Change
        What would be another.
    errors : tuple of InputError
        Why it is refused.
    notes : tuple of str
        What else is worth knowing, such as a likeness to another row.
    writes : tuple of Write
        What would be kept.
    """

    row: int
    id: str
    name: str
    outcome: Outcome
    changes: tuple[Change, ...] = ()
    errors: tuple[InputError, ...] = ()
    notes: tuple[str, ...] = ()
    writes: tuple[Write, ...] = ()

    def lines(self) -> Iterator[str]:
        """Tell the row in words.

        Yields
        ------
        str
            The first line says the outcome; those after it what is changed or refused.
        """
        called = self.name if self.name in ("", self.id) else f"{self.name} "
        about = f"{called}({self.id})" if self.id and called else self.id or self.name
        yield f"row {self.row}: {self.outcome}{f', {about}' if about else ''}"
        for change in self.changes:
            was, now = (short(text) or "nothing" for text in (change.was, change.now))
            yield f"  {change.name}: {was} -> {now}"
        for error in self.errors:
            yield f"  {error.field}: '{short(error.given)}': {error.rule}; {error.remedy}"
        for note in self.notes:
            yield f"  note: {note}"

    def table(self) -> dict[str, Any]:
        """Give the row as plain values.

        Returns
        -------
        dict
            Ready for JSON.
        """
        return {
            "row": self.row,
            "id": self.id,
            "name": self.name,
            "outcome": self.outcome,
            "changes": [{"name": c.name, "was": c.was, "now": c.now} for c in self.changes],
            "errors": [
                {"field": e.field, "given": short(e.given), "rule": e.rule, "remedy": e.remedy}
                for e in self.errors
            ],
            "notes": list(self.notes),
        }


@dataclass(frozen=True)
class Report:
    """What a file would bring in.

    Attributes
    ----------
    what : str
        Customers, bows, spools or parts.
    rows : tuple of RowReport
        In the order of the file.
    left_out : tuple of str
        Headers of the file that mean nothing here.
    """

    what: str
    rows: tuple[RowReport, ...]
    left_out: tuple[str, ...] = field(default=())

    def count(self, outcome: Outcome) -> int:
        """Count the rows of an outcome.

        Parameters
        ----------
        outcome : str
            The outcome.

        Returns
        -------
        int
            How many [-]
        """
        return sum(row.outcome == outcome for row in self.rows)

    @property
    def writes(self) -> tuple[Write, ...]:
        """What would be kept, in its order."""
        return tuple(write for row in self.rows for write in row.writes)

    @property
    def errors(self) -> tuple[InputError, ...]:
        """Why it cannot be kept; empty where it can."""
        return tuple(e.at(f"row {r.row}: {e.field}") for r in self.rows for e in r.errors)

    @property
    def said(self) -> str:
        """Tell it in one sentence."""
        counts = [
            f"{self.count(outcome)} {words}" for outcome, words in _SAID if self.count(outcome)
        ]
        rows = "1 row" if len(self.rows) == 1 else f"{len(self.rows)} rows"
        return f"{rows} of {self.what}: {', '.join(counts) or 'nothing in them'}"

    def lines(self) -> Iterator[str]:
        """Tell it in words, row by row.

        Yields
        ------
        str
            A line.
        """
        for row in self.rows:
            yield from row.lines()
        if self.left_out:
            yield f"left out, for nothing here is called so: {', '.join(self.left_out)}"
        yield self.said
