"""Making: a finished build tells its order and takes its strand off the shelf, once."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from bench_work import Work
from finished_line import finish
from order_events import event, opened
from stock_work import happening, identity
from strandwright.planning.orders.customers import keep_customer
from strandwright.planning.orders.keeping import kept_order, open_order, record
from strandwright.planning.orders.making import follow, note_made, order_of_job
from strandwright.planning.quote.materials import materials_of
from strandwright.planning.stock.following import use_for_build
from strandwright.planning.stock.keeping import Promise, receive, reserve, stock_of
from strandwright.store.open import open_store
from strandwright.workshop.happenings.order import LineMade
from strandwright.workshop.happenings.stock import StockUsed
from strandwright.workshop.job import job_from_table

ORDER = "12345678" + "0" * 24
#: What is promised of each spool of the ridge string, over and above what it takes [m]
SPARE = 1.5


class Shop:
    """A finished ridge string on a desk, its order, and spools promised to it."""

    def __init__(self, work: Work, *, ordered: bool = True) -> None:
        self.work, self.desk = work, work.desk
        self.logs: dict[str, str] = {}
        self.lengths: dict[str, float] = {}
        if ordered:
            keep_customer(self.desk, "C1", {"name": "Ada Reed"}, 0)
            open_order(self.desk, ORDER, opened(9001, lines=1).table())
            record(self.desk, ORDER, [event(9002, "job-added", job="RIDGE-1").table()])

    @property
    def plan(self):
        """Give the plan that the build began with."""
        kept = self.desk.store.plan(self.desk.store.build(self.work.build).plan_id)
        return self.desk.planner.plan(job_from_table(kept.job))

    def promise(self) -> None:
        """Put what the line takes on the shelf and promise it, with some to spare."""
        for one in materials_of([self.plan]):
            ware = one.want.ware
            key, log = ware.key, identity(f"spool {ware.key}")
            self.logs[key] = log
            table = ware.model_dump(mode="json", exclude_defaults=True)
            size: dict[str, Any] = {"length": "400 m +- 0.2 m"}
            if ware.is_counted:
                size = {"count": 9}
            name = f"received {key}"
            receive(self.desk, log, happening("received", name=name, ware=table, **size))
            held = {"count": one.count} if ware.is_counted else {}
            if one.length is not None:
                self.lengths[key] = one.length.value
                held = {"length": f"{one.length.value + SPARE:.3f} m"}
            body = {"order": ORDER, "job": "RIDGE-1", **held}
            told = happening("reserved", 1, name=f"reserved {key}", **body)
            reserve(self.desk, [Promise(log, told)])

    def uses(self, key: str) -> list[StockUsed]:
        """Give what was used of a spool."""
        stored = self.desk.store.events(self.logs[key])
        return [s.event.body for s in stored if isinstance(s.event.body, StockUsed)]

    def made(self) -> list[LineMade]:
        """Give what was written of lines made."""
        stored = self.desk.store.events(ORDER)
        return [s.event.body for s in stored if isinstance(s.event.body, LineMade)]

    def is_right(self) -> None:
        """See each length used once, nothing promised any more, the order told once."""
        assert self.lengths
        for key, log in self.logs.items():
            (used,) = self.uses(key)
            state = stock_of(self.desk, log).state
            assert () == state.reserved
            assert (self.work.build, ORDER, "RIDGE-1") == (used.build, used.order, used.job)
            if key in self.lengths:
                assert used.length.si == pytest.approx(self.lengths[key], abs=1e-3)
                assert state.spool.length == pytest.approx(400.0 - self.lengths[key], abs=0.5)
        assert [LineMade(job="RIDGE-1", build=self.work.build)] == self.made()


@pytest.fixture(params=["memory:", "shop.sqlite3"])
def shop(request, tmp_path: Path, monkeypatch: pytest.MonkeyPatch):
    """Give a shop with a finished line, on each kind of store."""
    monkeypatch.chdir(tmp_path)
    if request.param != "memory:":
        monkeypatch.setattr("bench_work.MemoryStore", lambda: open_store(request.param))
    found = Shop(finish(Work()))
    yield found
    if request.param != "memory:":
        found.desk.store.close()


def test_a_finished_line_is_made_and_its_strand_used_however_often_it_is_told(shop: Shop):
    """What the plan took is used, what was promised beyond it is free again."""
    shop.promise()
    for _ in range(3):
        assert ORDER == note_made(shop.desk, shop.work.build)
    assert () == use_for_build(shop.desk, shop.work.build)
    follow(shop.desk, ORDER, [s.event for s in shop.desk.store.events(ORDER)])
    shop.is_right()
    kept = kept_order(shop.desk, ORDER)
    assert ({}, True) == (kept.finished, kept.state.all_made)


def test_told_by_many_benches_at_once_it_is_one(shop: Shop):
    """Eight at the same moment."""
    shop.promise()
    with ThreadPoolExecutor(8) as pool:
        told = list(pool.map(lambda _: note_made(shop.desk, shop.work.build), range(8)))
    assert [ORDER] * 8 == told
    shop.is_right()


def test_a_line_written_down_by_hand_uses_its_strand_too():
    """As where the power went between the lock and what follows from it."""
    shop = Shop(finish(Work()))
    shop.promise()
    made = event(9003, "line-made", job="RIDGE-1", build=shop.work.build)
    stored = record(shop.desk, ORDER, [made.table()])
    for _ in range(2):
        follow(shop.desk, ORDER, [one.event for one in stored])
    shop.is_right()
    note_made(shop.desk, shop.work.build)
    shop.is_right()


def test_what_is_not_locked_uses_nothing():
    """Nor does a build whose lock was a slip; locked again it does, once."""
    shop = Shop(Work().wound())
    shop.promise()
    assert "" == note_made(shop.desk, shop.work.build)
    assert all([] == shop.uses(key) for key in shop.logs)

    shop = Shop(finish(Work()))
    shop.promise()
    locked = shop.desk.store.events(shop.work.build)[-1].event
    shop.work.did("withdrawn", event=locked.id)
    assert "" == note_made(shop.desk, shop.work.build)
    shop.work.did("locked", turns=shop.work.advice.state.turns, hand="Z")
    note_made(shop.desk, shop.work.build)
    shop.is_right()


def test_without_an_order_or_a_promise_nothing_is_written():
    """A line for the wall; and one whose order is closed."""
    shop = Shop(finish(Work()), ordered=False)
    assert ("", "") == (
        order_of_job(shop.desk.store, "RIDGE-1"),
        note_made(shop.desk, shop.work.build),
    )
    shop = Shop(finish(Work()))
    record(shop.desk, ORDER, [event(9004, "order-closed").table()])
    assert "" == note_made(shop.desk, shop.work.build)
    assert [] == shop.made()


def test_one_ware_promised_of_two_spools_is_used_of_both_by_their_shares():
    """A third and two thirds of it."""
    shop = Shop(finish(Work()))
    want = materials_of([shop.plan])[0]
    table = want.want.ware.model_dump(mode="json", exclude_defaults=True)
    shares = {}
    for name, share in (("one", 1.0), ("two", 2.0)):
        log = shares[share] = identity(name)
        receive(shop.desk, log, happening("received", name=name, ware=table, length="400 m"))
        body = {
            "order": ORDER,
            "job": "RIDGE-1",
            "length": f"{share * want.length.value / 3:.3f} m",
        }
        reserve(shop.desk, [Promise(log, happening("reserved", 1, name=f"held {name}", **body))])
    note_made(shop.desk, shop.work.build)
    for share, log in shares.items():
        (use,) = stock_of(shop.desk, log).state.uses
        assert use.length == pytest.approx(share * want.length.value / 3, abs=2e-3)
