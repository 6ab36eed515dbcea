"""Ends of a sounding line: a loop's two legs as a lattice of taut bars has them, and their limits.

The lattice is written here: a body, two legs and a post of straight bars, each with its pull
and its stretch, moving in the plane of the loop and out of it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import ArrayLike
from scipy.optimize import brentq
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import eigsh

from strandwright.errors import InputError
from strandwright.vibration.ends import LoopOnPin, swings_along, swings_sideways, with_ends
from strandwright.vibration.modes import modes
from strandwright.vibration.sounding_line import SoundingLine, sounding_line

Floats = np.ndarray
TENSION = 450.0
LOOP = LoopOnPin(0.048, np.radians(9.0), 3.1e-3, 1.6e5)
#: Mass of a length, twice the weight it has at a bar's end on itself over the sum (fourth order).
SHARE = np.array([[5.0, 1.0], [1.0, 5.0]]) / 12.0


def body(tension: float = TENSION) -> SoundingLine:
    """A served string from throat to throat."""
    return sounding_line([0.2, 0.7, 0.15, 0.3], [6.4e-3, 4.3e-3, 7.6e-3, 4.3e-3], tension)


def first_four(line: SoundingLine) -> Floats:
    """Frequencies of the lowest four modes."""
    return modes(line, 4).raise_for_failure("the modes").value.frequency[0]


def number(value: ArrayLike) -> float:
    """Give the one number that it is."""
    return float(np.asarray(value, dtype=np.float64).item())


class Lattice:
    """Bars between nodes that move in three directions."""

    def __init__(self) -> None:
        """Begin with none."""
        self.at: list[Floats] = []
        self.bars: list[tuple[int, int, float, float, float]] = []
        self.springs: list[tuple[int, int, float]] = []
        self.held: list[int] = []

    def node(self, x: float, y: float) -> int:
        """Add a place and give its number."""
        self.at.append(np.array([x, y, 0.0]))
        return len(self.at) - 1

    def run(self, first: int, last: int, count: int, pull: float, mass: float, ea: float) -> None:
        """String bars from a node to another."""
        start, stop = self.at[first], self.at[last]
        before = first
        for k in range(1, count + 1):
            place = start + (stop - start) * k / count
            node = last if k == count else self.node(place[0], place[1])
            self.bars.append((before, node, pull, mass, ea))
            before = node

    def frequencies(self, directions: tuple[int, ...], count: int = 4) -> Floats:
        """Lowest frequencies of moves in some of the three directions."""
        size = 3 * len(self.at)
        rows, columns, firm, heavy = [], [], [], []
        for a, b, pull, mass, ea in self.bars:
            gap = self.at[b] - self.at[a]
            long = float(np.linalg.norm(gap))
            n = np.outer(gap, gap) / long**2
            block = (ea * n + pull * (np.eye(3) - n)) / long
            k = np.kron([[1.0, -1.0], [-1.0, 1.0]], block)
            m = np.kron(SHARE, np.eye(3)) * mass * long
            places = np.r_[3 * a : 3 * a + 3, 3 * b : 3 * b + 3]
            rows.append(np.repeat(places, 6))
            columns.append(np.tile(places, 6))
            firm.append(k.ravel())
            heavy.append(m.ravel())
        where = (np.concatenate(rows), np.concatenate(columns))
        stiffness = coo_matrix((np.concatenate(firm), where), shape=(size, size)).tolil()
        inertia = coo_matrix((np.concatenate(heavy), where), shape=(size, size)).tocsc()
        for node, direction, spring in self.springs:
            stiffness[3 * node + direction, 3 * node + direction] += spring
        free = [
            3 * node + d
            for node in range(len(self.at))
            for d in directions
            if not (node in self.held and not any(s[:2] == (node, d) for s in self.springs))
        ]
        k, m = stiffness.tocsc()[free][:, free], inertia[free][:, free]
        squares = eigsh(k, count, m, sigma=0.0, return_eigenvectors=False)
        return np.sqrt(np.sort(squares)) / (2 * np.pi)


def lattice(
    line: SoundingLine, loop: LoopOnPin, *, post: float = np.inf, bars: int = 400
) -> Lattice:
    """A body fixed at its start, a loop at its end, on a post that may give; bars to a metre."""
    made = Lattice()
    tension = float(line.tension[0])
    node = made.node(0.0, 0.0)
    made.held.append(node)
    x = 0.0
    for long, mass in zip(line.length[0], line.mass_per_length[0], strict=True):
        x += float(long)
        following = made.node(x, 0.0)
        made.run(node, following, int(bars * long), tension, float(mass), 4.0e5)
        node = following
    angle, long = number(loop.half_angle), number(loop.leg_length)
    pull = tension / (2 * np.cos(angle))
    touches = []
    for side in (1.0, -1.0):
        touch = made.node(x + long * np.cos(angle), side * long * np.sin(angle))
        mass, ea = number(loop.leg_mass_per_length), number(loop.leg_stretch_stiffness)
        made.run(node, touch, int(0.06 * bars), pull, mass, ea)
        touches.append(touch)
    made.held.extend(touches)
    if np.isfinite(post):
        # Both touch one post, which turns little: a rod far stiffer than all else joins them.
        for touch in touches:
            made.springs.append((touch, 1, 0.5 * post))
        made.bars.append((touches[0], touches[1], 0.0, 1e-9, 1e9))
    return made


def test_along_the_pin_the_legs_carry_the_line_on() -> None:
    """Four modes of the lattice's moves out of the loop's plane."""
    line = with_ends(body(), end=swings_along(LOOP))
    wanted = lattice(body(), LOOP, bars=1000).frequencies((2,))
    np.testing.assert_allclose(first_four(line), wanted, rtol=3e-7)


@pytest.mark.parametrize("degrees", [0.0, 3.0, 9.0, 25.0])
def test_sideways_the_legs_hold_the_throat(degrees: float) -> None:
    """Four modes of the lattice's moves in the loop's plane, whose legs stretch."""
    loop = replace(LOOP, half_angle=np.radians(degrees))
    line = with_ends(body(), end=swings_sideways(loop, TENSION))
    wanted = lattice(body(), loop).frequencies((0, 1))
    np.testing.assert_allclose(first_four(line), wanted, rtol=2e-6)


@pytest.mark.parametrize(("post", "near"), [(2e4, 2e-4), (2e5, 5e-6), (3e6, 5e-6)])
def test_sideways_on_a_post_that_gives(post: float, near: float) -> None:
    """Spring and section share the post as their stiffnesses are, the legs' mass but roughly."""
    loop = replace(LOOP, post_sideways=post)
    line = with_ends(body(), end=swings_sideways(loop, TENSION))
    wanted = lattice(body(), loop, post=post).frequencies((0, 1))
    np.testing.assert_allclose(first_four(line), wanted, rtol=near)


def half_way(x: float, y: float, radius: float) -> float:
    """From a place straight to a pin at zero and round it to its far side, the upper way."""
    apart = np.hypot(x, y)
    reach = np.sqrt(apart**2 - radius**2)
    # The place's direction seen from the pin, less the angle to where its tangent touches.
    touch = np.arctan2(y, x) + np.arccos(radius / apart)
    return reach + radius * (np.pi - touch)


def second(function, step: float = 2e-4) -> float:
    """Second derivative of an even function at zero, to the fourth order."""
    v = [function(k * step) for k in range(3)]
    return float((-v[2] + 16 * v[1] - 15 * v[0]) * 2 / (12 * step**2))


RADIUS, THROAT = 6.5e-3, 0.05
ANGLE = float(np.arcsin(RADIUS / THROAT))
LEG = float(np.sqrt(THROAT**2 - RADIUS**2))


def test_what_holds_a_throat_by_the_energy_of_a_loop_round_a_pin() -> None:
    """Legs that roll on the pin and stretch; no tangent points put in, only lengths."""
    loop = LoopOnPin(LEG, ANGLE, 1e-9, 1.6e5)
    pull, firm = TENSION / (2 * np.cos(ANGLE)), 1.6e5 / LEG
    at_rest = half_way(THROAT, 0.0, RADIUS)

    def energy(y: float) -> float:
        longer = [half_way(THROAT, side * y, RADIUS) - at_rest for side in (1.0, -1.0)]
        return sum(pull * d + 0.5 * firm * d * d for d in longer)

    end = swings_sideways(loop, TENSION)
    holds = end.throat_spring[0] + TENSION / end.length[0]
    assert holds == pytest.approx(second(energy), rel=1e-6)


def test_a_loop_that_slides_goes_round_as_on_an_oval() -> None:
    """Its length is kept; the throat comes nearer as it moves aside, against the line's load."""
    whole = 2 * half_way(THROAT, 0.0, RADIUS)

    def nearer(y: float) -> float:
        def longer(x: float) -> float:
            return half_way(x, y, RADIUS) + half_way(x, -y, RADIUS) - whole

        return number(np.asarray(brentq(longer, 0.8 * THROAT, 1.01 * THROAT, xtol=1e-16)))

    end = swings_sideways(LoopOnPin(LEG, ANGLE, 1e-9, 1.6e5), TENSION, slides=True)
    assert end.throat_spring[0] == 0.0
    wanted = -TENSION * second(nearer)
    assert TENSION / end.length[0] == pytest.approx(wanted, rel=1e-4)


def test_two_directions_two_pitches() -> None:
    """Sideways it sounds as if held near its throats, some per cent higher."""
    along = swings_along(LOOP)
    aside = swings_sideways(LOOP, TENSION)
    lower = first_four(with_ends(body(), along, along))
    higher = first_four(with_ends(body(), aside, aside))
    at_throats = first_four(body())
    assert np.all((lower < higher) & (higher < at_throats))
    assert higher[0] / lower[0] == pytest.approx(1.06, abs=0.01)


def test_parallel_legs_are_the_line_itself() -> None:
    """No angle: both directions alike, and as one line to the pin."""
    loop = replace(LOOP, half_angle=0.0)
    straight = sounding_line(
        [0.2, 0.7, 0.15, 0.3, 0.048], [6.4e-3, 4.3e-3, 7.6e-3, 4.3e-3, 6.2e-3], TENSION
    )
    wanted = first_four(straight)
    for end in (swings_along(loop), swings_sideways(loop, TENSION)):
        np.testing.assert_allclose(first_four(with_ends(body(), end=end)), wanted, rtol=1e-12)


def test_legs_that_do_not_stretch_fix_the_throat() -> None:
    """The stiffer they are, the nearer to a line that ends there."""
    wanted = first_four(body())
    left = []
    for ea in (1e5, 1e6, 1e7, 1e9):
        end = swings_sideways(replace(LOOP, leg_stretch_stiffness=ea), TENSION)
        left.append(1.0 - first_four(with_ends(body(), end=end))[0] / wanted[0])
    assert np.all(np.diff(left) < 0.0)
    assert 0.0 < left[-1] < 2e-6


def test_a_stiff_line_in_a_batch_of_loads() -> None:
    """Ends join to many cases at once, each as if alone; both keep what was said of clamping."""
    loop = replace(LOOP, leg_bending_stiffness=0.02, post_sideways=4e5)
    pulls = np.array([200.0, 450.0, 1300.0])
    many = sounding_line([0.5, 0.9], [6e-3, 4e-3], pulls, bending_stiffness=0.04)
    joined = with_ends(many, swings_along(loop), swings_sideways(loop, pulls))
    assert joined.clamped == (True, False)
    together = modes(joined, 3).raise_for_failure().value.frequency
    for pull, row in zip(pulls, together, strict=True):
        one = sounding_line([0.5, 0.9], [6e-3, 4e-3], pull, bending_stiffness=0.04)
        alone = with_ends(one, swings_along(loop), swings_sideways(loop, pull))
        found = modes(alone, 3).raise_for_failure().value.frequency[0]
        np.testing.assert_allclose(found, row, rtol=1e-9)


def test_what_no_loop_can_be_is_refused() -> None:
    """By the name of the number."""
    for field, value in (("leg_length", 0.0), ("half_angle", 1.6), ("post_sideways", -1.0)):
        with pytest.raises(InputError) as caught:
            replace(LOOP, **{field: value})
        assert caught.value.field == f"loop.{field}"
