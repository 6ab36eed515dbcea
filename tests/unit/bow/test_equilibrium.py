"""Where a bow stands: residuals, ways back to the brace, and trouble as data."""

from dataclasses import replace

import numpy as np
import pytest
from sample_bows import INCH, bow, changed, drawn, sizes

from strandwright.bow.equilibrium import Stand, Trouble, stand
from strandwright.bow.rig import Rig
from strandwright.bow.strung import Strung, strung
from strandwright.bow.systems import SYSTEMS, System, lay_out
from strandwright.errors import SpecError
from strandwright.geometry.track import circle
from strandwright.numerics.outcome import Outcome, Reason

Floats = np.ndarray


def stood(standing: Strung, longer: float) -> Outcome[Stand]:
    """Let a bow stand with its lines longer, from where it stood."""
    rig = standing.rig.taken(np.array([0]), standing.rig.natural + longer)
    return stand(rig, standing.brace, standing.directions, hold_draw=False)


@pytest.mark.parametrize("system", SYSTEMS)
def test_comes_back_to_its_brace(system: System) -> None:
    """Pushed aside, a bow comes back to the brace it was laid out in."""
    standing = bow(system)
    rng = np.random.default_rng(1)
    aside = np.repeat(standing.brace, 20, axis=0)
    aside[:, : standing.rig.draw] += 0.05 * rng.standard_normal(aside[:, :-2].shape)
    aside[:, standing.rig.draw] += 0.01 * rng.standard_normal(20)
    out = stand(standing.rig, aside, standing.directions, hold_draw=False)
    assert out.reason is Reason.CONVERGED
    assert all(t is Trouble.NONE for t in out.value.trouble)
    np.testing.assert_allclose(
        out.value.q, np.broadcast_to(standing.brace, out.value.q.shape), atol=1e-9
    )
    assert out.residual.max() < 1e-6


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_held_draw_leaves_a_force_and_nothing_else(system: System) -> None:
    """Held at a draw, only the draw's own derivative is left: the force in the hand."""
    standing = bow(system)
    start = np.array(standing.brace)
    start[:, standing.rig.draw] += 0.05
    out = stand(standing.rig, start, standing.directions, hold_draw=True)
    assert bool(out.ok[0])
    gradient = out.value.potential.gradient[0]
    free = np.arange(len(gradient)) != standing.rig.draw
    assert np.abs(gradient[free]).max() < 1e-8
    assert gradient[standing.rig.draw] > 10.0
    assert out.value.q[0, standing.rig.draw] == start[0, standing.rig.draw]


@pytest.mark.parametrize("system", SYSTEMS)
def test_signs_of_a_longer_line(system: System) -> None:
    """A longer string lets the brace down; a longer cable lets the axles further apart."""
    standing = bow(system)
    base = drawn(standing, 3)
    for reach in range(standing.rig.natural.shape[1]):
        longer = drawn(changed(standing, reach, 0.002), 3)
        if standing.rig.of_line[reach] == 0:
            assert longer.draw[0, 0] < base.draw[0, 0]
        apart = [_axle_to_axle(c.rig, c.q[:, 0]) for c in (base, longer)]
        assert apart[1] > apart[0]


def _axle_to_axle(rig: Rig, q: Floats) -> float:
    at = rig.poses(q).at
    return float(np.linalg.norm(at[0, 1, :2] - at[0, 2, :2]))


def test_lines_too_long_hang_slack() -> None:
    """Lines longer by a hand leave the limbs at rest and the lines slack, and it says so."""
    out = stood(bow("two-cam"), 0.2)
    assert not out.ok[0]
    assert out.reason is Reason.NOT_CONVERGED
    assert out.value.trouble == (Trouble.SLACK,)
    assert "slack" in Trouble.SLACK.value


def test_a_wheel_over_a_point_leaves_no_straight_part() -> None:
    """A wheel so large that the nocking point lies inside it is told as an overlap."""
    standing = bow("one-cam")
    string = standing.bow.lines[0]
    lower, upper = string.reaches
    over = replace(upper.contacts[1], track=circle(0.6))
    reach = replace(upper, contacts=(upper.contacts[0], over, upper.contacts[2]))
    lines = (replace(string, reaches=(lower, reach)), *standing.bow.lines[1:])
    large = replace(standing.bow, lines=lines)
    out = stand(Rig(large), standing.brace, standing.directions, hold_draw=True, max_iter=20)
    assert out.value.trouble == (Trouble.OVERLAP,)


def test_what_is_not_a_number_does_not_stand() -> None:
    """A state that is not finite is never said to stand, and its neighbours are not hurt."""
    standing = bow("hybrid-cam")
    start = np.repeat(standing.brace, 3, axis=0)
    start[1, 0] = np.nan
    out = stand(standing.rig, start, standing.directions, hold_draw=False)
    np.testing.assert_array_equal(out.ok, [True, False, True])
    assert out.value.trouble[1] is not Trouble.NONE
    assert out.value.trouble[0] is out.value.trouble[2] is Trouble.NONE


def test_too_few_steps_is_told() -> None:
    """Stopped after one step, a bow pushed far aside has not come to rest."""
    standing = bow("two-cam")
    start = np.array(standing.brace)
    start[:, :2] -= 0.05
    out = stand(standing.rig, start, standing.directions, hold_draw=False, max_iter=1)
    assert out.value.trouble == (Trouble.NOT_CONVERGED,)
    assert out.iterations == 1


def test_a_case_that_comes_too_far_is_given_up() -> None:
    """One of two pushed aside further than it may come back; the other stands as ever."""
    standing = bow("two-cam")
    aside = np.repeat(standing.brace, 2, axis=0)
    aside[0, standing.rig.wheels.start] += 0.05
    aside[1, standing.rig.wheels.start] += 0.15
    out = stand(standing.rig, aside, standing.directions, hold_draw=True, reach=0.1)
    assert out.value.trouble == (Trouble.NONE, Trouble.NOT_CONVERGED)
    np.testing.assert_allclose(out.value.q[0], standing.brace[0], atol=1e-9)
    both = stand(standing.rig, aside, standing.directions, hold_draw=True, reach=0.2)
    assert both.ok.all()


def test_a_balance_that_tips_over_is_told() -> None:
    """A two-cam bow whose wheels would run apart at the least push does not stand there."""
    free = bow("two-cam")
    # Cable tracks turned end for end: the balance is there, but it tips.
    lines = []
    for line in free.bow.lines[1:]:
        (reach,) = line.reaches
        axle, wheel = reach.contacts
        tipped = replace(wheel, track=wheel.track.turned(-2.0 * wheel.side))
        lines.append(replace(line, reaches=(replace(reach, contacts=(axle, tipped)),)))
    parts = replace(free.bow, lines=(free.bow.lines[0], *lines))
    standing = strung(parts, free.brace, np.array([400.0]))
    at = standing.rig.potential(standing.brace, standing.directions)
    assert np.abs(at.gradient).max() < 1e-8
    assert np.linalg.eigvalsh(at.hessian[0])[0] < -1.0
    out = stand(standing.rig, standing.brace, standing.directions, hold_draw=False)
    assert out.value.trouble == (Trouble.UNSTEADY,)


def test_a_batch_with_trouble_keeps_its_sound_cases() -> None:
    """One bow of three with lines far too long: the others stand as they do alone."""
    standing = lay_out("two-cam", sizes("two-cam", link=np.array([9.5, 10.0, 10.5]) * INCH))
    natural = np.array(standing.rig.natural)
    natural[1] += 0.2
    rig = standing.rig.taken(np.arange(3), natural)
    out = stand(rig, standing.brace, standing.directions, hold_draw=False)
    np.testing.assert_array_equal(out.ok, [True, False, True])
    np.testing.assert_allclose(out.value.q[[0, 2]], standing.brace[[0, 2]], atol=1e-9)


def test_cables_that_cannot_hold_the_wheels_are_refused() -> None:
    """A string so near the axles that no cable pulls against it cannot be laid out."""
    with pytest.raises(SpecError, match="cables"):
        lay_out("two-cam", sizes("two-cam", string_lever=-0.02, string_throw=0.0))


def test_bodies_inside_each_other_are_refused() -> None:
    """An axle that lies inside the other limb's wheel leaves its cable no straight part."""
    with pytest.raises(SpecError, match="straight part"):
        lay_out("two-cam", sizes("two-cam", axle_to_axle=0.05, cable_lever=0.07))
