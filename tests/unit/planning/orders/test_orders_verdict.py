"""May the work go on: refused, asked, or gone on with, each with its reasons."""

from __future__ import annotations

import pytest

from order_events import event, measured, opened, sound, state_of
from strandwright.planning.orders.verdict import question_of, refusal_of, verdict_of
from strandwright.reference.stops import LOW_STRETCH, stop, stops

BURR = {"finding": "burred peg or track", "where": "upper wheel", "decision": "ask"}


def looked(*findings):
    """Give the state of an order in which these were found."""
    names = [one["finding"] for one in findings]
    look = event(3, "bow-looked-at", findings=list(findings))
    return state_of(opened(), sound(but=names), look)


def test_a_sound_bow_goes_on():
    """With nothing to say."""
    verdict = verdict_of(state_of(opened(), sound(), measured()))
    assert ("go", (), True) == (verdict.word, verdict.reasons, verdict.drawable)
    assert ("", "") == question_of(verdict)
    assert "" == refusal_of(verdict)


@pytest.mark.parametrize("row", stops(), ids=lambda row: row.name)
@pytest.mark.parametrize("decision", ["refuse", "ask", "note", "mended"])
def test_what_is_decided_of_a_finding_is_what_follows(row, decision):
    """Refused is refused, asked is asked; noted and mended go on."""
    verdict = verdict_of(looked({"finding": row.name, "decision": decision}))
    assert verdict.word == {"refuse": "refuse", "ask": "ask"}.get(decision, "go")
    (reason,) = verdict.reasons
    assert (reason.why, reason.customer, reason.source) == (row.why, row.customer, row.source)
    assert verdict.drawable == (decision == "mended" or not row.undrawn)


def test_the_gravest_counts_and_stands_first():
    """One refusal among questions and notes refuses."""
    dirt = {"finding": "dirt in the slide", "decision": "note"}
    crack = {"finding": "cracked limb", "where": "lower", "decision": "refuse"}
    verdict = verdict_of(looked(dirt, BURR, crack))
    assert "refuse" == verdict.word
    assert ["refuse", "ask", "go"] == [reason.word for reason in verdict.reasons]
    assert refusal_of(verdict) == stop("cracked limb").customer
    assert question_of(verdict) == (stop("burred peg or track").customer, "burred peg or track")


def test_one_call_asks_for_everything_and_its_answer_settles_it():
    """Both findings are answered by one answer; one to refuse is not."""
    twist = {"finding": "twisted limb", "decision": "ask"}
    words, about = question_of(verdict_of(looked(BURR, twist)))
    assert stop("twisted limb").customer in words
    assert "burred peg or track; twisted limb" == about
    asked = event(4, "asked", question=words, about=about)
    said = event(5, "answered", question=asked.id, answer="Smooth it; I know of the limb.")
    look = event(3, "bow-looked-at", findings=[BURR, twist])
    waiting = verdict_of(state_of(opened(), look, asked))
    assert "ask" == waiting.word
    verdict = verdict_of(state_of(opened(), look, asked, said))
    assert "go" == verdict.word
    assert all("Smooth it" in reason.answered for reason in verdict.reasons)


def test_an_answer_does_not_overrule_a_refusal():
    """The owner cannot order a cracked limb to hold."""
    crack = {"finding": "cracked limb", "decision": "refuse"}
    asked = event(4, "asked", question="It is cracked.", about="cracked limb")
    said = event(5, "answered", question=asked.id, answer="Do it all the same.")
    state = state_of(opened(), event(3, "bow-looked-at", findings=[crack]), asked, said)
    assert "refuse" == verdict_of(state).word


def test_a_refused_order_is_refused_whatever_was_found():
    """By the technician's word."""
    state = state_of(opened(), sound(), event(3, "order-refused", why="Not ours to do."))
    assert "refuse" == verdict_of(state).word


@pytest.mark.parametrize("told", [{"limbs": "wood"}, {"year": 1968}, {"takes_low_stretch": False}])
def test_a_low_stretch_string_on_an_old_or_wooden_bow_is_told_by_the_program(told):
    """From the fibre of the job and what is known of the bow: nobody ticks it."""
    state = state_of(opened(bow={"kind": "longbow", "draw_weight": "45 lbf", **told}))
    for fibre in ("hmpe", "hmpe-lcp"):
        verdict = verdict_of(state, ["polyester", fibre])
        (reason,) = verdict.reasons
        assert ("ask", LOW_STRETCH) == (verdict.word, reason.finding)
        assert reason.where != ""
    assert "go" == verdict_of(state, ["polyester"]).word
    assert "go" == verdict_of(state).word


def test_ticked_by_hand_it_is_told_once():
    """What the technician decided of it counts."""
    ticked = event(3, "bow-looked-at", findings=[{"finding": LOW_STRETCH, "decision": "note"}])
    state = state_of(opened(bow={"kind": "longbow", "limbs": "wood"}), ticked)
    verdict = verdict_of(state, ["hmpe"])
    assert ("go", 1) == (verdict.word, len(verdict.reasons))


def test_the_makers_leave_goes_before_the_year():
    """Told at the bow, the question is gone."""
    bow = {"kind": "recurve", "year": 1980, "draw_weight": "30 lbf"}
    leave = event(2, "bow-looked-at", bow=bow | {"takes_low_stretch": True})
    assert "ask" == verdict_of(state_of(opened(bow=bow)), ["hmpe"]).word
    assert "go" == verdict_of(state_of(opened(bow=bow), leave), ["hmpe"]).word
