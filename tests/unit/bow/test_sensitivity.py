"""What a longer line does: implicit derivatives beside bows made anew with longer lines."""

from dataclasses import replace

import numpy as np
import pytest
from sample_bows import INCH, bow, changed, drawn, sizes, to_wall, with_stops

from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.figures import figures
from strandwright.bow.following import moved_by_length
from strandwright.bow.rig import Rig
from strandwright.bow.sensitivity import FOLLOWED, respond
from strandwright.bow.strung import Strung
from strandwright.bow.systems import SYSTEMS, System, lay_out, stopped

Floats = np.ndarray
#: So many points that peak and valley by a parabola do not depend on where the points lie.
POINTS = 241
STEP = 1e-4


def followed(standing: Strung, cycle: DrawCycle, sense: Floats) -> Floats:
    """Figures in the order of the rows of a response."""
    read = figures(cycle)
    wheels = standing.brace[0, standing.rig.wheels] * sense
    timing = wheels[0] - wheels[1] if len(sense) == 2 else 0.0
    rig, q = standing.rig, standing.brace[0]
    centring = q[rig.draw] * np.sin(q[rig.bearing])
    named = [getattr(read, name)[0] for name in FOLLOWED[:-2]]
    return np.array([*named, timing, centring])


def differences(standing: Strung) -> Floats:
    """Central differences of every figure by every reach."""
    base = to_wall(standing, 9)
    wheels = standing.rig.wheels
    sense = np.sign(base.q[0, -1, wheels] - base.q[0, 0, wheels])
    columns = []
    for reach in range(standing.rig.natural.shape[1]):
        ends = []
        for sign in (-1, 1):
            other = changed(standing, reach, sign * STEP)
            ends.append(followed(other, to_wall(other, POINTS), sense))
        columns.append((ends[1] - ends[0]) / (2 * STEP))
    return np.stack(columns, axis=-1)


@pytest.mark.parametrize("system", SYSTEMS)
def test_every_figure_by_every_reach(system: System) -> None:
    """From brace height to the nocking point's place: as differences have them."""
    standing = with_stops(system)
    ours = respond(to_wall(standing, POINTS)).table()[0]
    wanted = differences(standing)
    assert ours.shape == (len(FOLLOWED), standing.rig.natural.shape[1])
    for name, row, differing in zip(FOLLOWED, ours, wanted, strict=True):
        scale = max(np.abs(differing).max(), 1e-3)
        # Two stops touched together make a kink, met by a difference to its own width.
        share = {"peak": 3e-4, "holding": 1e-3, "draw_length": 1e-3}.get(name, 1e-5)
        if len(standing.bow.stops) > 1 and name in ("draw_length", "holding"):
            # Two wheels part ever faster towards the wall: one-sided steps of a hair differ. And
            # where a cable makes one wheel come first, its stop may push the least force of the
            # draw to before the last touch, one way and not the other: no slope tells that.
            share = 1e-3
            if name == "holding":
                row, differing = row[:2], differing[:2]
        np.testing.assert_allclose(row, differing, atol=share * scale, err_msg=name)


@pytest.mark.parametrize("later", [0, 1])
def test_one_stop_well_before_the_other(later: int) -> None:
    """Where one wheel's stop holds long before the other's is met, there is no kink."""
    both = with_stops("hybrid-cam")
    stops = list(both.bow.stops)
    stops[1 - later] = replace(stops[1 - later], limit=stops[1 - later].limit - 0.03)
    parts = replace(both.bow, stops=tuple(stops))
    standing = replace(both, bow=parts, rig=Rig(parts))
    ours, wanted = respond(to_wall(standing, POINTS)).table()[0], differences(standing)
    row = FOLLOWED.index("draw_length")
    scale = np.abs(wanted[row]).max()
    np.testing.assert_allclose(ours[row], wanted[row], atol=1e-5 * scale)


@pytest.mark.parametrize("full", [17.0, 21.0])
def test_stopped_before_its_valley(full: float) -> None:
    """A bow stopped at its peak or on the way down: what it holds, and its peak, move along."""
    free = bow("one-cam")
    standing = stopped(free, drawn(free, 9, full * INCH).q[:, -1])
    cycle = to_wall(standing, POINTS)
    ours, wanted = respond(cycle).table()[0], differences(standing)
    for name in ("peak", "holding", "draw_length"):
        row = FOLLOWED.index(name)
        scale = np.abs(wanted[row]).max()
        np.testing.assert_allclose(ours[row], wanted[row], atol=3e-4 * scale, err_msg=name)


@pytest.mark.parametrize("system", SYSTEMS)
def test_few_points_answer_as_many(system: System) -> None:
    """With the usual 41 points, peak and holding are those of many to one in a hundred."""
    standing = with_stops(system)
    few, many = (respond(to_wall(standing, n)).table()[0] for n in (41, POINTS))
    np.testing.assert_allclose(few[:3], many[:3], rtol=1e-6, atol=1e-8)
    scale = np.abs(many).max(axis=1, keepdims=True) + 1e-12
    assert np.abs((few - many) / scale).max() < 1e-2


def test_the_last_bit_of_a_stop_does_not_count() -> None:
    """A wall found a hair before or past the touch leaves every answer as it was."""
    standing = with_stops("two-cam")
    cycle = to_wall(standing)
    before = respond(cycle).table()
    for hair in (-1e-12, 1e-12):
        q = np.array(cycle.q)
        q[:, -1, standing.rig.wheels] *= 1.0 + hair
        np.testing.assert_allclose(
            respond(replace(cycle, q=q)).table(), before, rtol=1e-6, atol=1e-6
        )


def test_without_a_wall_there_is_no_draw_length() -> None:
    """Where nothing stops the draw, its length does not follow from the lines."""
    answer = respond(drawn(bow("hybrid-cam")))
    assert np.all(np.isnan(answer.draw_length))
    assert np.all(np.isfinite(answer.peak))
    assert np.all(np.isfinite(answer.holding))


def test_signs() -> None:
    """A longer string lowers the brace, a longer cable lightens the peak; both part the axles."""
    standing = with_stops("one-cam")
    answer = respond(to_wall(standing))
    string = standing.rig.of_line == 0
    assert np.all(answer.brace_height[:, string] < 0.0)
    assert np.all(answer.axle_to_axle > 0.0)
    assert np.all(answer.peak[:, string] > 0.0)
    assert np.all(answer.peak[:, ~string] < 0.0)
    assert np.all(answer.draw_length[:, string] > 0.0)
    assert np.all(answer.timing == 0.0)


def test_a_mirrored_pair_answers_alike() -> None:
    """Nocked in the middle, what one cable does the other does, timing and sideways contrary."""
    free = lay_out("two-cam", sizes("two-cam", nock_height=0.0))
    standing = stopped(free, drawn(free, 9).q[:, -1])
    table = respond(to_wall(standing)).table()[0]
    timing = FOLLOWED.index("timing")
    odd = [timing, FOLLOWED.index("centring")]
    for pair in ((0, 1), (2, 3)):
        a, b = table[:, pair[0]], table[:, pair[1]]
        np.testing.assert_allclose(np.delete(a, odd), np.delete(b, odd), rtol=1e-6)
        np.testing.assert_allclose(a[odd], -b[odd], atol=1e-6)
    assert abs(table[timing, 2]) > 1.0


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_state_moves_as_a_bow_made_anew(system: System) -> None:
    """At brace every coordinate moves as that of a bow whose reach is longer."""
    standing = bow(system)
    at = standing.rig.potential(standing.brace, standing.directions)
    state, _ = moved_by_length(at, np.ones(standing.rig.freedoms, dtype=bool))
    for reach in range(state.shape[2]):
        low, high = (changed(standing, reach, s * 1e-5).brace[0] for s in (-1, 1))
        np.testing.assert_allclose(state[0, :, reach], (high - low) / 2e-5, rtol=1e-4, atol=1e-4)


def test_a_batch_answers_as_its_bows() -> None:
    """Bows of a batch do not feel each other."""
    length = np.array([9.6, 10.0, 10.3]) * INCH
    free = lay_out("hybrid-cam", sizes("hybrid-cam", link=length))
    many = stopped(free, drawn(free, 9).q[:, -1])
    table = respond(to_wall(many)).table()
    for i in range(3):
        one = lay_out("hybrid-cam", sizes("hybrid-cam", link=float(length[i])))
        alone = stopped(one, drawn(one, 9).q[:, -1])
        np.testing.assert_allclose(table[i], respond(to_wall(alone)).table()[0], rtol=1e-5)
