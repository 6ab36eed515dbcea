"""Rows of customers and of bows: each is a document, and a change of it a further revision."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any, cast

from strandwright.errors import InputError, InputErrors, SpecError
from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.entries.refusals import refuse_impossible_part
from strandwright.planning.orders.opening import read_customer
from strandwright.planning.spreadsheet.assembling import assembled, cell_at, yes_in
from strandwright.planning.spreadsheet.headers import Matched, plain
from strandwright.planning.spreadsheet.leaves import Leaf, leaves_of
from strandwright.planning.spreadsheet.report import Change, RowReport
from strandwright.planning.spreadsheet.sheets import yes
from strandwright.workshop import kept
from strandwright.workshop.customer import Customer
from strandwright.workshop.documents import Document, DocumentKind
from strandwright.workshop.fields import Noun
from strandwright.workshop.job import noun_from_table
from strandwright.workshop.parts import Bow
from strandwright.workshop.said import short
from strandwright.workshop.writes import Save

Table = dict[str, Any]
#: What lists of documents hold: kind and noun.
NOUNS: dict[str, tuple[DocumentKind, type[Noun]]] = {
    "customers": ("customer", Customer),
    "bows": ("bow", Bow),
}
#: Columns of address books, each a way to reach somebody.
REACH = {
    "telephone": "telephone", "phone": "telephone", "mobile": "telephone",
    "e-mail": "e-mail", "email": "e-mail", "post": "post", "address": "post",
}  # fmt: skip
_LONGEST_ID = 40


class DocumentRows:
    """Reads rows against what is kept.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    what : str
        Customers or bows.
    """

    def __init__(self, desk: JobDesk, what: str) -> None:
        self.kind: DocumentKind = NOUNS[what][0]
        self.noun: type[Noun] = NOUNS[what][1]
        self.leaves: tuple[Leaf, ...] = leaves_of(self.noun)
        self.aliases: tuple[str, ...] = tuple(REACH) if self.kind == "customer" else ()
        self._at = desk.now()
        self._kept = {document.id: document for document in desk.store.documents(self.kind)}
        self._named: dict[str, list[str]] = {}
        for document in self._kept.values():
            self._named.setdefault(_folded(document.table.get("name")), []).append(document.id)
        self._rows: dict[str, int] = {}
        self._reached: dict[str, str] = {}
        for document in self._kept.values():
            self._remember(document.id, document.table)

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
        name = cell_at(row, matched.typed.get("name"))
        errors = list[InputError]()
        id = self._identity(cell_at(row, matched.heads.get("id")).strip(), name, errors)
        old = self._kept.get(id)
        base = {} if old is None else old.table
        table, unread = assembled(row, matched, self.leaves, base)
        self._reach(table, row, matched)
        errors += unread
        away = old is not None and old.put_away
        if "put_away" in matched.heads:
            try:
                away = yes_in(cell_at(row, matched.heads["put_away"]), "put_away")
            except InputError as error:
                errors.append(error)
        if not errors:
            self._once(id, number, errors)
        now = {} if errors else self._read(table, old, errors)
        called = str(now.get("name") or name)
        if errors:
            return RowReport(number, id, called, "refused", errors=tuple(errors))
        return self._outcome(number, id, called, old, now, away)

    def _outcome(
        self, number: int, id: str, name: str, old: Document | None, now: Table, away: bool
    ) -> RowReport:
        revision = 0 if old is None else old.revision
        write = Save(self.kind, id, now, self._at, revision, away)
        if old is None:
            notes = tuple(self._likenesses(id, name, now))
            return RowReport(number, id, name, "new", notes=notes, writes=(write,))
        was = self._canonical(old.table)
        changes = list(differences(self.leaves, was, now))
        if away != old.put_away:
            changes.append(Change("put_away", yes(old.put_away), yes(away)))
        if not changes:
            return RowReport(number, id, name, "same")
        return RowReport(number, id, name, "changes", tuple(changes), writes=(write,))

    def _likenesses(self, id: str, name: str, table: Table) -> Iterator[str]:
        """Tell what a new one may be the double of: by its name, or a way to reach it."""
        others = self._named.setdefault(_folded(name), []) if name else []
        if others:
            yield f"the same name stands under {', '.join(others)}"
        others.append(id)
        for at, other in self._remember(id, table).items():
            yield f"{at} is a way to reach {other} too"

    def _remember(self, id: str, table: Table) -> dict[str, str]:
        """Remember the ways to reach somebody; give those that another has already."""
        found: dict[str, str] = {}
        ways = table.get("reach") if self.kind == "customer" else None
        for way in cast("list[Any]", ways) if isinstance(ways, list) else []:
            at = str(way.get("at", "")) if isinstance(way, Mapping) else ""
            other = self._reached.setdefault(_digits(at), id) if at else id
            if other != id:
                found[at] = other
        return found

    def _canonical(self, table: Table) -> Table:
        """Give what is kept in today's form; as it is where it is no such noun any more."""
        try:
            noun = noun_from_table(self.noun, table)
        except (InputError, InputErrors):
            return table
        return noun.model_dump(mode="json", exclude_defaults=True)

    def _read(self, table: Table, old: Document | None, errors: list[InputError]) -> Table:
        """Read the noun of a row and refuse what cannot be meant."""
        readers: dict[str, Callable[[Table], Noun]] = {
            "customer": read_customer,
            "bow": lambda given: noun_from_table(Bow, given, "bow"),
        }
        try:
            noun = readers[self.kind](table)
            if self.kind == "bow":
                refuse_impossible_part(noun, "bow", _as_kept(old))
            made = noun.model_dump(mode="json", exclude_defaults=True)
            kept.content(made, self.kind)
        except InputErrors as several:
            errors.extend(_short_field(error, self.kind) for error in several.errors)
        except InputError as error:
            errors.append(_short_field(error, self.kind))
        else:
            return made
        return {}

    def _identity(self, given: str, name: str, errors: list[InputError]) -> str:
        """Find which one a row is about: by its identity, or else by its name."""
        if given:
            if not kept.is_id(given):
                try:
                    kept.need_id(given, "id")
                except InputError as error:
                    errors.append(error)
            return given
        same = self._named.get(_folded(name), []) if name.strip() else []
        if len(same) == 1:
            return same[0]
        if len(same) > 1:
            rule = f"is the name of several that are kept: {', '.join(same)}"
            errors.append(SpecError("name", short(name), rule, "say which in a column id"))
            return ""
        made = _made_of(name)
        if not made:
            rule = "needs an identity or a name to be known by"
            errors.append(SpecError("id", "nothing", rule, "fill in its column id"))
        return made

    def _once(self, id: str, number: int, errors: list[InputError]) -> None:
        """Refuse a second row about the same one."""
        first = self._rows.setdefault(id, number)
        if first != number:
            rule = f"stands in row {first} already"
            remedy = "take one of the two rows out, or give each its own in a column id"
            errors.append(SpecError("id", id, rule, remedy))

    def _reach(self, table: Table, row: Sequence[str], matched: Matched) -> None:
        """Take in the columns of an address book as ways to reach somebody."""
        if not matched.aliases:
            return
        ways: list[Table] = list(table.get("reach") or [])
        known = {_folded(way.get("at")) for way in ways}
        for alias in matched.aliases:
            at, by = cell_at(row, matched.aliases[alias]).strip(), REACH[alias]
            if at and _folded(at) not in known:
                ways.append({"at": at} if by == "telephone" else {"by": by, "at": at})
                known.add(_folded(at))
        if ways:
            table["reach"] = ways


def differences(
    leaves: Sequence[Leaf], was: Mapping[str, Any], now: Mapping[str, Any]
) -> Sequence[Change]:
    """Find the values that differ.

    Parameters
    ----------
    leaves : sequence of Leaf
        What is compared.
    was, now : mapping
        Plain values in today's form.

    Returns
    -------
    sequence of Change
        In the order of the columns.
    """
    return [
        Change(leaf.name, leaf.text(was), leaf.text(now))
        for leaf in leaves
        if leaf.value(was) != leaf.value(now)
    ]


def _folded(text: object) -> str:
    return plain(str(text or ""))


def _as_kept(old: Document | None) -> Bow | None:
    """Give the bow that is kept; none where it is no such noun any more."""
    try:
        return None if old is None else noun_from_table(Bow, old.table)
    except (InputError, InputErrors):
        return None


def _digits(at: str) -> str:
    """Give a number or an address in the form in which it is compared."""
    return re.sub(r"[\s()/.-]+", "", at).lower()


def _made_of(name: str) -> str:
    """Make an identity of a name."""
    spelt = unicodedata.normalize("NFKD", name).encode("ascii", "ignore").decode().lower()
    return re.sub(r"[^a-z0-9]+", "-", spelt).strip("-")[:_LONGEST_ID].strip("-")


def _short_field(error: InputError, kind: str) -> InputError:
    return error.at(error.field.removeprefix(f"{kind}."))
