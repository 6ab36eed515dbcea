"""A cable guard beside three-dimensional statics, and rollers that push cables in the plane."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from sample_bows import INCH, bow, drawn, sizes, to_wall, with_stops
from scipy.integrate import simpson
from scipy.optimize import minimize_scalar

from strandwright.bow.contact import ROLLER, contact_map
from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.guard import STEEPEST, Guard, held_lines
from strandwright.bow.on_riser import SLIDE, STRING_STOP, with_guard, with_string_stop
from strandwright.bow.strung import Strung
from strandwright.bow.systems import SYSTEMS, System, lay_out, stopped
from strandwright.errors import SpecError

Floats = np.ndarray
GUARD = Guard(1.125 * INCH, 1.5 * INCH)
RADIUS = 0.4 * INCH


def rollers(system: System, x: float, side: float, **changed: float) -> Strung:
    """Lay out a sample bow with a roller, its place in inches behind the pivot."""
    own = sizes(
        system,
        roller_x=x * INCH,
        roller_y=1.5 * INCH,
        roller_radius=RADIUS,
        roller_side=side,
        **changed,
    )
    return lay_out(system, own)


def world(cycle: DrawCycle, body: int, point: int, local: Floats) -> Floats:
    """Place of a body's own point, by its pose."""
    x, y, angle = cycle.rig.poses(cycle.q[:, point]).at[0, body]
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    return np.array([x, y]) + turn @ local


def cable_ends(cycle: DrawCycle, point: int) -> tuple[Floats, Floats]:
    """Ends of a one-cam bow's cable: on its axle, and where it meets the cam."""
    reach = cycle.rig.bow.lines[1].reaches[0]
    start, end = reach.contacts
    normal = float(cycle.normal[0, point, -1, 1])
    track = end.track
    local = np.ravel(np.asarray(track.contact(np.array([normal]))))
    return world(cycle, start.body, point, np.zeros(2)), world(cycle, end.body, point, local)


@pytest.mark.parametrize("aside", [0.4, 1.125, 2.2])
@pytest.mark.parametrize("point", [0, 17, 40])
def test_side_force_is_that_of_a_folded_line(aside: float, point: int) -> None:
    """The slide finds the shortest way from axle over its rod to cam; two pulls then add up."""
    cycle = to_wall(with_stops("one-cam"))
    guard = Guard(aside * INCH, 1.5 * INCH)
    held = {one.line: one for one in held_lines(cycle, guard)}["cable"]
    a, b = (np.array([*place, 0.0]) for place in cable_ends(cycle, point))

    def way(x: float) -> float:
        rod = np.array([x, guard.height, guard.aside])
        return float(np.linalg.norm(rod - a) + np.linalg.norm(b - rod))

    found: Any = minimize_scalar(
        way, bounds=(-1.0, 1.0), method="bounded", options={"xatol": 1e-12}
    )
    rod = np.array([found.x, guard.height, guard.aside])
    pulls = (rod - a) / np.linalg.norm(rod - a) + (rod - b) / np.linalg.norm(rod - b)
    force = float(cycle.tension[0, point, -1]) * pulls
    assert held.side_force[0, point] == pytest.approx(force[2], rel=1e-8)
    assert abs(force[0]) < 1e-5 * abs(force[2])
    assert held.x[0, point] == pytest.approx(found.x, abs=1e-7)
    assert held.extra[0, point] == pytest.approx(way(found.x) - np.linalg.norm(b - a), abs=1e-10)


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_line_from_wheel_to_wheel_is_held(system: System) -> None:
    """Both cables; and of a one-cam bow the string's return side, never its shooting side."""
    names = [one.line for one in held_lines(to_wall(with_stops(system)), GUARD)]
    lines = [line.name for line in with_stops(system).bow.lines]
    assert names == (["string", "cable"] if system == "one-cam" else lines[1:])


def test_nothing_aside_is_no_guard() -> None:
    """Exactly: nothing is held, and every touch stays as it was."""
    cycle = to_wall(with_stops("two-cam"))
    assert held_lines(cycle, Guard(0.0, 1.5 * INCH)) == ()
    lanes = contact_map(cycle)
    assert with_guard(lanes, (), SLIDE, INCH) == lanes


def test_the_other_side_mirrors() -> None:
    """The force turns its sign; what is taken up and where the line lies do not."""
    cycle = to_wall(with_stops("hybrid-cam"))
    right, left = (held_lines(cycle, Guard(a * INCH, INCH)) for a in (1.0, -1.0))
    for one, other in zip(right, left, strict=True):
        np.testing.assert_array_equal(one.side_force, -other.side_force)
        assert np.all(one.side_force > 0.0)
        for name in ("extra", "work", "x", "start", "stop"):
            np.testing.assert_array_equal(getattr(one, name), getattr(other, name))


def test_a_small_hold_takes_up_its_square() -> None:
    """d^2 (1/a + 1/b) / 2, where a and b hardly differ from the straight parts."""
    cycle = to_wall(with_stops("two-cam"))
    small, twice = (held_lines(cycle, Guard(a * INCH, INCH))[0] for a in (0.05, 0.1))
    np.testing.assert_allclose(twice.extra, 4.0 * small.extra, rtol=1e-4)
    assert np.all(small.work[:, 0] == pytest.approx(0.0, abs=1e-12))


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_draw_s_work_is_the_energy_with_a_roller(system: System) -> None:
    """A roller pushes the cables from brace to full draw, and nothing is lost by it."""
    free = rollers(system, 4.9, -1.0)
    cycle = drawn(free, 401)
    touching = cycle.touching[:, :, cycle.rig.paths.bodies[:, 0] == 0]
    assert np.all(touching)
    work = simpson(cycle.force[0], x=cycle.draw[0])
    assert cycle.energy[0, -1] == pytest.approx(work, rel=1e-6)
    plain = drawn(bow(system), 9)
    assert abs(cycle.force[0, -1] - plain.force[0, -1]) > 1.0


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_roller_that_is_not_reached_is_none(system: System) -> None:
    """Well before cables that pass behind it, it leaves every state as it was."""
    with_one, without = drawn(rollers(system, 3.0, 1.0)), drawn(bow(system))
    np.testing.assert_allclose(with_one.force, without.force, atol=1e-7)
    np.testing.assert_allclose(with_one.q, without.q, atol=1e-9)


def test_a_roller_is_left_along_the_draw() -> None:
    """Cables move towards the archer: one that pushes from the riser's side lets go."""
    cycle = drawn(rollers("two-cam", 4.7, 1.0), 401)
    spans = np.flatnonzero(cycle.rig.paths.bodies[:, 0] == 0)
    touched = cycle.touching[0][:, spans]
    assert np.all(touched[0])
    assert not np.any(touched[-1])
    work = simpson(cycle.force[0], x=cycle.draw[0])
    assert cycle.energy[0, -1] == pytest.approx(work, rel=1e-5)


def test_what_runs_on_a_roller_by_hand() -> None:
    """A cable from its axle: to the tangent, and on by radius times the change of direction."""
    free = rollers("one-cam", 4.9, -1.0)
    cycle = drawn(free)
    rig = cycle.rig
    (touch,) = (t for t in contact_map(cycle)[1].touches if t.on == ROLLER)
    radius = RADIUS + 0.5 * 0.1 * INCH
    low, high = [], []
    for point in range(cycle.points):
        axle = rig.poses(cycle.q[:, point]).at[0, 1, :2]
        away = np.hypot(*(axle - np.array([4.9, 1.5]) * INCH))
        stretch = 1.0 + cycle.tension[0, point, -1] / 156e3
        start = np.sqrt(away**2 - radius**2) / stretch
        spans = np.flatnonzero(rig.paths.of_path == rig.paths.of_path[-1])
        bend = abs(np.diff(cycle.direction[0, point, spans])[0])
        low.append(start)
        high.append(start + radius * bend / stretch)
    assert touch.start[0] == pytest.approx(min(low), abs=1e-9)
    assert touch.stop[0] == pytest.approx(max(high), abs=1e-9)
    assert touch.brace_start[0] == pytest.approx(low[0], abs=1e-9)
    assert touch.brace_stop[0] == pytest.approx(high[0], abs=1e-9)


def test_what_runs_through_a_slide_by_hand() -> None:
    """Nearly not held aside, the slide is where the straight cable crosses its height."""
    cycle = to_wall(with_stops("one-cam"))
    held = held_lines(cycle, Guard(1e-6, 1.5 * INCH))
    lane = with_guard(contact_map(cycle), held, SLIDE, 0.5 * INCH)[1]
    (touch,) = (t for t in lane.touches if t.on == SLIDE)
    places = []
    for point in range(cycle.points):
        a, b = cable_ends(cycle, point)
        share = (1.5 * INCH - a[1]) / (b[1] - a[1])
        stretch = 1.0 + cycle.tension[0, point, -1] / 156e3
        places.append(share * np.hypot(*(b - a)) / stretch)
    assert touch.start[0] == pytest.approx(min(places) - 0.25 * INCH, abs=1e-8)
    assert touch.stop[0] == pytest.approx(max(places) + 0.25 * INCH, abs=1e-8)
    assert max(places) - min(places) > INCH


@pytest.mark.parametrize("system", SYSTEMS)
def test_a_held_line_is_longer_by_what_is_taken_up(system: System) -> None:
    """What lies past the guard lies by so much farther along, and nothing before it moves."""
    cycle = to_wall(with_stops(system))
    held = {one.line: one for one in held_lines(cycle, GUARD)}
    before = contact_map(cycle)
    after = with_guard(before, tuple(held.values()), SLIDE, 0.5 * INCH)
    for old, new in zip(before, after, strict=True):
        if old.line not in held:
            assert new == old
            continue
        longer = held[old.line].taken_up
        assert new.length == pytest.approx(old.length + longer)
        place = next(k for k, touch in enumerate(new.touches) if touch.on == SLIDE)
        rest = [touch for touch in new.touches if touch.on != SLIDE]
        for k, (was, now) in enumerate(zip(old.touches, rest, strict=True)):
            moved = longer if k >= place else 0.0 * longer
            np.testing.assert_allclose(now.start, was.start + moved)
            np.testing.assert_allclose(now.brace_stop, was.brace_stop + moved)


@pytest.mark.parametrize("height", [-4.0, 3.0])
@pytest.mark.parametrize("system", SYSTEMS)
def test_a_string_stop_lies_where_the_string_does(system: System, height: float) -> None:
    """Down or up from the nocking point along the upright string."""
    cycle = to_wall(with_stops(system))
    lane = with_string_stop(contact_map(cycle), cycle, height * INCH, 0.5 * INCH)[0]
    (touch,) = (t for t in lane.touches if t.on == STRING_STOP)
    assert lane.nock is not None
    stretch = 1.0 + 400.0 / 156e3
    wanted = lane.nock + (height - 0.25) * INCH / stretch
    # The string stands upright to a degree at most.
    assert 0.5 * (touch.start + touch.stop) == pytest.approx(wanted, rel=1e-4)
    assert touch.stop - touch.start == pytest.approx(0.5 * INCH)
    assert (touch.start, touch.stop) == (touch.brace_start, touch.brace_stop)


@pytest.mark.parametrize("height", [-17.0, 16.0, 40.0])
def test_a_guard_past_the_cables_is_refused(height: float) -> None:
    """It is said from where to where the cables run free."""
    with pytest.raises(SpecError) as caught:
        held_lines(to_wall(with_stops("two-cam")), Guard(INCH, height * INCH))
    assert caught.value.field == "guard.height"
    assert "run free" in caught.value.rule


def test_a_guard_too_far_aside_is_refused() -> None:
    """With how far it may be, which is then taken."""
    cycle = to_wall(with_stops("two-cam"))
    with pytest.raises(SpecError) as caught:
        held_lines(cycle, Guard(5.0 * INCH, INCH))
    assert caught.value.field == "guard.aside"
    most = float(caught.value.rule.split(" in at most")[0].split()[-1])
    assert held_lines(cycle, Guard((most - 0.1) * INCH, INCH))
    assert 1.0 < most < STEEPEST * 18.0


def test_a_string_stop_past_the_string_is_refused() -> None:
    """Where the string lies on its wheels there is nothing to rest on."""
    cycle = to_wall(with_stops("two-cam"))
    with pytest.raises(SpecError, match="runs free of the wheels"):
        with_string_stop(contact_map(cycle), cycle, 18.0 * INCH, 0.5 * INCH)


def test_a_batch_answers_as_its_bows() -> None:
    """Bows of a batch do not feel each other."""
    tension = np.array([350.0, 400.0, 450.0])
    free = lay_out("one-cam", sizes("one-cam", string_tension=tension))
    many = held_lines(to_wall(stopped(free, drawn(free, 9).q[:, -1])), GUARD)
    for i in range(3):
        one = lay_out("one-cam", sizes("one-cam", string_tension=float(tension[i])))
        alone = held_lines(to_wall(stopped(one, drawn(one, 9).q[:, -1])), GUARD)
        for both, single in zip(many, alone, strict=True):
            np.testing.assert_allclose(both.side_force[i], single.side_force[0], rtol=1e-6)
            np.testing.assert_allclose(both.start[i], single.start[0], rtol=1e-6)


def test_a_roller_s_parts_are_those_of_the_path() -> None:
    """Held aside at a roller, the straight parts either side of it make the force."""
    free = rollers("one-cam", 4.9, -1.0)
    cycle = drawn(free)
    held = {one.line: one for one in held_lines(cycle, GUARD)}["cable"]
    a, b = cycle.span_length[0, :, -2], cycle.span_length[0, :, -1]
    d = GUARD.aside
    wanted = cycle.tension[0, :, -1] * d * (1 / np.hypot(a, d) + 1 / np.hypot(b, d))
    np.testing.assert_allclose(held.side_force[0], wanted, rtol=1e-12)
    assert held.x == pytest.approx(4.9 * INCH)
    assert np.all(held.stop > held.start)
