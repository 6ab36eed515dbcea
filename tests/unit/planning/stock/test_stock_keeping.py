"""Keeping stock over a desk: facts are written, promises are held to what is free."""

from __future__ import annotations

import pytest

from stock_work import BLEND, ORDER, OTHER, PEEP, happening, identity
from strandwright.errors import Conflict, InputError, LimitError, NotFound, SpecError
from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.stock.keeping import (
    Promise,
    enter,
    promised_to,
    receive,
    release,
    reserve,
    stock_of,
)
from strandwright.store.memory import MemoryStore
from strandwright.workshop.wares import Ware

SPOOL, SECOND, PARTS = identity("spool"), identity("second"), identity("parts")
QUARTER = happening("received", ware=BLEND, lot="L7", mass="1/4 lb", price="36.00")
PEEPS = happening("received", ware=PEEP, count=20, price="50.00")


@pytest.fixture
def desk() -> JobDesk:
    """Give a desk with a spool and small parts on the shelf."""
    made = JobDesk(MemoryStore())
    receive(made, SPOOL, QUARTER)
    receive(made, PARTS, PEEPS)
    return made


def promise(length: str, order: str = ORDER, name: str = "", log: str = SPOOL) -> Promise:
    """Promise a length."""
    event = happening("reserved", 1, name=name or f"{log} {length}", order=order, job="J",
                      length=length)  # fmt: skip
    return Promise(log, event)


def test_received_twice_by_the_same_event_it_is_one(desk):
    """A spool whose answer was lost is sent again and is one; another event is refused."""
    assert receive(desk, SPOOL, QUARTER).state.seq == 1
    with pytest.raises(Conflict, match="comes in once"):
        receive(desk, SPOOL, happening("received", 1, ware=BLEND, mass="1/4 lb"))
    assert desk.store.log(SPOOL).kind == "spool"
    ware = Ware.model_validate(BLEND)
    assert (ware.key, desk.store.log(SPOOL).subject) == ("strand hmpe-lcp #2F6B57", ware.id)


def test_small_parts_of_one_ware_may_come_again(desk):
    """Their count grows; other parts need a log of their own."""
    again = happening("received", 2, ware=PEEP, count=5)
    assert receive(desk, PARTS, again).state.count == 25
    other = happening("received", 3, ware={**PEEP, "size": "1/4 in"}, count=5)
    with pytest.raises(SpecError, match="this is the log of part peep 3/16 in"):
        receive(desk, PARTS, other)


def test_a_promise_beyond_what_is_free_is_refused(desk):
    """It names field, value, rule and remedy, and nothing is written."""
    state = stock_of(desk, SPOOL).state
    with pytest.raises(LimitError) as caught:
        reserve(desk, [promise("540 m")])
    error = caught.value
    assert (error.field, error.given) == ("stock-reserved.length", "540 m")
    assert f"{state.free_length / 0.3048:.0f} ft" in error.rule
    assert "weigh this one" in error.remedy
    assert stock_of(desk, SPOOL).state == state


def test_what_is_free_may_be_promised_to_the_last(desk):
    """The whole of it, once; after that not a foot more."""
    free = stock_of(desk, SPOOL).state.free_length
    reserve(desk, [promise(f"{free * 1000:.0f} mm" if free < 1 else f"{free - 0.001:.3f} m")])
    with pytest.raises(LimitError):
        reserve(desk, [promise("1 ft")])


def test_several_promises_are_kept_together_or_not_at_all(desk):
    """One that cannot be kept keeps none; two of one spool are added up."""
    receive(desk, SECOND, happening("received", 1, ware=BLEND, length="100 m +- 1"))
    with pytest.raises(LimitError):
        reserve(desk, [promise("50 m"), promise("200 m", log=SECOND)])
    assert stock_of(desk, SPOOL).state.reserved == ()
    with pytest.raises(LimitError):
        reserve(desk, [promise("60 m", log=SECOND, name="a"), promise("60 m", log=SECOND)])
    kept = reserve(desk, [promise("50 m"), promise("60 m", log=SECOND)])
    assert [k.state.reserved_length for k in kept] == [50.0, 60.0]
    again = reserve(desk, [promise("50 m"), promise("60 m", log=SECOND)])
    assert [k.state.reserved_length for k in again] == [50.0, 60.0]


def test_promises_of_an_order_are_found_and_freed(desk):
    """Freed together; the other order keeps its own."""
    reserve(desk, [promise("50 m"), promise("20 m", OTHER)])
    assert [k.head.id for k in promised_to(desk, ORDER)] == [SPOOL]
    release(desk, {SPOOL: happening("freed", 2, order=ORDER, job="J")})
    assert promised_to(desk, ORDER) == ()
    assert stock_of(desk, SPOOL).state.reserved_length == 20.0


def test_a_use_beyond_the_book_is_written(desk):
    """A fact is never refused: the book is 0 and says how much more was taken."""
    reserve(desk, [promise("50 m")])
    used = happening("used", 3, length="700 m", job="OTHER")
    state = enter(desk, SPOOL, used.table()).state
    assert state.spool.length == 0.0
    assert state.spool.beyond > 100.0
    assert state.short_length == 50.0


def test_small_parts_are_promised_by_the_piece(desk):
    """No more than are there and not promised yet."""
    more = happening("reserved", 1, order=ORDER, job="J", count=15)
    enter(desk, PARTS, more.table())
    with pytest.raises(LimitError, match="no more than is free: 5 of 20 there"):
        enter(desk, PARTS, happening("reserved", 2, order=OTHER, job="K", count=6).table())


def test_a_release_cannot_be_taken_back_once_it_is_promised_again(desk):
    """Nor does a withdrawal put the same length into two hands."""
    reserve(desk, [promise("400 m")])
    freed = happening("freed", 2, order=ORDER, job="J")
    enter(desk, SPOOL, freed.table())
    back = happening("withdrawn", 4, event=freed.id)
    reserve(desk, [promise("300 m", OTHER)])
    with pytest.raises(LimitError, match="more than is free"):
        enter(desk, SPOOL, back.table())
    enter(desk, SPOOL, happening("freed", 5, order=OTHER, job="J").table())
    assert enter(desk, SPOOL, back.table()).state.reserved_length == 400.0


@pytest.mark.parametrize(
    ("log", "event", "field"),
    [
        (SPOOL, happening("used", 1, count=3), "stock-used.count"),
        (SPOOL, happening("used", 1, job="A"), "stock-used.length"),
        (SPOOL, happening("used", 1, length="500000 m"), "stock-used.length"),
        (SPOOL, happening("weighed", 1, gross="143 kg"), "stock-weighed.gross"),
        (PARTS, happening("used", 1, length="3 m"), "stock-used.length"),
        (PARTS, happening("reserved", 1, order=ORDER), "stock-reserved.count"),
        (SPOOL, happening("counted", 1, count=3), "event.type"),
        (PARTS, happening("weighed", 1, gross="14 g"), "event.type"),
    ],
)
def test_what_cannot_be_meant_is_refused(desk, log, event, field):
    """By name, and nothing is written."""
    before = stock_of(desk, log).state
    with pytest.raises(InputError) as caught:
        enter(desk, log, event.table())
    assert caught.value.field == field
    assert stock_of(desk, log).state == before


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"ware": BLEND}, "stock-received.length"),
        ({"ware": BLEND, "mass": "1/4 lb", "count": 3}, "stock-received.count"),
        ({"ware": PEEP}, "stock-received.count"),
        ({"ware": PEEP, "count": 3, "length": "3 m"}, "stock-received.length"),
        ({"ware": {"kind": "strand", "name": "mine"}, "mass": "100 g"}, "stock-received.ware.name"),
        ({"ware": BLEND, "mass": "1/4 lb", "price": "-1.00"}, "stock-received.price"),
    ],
)
def test_half_of_a_receipt_is_refused(body, field):
    """What comes in must say what it is reckoned by."""
    desk = JobDesk(MemoryStore())
    with pytest.raises(InputError) as caught:
        receive(desk, SPOOL, happening("received", 0, **body))
    assert caught.value.field == field
    with pytest.raises(NotFound):
        stock_of(desk, SPOOL)


def test_a_bench_event_is_none_of_stock(desk):
    """Types of other logs are refused by name; a build is no spool."""
    table = {**QUARTER.table(), "type": "rounds-laid", "body": {"run": 0, "halves": 2}}
    with pytest.raises(SpecError) as caught:
        enter(desk, SPOOL, table)
    assert caught.value.field == "event.type"
    with pytest.raises(NotFound):
        stock_of(desk, identity("nobody's"))


def test_the_shelf_is_listed_with_its_log(desk):
    """A listing follows each write, found by what it is, and is gone when it is."""
    rows = desk.store.listings("spool", words="blend l7")
    assert [r.id for r in rows] == [SPOOL]
    assert rows[0].status == "at hand"
    assert rows[0].summary["left"] == stock_of(desk, SPOOL).state.spool.length
    enter(desk, SPOOL, happening("written-off", 4, why="moth").table())
    assert desk.store.listings("spool", status="at hand") == ()
    assert desk.store.listings("spool", status="gone")[0].summary["gone"] == "moth"
