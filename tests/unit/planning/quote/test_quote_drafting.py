"""Drafting: an order priced as everything stands, and whose minutes and spools that is from."""

from __future__ import annotations

from datetime import date

import pytest

from bench_work import Work
from finished_line import finish
from order_events import event, opened
from priced_order import terms
from stock_work import happening, identity
from strandwright.errors import SpecError
from strandwright.planning.orders.customers import keep_customer
from strandwright.planning.orders.keeping import KeptOrder, kept_order, open_order, record
from strandwright.planning.quote import drafting
from strandwright.planning.quote.accepting import Told
from strandwright.planning.quote.drafting import Drafter, quote_id, read_entries
from strandwright.planning.quote.keeping import keep_terms, tell_quote
from strandwright.planning.quote.labour import timed_builds
from strandwright.planning.quote.page import quote_page
from strandwright.planning.quote.shelf import promised_on, shelf_of
from strandwright.planning.stock.keeping import receive

ORDER = "12345678" + "0" * 24
DAY = date(2026, 11, 28)
NOTHING = read_entries({})


def ordered(work: Work, order: str = ORDER, *jobs: str) -> KeptOrder:
    """Open an order of the ridge string, with terms kept."""
    desk = work.desk
    if order == ORDER:
        keep_customer(desk, "C1", {"name": "Ada Reed"}, 0)
        keep_terms(desk.store, terms(), 0, desk.now())
    first = 9001 if order == ORDER else 9501
    open_order(desk, order, opened(first, lines=1).table())
    for number, job in enumerate(jobs or ("RIDGE-1",), start=first + 1):
        record(desk, order, [event(number, "job-added", job=job).table()])
    return kept_order(desk, order)


def test_minutes_say_whose_times_they_are():
    """Common practice before the first build, this shop's own after it."""
    before, work = Work(), finish(Work())
    page = quote_page(Drafter(before.desk).draft(ordered(before), NOTHING, DAY))
    assert {"common practice"} == {act["source"] for act in page["acts"]}
    assert [line["beside"] for line in page["lines"] if line["kind"] == "work"] == [
        f"{page['hands']} of hands, by common practice"
    ]
    page = quote_page(Drafter(work.desk).draft(ordered(work), NOTHING, DAY))
    own = [act for act in page["acts"] if act["timed"]]
    assert own
    assert all(act["source"].startswith("this shop's builds, ") for act in own)
    (beside,) = [line["beside"] for line in page["lines"] if line["kind"] == "work"]
    assert beside.endswith("by this shop's builds and common practice")


def test_builds_are_read_anew_only_when_one_was_finished(monkeypatch: pytest.MonkeyPatch):
    """Every key that is typed asks for a price."""
    work = Work()
    kept, drafter, reads = ordered(work), Drafter(work.desk), [0]

    def counted(*given):
        reads[0] += 1
        return timed_builds(*given)

    monkeypatch.setattr(drafting, "timed_builds", counted)
    for _ in range(3):
        assert not any(act.timed for act in drafter.draft(kept, NOTHING, DAY).acts)
    assert 0 == reads[0]
    finish(work)
    for _ in range(3):
        assert any(act.timed for act in drafter.draft(kept, NOTHING, DAY).acts)
    assert 1 == reads[0]


def test_two_orders_of_one_number_have_a_quote_each():
    """The number people say is the first's; the other's quote is named in full."""
    work = Work()
    kept, other = ordered(work), "1234567b" + "0" * 24
    quote = Drafter(work.desk).draft(kept, NOTHING, DAY)
    tell_quote(work.desk.store, quote, Told("2026-11-28T12:00:00.000Z"))
    assert (quote.id, other) == (quote_id(work.desk.store, ORDER), quote_id(work.desk.store, other))
    second = Drafter(work.desk).draft(ordered(work, other), NOTHING, DAY)
    tell_quote(work.desk.store, second, Told("2026-11-28T12:00:00.000Z"))
    assert (other, other) == (second.id, quote_id(work.desk.store, other))


def test_an_order_without_a_job_has_no_price():
    """The line is measured first."""
    work = Work()
    kept = ordered(work)
    bare = KeptOrder(kept.id, kept.state, kept.customer, ())
    with pytest.raises(SpecError, match="measure the line first"):
        Drafter(work.desk).draft(bare, NOTHING, DAY)


def test_the_shelf_is_read_by_name():
    """Of other wares no log is read, nor of what is used up unless it is asked for."""
    desk = Work().desk
    for name in ("hmpe", "hmpe-lcp", "polyester"):
        ware = {"kind": "strand", "name": name, "colour": "#2F6B57"}
        receive(desk, identity(name), happening("received", name=name, ware=ware, length="50 m"))
    names = [one.state.ware.name for one in shelf_of(desk.store, {"hmpe", "polyester"})]
    assert {"hmpe", "polyester"} == set(names)
    gone = happening("written-off", 2, why="moth")
    desk.store.append(identity("hmpe"), [gone])
    assert 2 == len(shelf_of(desk.store))
    assert 3 == len(shelf_of(desk.store, over=True))
    assert () == promised_on(desk.store, ORDER)
    held = happening("reserved", 3, order=ORDER, job="J", length="10 m")
    desk.store.append(identity("polyester"), [held])
    assert [identity("polyester")] == [one.log for one in promised_on(desk.store, ORDER)]
