"""The draw from brace to wall: work and energy, mirrors, and a bow worked out by hand."""

from dataclasses import replace

import numpy as np
import pytest
from sample_bows import FULL, INCH, bow, drawn, sizes, to_wall, with_stops
from scipy.optimize import root

from strandwright.bow.draw_cycle import DrawCycle, draw_cycle, draw_to_wall
from strandwright.bow.equilibrium import Trouble, stand
from strandwright.bow.figures import PIVOT_OFFSET, figures
from strandwright.bow.following import follow
from strandwright.bow.limb import PivotLimb
from strandwright.bow.parts import Bow, BowLine, Mount, Reach
from strandwright.bow.rig import Rig
from strandwright.bow.sketch import sketch
from strandwright.bow.strung import Strung, strung
from strandwright.bow.systems import SYSTEMS, System, lay_out, stopped
from strandwright.geometry.taut import Contact
from strandwright.geometry.track import point

Floats = np.ndarray

# ------------------------------------------------------------------------------- work and energy


def force_at(standing: Strung, draws: Floats) -> Floats:
    """Force at any draws, each brought to rest from the nearest of the cycle's states."""
    cycle = drawn(standing)
    near = np.abs(draws[:, None] - cycle.draw[0]).argmin(axis=1)
    q, ways = np.array(cycle.q[0, near]), cycle.direction[0, near]
    q[:, standing.rig.draw] = draws
    out = stand(standing.rig, q, ways, hold_draw=True).raise_for_failure()
    return out.value.potential.gradient[:, standing.rig.draw]


@pytest.mark.parametrize("system", SYSTEMS)
def test_work_is_the_energy_gained(system: System) -> None:
    """The area under the force, by Gauss's rule, is what the cycle says was stored."""
    standing = bow(system)
    cycle = drawn(standing)
    node, weight = np.polynomial.legendre.leggauss(40)
    first, last = cycle.draw[0, 0], cycle.draw[0, -1]
    force = force_at(standing, first + 0.5 * (last - first) * (1.0 + node))
    work = 0.5 * (last - first) * float(force @ weight)
    assert work == pytest.approx(cycle.energy[0, -1], rel=1e-6)


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_state_of_the_draw_is_at_rest(system: System) -> None:
    """Nothing but the draw's own force is left anywhere, every line pulls, every state is firm."""
    cycle = drawn(bow(system))
    free = np.arange(cycle.rig.freedoms) != cycle.rig.draw
    for i in range(cycle.points):
        at = cycle.potential(i)
        assert np.abs(at.gradient[:, free]).max() < 1e-8
        assert np.linalg.eigvalsh(at.hessian[0][np.ix_(free, free)])[0] > 0.0
        np.testing.assert_allclose(at.gradient[:, cycle.rig.draw], cycle.force[:, i], atol=1e-8)
    assert np.all(cycle.tension > 0.0)
    assert np.all(cycle.span_length > 0.0)
    assert abs(cycle.force[0, 0]) < 1e-8
    assert cycle.energy[0, 0] == 0.0


@pytest.mark.parametrize("points", [3, 11, 81])
def test_however_many_points(points: int) -> None:
    """The states do not depend on how many are asked for."""
    few, many = drawn(bow("hybrid-cam"), points), drawn(bow("hybrid-cam"), 161)
    every = 160 // (points - 1)
    np.testing.assert_allclose(few.q[0], many.q[0, ::every], atol=1e-9)
    np.testing.assert_allclose(few.force[0], many.force[0, ::every], atol=1e-6)


@pytest.mark.parametrize("system", SYSTEMS)
def test_sketch_is_near_the_figures(system: System) -> None:
    """The sketch that fits go by agrees with the figures to a thousandth or two."""
    standing = bow(system)
    whole = np.array([FULL])
    seen = sketch(standing.rig, follow(standing.rig, standing.brace, standing.directions, whole))
    read = figures(drawn(standing, 161))
    assert seen.peak[0] == pytest.approx(read.peak[0], rel=1e-3)
    assert seen.holding[0] == pytest.approx(read.holding[0], rel=5e-3)
    assert seen.stored_energy[0] == pytest.approx(read.stored_energy[0], rel=1e-3)
    assert seen.axle_to_axle_drawn[0] == pytest.approx(read.axle_to_axle_drawn[0], abs=1e-5)
    assert seen.nock_travel[0] == pytest.approx(read.nock_travel[0, -1], abs=1e-5)
    assert seen.timing[0] == pytest.approx(read.timing[0, -1], abs=1e-4)


# ------------------------------------------------------------------------------------- mirrored


def mirrored(standing: Strung) -> Strung:
    """Turn a bow upside down: every part mirrored in the level through the grip."""
    half = np.array([1.0, -1.0])
    mounts = tuple(
        replace(
            m,
            y=-np.asarray(m.y),
            heading=-np.asarray(m.heading),
            mirrored=not m.mirrored,
        )
        for m in standing.bow.mounts
    )
    lines = tuple(
        replace(line, reaches=tuple(_seen(reach) for reach in line.reaches))
        for line in standing.bow.lines
    )
    stops = tuple(
        replace(s, wheels=tuple((i, -sense) for i, sense in s.wheels)) for s in standing.bow.stops
    )
    parts = replace(standing.bow, mounts=mounts, lines=lines, stops=stops)
    brace, rig = np.array(standing.brace), Rig(parts)
    brace[:, rig.wheels] *= -1.0
    brace[:, rig.draw :] *= half
    return replace(
        standing, bow=parts, rig=rig, brace=brace, directions=rig.paths.guess(rig.poses(brace).at)
    )


def _seen(reach: Reach) -> Reach:
    contacts = tuple(
        Contact(
            c.body,
            c.track.mirrored(),
            -c.side,
            None if c.peg is None else -c.peg,
            -c.near,
            c.optional,
        )
        for c in reach.contacts
    )
    return replace(reach, contacts=contacts)


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_mirrored_bow_draws_alike(system: System) -> None:
    """Upside down, a bow has the same forces, and all that turns or rises does so the other way."""
    standing = with_stops(system)
    base, other = to_wall(standing), to_wall(mirrored(standing))
    np.testing.assert_allclose(other.draw, base.draw, atol=1e-10)
    np.testing.assert_allclose(other.force, base.force, atol=1e-6)
    np.testing.assert_allclose(other.tension, base.tension, rtol=1e-8)
    np.testing.assert_allclose(other.q[..., -1], -base.q[..., -1], atol=1e-9)
    wheels = base.rig.wheels
    np.testing.assert_allclose(other.q[..., wheels], -base.q[..., wheels], atol=1e-9)


@pytest.mark.parametrize("system", ["two-cam", "slaved two-cam"])
def test_a_bow_that_is_its_own_mirror(system: System) -> None:
    """Nocked in the middle, a bow of two like wheels keeps time and does not climb."""
    cycle = drawn(lay_out(system, sizes(system, nock_height=0.0)))
    read = figures(cycle)
    np.testing.assert_allclose(read.nock_travel, 0.0, atol=1e-10)
    np.testing.assert_allclose(read.timing, 0.0, atol=1e-9)
    np.testing.assert_allclose(cycle.tension[..., 0], cycle.tension[..., 1], rtol=1e-9)


def test_split_at_the_nock_or_not() -> None:
    """Nocked in the middle, a string of one reach over the nocking point is one of two reaches."""
    standing = lay_out("two-cam", sizes("two-cam", nock_height=0.0))
    string, *cables = standing.bow.lines
    first, second = string.reaches
    length = first.natural_length + second.natural_length
    whole = Reach((*first.contacts, second.contacts[1]), length, first.stiffness)
    rig = Rig(replace(standing.bow, lines=(BowLine("string", (whole,)), *cables)))
    base = drawn(standing)
    ways = np.repeat(rig.paths.guess(rig.poses(standing.brace).at), base.points, axis=0)
    at = rig.potential(base.q[0], ways)
    free = np.arange(rig.freedoms) != rig.draw
    np.testing.assert_allclose(at.gradient[:, free], 0.0, atol=1e-8)
    np.testing.assert_allclose(at.gradient[:, rig.draw], base.force[0], atol=1e-7)
    np.testing.assert_allclose(at.tension[:, 0], base.tension[0, :, 0], rtol=1e-9)
    np.testing.assert_allclose(at.energy - at.energy[0], base.energy[0], atol=1e-9)
    # Free to slide along the string, a point held by its distance alone would run off sideways.
    out = stand(rig, base.q[0, 1:], ways[1:], hold_draw=True)
    assert set(out.value.trouble) == {Trouble.UNSTEADY}


# ------------------------------------------------------------------------- a bow worked out apart

LINK, LEAN, RATE, EA = 0.3, 0.9, 180.0, 2e5


def straight_bow(nock: float = 0.0) -> Strung:
    """Two links on pivots and a string from tip to tip: no wheels."""
    limb = PivotLimb(LINK, RATE)
    mounts = tuple(
        Mount(name, limb, np.array(0.0), np.array(up * 0.35), np.array(up * LEAN), up > 0)
        for name, up in (("upper limb", 1.0), ("lower limb", -1.0))
    )
    tips = [Contact(1 + i, point(0.0, 0.0)) for i in range(2)]
    at_nock = Contact(3, point(0.0, 0.0))
    reaches = tuple(
        Reach(pair, np.array(1.0), np.array(EA))
        for pair in ((tips[1], at_nock), (at_nock, tips[0]))
    )
    parts = Bow(mounts, (), (BowLine("string", reaches),))
    x = LINK * np.cos(LEAN)
    brace = np.array([[0.0, 0.0, np.hypot(x, nock), np.arctan2(nock, x)]])
    return strung(parts, brace, np.array([300.0]))


def test_two_springs_and_a_string_by_hand() -> None:
    """Without wheels, each half is a triangle of link and string that SciPy solves by itself."""
    standing = straight_bow()
    cycle = drawn(standing, 21, LINK * np.cos(LEAN) + 0.4)
    height = 0.35 + LINK * np.sin(LEAN)
    # At brace the string pulls straight down at the tip: its moment about the pivot is bent away.
    moment = 300.0 * LINK * np.cos(LEAN)
    natural = height / (1.0 + 300.0 / EA)

    def half(draw: float, start: Floats) -> Floats:
        def off(unknown: Floats) -> Floats:
            turn, tension = unknown
            arm = LINK * np.array([np.cos(LEAN - turn), np.sin(LEAN - turn)])
            way = np.array([draw, -0.35]) - arm
            length = np.hypot(*way)
            pull = tension * (arm[1] * way[0] - arm[0] * way[1]) / length
            return np.array([moment + RATE * turn - pull, EA * (length / natural - 1.0) - tension])

        found = root(off, start, tol=1e-13)
        assert np.abs(off(found.x)).max() < 1e-6
        turn, tension = found.x
        way = draw - LINK * np.cos(LEAN - turn), 0.35 + LINK * np.sin(LEAN - turn)
        return np.array([turn, tension, 2.0 * tension * way[0] / np.hypot(*way)])

    start = np.array([0.0, 300.0])
    for i in range(cycle.points):
        turn, tension, force = half(float(cycle.draw[0, i]), start)
        start = np.array([turn, tension])
        assert cycle.force[0, i] == pytest.approx(force, abs=1e-6)
        np.testing.assert_allclose(cycle.tension[0, i], tension, rtol=1e-9)
        np.testing.assert_allclose(cycle.q[0, i, :2], turn, atol=1e-10)


def test_round_wheels_on_their_axles_by_hand() -> None:
    """Concentric wheels give string for cable at a fixed rate; SciPy solves one half by itself."""
    a, b, thick = 0.05, 0.02, 0.0025
    changed = {
        "string_lever": a, "string_throw": 0.0, "cable_lever": b, "cable_throw": 0.0,
        "nock_height": 0.0, "thickness": thick,
    }  # fmt: skip
    standing = lay_out("two-cam", sizes("two-cam", **changed))
    cycle = drawn(standing, 15, 15 * INCH)
    base = sizes("two-cam", **changed)
    pivot, link, rate = standing.bow.mounts[0], float(base.link[0]), float(base.limb_stiffness[0])
    assert isinstance(pivot.limb, PivotLimb)
    lean, rest = float(base.lean[0]), float(np.asarray(pivot.limb.rest_angle).flat[0])
    ea, natural = float(base.string_stiffness[0]), standing.rig.natural[0]
    root_at = np.array([float(np.asarray(v).flat[0]) for v in (pivot.x, pivot.y)])
    ra, rb = a + 0.5 * thick, b + 0.5 * thick
    peg_a, peg_b = float(base.turn[0]) + 0.9, np.pi - 0.9

    def axle(bend: float) -> Floats:
        return root_at + link * np.array([np.cos(lean - bend), np.sin(lean - bend)])

    def energy(unknown: Floats, draw: float) -> float:
        bend, turn = unknown
        top = axle(bend)
        # String: from the nocking point to the archer's side of the wheel, then round to its peg.
        off = top - [draw, 0.0]
        dist = np.hypot(*off)
        straight = np.sqrt(dist**2 - ra**2)
        way = np.arctan2(off[1], off[0]) - np.arcsin(ra / dist)
        string = straight + ra * (peg_a - (way - np.pi / 2 - turn))
        # Cable: from the lower axle to the far side of the wheel, then round to its peg.
        off = top - [top[0], -top[1]]
        dist = np.hypot(*off)
        way = np.arctan2(off[1], off[0]) + np.arcsin(rb / dist)
        cable = np.sqrt(dist**2 - rb**2) + rb * ((way + np.pi / 2 - turn) - peg_b)
        stretch = [max(0.0, v - n) ** 2 / n for v, n in ((string, natural[0]), (cable, natural[2]))]
        return rate * 0.5 * (bend - rest) ** 2 + 0.5 * ea * sum(stretch)

    for i in (0, 5, 10, 14):
        draw, q = float(cycle.draw[0, i]), cycle.q[0, i]
        at = np.array([q[0], q[2]])
        step = 1e-6
        slopes = [
            (energy(at + step * e, draw) - energy(at - step * e, draw)) / (2 * step)
            for e in np.eye(2)
        ]
        np.testing.assert_allclose(slopes, 0.0, atol=1e-5)
        force = (energy(at, draw + step) - energy(at, draw - step)) / step
        assert cycle.force[0, i] == pytest.approx(force, abs=1e-4)
    last, first = (energy(cycle.q[0, i, [0, 2]], float(cycle.draw[0, i])) for i in (-1, 0))
    gained = 2.0 * (last - first)
    assert cycle.energy[0, -1] == pytest.approx(gained, rel=1e-9)


# ------------------------------------------------------------------------------- wall and figures


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("full", [20.0, 23.7, 24.9])
@pytest.mark.parametrize("past", [0.1, 3.0, 12.0])
def test_the_wall_is_found(system: System, full: float, past: float) -> None:
    """Stops set where the wheels stand at a draw end the draw there, however far it would go on."""
    standing = bow(system)
    held = stopped(standing, drawn(standing, 9, full * INCH).q[:, -1])
    cycle = to_wall(held, 9, (full + past) * INCH)
    assert cycle.draw[0, -1] == pytest.approx(full * INCH, abs=1e-9)
    assert cycle.stop_excess[0, -1].max() == pytest.approx(0.0, abs=1e-9)
    assert np.all(cycle.stop_excess[0, :-1] < 0.0)


@pytest.mark.parametrize("early", [0.001, 0.01, 0.03, 0.05])
@pytest.mark.parametrize("first", [0, 1])
def test_one_stop_holds_before_the_other_is_met(early: float, first: int) -> None:
    """The wall is where the last stop is touched, the first pressed by a hair, wherever it goes."""
    both = with_stops("hybrid-cam")
    stops = list(both.bow.stops)
    stops[first] = replace(stops[first], limit=stops[first].limit - early)
    parts = replace(both.bow, stops=tuple(stops))
    cycle = to_wall(replace(both, bow=parts, rig=Rig(parts)))
    excess = cycle.stop_excess[0, -1]
    assert excess.min() == pytest.approx(0.0, abs=1e-9)
    assert 0.0 < excess[first] < 1e-3
    assert FULL - 0.005 < cycle.draw[0, -1] < FULL


def test_a_draw_short_of_the_wall_ends_where_it_is_told() -> None:
    """Where no stop is met, the draw goes as far as asked."""
    cycle = to_wall(with_stops("one-cam"), 9, 20 * INCH)
    assert cycle.draw[0, -1] == 20 * INCH
    assert np.all(cycle.stop_excess < 0.0)


def test_a_batch_meets_its_own_walls() -> None:
    """Bows whose stops come at different draws each end at their own."""
    changed = sizes("two-cam", link=np.array([9.5, 10.0, 10.6]) * INCH)
    standing = lay_out("two-cam", changed)
    each = np.array([22.0, 23.0, 24.5]) * INCH
    states = draw_cycle(standing.rig, standing.brace, standing.directions, each, 5).value
    held = stopped(standing, states.q[:, -1])
    out = draw_to_wall(held.rig, held.brace, held.directions, np.full(3, 26 * INCH), 15)
    np.testing.assert_allclose(out.value.draw[:, -1], each, atol=1e-9)
    assert all(t is Trouble.NONE for t in out.value.trouble)


def test_figures_of_a_bow_with_let_off() -> None:
    """Peak, valley and let-off are those of a draw looked at in forty times as many places."""
    standing = bow("one-cam")
    read, fine = figures(drawn(standing)), drawn(standing, 1601)
    force = fine.force[0]
    top = int(np.argmax(force))
    assert read.peak[0] == pytest.approx(force[top], rel=2e-5)
    assert read.peak_draw[0] == pytest.approx(fine.draw[0, top], abs=1e-3)
    assert read.holding[0] == pytest.approx(force[top:].min(), rel=1e-3)
    assert read.let_off[0] == pytest.approx(1.0 - read.holding[0] / read.peak[0], rel=1e-12)
    assert read.draw_length[0] == pytest.approx(FULL + PIVOT_OFFSET, rel=1e-12)
    assert read.brace_height[0] == pytest.approx(6.875 * INCH, rel=1e-9)
    assert read.axle_to_axle[0] == pytest.approx(33 * INCH, rel=1e-9)


def test_figures_of_a_bow_without_let_off() -> None:
    """A bow that pulls hardest at full draw holds what it pulls there: no let-off."""
    cycle = drawn(straight_bow(), 21, LINK * np.cos(LEAN) + 0.4)
    read = figures(cycle)
    assert read.peak[0] == read.holding[0] == cycle.force[0, -1]
    assert read.peak_draw[0] == read.holding_draw[0] == cycle.draw[0, -1]
    assert read.let_off[0] == 0.0
    np.testing.assert_array_equal(read.timing, 0.0)


def test_brace_height_is_square_to_the_string() -> None:
    """Nocked off the middle of a bow whose string leans, the height is square to the string."""
    standing = lay_out("one-cam", sizes("one-cam", nock_height=0.05))
    read = figures(drawn(standing, 5))
    at = standing.rig.poses(standing.brace).at[0, standing.rig.bow.nock, :2]
    way = standing.directions[0, 0]
    square = abs(at[0] * np.sin(way) - at[1] * np.cos(way))
    assert read.brace_height[0] == pytest.approx(square, rel=1e-9)
    assert read.brace_height[0] < np.hypot(*at)


def test_string_angle_of_a_drawn_triangle() -> None:
    """At full draw the angle at the nocking point is that of the triangle to the two tips."""
    cycle = drawn(straight_bow(), 5, 0.55)
    at = cycle.rig.poses(cycle.q[:, -1]).at[0]
    ways = [at[i, :2] - at[3, :2] for i in (1, 2)]
    cosine = ways[0] @ ways[1] / np.prod([np.hypot(*w) for w in ways])
    assert figures(cycle).string_angle[0] == pytest.approx(np.arccos(cosine), rel=1e-9)


def test_a_bow_that_goes_slack_says_so() -> None:
    """Drawn so far that its cables hang slack, a bow says so and its neighbour is not hurt."""
    many = lay_out("slaved two-cam", sizes("slaved two-cam", cable_lag=np.array([0.0, 0.5])))
    out = draw_cycle(many.rig, many.brace, many.directions, np.full(2, 26.5 * INCH))
    np.testing.assert_array_equal(out.ok, [False, True])
    assert out.value.trouble == (Trouble.SLACK, Trouble.NONE)
    alone = lay_out("slaved two-cam", sizes("slaved two-cam", cable_lag=0.5))
    np.testing.assert_allclose(out.value.force[1], _one(alone).force[0], atol=1e-6)


def _one(standing: Strung) -> DrawCycle:
    return drawn(standing, 41, 26.5 * INCH)
