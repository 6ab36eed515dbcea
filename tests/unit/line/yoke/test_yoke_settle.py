"""The Y at rest: relations that hold whatever the fibre."""

from dataclasses import replace

import numpy as np
import pytest

from sample_line import INCH, LBF, unknowns
from sample_yoke import FRAME, LOOP, cable, leg, model
from strandwright.line.yoke.drawn import drawn_overall, drawn_throat
from strandwright.line.yoke.member import Member
from strandwright.line.yoke.settle import settle, settle_held
from strandwright.line.yoke.state import Tripod, YokeState

LOAD = np.array([100 * LBF])


def settled(tripod: Tripod, load: np.ndarray = LOAD) -> YokeState:
    """The state, which must have been found."""
    found = settle(tripod, load)
    assert found.ok.all(), found.reason
    return found.value


def test_the_drawn_cable_lies_as_drawn() -> None:
    """Natural lengths made for a drawing give it back, legs equal or not."""
    for first in (leg(), leg(length=6.02 * INCH)):
        made, q = model(first=first), unknowns(2, share=np.array([0.0, 0.7]))
        state = settled(made.tripod(q, made.naturals(q)), LOAD.repeat(2))
        np.testing.assert_allclose(state.overall, drawn_overall(made.cable), atol=1e-9)
        np.testing.assert_allclose(state.throat, [drawn_throat(made.cable)] * 2, atol=1e-8)
        np.testing.assert_allclose(state.leg_lengths, [[first.length, 6 * INCH]] * 2, atol=1e-9)
        along_tape = made.cable.body.length + state.leg_lengths
        np.testing.assert_allclose(state.to_pins, along_tape, atol=1e-9)


def test_equal_legs_pull_alike_by_the_geometric_factor() -> None:
    """A leg pulls load / (2 cos of its angle), and nothing leans."""
    made, q = model(), unknowns()
    state = settled(made.tripod(q, made.naturals(q)))
    expected = LOAD[0] / (2 * np.cos(state.leg_angles))
    np.testing.assert_allclose(state.pulls[:, :2], expected, rtol=1e-9)
    assert state.side_moment == pytest.approx(0.0, abs=1e-8)
    assert np.sin(state.leg_angles[0, 0]) == pytest.approx(0.5 * FRAME.span / state.distances[0, 0])


def test_swapped_legs_are_the_mirror_image() -> None:
    """Leg 1 called leg 2: throat, moment and pulls change sides, lengths stay."""
    first, second = leg(length=6.02 * INCH, turns=7.0), leg("right", turns=4.0)
    frame = replace(FRAME, aside=0.004)
    made, q = model(first=first, second=second, frame=frame), unknowns()
    other = replace(made, cable=made.cable.swapped())
    one, two = (settled(m.tripod(q, m.naturals(q)), 1.3 * LOAD) for m in (made, other))
    assert two.overall == pytest.approx(one.overall, rel=1e-12)
    np.testing.assert_allclose(two.throat, one.throat * [-1, 1], rtol=1e-8)
    np.testing.assert_allclose(two.pulls, one.pulls[:, [1, 0, 2]], rtol=1e-8)
    assert abs(one.side_moment[0]) > 0.1
    np.testing.assert_allclose(two.side_moment, -one.side_moment, rtol=1e-7)


def test_without_legs_and_span_it_is_a_straight_cable() -> None:
    """Legs that shrink to nothing on one pin leave body and two loops in a row."""
    made, q = model(frame=replace(FRAME, span=0.0)), unknowns()
    naturals = np.array([[1e-9, 1e-9, 0.8]])
    tripod = made.tripod(q, naturals, np.array([0.0, 0.0, 18.0]))
    state = settled(tripod, 2 * LOAD)
    end = replace(tripod.body.eyes[0], perimeter=tripod.legs[0].eyes[0].perimeter,
                  thickness=tripod.legs[0].eyes[0].thickness)  # fmt: skip
    straight = replace(tripod.body, eyes=(tripod.body.eyes[0], end))
    assert state.far == pytest.approx(straight.length(2 * LOAD), abs=2e-9)


def test_on_one_pin_legs_share_as_two_members_side_by_side() -> None:
    """No span: the throat stays in the middle and the legs are one of twice the strands."""
    made, q = model(frame=replace(FRAME, span=0.0)), unknowns()
    tripod = made.tripod(q, np.array([[0.1344, 0.1344, 0.797]]))
    state = settled(tripod)
    np.testing.assert_allclose(state.pulls, [[0.5 * LOAD[0], 0.5 * LOAD[0], LOAD[0]]], rtol=1e-9)
    length = tripod.legs[0].length(0.5 * LOAD) + tripod.body.length(LOAD)
    assert state.far == pytest.approx(length, abs=1e-12)


def test_a_small_span_goes_over_into_none() -> None:
    """The length beyond that without a span fades with the square of the span."""
    q = unknowns()

    def far(span: float) -> float:
        tripod = model(frame=replace(FRAME, span=span)).tripod(
            q, np.array([[0.1344, 0.1344, 0.797]])
        )
        return float(settled(tripod).far[0])

    none, small, smaller = far(0.0), far(0.004), far(0.002)
    assert small < none
    assert (none - small) / (none - smaller) == pytest.approx(4.0, rel=0.01)


def test_stiffness_is_that_of_two_legs_along_the_bisector() -> None:
    """dL/dF = body's + leg's/(2 cos^2), with the part by which the legs close in under load."""
    made, q = model(), unknowns()
    tripod = made.tripod(q, made.naturals(q))
    state, step = settled(tripod), 0.01
    further = settled(tripod, LOAD + step).far - settled(tripod, LOAD - step).far
    angle, pull = state.leg_angles[:, 0], state.pulls[:, 0]
    leg_stiffness = 1.0 / tripod.legs[0].stretched(pull)[1]
    along = leg_stiffness * np.cos(angle) ** 2 + pull / state.distances[:, 0] * np.sin(angle) ** 2
    expected = 0.5 / along + tripod.body.stretched(LOAD)[1]
    np.testing.assert_allclose(further / (2 * step), expected, rtol=1e-4)


def test_held_at_its_length_it_pulls_its_load() -> None:
    """The question put the other way round gives the same state."""
    made, q = model(first=leg(length=6.03 * INCH)), unknowns(3)
    tripod = made.tripod(q, made.naturals(q))
    state = settled(tripod, LOAD * np.array([0.5, 1.0, 2.0]))
    held = settle_held(tripod, state.overall)
    assert held.ok.all()
    np.testing.assert_allclose(held.value.pulls, state.pulls, rtol=1e-6)
    np.testing.assert_allclose(held.value.throat, state.throat, atol=1e-9)


def _energy(member: Member, distance: float) -> float:
    """Work that stretches a member to a distance: the pull summed over it."""
    slack = float(member.length(np.array([1e-3]))[0])
    nodes, weights = np.polynomial.legendre.leggauss(24)
    if distance <= slack:
        return 0.0
    half = 0.5 * (distance - slack)
    places = slack + half * (1.0 + nodes)
    pulls = [float(member.pull(np.array([p]), np.array([100.0]))[0].value[0]) for p in places]
    return half * float(weights @ np.array(pulls))


def test_forces_are_the_slope_of_the_energy() -> None:
    """Finite differences of the stored work at a throat off balance give the force on it."""
    q = unknowns(share=np.array([1.0]))
    made = model()
    tripod = made.tripod(q, made.naturals(q))
    far = settled(tripod).far[0]
    half = 0.5 * FRAME.span
    pins = np.array([[half, 0.0], [-half, 0.0], [0.0, far]])
    at = np.array([0.0012, 0.14585])

    def energy(place: np.ndarray) -> float:
        reach = np.hypot(*(pins - place).T)
        return sum(_energy(m, d) for m, d in zip(tripod.members, reach, strict=True))

    away = pins - at
    reach = np.hypot(*away.T)
    pulls = [
        m.pull(np.array([d]), np.array([100.0]))[0].value[0]
        for m, d in zip(tripod.members, reach, strict=True)
    ]
    force = (np.array(pulls)[:, None] * away / reach[:, None]).sum(axis=0)
    step = 2e-6
    slope = [(energy(at + e) - energy(at - e)) / (2 * step) for e in step * np.eye(2)]
    assert np.linalg.norm(force) > 20.0
    np.testing.assert_allclose(slope, -force, rtol=2e-4, atol=2e-2)


def test_a_leg_too_long_hangs_slack() -> None:
    """Past the span the longer leg carries nothing, and the other and the body lie in line."""
    made, q = model(), unknowns()
    naturals = made.naturals(q) + np.array([[0.07, 0.0, 0.0]])
    state = settled(made.tripod(q, naturals))
    assert state.pulls[0, 0] == 0.0
    assert state.pulls[0, 1] == pytest.approx(state.pulls[0, 2], rel=1e-8)
    assert state.leg_angles[0, 1] == pytest.approx(0.0, abs=1e-6)
    assert state.throat[0, 0] < -0.02


def test_an_overload_is_data() -> None:
    """One case past the law leaves the others their answers."""
    made, q = model(), unknowns(2)
    found = settle(made.tripod(q, made.naturals(q)), LOAD * np.array([1.0, 40.0]))
    assert found.ok.tolist() == [True, False]
    assert found.value.overall[0] == pytest.approx(drawn_overall(made.cable), abs=1e-8)


def test_a_start_changes_nothing() -> None:
    """Begun at another state, the same is found."""
    made, q = model(), unknowns()
    naturals = made.naturals(q)
    start = settled(made.tripod(q, naturals))
    other = made.tripod(q, naturals, made.turns + np.array([3.0, -3.0, 0.0]))
    one, two = settle(other, LOAD).value, settle(other, LOAD, start=start).value
    np.testing.assert_allclose(two.throat, one.throat, atol=1e-10)


def test_rounds_of_the_skein_take_body_leg_and_loops() -> None:
    """Twice body and leg, and the two loops; a longer leg wants longer rounds."""
    made, q = model(first=leg(length=6.1 * INCH)), unknowns()
    naturals = made.naturals(q)
    rounds = made.round_natural(q, naturals)
    apart = 2.0 * (naturals[:, 0] - naturals[:, 1])
    loops = [t.eyes[0].perimeter for t in made.tripod(q, naturals).legs]
    np.testing.assert_allclose(rounds[:, 0] - rounds[:, 1], apart + loops[0] - loops[1])
    expected = 2.0 * (naturals[:, 1] + naturals[:, 2]) + loops[1]
    expected = expected + made.tripod(q, naturals).body.eyes[0].perimeter
    np.testing.assert_allclose(rounds[:, 1], expected)
    assert LOOP.perimeter > loops[1][0] > 0.99 * LOOP.perimeter
    assert cable().body.strand_count == 24
