"""Remakes: a line that came back, its warranty, its job from the record, how often it happens."""

from __future__ import annotations

from datetime import timedelta
from typing import get_args

import pytest

from bench_work import Work
from finished_line import FITTED, Life, finish
from order_events import event
from strandwright.errors import Conflict, InputError, InputErrors
from strandwright.planning.orders.customers import keep_customer
from strandwright.planning.orders.keeping import kept_order, open_order, record
from strandwright.planning.orders.remaking import came_back, remake
from strandwright.planning.orders.warranty import warranty_of
from strandwright.planning.quote.keeping import keep_terms
from strandwright.planning.settling.keeping import write
from strandwright.planning.shop.remakes import ENOUGH, remakes_of
from strandwright.reference.causes import Whose as RowWhose
from strandwright.reference.causes import causes
from strandwright.workshop.happenings.order import Cause, Whose

RANGER = "the ranger at Harrowdene"
FIRST, SECOND = "1a" * 16, "2b" * 16
TOLD = {"cause": "serving came apart", "whose": "shop", "said": "at the upper wheel"}
DAY = timedelta(days=1)


@pytest.fixture
def shop() -> Work:
    """Give a finished ridge string that a customer brings back half a year after its fitting."""
    work = finish(Work())
    work.now = FITTED + 180 * DAY
    keep_customer(work.desk, "C1", {"name": RANGER}, 0)
    opened = {"customer": "C1", "bow": {"kind": "recurve"}, "lines": 0}
    open_order(work.desk, SECOND, event(9001, "order-opened", **opened).table())
    return work


def head(number: int = 0x909) -> dict:
    """Give the head of an event."""
    return {"id": f"{number:032x}", "at": "2026-11-28T11:00:00Z", "by": "counter"}


def opened(work: Work, number: int = 0x909, job: str = "RIDGE-2", **told: str):
    """Open a remake in the second order."""
    body = {"build": work.build, **TOLD, **told}
    return remake(work.desk, SECOND, head(number), body, job, "made again")


def test_the_table_of_causes_is_that_of_the_event():
    """Each cause has its row with who usually stands for it, and where that comes from."""
    assert list(get_args(Cause)) == [one.name for one in causes()]
    assert get_args(Whose) == get_args(RowWhose)
    trade = {one.name: one.whose for one in causes() if "written" in one.source}
    assert {"shop", "bow", "customer"} == set(trade.values())
    assert ("shop", "bow") == (trade["peep turns"], trade["burred wheel"])


def test_a_remake_s_job_is_made_from_the_record_and_linked(shop):
    """Job, its place in the order and the reason in one act; done twice it is one."""
    opened(shop)
    spare = opened(shop)
    assert shop.build == spare.of
    kept = kept_order(shop.desk, SECOND)
    assert ("RIDGE-2",) == kept.state.jobs
    (one,) = kept.state.remakes
    assert (shop.build, "RIDGE-2", "serving came apart", "shop") == (
        one.build,
        one.job,
        one.cause,
        one.whose,
    )
    locked = shop.advice.state.locked.turns
    assert pytest.approx(locked) == spare.taken.turns
    assert 3 == kept.state.seq
    (row,) = shop.desk.store.listings("order")
    assert shop.build == row.summary["remakes"][0]["build"]


def test_what_cannot_be_is_refused_and_nothing_kept(shop):
    """A cause without a row, a build that nobody finished, an order that is over."""
    with pytest.raises(InputError, match="cause"):
        opened(shop, cause="bad luck")
    shop.desk.start("RIDGE-1", "c" * 32, "d" * 32, at=shop.desk.now())
    with pytest.raises(Conflict, match="never locked"):
        opened(shop, build="c" * 32)
    assert () == kept_order(shop.desk, SECOND).state.jobs
    record(shop.desk, SECOND, [event(9005, "order-closed").table()])
    with pytest.raises(InputErrors, match="before an order is closed"):
        opened(shop)
    assert "RIDGE-2" not in {row.id for row in shop.desk.store.listings("job")}


def test_a_job_s_id_that_is_taken_is_told_as_such(shop):
    """The page tries the next one."""
    with pytest.raises(Conflict) as error:
        opened(shop, job="RIDGE-1")
    assert "job" == error.value.kind


def test_a_remake_named_without_its_job_is_refused(shop):
    """Written by hand into the log it would lead nowhere."""
    body = {"build": shop.build, "job": "RIDGE-1", **TOLD}
    with pytest.raises(InputError, match="job of this order"):
        record(shop.desk, SECOND, [event(9006, "remake-opened", **body).table()])


def test_without_terms_or_a_day_no_warranty_is_told(shop):
    """Neither within nor past it."""
    assert warranty_of(shop.desk.store, shop.build, shop.now).within is None
    keep_terms(shop.desk.store, {"warranty_days": 365}, 0, shop.desk.now())
    found = warranty_of(shop.desk.store, shop.build, shop.now)
    assert (365, None) == (found.days, found.within)
    assert "nobody wrote down" in found.said


@pytest.mark.parametrize(("days", "within"), [(179, False), (180, True), (365, True)])
def test_the_days_of_the_terms_count_from_the_day_it_was_put_on(shop, days, within):
    """Where no order tells when it was handed over."""
    write(shop.desk, shop.build, Life()("on-bow"))
    keep_terms(shop.desk.store, {"warranty_days": days}, 0, shop.desk.now())
    found = warranty_of(shop.desk.store, shop.build, shop.now)
    assert within == found.within
    assert "put on its bow" in found.said


def test_they_count_from_the_hand_over_of_the_order_it_was_made_in(shop):
    """Which goes before the day it was put on."""
    opened = {"customer": "C1", "bow": {"kind": "recurve"}, "lines": 1}
    open_order(shop.desk, FIRST, event(9011, "order-opened", **opened).table())
    acts = [
        event(9012, "job-added", job="RIDGE-1"),
        event(9013, "line-made", job="RIDGE-1", build=shop.build),
        event(9014, "handed-over"),
    ]
    record(shop.desk, FIRST, [one.table() for one in acts])
    keep_terms(shop.desk.store, {"warranty_days": 30}, 0, shop.desk.now())
    found = warranty_of(shop.desk.store, shop.build, acts[-1].moment + 29 * DAY)
    assert (True, acts[-1].moment) == (found.within, found.began)
    assert "handed over" in found.said


def test_lines_of_the_customer_are_offered(shop):
    """With their warranty, and each cause with who usually stands for it."""
    told = came_back(shop.desk, SECOND)
    assert [(shop.build, "RIDGE-1")] == [(one["build"], one["job"]) for one in told["lines"]]
    assert len(causes()) == len(told["causes"])
    opened(shop)
    (one,) = came_back(shop.desk, SECOND)["remakes"]
    assert ("RIDGE-2", None) == (one["job"], one["warranty"]["within"])


def test_each_line_counts_once_by_what_was_said_last(shop):
    """One of one came back; nothing is said of a bench with so few builds."""
    store = shop.desk.store
    assert (0, 1) == (remakes_of(store, ())["rate"]["count"], remakes_of(store, ())["builds"])
    opened(shop)
    opened(shop, number=0x910, job="RIDGE-3", cause="burred wheel", whose="bow")
    told = remakes_of(store, shop.desk.memory.outcomes())
    assert (1, 1) == (told["rate"]["count"], told["rate"]["of"])
    assert [("burred wheel", "bow", 1)] == [
        (one["cause"], one["whose"], one["count"]) for one in told["causes"]
    ]
    assert [] == told["groups"]


def test_benches_and_fibres_stand_by_themselves_where_there_are_enough(shop):
    """From so many builds on, each with its own count and range."""
    opened(shop)
    (mine,) = shop.desk.memory.outcomes()
    many = [
        type(mine)(**(vars(mine) | {"build": f"{n:016x}" * 2, "bench": "hall"}))
        for n in range(ENOUGH)
    ]
    told = remakes_of(shop.desk.store, [mine, *many[: ENOUGH - 1]])
    benches = [one["name"] for one in told["groups"] if one["level"] == "bench"]
    (fibre,) = (one for one in told["groups"] if one["level"] == "fibre")
    assert [] == benches
    assert (1, ENOUGH) == (fibre["count"], fibre["of"])
    told = remakes_of(shop.desk.store, [mine, *many])
    assert [("hall", 0)] == [
        (one["name"], one["count"]) for one in told["groups"] if one["level"] == "bench"
    ]
