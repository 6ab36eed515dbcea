"""What one turn shortens, spread over the whole line or held by tracks, against work by hand."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from asked_bow import Asked

from strandwright.bow.free_run import free_runs
from strandwright.planning.bow.turn_effect import body_of, by_line, held_runs, shortening
from strandwright.planning.bow.turning import turning
from strandwright.planning.estimate import Estimate

#: Length of the two-cam line's body in its parts: whole, half, a fifth [-]
PARTS = np.array([1.0, 2.0, 5.0])


def by_hand(radius: float, turns: float, body: float, run: float) -> float:
    """Shortening by a further turn of a run of a rope whose strands all turn at its mean radius.

    Helix by helix and exact: a strand that goes once more round the run's axis, the strand's own
    length kept. It shares nothing with the program but the numbers put in.
    """
    strand = math.hypot(run, 2 * math.pi * radius * turns * run / body)
    after = math.sqrt(strand**2 - (2 * math.pi * radius * (turns * run / body + 1)) ** 2)
    return run - after


def mean_radius(bow: Asked) -> float:
    """Radius whose square is the mean over the bundle: a disc's over the root of two [m]."""
    return 0.5 * bow.plan.bare_diameter.value / math.sqrt(2.0)


@pytest.mark.parametrize("which", ["two_cam", "one_cam"])
def test_a_held_turn_is_that_of_helices_by_hand(request: pytest.FixtureRequest, which: str) -> None:
    """Each part's share over the whole line's is the helix's to 1 1/2 %, its size to a sixth.

    Servings, squeeze and stretch are in the plan and not in the helix, and all but leave the
    share alone; a plan's length bends with turns by some 15 % more than a helix's.
    """
    bow: Asked = request.getfixturevalue(which)
    body, twist, radius = body_of(bow.plan), bow.plan.twist, mean_radius(bow)
    found = -shortening(twist, PARTS)
    hand = np.array([by_hand(radius, twist.turns, body, body / m) for m in PARTS])
    assert found / found[0] == pytest.approx(hand / hand[0], rel=0.015)
    assert found == pytest.approx(hand, rel=1.0 / 6.0)
    # Twisted as it is, a fifth of it gives hardly more than the whole.
    assert 1.0 < found[2] / found[0] < 1.1


def test_a_line_without_turns_gives_as_many_times_as_the_part_is_shorter(two_cam: Asked) -> None:
    """Then only the turn's own square is there: half the length gives twice, a fifth five times."""
    body, radius = body_of(two_cam.plan), mean_radius(two_cam)
    one = -by_hand(radius, 0.0, body, body)
    bare = replace(
        two_cam.plan.twist,
        turns=0.0,
        next_turn=Estimate(one, 0.0, "m"),
        less_turn=Estimate(0.0, 0.0, "m"),
    )
    assert shortening(bare, PARTS) == pytest.approx(one * PARTS)
    hand = [-by_hand(radius, 0.0, body, body / m) for m in PARTS]
    assert shortening(bare, PARTS) == pytest.approx(hand, rel=1e-3)


def test_over_the_whole_line_it_is_the_next_turn_of_the_plan(two_cam: Asked) -> None:
    """The job's own line is not worked out twice; a shorter one gives a little more."""
    lines = by_line(two_cam.plan, two_cam.model, "string")
    assert lines["string"] == pytest.approx(two_cam.plan.twist.next_turn.value, rel=1e-12)
    assert 1.0 < lines["upper cable"] / lines["string"] < 1.05


@pytest.mark.parametrize("which", ["two_cam", "one_cam"])
def test_free_runs_and_wraps_are_the_whole_line(request: pytest.FixtureRequest, which: str) -> None:
    """What is in the air and what lies on tracks at brace come to the line's length under load."""
    bow: Asked = request.getfixturevalue(which)
    cycle = bow.model.family.cycle
    runs = dict(zip(bow.model.lines, free_runs(cycle), strict=True))
    for lane in bow.model.lanes:
        on = sum(touch.brace_stop - touch.brace_start for touch in lane.touches)
        zero, far = runs[lane.line]
        split = lane.line == "string" and which == "one_cam"
        air = zero.length + far.length if split else zero.length
        if not split:
            assert far.length == pytest.approx(zero.length)
        # A line under load is longer than the scale of the lane by its stretch.
        assert air + on == pytest.approx(lane.length, rel=0.01)
        assert np.sum(zero.share, axis=1) == pytest.approx(1.0)


def test_a_track_on_the_way_holds_the_turn_on_its_side(one_cam: Asked) -> None:
    """From the string's one end the turn stays before the upper wheel, from the other behind."""
    (zero, far), _ = held_runs(one_cam.plan, one_cam.model, "string")
    assert (zero[0].from_body, zero[0].to_body) == ("cam", "upper wheel")
    assert (far[0].from_body, far[0].to_body) == ("cam", "upper wheel")
    # The nocking point lies before the upper wheel: both sides of it share the turn.
    assert np.all(zero[0].share > 0.3)
    assert far[0].share[:, 0] == pytest.approx(0.0)


def test_both_limits_are_given_and_nearly_agree(one_cam: Asked) -> None:
    """The draw length moves by what the length does: a few per cent more where it is held."""
    found = turning(one_cam.job, one_cam.plan, one_cam.model)
    k = found.passing.figures.index("axle_to_axle")
    j = found.passing.lines.index("string")
    for held in found.held:
        share = held.known.mean[k, j] / found.passing.mean[k, j]
        assert 1.0 < share < 1.05
        assert held.runs[j].per_turn / found.per_turn["string"] == pytest.approx(share, abs=0.01)
