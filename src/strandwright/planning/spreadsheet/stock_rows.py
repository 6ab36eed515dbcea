"""Rows of spools and of small parts: each begins a log, or puts right what its log began with."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from strandwright.errors import InputError, InputErrors, NotFound, SpecError
from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.spreadsheet.assembling import assembled, cell_at
from strandwright.planning.spreadsheet.document_rows import differences
from strandwright.planning.spreadsheet.headers import Matched
from strandwright.planning.spreadsheet.leaves import Leaf, leaves_of
from strandwright.planning.spreadsheet.report import RowReport
from strandwright.planning.stock.allowed import refuse_unmeant
from strandwright.workshop import kept
from strandwright.workshop.documents import LogHead, LogKind
from strandwright.workshop.events import Event, StoredEvent, make_event
from strandwright.workshop.happenings.stock import StockReceived
from strandwright.workshop.said import short
from strandwright.workshop.stock_state import Receipt, fold
from strandwright.workshop.writes import Append, Begin, Write

Table = dict[str, Any]
_BY = "taken in from a list"


class StockRows:
    """Reads rows against what is kept.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    what : str
        Spools or parts.
    """

    aliases: tuple[str, ...] = ()

    def __init__(self, desk: JobDesk, what: str) -> None:
        self.kind: LogKind = "spool" if what == "spools" else "part"
        self.leaves: tuple[Leaf, ...] = leaves_of(StockReceived)
        self._store, self._now = desk.store, desk.now()
        self._wares = {head.subject: head.id for head in desk.store.logs("part")}
        self._rows: dict[str, int] = {}
        self._alike: dict[str, list[int]] = {}

    def row(self, number: int, row: Sequence[str], matched: Matched) -> RowReport:
        """Say what a row brings.

        Parameters
        ----------
        number : int
            Its number in the file [-]
        row : sequence of str
            Its cells.
        matched : Matched
            Where everything stands.

        Returns
        -------
        RowReport
            What it brings.
        """
        id = cell_at(row, matched.heads.get("id")).strip()
        errors = list[InputError]()
        log = self._log(id, errors)
        receipt = _received(log)
        base = {} if receipt is None else _dumped(receipt.body)
        table, unread = assembled(row, matched, self.leaves, base)
        errors += unread
        if self.kind == "part":
            table["ware"] = {"kind": "part"} | (table.get("ware") or {})
        at = self._moment(cell_at(row, matched.heads.get("began_at")).strip(), errors)
        event = None if errors else self._event(table, at, errors)
        if event is None:
            name = str((table.get("ware") or {}).get("name") or "")
            return RowReport(number, id, name, "refused", errors=tuple(errors))
        return self._outcome(number, id, log, receipt, event)

    def _outcome(
        self,
        number: int,
        given: str,
        log: Sequence[StoredEvent],
        receipt: Receipt | None,
        event: Event,
    ) -> RowReport:
        body = event.body
        assert isinstance(body, StockReceived)
        now, notes = _dumped(body), list[str]()
        id = given or self._made(now, number, notes)
        name = body.ware.label
        if not given:
            log = self._log(id, [])
            receipt = _received(log)
        error = self._taken(id, number, given, body.ware.id)
        if error is not None:
            return RowReport(number, id, name, "refused", errors=(error,))
        told = tuple(notes)
        if receipt is None and not log:
            told = (*told, *self._likenesses(body))
            head = LogHead(id, self.kind, body.ware.id, event.at)
            named = _named(event, id, 0)
            writes: tuple[Write, ...] = (Begin(head), Append(id, [named], expected=0))
            return RowReport(number, id, name, "new", notes=told, writes=writes)
        was = {} if receipt is None else _dumped(receipt.body)
        changes = tuple(differences(self.leaves, was, now))
        if not changes:
            return RowReport(number, id, name, "same", notes=told)
        again = _named(event, id, len(log))
        anew: list[Event] = [again]
        if receipt is not None:
            why = {"event": receipt.event, "why": "put right from a list"}
            slip = make_event(_digits(f"{again.id} slip"), "withdrawn", why, at=self._now, by=_BY)
            anew = [slip, again]
        write = Append(id, anew, expected=len(log))
        return RowReport(number, id, name, "changes", changes, notes=told, writes=(write,))

    def _likenesses(self, body: StockReceived) -> Iterator[str]:
        """Tell of spools of the same ware and lot that are kept already."""
        if self.kind != "spool" or not body.lot:
            return
        kept_here = self._store.listings("spool", owner=body.ware.id)
        alike = sum(listing.summary.get("lot") == body.lot for listing in kept_here)
        if alike:
            yield f"{alike} of this ware and lot {'is' if alike == 1 else 'are'} kept already"

    def _log(self, id: str, errors: list[InputError]) -> Sequence[StoredEvent]:
        """Give the events of the log a row names; empty where it is a new one."""
        if not id:
            return ()
        if not kept.is_log_id(id):
            rule = "must be 32 hexadecimal digits, as they were written out"
            errors.append(SpecError("id", short(id), rule, "leave it empty for a new one"))
            return ()
        try:
            head = self._store.log(id)
        except NotFound:
            return ()
        if head.kind != self.kind:
            rule = f"is that of another kind of log ({head.kind})"
            errors.append(SpecError("id", id, rule, "take it in with its own kind"))
            return ()
        return self._store.events(id)

    def _event(self, table: Mapping[str, Any], at: str, errors: list[InputError]) -> Event | None:
        try:
            event = make_event("0" * 32, "stock-received", table, at=at, by=_BY)
            refuse_unmeant(event)
            body = event.body
            assert isinstance(body, StockReceived)
            if body.ware.is_counted != (self.kind == "part"):
                rule = f"cannot be of a {self.kind}"
                remedy = "take spools in as spools, and small parts as parts"
                raise SpecError("ware.kind", body.ware.kind, rule, remedy)
            kept.event_content(event)
        except InputErrors as several:
            errors.extend(_short_field(error) for error in several.errors)
        except InputError as error:
            errors.append(_short_field(error))
        else:
            return event
        return None

    def _moment(self, text: str, errors: list[InputError]) -> str:
        if text == "":
            return self._now
        try:
            kept.need_moment(text, "began_at")
        except InputError as error:
            errors.append(error)
        return text

    def _made(self, body: Table, number: int, notes: list[str]) -> str:
        """Make an identity of what a row says: the same file taken in twice is one."""
        text = json.dumps(body, sort_keys=True)
        before = self._alike.setdefault(text, [])
        if before:
            notes.append(f"just like row {before[-1]}; it is taken for a further one")
        before.append(number)
        return _digits(f"{self.kind} {len(before)} {text}")

    def _taken(self, id: str, number: int, given: str, ware: str) -> InputError | None:
        """Refuse a second row about one log, and a second log of small parts of one ware."""
        first = self._rows.setdefault(id, number)
        if first != number:
            rule, remedy = f"stands in row {first} already", "take one of the two rows out"
            return SpecError("id", id, rule, remedy)
        if self.kind == "part":
            there = self._wares.setdefault(ware, id)
            if there != id:
                rule = f"of this ware parts are kept already, under {there}"
                return SpecError("ware.name", ware, rule, "give that in the column id")
        return None


def _received(log: Sequence[StoredEvent]) -> Receipt | None:
    receipts = fold(log).receipts
    return receipts[-1] if receipts else None


def _dumped(body: StockReceived) -> Table:
    return body.model_dump(mode="json", exclude_defaults=True)


def _digits(text: str) -> str:
    return hashlib.sha256(f"strandwright list {text}".encode()).hexdigest()[:32]


def _named(event: Event, log: str, length: int) -> Event:
    """Give an event the identity that the same row gives it again."""
    body = json.dumps(event.table()["body"], sort_keys=True)
    return Event(_digits(f"{log} {length} {body}"), event.type, event.at, event.by, event.body)


def _short_field(error: InputError) -> InputError:
    return error.at(error.field.removeprefix("stock-received."))
