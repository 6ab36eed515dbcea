"""An order folded from its events: how far it has come, what was found, what is read last."""

from __future__ import annotations

import pytest

from order_events import event, measured, opened, sound, state_of
from strandwright.errors import InputError, InputErrors
from strandwright.workshop.order_state import fold

#: An order from the counter to the customer's hand, and how it stands after each event.
WALK = [
    (opened(), "opened"),
    (sound(), "looked at"),
    (measured(), "looked at"),
    (event(4, "asked", question="A second string?"), "asked"),
    (event(5, "answered", question=f"{4:032x}", answer="No."), "looked at"),
    (event(6, "job-added", job="CRAG-1"), "looked at"),
    (event(7, "job-added", job="CRAG-2"), "looked at"),
    (event(8, "job-added", job="CRAG-3"), "measured"),
    (event(9, "quoted", quote="Q1", revision=1), "quoted"),
    (event(10, "quote-accepted", quote="Q1", revision=1), "accepted"),
    (event(11, "paid", amount="40.00", how="card"), "accepted"),
    (event(12, "line-made", job="CRAG-1", build="a" * 32), "accepted"),
    (event(13, "line-made", job="CRAG-2", build="b" * 32), "accepted"),
    (event(14, "line-made", job="CRAG-3", build="c" * 32), "made"),
    (event(15, "handed-over", said="Look again after 60 shots."), "handed over"),
    (event(16, "order-closed"), "closed"),
]


@pytest.mark.parametrize("place", range(1, len(WALK) + 1))
def test_an_order_stands_where_its_events_took_it(place):
    """From the counter to the customer's hand, one step after the other."""
    events = [one for one, _ in WALK[:place]]
    assert state_of(*events).status == WALK[place - 1][1]


def test_nothing_is_an_order_that_nobody_opened():
    """An empty log is no fault."""
    state = fold([])
    assert ("opened", None, None, 0) == (state.status, state.opened, state.bow, state.seq)


def test_figures_are_those_read_last_and_others_stay():
    """A second look that reads the brace height alone leaves the rest as it was."""
    again = event(4, "bow-looked-at", baseline={"brace_height": "7 in"})
    state = state_of(opened(), measured(), again)
    assert state.baseline is not None
    assert "7 in" == state.baseline.brace_height.text
    assert "32 1/4 in" == state.baseline.axle_to_axle.text
    assert state.baseline.braced is True


def test_the_bow_has_the_figures_it_came_with():
    """What was measured goes before what the customer said, and into the jobs."""
    state = state_of(opened(), measured())
    assert ("61 lbf", "6 7/8 in") == (state.bow.draw_weight.text, state.bow.brace_height.text)
    assert "both on the cable" == state.bow.cam_marks
    assert "60 lbf" == state.opened.bow.draw_weight.text


def test_a_bow_told_anew_replaces_what_was_said_of_it():
    """Kind, name and age can be put right at the bow; its measured figures stay."""
    told = {"kind": "hybrid-cam", "name": "crag bow", "year": 2016}
    state = state_of(opened(), measured(), event(4, "bow-looked-at", bow=told))
    assert ("hybrid-cam", 2016, "61 lbf") == (
        state.bow.kind, state.bow.year, state.bow.draw_weight.text,
    )  # fmt: skip


def test_a_finding_is_replaced_at_its_place_and_taken_back_when_sound():
    """Mended, it is mended; another place is another finding; found sound, all of it is gone."""
    burr = {"finding": "burred peg or track", "where": "upper wheel"}
    first = event(3, "bow-looked-at", findings=[burr, burr | {"where": "lower wheel"}])
    mended = event(4, "bow-looked-at", findings=[burr | {"decision": "mended"}])
    state = state_of(opened(), sound(2, but=["burred peg or track"]), first, mended)
    assert [("upper wheel", "mended"), ("lower wheel", "ask")] == [
        (one.where, one.decision) for one in state.findings
    ]
    assert "burred peg or track" not in state.sound
    clean = event(5, "bow-looked-at", sound=["burred peg or track"])
    after = state_of(opened(), first, mended, clean)
    assert () == after.findings
    assert ("burred peg or track",) == after.sound


def test_what_is_found_later_is_no_longer_sound():
    """The last look counts."""
    found = event(3, "bow-looked-at", findings=[{"finding": "bent axle"}])
    state = state_of(opened(), sound(), found)
    assert "bent axle" not in state.sound
    assert "dry-fired" in state.sound


def test_a_question_holds_the_order_until_it_is_answered():
    """Answered before it was asked, by a clock that runs ahead, it is answered all the same."""
    asked = event(3, "asked", question="Steel cables?", about="steel cables")
    answered = event(4, "answered", question=asked.id, answer="Polyester then.")
    assert "asked" == state_of(opened(), sound(), asked).status
    for events in ((asked, answered), (answered, asked)):
        state = state_of(opened(), sound(), *events)
        assert ("looked at", ()) == (state.status, state.waiting)
        assert "Polyester then." == state.questions[0].answer


def test_an_order_is_looked_at_once_all_of_it_was():
    """One thing that nobody looked at leaves it among those to be looked over."""
    assert "opened" == state_of(opened(), sound(but=["cracked limb"])).status
    burr = event(3, "bow-looked-at", findings=[{"finding": "burred peg or track"}])
    assert "opened" == state_of(opened(), burr).status
    state = state_of(opened(), sound(but=["burred peg or track", "other"]), burr)
    assert ("looked at", ()) == (state.status, state.open_stops)


def test_a_refused_order_is_over():
    """Until the refusal is withdrawn."""
    refusal = event(3, "order-refused", why="A limb is cracked.")
    state = state_of(opened(), sound(), refusal)
    assert ("refused", True, "A limb is cracked.") == (state.status, state.is_over, state.refused)
    back = event(4, "withdrawn", event=refusal.id)
    assert "looked at" == state_of(opened(), sound(), refusal, back).status


def test_a_line_built_again_is_made_once():
    """The last build of a job counts."""
    first = event(3, "line-made", job="CRAG-1", build="a" * 32)
    again = event(4, "line-made", job="CRAG-1", build="b" * 32)
    state = state_of(opened(), event(2, "job-added", job="CRAG-1"), first, again)
    assert ["b" * 32] == [made.build for made in state.made]
    assert "made" == state.status


@pytest.mark.parametrize(
    ("type", "body", "field"),
    [
        ("order-opened", {"customer": "C1"}, "order-opened.bow"),
        ("order-opened", {"customer": "", "bow": {"kind": "recurve"}}, "order-opened.customer"),
        ("order-opened", {"customer": "C1", "bow": {"kind": "sling"}}, "order-opened.bow.kind"),
        (
            "order-opened",
            {"customer": "C1", "bow": {"kind": "recurve"}, "wished_by": "2026-02-30"},
            "order-opened.wished_by",
        ),
        (
            "bow-looked-at",
            {"findings": [{"finding": "a hunch"}]},
            "bow-looked-at.findings[1].finding",
        ),
        ("bow-looked-at", {"photos": ["upper-wheel.jpg"]}, "bow-looked-at.photos[1]"),
        ("bow-looked-at", {"baseline": {"let_off": "four"}}, "bow-looked-at.baseline.let_off"),
        ("paid", {"amount": 12.5}, "paid.amount"),
        ("order-refused", {"why": ""}, "order-refused.why"),
        ("answered", {"question": "x", "answer": "y"}, "answered.question"),
    ],
)
def test_what_cannot_be_meant_is_refused_at_its_field(type, body, field):
    """With the event's type before the field."""
    with pytest.raises((InputError, InputErrors)) as refused:
        event(9, type, **body)
    found = refused.value
    errors = found.errors if isinstance(found, InputErrors) else (found,)
    assert field in [error.field for error in errors]
