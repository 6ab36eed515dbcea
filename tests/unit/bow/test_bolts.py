"""What a limb bolt does: implicit derivatives beside bows made anew with a limb let out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from sample_bows import FULL, INCH, bow, drawn, sizes, to_wall, with_stops

from strandwright.bow.bent import BentBow, RecurvedTip, string_up
from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.elastica import ElasticaLimb
from strandwright.bow.equilibrium import stand
from strandwright.bow.figures import figures
from strandwright.bow.limb import PivotLimb
from strandwright.bow.parts import Mount
from strandwright.bow.rig import Rig
from strandwright.bow.sensitivity import FOLLOWED, respond_to_bolts
from strandwright.bow.strung import Strung
from strandwright.bow.systems import SYSTEMS, System, lay_out, stopped
from strandwright.bow.taper import power_taper

Floats = np.ndarray
POINTS = 241
STEP = 2e-4
TIMING, WALL = FOLLOWED.index("timing"), FOLLOWED.index("draw_length")


def let_out(mount: Mount, angle: float, behind: float) -> Mount:
    """Turn a limb about where it rocks, with plain trigonometry: an upper limb turns clockwise."""
    limb = mount.limb
    assert isinstance(limb, PivotLimb)
    way = -1.0 if mount.mirrored else 1.0
    back = behind * np.asarray(limb.length)
    root = np.asarray(mount.heading) + way * np.asarray(limb.rest_angle)
    x = mount.x - back * np.cos(root) + back * np.cos(root + way * angle)
    y = mount.y - back * np.sin(root) + back * np.sin(root + way * angle)
    return replace(mount, x=x, y=y, heading=np.asarray(mount.heading) + way * angle)


def stood(standing: Strung, mounts: list[Mount]) -> Strung:
    """Stand a bow with other limbs."""
    parts = replace(standing.bow, mounts=tuple(mounts))
    rig = Rig(parts)
    found = stand(rig, standing.brace, standing.directions, hold_draw=False)
    at = found.raise_for_failure("the brace").value
    ways = at.potential.spans.direction
    return replace(standing, bow=parts, rig=rig, brace=at.q, directions=ways)


def read(standing: Strung, cycle: DrawCycle, sense: Floats) -> Floats:
    """Figures in the order of the rows of a response; those of a crossbow are left out."""
    found = figures(cycle)
    wheels = standing.brace[0, standing.rig.wheels] * sense
    timing = wheels[0] - wheels[1] if len(sense) == 2 else 0.0
    named = ("brace_height", "axle_to_axle", "draw_length", "peak", "holding")
    return np.array([*(getattr(found, name)[0] for name in named), timing])


def differences(standing: Strung, behind: float) -> Floats:
    """Central differences of every figure by each bolt."""
    base = to_wall(standing, 9)
    sense = np.sign(base.q[0, -1, standing.rig.wheels] - base.q[0, 0, standing.rig.wheels])
    columns = []
    for limb in (0, 1):
        ends = []
        for sign in (-1, 1):
            mounts = list(standing.bow.mounts)
            mounts[limb] = let_out(mounts[limb], sign * STEP, behind)
            other = stood(standing, mounts)
            ends.append(read(other, to_wall(other, POINTS), sense))
        columns.append((ends[1] - ends[0]) / (2 * STEP))
    return np.stack(columns, axis=-1)


@pytest.mark.parametrize("behind", [0.0, 0.3])
@pytest.mark.parametrize("system", SYSTEMS)
def test_every_figure_by_each_bolt(system: System, behind: float) -> None:
    """Brace height, axle-to-axle, wall, peak, holding and timing: as differences have them."""
    standing = with_stops(system)
    ours = respond_to_bolts(to_wall(standing, POINTS), behind).table()[0]
    wanted = differences(standing, behind)
    for name, row, differing in zip(FOLLOWED, ours, wanted, strict=False):
        if name == "holding" and len(standing.bow.stops) > 1:
            # Where one wheel comes first, its stop may push the least force to before the wall.
            continue
        scale = max(np.abs(differing).max(), 1e-3)
        # Two stops touched together make a kink, met by a difference to its own width.
        share = {"peak": 3e-4, "holding": 1e-3, "draw_length": 2e-3}.get(name, 1e-4)
        np.testing.assert_allclose(row, differing, atol=share * scale, err_msg=name)


@pytest.mark.parametrize("system", SYSTEMS)
def test_about_its_own_pivot_a_link_is_let_out_by_its_spring(system: System) -> None:
    """Turned about itself, a limb is one whose spring is slack at another angle."""
    standing = with_stops(system)
    cycle = to_wall(standing)
    wheels = standing.rig.wheels
    sense = np.sign(cycle.q[0, -1, wheels] - cycle.q[0, 0, wheels])
    ours = respond_to_bolts(cycle, 0.0).table()[0]
    for limb in (0, 1):
        ends = []
        for sign in (-1, 1):
            mounts = list(standing.bow.mounts)
            own = mounts[limb].limb
            assert isinstance(own, PivotLimb)
            slack = np.asarray(own.rest_angle) + sign * STEP
            mounts[limb] = replace(mounts[limb], limb=replace(own, rest_angle=slack))
            other = stood(standing, mounts)
            ends.append(read(other, to_wall(other), sense))
        change = (ends[1] - ends[0]) / (2 * STEP)
        for row in (0, 1, TIMING):
            assert ours[row, limb] == pytest.approx(change[row], rel=1e-3, abs=1e-4)


@pytest.mark.parametrize("shape", ["straight", "recurved"])
def test_a_bent_limb_turns_about_its_root(shape: str) -> None:
    """A bow strung anew with one root turned: brace height and the force at its draw."""
    unstrung = BentBow(
        beam(), beam(), riser=20 * INCH, lean=0.1, string_stiffness=1e5,
        tip=None if shape == "straight" else RecurvedTip(4 * INCH, 0.9, 0.012),
    )  # fmt: skip
    standing = string_up(unstrung, 57.5 * INCH)
    cycle = drawn(standing, 81)
    ours = respond_to_bolts(cycle, 0.0)
    for limb, way in ((0, -1.0), (1, 1.0)):
        ends = []
        for sign in (-1.0, 1.0):
            mounts = list(standing.bow.mounts)
            heading = np.asarray(mounts[limb].heading) + sign * STEP * way
            mounts[limb] = replace(mounts[limb], heading=heading)
            other = stood(standing, mounts)
            found = figures(drawn(other, 81))
            ends.append([found.brace_height[0], found.axle_to_axle[0], found.peak[0]])
        change = (np.array(ends[1]) - np.array(ends[0])) / (2 * STEP)
        assert ours.brace_height[0, limb] == pytest.approx(change[0], rel=1e-4)
        assert ours.axle_to_axle[0, limb] == pytest.approx(change[1], rel=1e-4)
        assert ours.peak[0, limb] == pytest.approx(change[2], rel=1e-3)


def beam() -> ElasticaLimb:
    """A plain limb that narrows to half."""
    return ElasticaLimb(20 * INCH, 30.0, power_taper(1.0, 0.5), elements=2, degree=6)


def test_both_bolts_alike_leave_the_wheels_together() -> None:
    """On a bow whose halves are alike; one bolt alone parts them, either the other way."""
    free = lay_out("two-cam", sizes("two-cam", nock_height=0.0))
    standing = stopped(free, drawn(free, 9).q[:, -1])
    table = respond_to_bolts(to_wall(standing), 0.3).table()[0]
    assert abs(table[TIMING].sum()) < 1e-6 * np.abs(table[TIMING]).max()
    assert np.abs(table[TIMING, 0]) > 0.1
    for row in range(len(FOLLOWED)):
        if row != TIMING and FOLLOWED[row] != "centring":
            assert table[row, 0] == pytest.approx(table[row, 1], rel=1e-5)


@pytest.mark.parametrize("system", SYSTEMS)
def test_bolts_out_make_a_bow_lighter(system: System) -> None:
    """Both together take from the peak, and let the string away from the grip."""
    answer = respond_to_bolts(to_wall(with_stops(system)), 0.27)
    assert np.all(answer.peak.sum(axis=1) < 0.0)
    assert np.all(answer.brace_height.sum(axis=1) > 0.0)


def test_a_batch_answers_as_its_bows() -> None:
    """Bows of a batch do not feel each other."""
    length = np.array([9.6, 10.0, 10.3]) * INCH
    free = lay_out("hybrid-cam", sizes("hybrid-cam", link=length))
    many = stopped(free, drawn(free, 9).q[:, -1])
    table = respond_to_bolts(to_wall(many), 0.27).table()
    for i in range(3):
        one = lay_out("hybrid-cam", sizes("hybrid-cam", link=float(length[i])))
        alone = stopped(one, drawn(one, 9).q[:, -1])
        single = respond_to_bolts(to_wall(alone), 0.27).table()[0]
        np.testing.assert_allclose(table[i], single, rtol=1e-4, atol=1e-5)


def test_without_a_wall_there_is_no_draw_length() -> None:
    """Where nothing stops the draw, its length does not follow from the bolts."""
    answer = respond_to_bolts(drawn(bow("two-cam"), full=FULL), 0.27)
    assert np.all(np.isnan(answer.draw_length))
    assert np.all(np.isfinite(answer.peak))
