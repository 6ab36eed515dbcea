"""Both legs as they were read: match, turns that make them alike, refusals, and the record."""

from __future__ import annotations

import pytest

from strandwright.errors import SpecError
from strandwright.planning.desk.acts import steps_of_build
from strandwright.planning.desk.advice import advise
from strandwright.planning.planner import Planner
from strandwright.planning.result import LegsMatched
from strandwright.planning.yoke import refuse_unmeant_legs
from strandwright.units import INCH
from strandwright.workshop.build_state import fold
from strandwright.workshop.events import StoredEvent, make_event
from strandwright.workshop.makings import BuildLegs
from yoke_jobs import plan_read, yoke_plan

LONG, SHORT = "36 5/8 in", "36 1/2 in"


def read(**legs: object) -> LegsMatched:
    """How both legs compare."""
    yoke = plan_read(legs).yoke
    assert yoke is not None
    return yoke.read[0]


def test_equal_legs_match() -> None:
    """No difference, no turns; where the tape cannot be sure of 1/32 in that is said."""
    found = read(left=SHORT, right=SHORT)
    assert found.matched
    assert found.difference.value == pytest.approx(0.0, abs=1e-9)
    assert found.said[0].startswith("they match")
    assert 0.5 * found.difference.u95 > 0.0


def test_the_longer_leg_takes_the_turns() -> None:
    """A sixteenth longer: turns in it, or about half as many moved over."""
    found = read(left="36 9/16 in", right=SHORT)
    assert not found.matched
    assert found.longer == "left"
    assert found.difference.value == pytest.approx(INCH / 16.0, rel=0.02)
    assert found.turns > 0.0
    assert found.moved is not None
    assert 0.4 * found.turns <= found.moved < found.turns
    assert "into the left leg" in found.said[1]


def test_more_than_the_reserve_cannot_be_moved_over() -> None:
    """An eighth is more than all turns of the shorter leg: only turns put in are told."""
    found = read(left=LONG, right=SHORT)
    assert found.moved is None
    assert all("move" not in said for said in found.said)


def test_the_turns_told_bring_the_legs_together() -> None:
    """Put in as told, what is left is less than half a turn is worth."""
    first = read(left=LONG, right=SHORT)
    yoke = yoke_plan().yoke
    assert yoke is not None
    at = first.left_turns + first.turns
    square = yoke.half_turn_apart / ((first.left_turns + 0.5) ** 2 - first.left_turns**2)
    taken = square * (at**2 - first.left_turns**2)
    assert taken == pytest.approx(INCH / 8.0, abs=1.5 * yoke.half_turn_apart)


def test_read_together_they_differ_by_more_than_the_tape_shows() -> None:
    """The shorter leg pulls more and is stretched more."""
    found = read(
        left="8.70 in +- 0.005 in", right="8.66 in +- 0.005 in", hung="together", span="2 3/8 in",
        overall="36 1/2 in", load="200 lbf",
    )  # fmt: skip
    assert found.together
    assert found.difference.value > 0.04 * INCH


def test_a_finer_tape_makes_the_match_surer() -> None:
    """The +- of the difference follows what was typed with the lengths."""
    coarse = read(left="36.5 in +- 0.03 in", right="36.5 in +- 0.03 in")
    fine = read(left="36.5 in +- 0.005 in", right="36.5 in +- 0.005 in")
    assert fine.difference.u < 0.8 * coarse.difference.u


@pytest.mark.parametrize(
    ("legs", "field", "says"),
    [
        ({"left": "12 in", "right": SHORT}, "legs-read.left", "must be near"),
        ({"left": "8.7 in", "right": "8.7 in", "hung": "together"}, "legs-read.span", "above 0"),
        ({"left": "36 in", "right": "37 1/2 in"}, "legs-read.right", "turns can take up"),
        (
            {"left": "7 in", "right": "9 7/8 in", "hung": "together", "span": "2 3/8 in"},
            "legs-read.right",
            "slack",
        ),
    ],
)
def test_legs_that_cannot_be_are_refused(legs: dict[str, object], field: str, says: str) -> None:
    """By name of the field, the value, the rule and what to do."""
    with pytest.raises(SpecError, match=says) as caught:
        refuse_unmeant_legs(yoke_plan(), BuildLegs.model_validate(legs))
    assert field == caught.value.field
    assert caught.value.remedy


def test_a_line_without_legs_has_none_to_read() -> None:
    """A strap's sides are no legs of the skein."""
    with pytest.raises(SpecError, match="two legs of half"):
        plan_read({"left": SHORT, "right": SHORT}, made="strap")


def _stored(*bodies: dict[str, object]) -> list[StoredEvent]:
    kinds = [("started", {"plan": "abc"}), *(("legs-read", body) for body in bodies)]
    return [
        StoredEvent(i, make_event(f"{i:032x}", kind, body, at=f"2026-04-07T09:0{i}:00Z"))
        for i, (kind, body) in enumerate(kinds, start=1)
    ]


def test_the_match_is_done_when_the_last_reading_matches() -> None:
    """Read, not matched, turned, read again: the step goes with the last one, and both are kept."""
    apart: dict[str, object] = {"left": LONG, "right": SHORT}
    alike: dict[str, object] = {"left": SHORT, "right": SHORT}
    for bodies, done in (((apart,), False), ((apart, alike), True), ((alike, apart), False)):
        state = fold(_stored(*bodies))
        advice = advise(yoke_plan(), state, Planner())
        match = next(s for s in advice.steps if s.id == "match-legs")
        assert match.done is done
        told = [r for r in advice.readings if r.taken in state.legs]
        assert len(told) == len(bodies)
        assert all(r.sentences for r in told)


def test_a_withdrawn_reading_of_the_legs_counts_no_more() -> None:
    """A slip leaves nothing to match by."""
    log = _stored({"left": SHORT, "right": SHORT})
    gone = make_event("f" * 32, "withdrawn", {"event": log[-1].event.id}, at="2026-04-07T10:00:00Z")
    state = fold([*log, StoredEvent(9, gone)])
    assert state.legs == ()
    steps = steps_of_build(yoke_plan(), state, ())
    assert not next(s for s in steps if s.id == "match-legs").done
