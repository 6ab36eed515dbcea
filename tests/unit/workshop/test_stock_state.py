"""The state of stock, folded: what is left, what is promised, what it is worth."""

from __future__ import annotations

from decimal import Decimal

import pytest

from stock_work import BLEND, ORDER, OTHER, PEEP, THREAD, happening, log_of
from strandwright.reference import practice, strand
from strandwright.workshop.money import Currency
from strandwright.workshop.stock_state import StockState, fold
from strandwright.workshop.wares import WAX_SHARE, Ware, linear_density

EURO = Currency("EUR", 2)
QUARTER = happening("received", ware=BLEND, lot="L7", mass="1/4 lb", price="36.00", place="rack 2")
PEEPS = happening("received", ware=PEEP, count=20, price="50.00")


def test_a_new_spool_holds_what_its_label_and_the_table_say():
    """A quarter of a pound of the blend, wax counted, is some 1790 ft, within 7 per cent."""
    state = fold(log_of(QUARTER))
    density = strand("hmpe-lcp").linear_density.value * (1.0 + WAX_SHARE)
    assert state.spool.length == pytest.approx(0.45359237 / 4 / density)
    assert state.spool.length / 0.3048 == pytest.approx(1794, abs=2)
    assert 0.06 < state.spool.length_u / state.spool.length < 0.08
    assert (state.place, state.is_open, state.is_over) == ("rack 2", False, False)


def test_uses_and_weighings_move_it():
    """What was used is gone; a weighing with the empty spool known sharpens the mass."""
    log = [QUARTER, happening("used", 5, length="116 ft", job="RIDGE-1")]
    used = fold(log_of(*log))
    assert used.spool.length == pytest.approx(fold(log_of(QUARTER)).spool.length - 116 * 0.3048)
    assert used.is_open
    weighed = fold(log_of(*log, happening("weighed", 6, gross="143.2 g", step="0.1 g")))
    assert weighed.spool.weighings == 1
    assert weighed.spool.length_u < used.spool.length_u
    # The tare is nobody's, so the mass is no surer than the label's.
    assert weighed.spool.mass_u > 1e-3


def test_a_thread_of_no_table_goes_by_its_label():
    """Length and mass by the label give the mass per length of what no table has."""
    own = {"kind": "thread", "name": "my own", "colour": "#000000"}
    state = fold(log_of(happening("received", ware=own, length="120 yd", mass="20 g")))
    assert not linear_density(Ware.model_validate(own)).is_known
    assert state.spool.density == pytest.approx(0.020 / (120 * 0.9144), rel=0.01)
    assert state.spool.length == pytest.approx(120 * 0.9144, rel=0.001)


def test_promises_are_kept_by_order_and_job():
    """A further promise adds, a use fulfils, freeing ends it; others keep theirs."""
    log = [
        QUARTER,
        happening("reserved", 1, order=ORDER, job="RIDGE-1", length="100 m"),
        happening("reserved", 2, order=ORDER, job="RIDGE-1", length="20 m"),
        happening("reserved", 3, order=OTHER, job="HILL-1", length="30 m"),
        happening("used", 4, order=ORDER, job="RIDGE-1", length="50 m"),
    ]
    state = fold(log_of(*log))
    assert [(r.job, r.length) for r in state.reserved] == [("RIDGE-1", 70.0), ("HILL-1", 30.0)]
    assert state.free_length == pytest.approx(
        state.spool.length - 100.0 - 2.0 * state.spool.length_u
    )
    freed = fold(log_of(*log, happening("freed", 5, order=ORDER, job="RIDGE-1")))
    assert freed.reserved_length == 30.0


def test_a_use_beyond_the_promise_takes_no_other_ones():
    """What one job uses more than it was promised is not taken off another's promise."""
    state = fold(
        log_of(
            QUARTER,
            happening("reserved", 1, order=ORDER, job="A", length="10 m"),
            happening("reserved", 2, order=OTHER, job="B", length="10 m"),
            happening("used", 3, order=ORDER, job="A", length="15 m"),
        )
    )
    assert [(r.job, r.length) for r in state.reserved] == [("B", 10.0)]


def test_a_use_beyond_the_book_leaves_nothing():
    """It is a fact; the book is 0, says by how much, and what is promised is short."""
    short = happening("received", ware=THREAD, length="10 m +- 0.1", price="8.00")
    state = fold(
        log_of(
            short,
            happening("reserved", 1, order=OTHER, job="B", length="4 m"),
            happening("used", 2, length="12 m", job="A"),
        )
    )
    assert (state.spool.length, state.spool.mass, state.free_length) == (0.0, 0.0, 0.0)
    assert state.spool.beyond == pytest.approx(2.0, abs=0.01)
    assert state.short_length == 4.0
    assert state.value(EURO) == Decimal("0.00")
    assert state.is_over


def test_written_off_whole_nothing_is_left_or_promised():
    """The spool and every promise on it are gone, and what it is worth."""
    log = [QUARTER, happening("reserved", 1, order=ORDER, job="A", length="10 m")]
    gone = fold(log_of(*log, happening("written-off", 2, why="moth")))
    assert (gone.spool.length, gone.reserved, gone.gone) == (0.0, (), "moth")
    assert gone.value(EURO) == Decimal("0.00")
    part = fold(log_of(*log, happening("written-off", 2, why="frayed", length="5 m")))
    assert part.spool.length == pytest.approx(fold(log_of(QUARTER)).spool.length - 5.0)
    assert part.gone == ""


def test_a_withdrawn_event_counts_no_more():
    """Whatever it was, the state is as if it had never been, but for the length of the log."""
    slip = happening("used", 5, name="slip", length="100 m", job="A")
    log = log_of(QUARTER, slip, happening("withdrawn", 6, event=slip.id))
    assert fold(log).spool == fold(log_of(QUARTER)).spool
    assert fold(log).seq == 3


def test_small_parts_are_counted():
    """Received and used by the piece; a count puts the book right; more used than there is 0."""
    log = [PEEPS, happening("used", 1, count=3, job="A"), happening("reserved", 2, order=ORDER,
                                                                     job="A", count=4)]  # fmt: skip
    state = fold(log_of(*log))
    assert (state.count, state.reserved_count, state.free_count) == (17, 4, 13)
    counted = fold(log_of(*log, happening("counted", 3, count=2)))
    assert (counted.count, counted.free_count, counted.short_count) == (2, 0, 2)
    beyond = fold(log_of(*log, happening("used", 4, count=30)))
    assert (beyond.count, beyond.beyond_count) == (0, 13)


def test_value_of_a_spool_is_the_share_that_is_left():
    """Half of the length left is half of the price, rounded once and half up."""
    spool = happening("received", ware=THREAD, length="100 m", price="12.25")
    assert fold(log_of(spool)).value(EURO) == Decimal("12.25")
    half = fold(log_of(spool, happening("used", 1, length="50 m")))
    assert half.value(EURO) == Decimal("6.13")
    assert fold(log_of(happening("received", ware=THREAD, length="1 m"))).value(EURO) is None


def test_value_of_small_parts_is_of_those_that_came_last():
    """First in, first out: what is left was bought last."""
    later = happening("received", 9, ware=PEEP, count=10, price="30.00")
    state = fold(log_of(PEEPS, happening("used", 1, count=15), later))
    assert state.count == 15
    assert state.value(EURO) == Decimal("42.50")  # ten at 3.00 and five at 2.50
    found = fold(log_of(PEEPS, happening("counted", 1, count=24)))
    assert found.value(EURO) == Decimal("60.00")


def test_order_of_moments_not_of_arrival():
    """A bench that was away tells late what it took before the spool was weighed."""
    used = happening("used", 3, length="100 m", job="A")
    weighed = happening("weighed", 4, gross="138.5 g")
    assert fold(log_of(QUARTER, weighed, used)).spool == fold(log_of(QUARTER, used, weighed)).spool


def test_a_weighing_that_fits_nothing_is_named():
    """Two good ones and a slip of 40 g: the slip is doubted."""
    known = happening("received", ware=BLEND, mass="113.4 g", tare="40.0 g", length="547 m +- 5")
    weighings = [
        happening("weighed", 1, gross="153.4 g"),
        happening("weighed", 2, gross="193.4 g"),
        happening("weighed", 3, gross="153.3 g"),
    ]
    assert weighings[1].id in fold(log_of(known, *weighings)).spool.doubted


def test_nothing_yet():
    """An empty log is nothing, and says so without an error."""
    assert fold([]) == StockState()
    assert fold(log_of(happening("used", 1, length="1 m"))).ware is None


def test_free_never_counts_on_the_last_metre():
    """Free is two standard uncertainties under what is left."""
    state = fold(log_of(happening("received", ware=THREAD, length="100 m")))
    spread = 2.0 * 100.0 * practice("stock.label_length").relative_uncertainty
    assert state.free_length == pytest.approx(100.0 - spread)
