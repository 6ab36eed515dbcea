"""What a line touches: from the same states, by places looked at one by one."""

from __future__ import annotations

import numpy as np
import pytest
from sample_bows import to_wall, with_stops

from strandwright.bow.contact import contact_map
from strandwright.bow.systems import SYSTEMS, System


@pytest.mark.parametrize("system", SYSTEMS)
def test_touches_lie_on_their_line(system: System) -> None:
    """In order, on the line, and what is touched at brace is part of what is ever touched."""
    cycle = to_wall(with_stops(system))
    lanes = contact_map(cycle)
    assert [lane.line for lane in lanes] == [line.name for line in cycle.rig.bow.lines]
    for lane in lanes:
        assert lane.touches
        for touch in lane.touches:
            assert np.all(touch.start >= -1e-9)
            assert np.all(touch.stop <= lane.length + 1e-9)
            assert np.all(touch.start < touch.stop)
            assert np.all(touch.start <= touch.brace_start + 1e-9)
            assert np.all(touch.brace_stop <= touch.stop + 1e-9)
        starts = [float(touch.start[0]) for touch in lane.touches]
        assert starts == sorted(starts)


@pytest.mark.parametrize("system", SYSTEMS)
def test_reaches_are_arcs_and_straight_parts(system: System) -> None:
    """At brace touched and straight parts together are the line without load."""
    cycle = to_wall(with_stops(system))
    stretch = 1.0 + cycle.tension[0, 0] / cycle.rig.stiffness[0]
    for index, lane in enumerate(contact_map(cycle)):
        own = np.flatnonzero(cycle.rig.of_line == index)
        spans = np.flatnonzero(np.isin(cycle.rig.paths.of_path, own))
        of_reach = cycle.rig.paths.of_path[spans]
        straight = np.sum(cycle.span_length[0, 0, spans] / stretch[of_reach])
        touched = sum(float(t.brace_stop[0] - t.brace_start[0]) for t in lane.touches)
        assert straight + touched == pytest.approx(float(lane.length[0]), abs=1e-9)


def test_a_string_leaves_its_wheels_and_a_cable_takes_to_them() -> None:
    """A string touches most at brace; a cable touches most at the wall."""
    lanes = {lane.line: lane for lane in contact_map(to_wall(with_stops("two-cam")))}
    for touch in lanes["string"].touches:
        assert touch.stop - touch.start == pytest.approx(touch.brace_stop - touch.brace_start, 0.2)
    for name in ("upper cable", "lower cable"):
        (touch,) = lanes[name].touches
        assert np.all(touch.start < touch.brace_start - 0.02)
        assert touch.stop == pytest.approx(touch.brace_stop, abs=1e-3)


def test_an_idler_is_passed_by_more_line_than_it_holds() -> None:
    """Over the upper wheel of a one-cam bow the string runs on, so it touches far more than half
    a turn of it.
    """
    cycle = to_wall(with_stops("one-cam"))
    lane = contact_map(cycle)[0]
    (wheel,) = (t for t in lane.touches if t.on == "upper wheel")
    held = float(wheel.brace_stop[0] - wheel.brace_start[0])
    assert held == pytest.approx(np.pi * 1.45 * 0.0254, rel=0.15)
    assert float(wheel.stop[0] - wheel.start[0]) > 2.0 * held
    assert lane.nock is not None
    assert np.all(wheel.start > lane.nock)


def test_names_are_the_technicians() -> None:
    """Wheels, cams and axles by the words of the trade."""
    lanes = [lane for s in SYSTEMS for lane in contact_map(to_wall(with_stops(s)))]
    seen = {touch.on for lane in lanes for touch in lane.touches}
    assert seen == {"upper wheel", "lower wheel", "cam"}
