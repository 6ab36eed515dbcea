"""Relations of the fold of an order: repeats, withdrawals, and the order of unrelated events."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from order_events import event, in_order, measured, opened, sound, state_of
from strandwright.workshop.events import StoredEvent
from strandwright.workshop.order_state import fold

ASKED = event(4, "asked", question="May we smooth it?", about="burred peg or track")
#: Events each of which is about something of its own.
UNRELATED = [
    opened(),
    sound(),
    ASKED,
    event(5, "quoted", quote="Q1", revision=1),
    event(6, "quote-accepted", quote="Q1", revision=1),
    event(7, "paid", amount="20"),
    event(8, "job-added", job="CRAG-1"),
    event(9, "line-made", job="CRAG-1", build="a" * 32),
    event(10, "noted", text="Comes again on Friday."),
    event(11, "handed-over"),
    event(12, "order-refused", why="A limb is cracked."),
]
EVENTS = [
    *UNRELATED,
    measured(13),
    event(14, "answered", question=ASKED.id, answer="Yes."),
    event(15, "bow-looked-at", findings=[{"finding": "bent axle", "decision": "refuse"}]),
    event(16, "order-closed", why="fetched"),
]


@given(st.permutations(UNRELATED))
def test_unrelated_events_may_come_in_any_order(events):
    """Two benches that write at once do not change how an order stands."""
    assert replace(state_of(*UNRELATED), seq=0) == replace(state_of(*events), seq=0)


@given(st.lists(st.sampled_from(EVENTS), max_size=20), st.randoms())
def test_an_event_told_again_is_one(events, random):
    """However often, wherever the repeats stand behind the first."""
    once = list(dict.fromkeys(events))
    again = once + [one for one in events if random.random() < 0.7]
    assert replace(state_of(*once), seq=0) == replace(state_of(*again), seq=0)


@given(st.lists(st.sampled_from(EVENTS), unique=True, min_size=1, max_size=14), st.data())
def test_a_withdrawn_event_was_never(events, data):
    """Wherever its withdrawal stands, the rest is as if it had not been written."""
    gone = data.draw(st.sampled_from(events))
    back = event(99, "withdrawn", event=gone.id, why="a slip")
    place = data.draw(st.integers(0, len(events)))
    without = [one for one in events if one.id != gone.id]
    told = [*events[:place], back, *events[place:]]
    assert replace(state_of(*without), seq=0) == replace(state_of(*told), seq=0)


@given(st.lists(st.sampled_from(EVENTS), unique=True, max_size=14), st.randoms())
def test_the_places_count_and_not_how_they_are_handed_over(events, random):
    """A log read in another order folds to the same."""
    log = list(in_order(events))
    shuffled: list[StoredEvent] = list(log)
    random.shuffle(shuffled)
    assert fold(log) == fold(shuffled)


@given(st.lists(st.sampled_from(EVENTS), unique=True, max_size=14))
def test_nothing_is_both_sound_and_found(events):
    """And every photo, job and built line is there once."""
    state = state_of(*events)
    assert {one.finding for one in state.findings}.isdisjoint(state.sound)
    for names in (state.photos, state.jobs, [made.job for made in state.made]):
        assert len(names) == len(set(names))
