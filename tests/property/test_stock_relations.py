"""Relations of the stock's book that hold for every log."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from stock_work import BLEND, ORDER, OTHER, PEEP, happening, log_of
from strandwright.workshop.events import Event
from strandwright.workshop.stock_state import fold

SPOOL = happening("received", ware=BLEND, mass="1/8 lb", price="20.00", name="spool")
PARTS = happening("received", ware=PEEP, count=30, price="45.00", name="parts")

MINUTES = st.integers(1, 6)
METRES = st.integers(1, 120).map(lambda m: f"{m} m")


def spool_event(kind, minute, length, grams, whose) -> Event:
    """Make one of the things that happen to a spool."""
    match kind:
        case "used":
            return happening("used", minute, order=whose, job="J", length=length)
        case "reserved" | "written-off":
            more = {"order": whose, "job": "J"} if kind == "reserved" else {"why": "frayed"}
            return happening(kind, minute, length=length, **more)
        case "freed":
            return happening("freed", minute, order=whose, job="J")
        case "moved":
            return happening("moved", minute, place=length)
        case _:
            return happening("weighed", minute, gross=f"{grams} g")


KINDS = ("used", "used", "reserved", "freed", "weighed", "written-off", "moved")
SPOOL_EVENTS = st.lists(
    st.builds(spool_event, st.sampled_from(KINDS), MINUTES, METRES, st.integers(20, 110),
              st.sampled_from((ORDER, OTHER))),
    max_size=10, unique_by=lambda e: e.id,
)  # fmt: skip


@given(SPOOL_EVENTS, st.randoms(use_true_random=False))
def test_what_is_left_goes_by_moments_alone(events, random):
    """In whatever order a log took them in, the same events leave the same on the spool."""
    shuffled = list(events)
    random.shuffle(shuffled)
    ours, other = fold(log_of(SPOOL, *events)), fold(log_of(*shuffled, SPOOL))
    assert ours.spool == other.spool
    assert ours.uses == other.uses


@given(SPOOL_EVENTS)
def test_nothing_is_ever_negative(events):
    """Left, mass, free, promised, short and every spread are at least 0 after every event."""
    for length in range(len(events) + 1):
        state = fold(log_of(SPOOL, *events[:length]))
        spool = state.spool
        numbers = [
            spool.length, spool.length_u, spool.mass, spool.mass_u, spool.beyond, spool.density,
            state.free_length, state.reserved_length, state.short_length, spool.full_u,
        ]  # fmt: skip
        assert min(numbers) >= 0.0
        assert all(r.length > 0.0 for r in state.reserved)
        assert state.free_length <= spool.length


@given(SPOOL_EVENTS, st.data())
def test_a_withdrawn_event_never_was(events, data):
    """Withdrawn anywhere later, its log folds as the log without it."""
    if not events:
        return
    gone = data.draw(st.sampled_from(events))
    place = data.draw(st.integers(events.index(gone) + 1, len(events)))
    slip = happening("withdrawn", 9, event=gone.id)
    with_it = fold(log_of(SPOOL, *events[:place], slip, *events[place:]))
    without = fold(log_of(SPOOL, *[e for e in events if e is not gone]))
    assert (with_it.spool, with_it.reserved, with_it.uses, with_it.place) == (
        without.spool, without.reserved, without.uses, without.place,
    )  # fmt: skip


@given(SPOOL_EVENTS)
def test_what_was_used_and_what_is_left_make_the_whole(events):
    """Without a weighing the book closes: full is left and used, less what was beyond it."""
    plain = [e for e in events if e.type != "stock-weighed"]
    state = fold(log_of(SPOOL, *plain))
    taken = sum(use.length for use in state.uses)
    spool = state.spool
    assert spool.full == pytest.approx(spool.length + taken - spool.beyond, abs=1e-6)


@given(SPOOL_EVENTS, METRES)
def test_using_more_leaves_less(events, length):
    """One more use never leaves more, and never makes the rest surer."""
    more = happening("used", 8, length=length, name="more")
    before, after = fold(log_of(SPOOL, *events)), fold(log_of(SPOOL, *events, more))
    assert after.spool.length <= before.spool.length
    assert after.spool.length_u >= before.spool.length_u


@given(
    st.lists(
        st.tuples(st.sampled_from(("used", "counted", "received")), MINUTES, st.integers(1, 25)),
        max_size=10, unique=True,
    ),
    st.randoms(use_true_random=False),
)  # fmt: skip
def test_small_parts_by_moments_alone(kinds, random):
    """Counts are never below 0 and the same however late a bench tells of them."""
    more: dict[str, dict[str, Any]] = {"received": {"ware": PEEP}}
    events = [
        happening(kind, minute, count=count, **more.get(kind, {})) for kind, minute, count in kinds
    ]
    shuffled = list(events)
    random.shuffle(shuffled)
    ours, other = fold(log_of(PARTS, *events)), fold(log_of(*shuffled, PARTS))
    assert ours.count == other.count >= 0
    assert ours.beyond_count == other.beyond_count >= 0
