"""A large shop, made of few real records: 10,000 customers, 50,000 builds, 2 million events.

A handful of jobs is built on a desk to its end, a handful of orders taken in; every other record
is one of these under its own identity, name and moment. Rows go in by the store's own tables, as
a backup's do, and listings by its own projectors, so what is measured is what a shop would have.
Plans are shared: fifty thousand of them, each with its sheet, would only fill the disk.
"""

from __future__ import annotations

import json
import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Any

from bench_work import Work
from finished_line import finish
from strandwright.planning.orders.customers import keep_customer
from strandwright.planning.orders.keeping import open_order
from strandwright.planning.ports import Store
from strandwright.store import tables
from strandwright.store.sql import SqlStore
from strandwright.store.sql_rows import SqlRows
from strandwright.workshop.documents import Listing
from strandwright.workshop.events import as_moment
from strandwright.workshop.listings import document_listing, log_listing

CUSTOMERS, ORDERS, BUILDS, EVENTS = 10_000, 20_000, 50_000, 40
#: Of the builds, so many are on the jig still, and so many jobs are not begun.
GOING, WAITING = 12, 40
FIRST = datetime(2019, 1, 7, 8, 0, tzinfo=UTC)
_AT_ONCE = 2000
_NAMES = ("Alder", "Birk", "Cress", "Dunlin", "Elver", "Fenn", "Gorse", "Heron", "Isle", "Junco")


def digits(*parts: object) -> str:
    """Give 32 hexadecimal digits, the same for the same parts."""
    return f"{random.Random(repr(parts)).getrandbits(128):032x}"


def moment(n: int, of: int) -> str:
    """Give the moment of the n-th of so many things, over seven years."""
    return as_moment(FIRST + timedelta(minutes=3_600_000 * n / of))


class Rows:
    """Collects rows and writes them by the thousand."""

    def __init__(self, store: SqlStore) -> None:
        self._store = store
        self._held: dict[str, list[dict[str, Any]]] = {}
        self.count = 0

    def add(self, table: str, **values: Any) -> None:
        """Add one row."""
        self._held.setdefault(table, []).append(values)
        self.count += 1
        if self.count % _AT_ONCE == 0:
            self.write()

    def list(self, listing: Listing | None) -> None:
        """Add a listing."""
        assert listing is not None
        self.add("listing", **(vars(listing) | {"summary": json.dumps(listing.summary)}))

    def write(self) -> None:
        """Write what is held, what others hang on first."""
        order = ("document", "plan", "log", "event", "listing")
        with self._store._writing() as connection:
            for name in order:
                rows = self._held.pop(name, [])
                if rows:
                    connection.execute(tables.metadata.tables[name].insert(), rows)


class Pattern:
    """A build as it was really made, to be repeated under other names."""

    def __init__(self, job: str, *, done: bool) -> None:
        work = Work(job)
        if done:
            finish(work)
        else:
            work.wound()
        store: Store = work.desk.store
        self.plan = store.plan(store.build(work.build).plan_id)
        self.job = store.document("job", job)
        self.head = store.log(work.build)
        self.events = [stored.event for stored in store.events(work.build)]
        found = store.documents("lesson")
        self.lesson = found[0] if found else None

    def listing(self, id: str, job: str, at: str) -> Listing:
        """Say how it stands, under another name and moment."""
        from strandwright.workshop.events import StoredEvent

        stored = [StoredEvent(n, event) for n, event in enumerate(self.events, start=1)]
        found = log_listing(self.head, stored)
        assert found is not None
        summary = found.summary | {"job": job, "began_at": at, "events": EVENTS}
        if found.status == "done":
            summary["ended_at"] = at
        return replace(found, id=id, owner=job, at=at, words=f"{job.lower()} {id}", summary=summary)


def fill(store: SqlStore) -> None:
    """Fill an empty store.

    Parameters
    ----------
    store : SqlStore
        The store.
    """
    rows = Rows(store)
    done = [Pattern(job, done=True) for job in ("RIDGE-1",)]
    going = Pattern("RIDGE-1", done=False)
    for pattern in done:
        plan = pattern.plan
        store.keep_plan(plan)
    names = _customers(store, rows)
    _builds(rows, done, going, names)
    _orders(store, rows)
    rows.write()
    with store._writing() as connection:
        if connection.dialect.name == "postgresql":
            connection.exec_driver_sql("ANALYZE")
        connection.execute(tables.mark.update().values(value=tables.mark.c.value + 1))


def _customers(store: SqlStore, rows: Rows) -> list[str]:
    from strandwright.planning.desk.builds import Desk

    made = keep_customer(Desk(store), "pattern", {"name": "Pattern"}, 0)
    pattern = store.document("customer", "pattern")
    del made
    names: list[str] = []
    for n in range(CUSTOMERS):
        name = f"{_NAMES[n % 10]} {_NAMES[n // 10 % 10]} {n}"
        names.append(name)
        document = replace(
            pattern,
            id=f"c{n}",
            table=pattern.table | {"name": name},
            saved_at=moment(n, CUSTOMERS),
        )
        _document(rows, document)
        rows.list(document_listing(document, ()))
    return names


def _document(rows: Rows, document: Any) -> None:
    rows.add(
        "document",
        kind=document.kind,
        id=document.id,
        revision=1,
        content=json.dumps(document.table, separators=(",", ":")),
        saved_at=document.saved_at,
        put_away=False,
    )


def _builds(rows: Rows, done: list[Pattern], going: Pattern, names: list[str]) -> None:
    for n in range(BUILDS + WAITING):
        pattern = going if BUILDS - GOING <= n < BUILDS else done[n % len(done)]
        at, job, build = moment(n, BUILDS), f"J-{n}", digits("build", n)
        table = pattern.job.table | {
            "id": job,
            "name": f"string {n}",
            "customer": names[n % CUSTOMERS],
        }
        document = replace(pattern.job, id=job, table=table, saved_at=at)
        _document(rows, document)
        if n >= BUILDS:
            rows.list(document_listing(document, ()))
            continue
        rows.add(
            "log", id=build, kind="build", subject=job, plan_id=done[0].plan.id, began_at=at
        )
        for seq, table in enumerate(_log(pattern, build, at), start=1):
            text = json.dumps(table, separators=(",", ":"))
            rows.add("event", id=table["id"], log_id=build, seq=seq, content=text)
        listing = pattern.listing(build, job, at)
        rows.list(listing)
        rows.list(document_listing(document, (listing,)))
        if pattern.lesson is not None:
            told = pattern.lesson.table
            outcome = told["outcome"] | {"build": build, "at": at}
            lesson = replace(
                pattern.lesson, id=build, table=told | {"outcome": outcome}, saved_at=at
            )
            _document(rows, lesson)
            rows.list(document_listing(lesson, ()))


def _log(pattern: Pattern, build: str, at: str) -> Iterator[dict[str, Any]]:
    """Give the events of a build under other identities, and remarks up to forty."""
    for n, event in enumerate(pattern.events):
        yield event.table() | {"id": digits(build, n), "at": at}
    for n in range(len(pattern.events), EVENTS):
        yield {
            "id": digits(build, n), "type": "noted", "version": 1, "at": at, "by": "bench 1",
            "body": {"text": f"remark {n}"},
        }  # fmt: skip


def _orders(store: SqlStore, rows: Rows) -> None:
    from strandwright.planning.desk.builds import Desk

    desk, id = Desk(store), digits("order", "pattern")
    event = {"id": digits("opened"), "at": desk.now(), "by": "counter"}
    body = {"customer": "pattern", "bow": {"kind": "two-cam"}, "wants": "a new string"}
    open_order(desk, id, event | {"type": "order-opened", "body": body})
    head, stored = store.log(id), store.events(id)
    for n in range(ORDERS):
        at, new, customer = moment(n, ORDERS), digits("order", n), f"c{n % CUSTOMERS}"
        rows.add("log", id=new, kind="order", subject=customer, plan_id=None, began_at=at)
        told = []
        for one in stored:
            opened = one.event.body.model_copy(update={"customer": customer})
            again = replace(one.event, id=digits(new, one.seq), at=at, body=opened)
            told.append(replace(one, event=again))
            text = json.dumps(again.table(), separators=(",", ":"))
            rows.add("event", id=again.id, log_id=new, seq=one.seq, content=text)
        rows.list(log_listing(replace(head, id=new, subject=customer, began_at=at), told))


def check(store: SqlStore) -> None:
    """Hold a sample of the listings to what the store itself would say.

    Parameters
    ----------
    store : SqlStore
        The filled store.
    """
    from strandwright.store.turn import list_document

    class Compared(SqlRows):
        def list_anew(self, listing: Listing) -> None:
            (kept,) = store.named(listing.kind, [listing.id])
            kept_summary = {k: v for k, v in kept.summary.items() if k != "build"}
            told = {k: v for k, v in listing.summary.items() if k != "build"}
            assert (kept.status, kept_summary) == (listing.status, told)

    with store._reading() as connection:
        rows = Compared(connection)
        for n in (0, 777, BUILDS - 1, BUILDS + WAITING - 1):
            document = rows.newest("job", f"J-{n}")
            assert document is not None
            list_document(rows, document)
