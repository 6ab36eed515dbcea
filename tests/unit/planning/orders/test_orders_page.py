"""The counter's page: one next act at a time, from the first look to the customer's hand."""

from __future__ import annotations

import json

import pytest

from order_events import event, measured, opened, sound, state_of
from strandwright.planning.orders.next_act import next_act
from strandwright.planning.orders.page import order_page
from strandwright.planning.orders.verdict import verdict_of
from strandwright.workshop.customer import Customer, Reach

WHO = Customer(name="Ada Reed", reach=(Reach(by="telephone", at="01 23 45"),))
BURR = event(4, "bow-looked-at", findings=[{"finding": "burred peg or track"}])
ASKED = event(5, "asked", question="May we?", about="burred peg or track")
#: Events one after the other, and the act that comes next after each.
WALK = [
    (opened(), "look"),
    (sound(), "measure bow"),
    (measured(), "take off"),
    (BURR, "ask"),
    (ASKED, "answer"),
    (event(6, "answered", question=ASKED.id, answer="Yes."), "take off"),
    (event(7, "job-added", job="CRAG-1"), "take off"),
    (event(8, "job-added", job="CRAG-2"), "take off"),
    (event(9, "job-added", job="CRAG-3"), "quote"),
    (event(10, "quoted", quote="Q1", revision=1), "accept"),
    (event(11, "quote-accepted", quote="Q1", revision=1), "build"),
    *(
        (event(12 + k, "line-made", job=f"CRAG-{k}", build="a" * 32), act)
        for k, act in ((1, "build"), (2, "build"), (3, "hand over"))
    ),
    (event(20, "handed-over"), "close"),
    (event(21, "order-closed"), ""),
]


def act_of(*events):
    """Give the next act after some events."""
    state = state_of(*events)
    return next_act(state, verdict_of(state))


@pytest.mark.parametrize("place", range(1, len(WALK) + 1))
def test_there_is_one_next_act_at_a_time(place):
    """From the counter to the bench and back."""
    act = act_of(*(one for one, _ in WALK[:place]))
    assert act.key == WALK[place - 1][1]
    assert act.said
    assert bool(act.title) == bool(act.key)


def test_danger_comes_before_the_rest_of_the_look():
    """A cracked limb needs no further looking at; then the bow goes back."""
    crack = event(3, "bow-looked-at", findings=[{"finding": "cracked limb", "decision": "refuse"}])
    act = act_of(opened(), crack)
    assert "refuse" == act.key
    assert "cracked limb" in act.said
    refused = event(4, "order-refused", why="A limb is cracked.")
    assert "hand over" == act_of(opened(), crack, refused).key
    assert "close" == act_of(opened(), crack, refused, event(5, "handed-over")).key


def test_a_bow_only_to_be_looked_over_is_handed_back():
    """No line was ordered, so none is measured."""
    act = act_of(opened(lines=0, work=["look over"]), sound(), measured())
    assert ("hand over", True) == (act.key, "no line" in act.said)


def test_lines_that_are_to_be_fitted_are_walked_onto_the_bow():
    """Built, then fitted, then handed over; what was given up is begun again."""
    work = opened(lines=1, work=["fit and set"])
    made = [
        work, sound(), measured(), event(4, "job-added", job="CRAG-1"),
        event(5, "quoted", quote="Q1", revision=1),
        event(6, "quote-accepted", quote="Q1", revision=1),
        event(7, "line-made", job="CRAG-1", build="a" * 32),
    ]  # fmt: skip
    state = state_of(*made)
    keys = {
        fit: next_act(state, verdict_of(state), fit=fit).key
        for fit in ("", "on the way", "given up", "right")
    }
    assert {"": "fit", "on the way": "fit", "given up": "fit", "right": "hand over"} == keys
    plain = state_of(opened(lines=1), *made[1:])
    assert "hand over" == next_act(plain, verdict_of(plain)).key
    assert "fit" == next_act(plain, verdict_of(plain), fit="on the way").key


def test_a_question_to_nobody_says_so():
    """Before it is asked."""
    state = state_of(opened(), sound(), measured(), BURR)
    assert "No way to reach them" in next_act(state, verdict_of(state), reached=False).said


def page_of(*events):
    """Give the page after some events."""
    state = state_of(*events)
    return order_page("12345678" + "0" * 24, state, WHO, verdict_of(state))


def test_the_page_is_plain_and_holds_all_a_counter_needs():
    """It goes over the wire as it is."""
    page = page_of(opened(), sound(), measured(), BURR)
    assert json.loads(json.dumps(page)) == page
    assert ("28T5CY", "ask", "looked at") == (
        page["number"], page["next"]["key"], page["status"],
    )  # fmt: skip
    rows = {row["name"]: row for row in page["look"]}
    assert rows["burred peg or track"]["found"] == [{"finding": "burred peg or track"}]
    assert not rows["burred peg or track"]["sound"]
    assert rows["cracked limb"]["sound"]
    assert not any(row["open"] for row in page["look"])
    texts = {figure["name"]: figure["text"] for figure in page["figures"]}
    assert ("6 7/8 in", "") == (texts["brace_height"], texts["let_off"])
    assert "smooth it" in page["verdict"]["question"]


def test_cautions_stand_where_they_belong():
    """A bow not looked over is not drawn; one of wheels is pressed by its manual."""
    before, after = page_of(opened()), page_of(opened(), sound())
    assert "Do not draw" in before["cautions"]["draw"]
    assert "draw board" in after["cautions"]["draw"]
    for page in (before, after):
        assert "no press" in page["cautions"]["look"]
        assert "qualified technician" in page["cautions"]["look"]
        assert "press" in page["cautions"]["press"]


def test_an_empty_order_has_a_page():
    """Begun elsewhere and not opened yet."""
    page = page_of()
    assert (None, [], "kind") == (page["bow"], page["look"], page["missing"][0]["name"])
