"""Modes of a taut line: transcendental roots, elements, limits, and shapes that fit their line.

Every root is worked here by SciPy from the equation of its own case; the elements are a plain
finite-element string and beam written here.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import eigsh

from strandwright.errors import InputError, SpecError
from strandwright.vibration.modes import Modes, modes
from strandwright.vibration.sounding_line import SoundingLine, sounding_line

Floats = np.ndarray


def found(line: SoundingLine, count: int = 4) -> Modes:
    """Give the modes, which must be found."""
    return modes(line, count).raise_for_failure("the modes").value


def over_uniform(line: SoundingLine, count: int = 4) -> Floats:
    """Frequencies over the lowest of a uniform line of length, mass and tension one."""
    return 2.0 * found(line, count).frequency[0]


def roots(equation, most: float, count: int) -> Floats:
    """The lowest roots over zero of a function without poles, by a fine net and Brent's method."""
    net = np.linspace(1e-6, most, 200_001)
    values = equation(net)
    places = np.flatnonzero(np.sign(values[1:]) != np.sign(values[:-1]))
    return np.array([brentq(equation, net[i], net[i + 1], xtol=1e-15) for i in places[:count]])


def test_a_uniform_line_sounds_in_whole_numbers() -> None:
    """n/2L times the wave's speed, whatever it is parted into."""
    line = sounding_line([0.3, 0.5, 0.65], 4.1e-3, 1334.0)
    own = np.sqrt(1334.0 / 4.1e-3) / (2 * 1.45)
    np.testing.assert_allclose(found(line, 12).frequency[0], own * np.arange(1, 13), rtol=1e-12)


@pytest.mark.parametrize("ratio", [0.01, 0.1, 0.5, 2.0])
def test_a_weight_in_the_middle(ratio: float) -> None:
    """X tan x = m/M for the modes that move it; the others pass it by."""
    tangents = roots(lambda x: x * np.sin(x) - np.cos(x) / ratio, 12.0, 3)
    wanted = np.sort(np.concatenate([2 * tangents / np.pi, [2.0, 4.0]]))[:5]
    line = sounding_line([0.5, 0.5], 1.0, 1.0, weight=ratio)
    np.testing.assert_allclose(over_uniform(line, 5), wanted, rtol=1e-11)


@pytest.mark.parametrize("ratio", [0.05, 0.2, 1.0])
@pytest.mark.parametrize("at", [0.1, 0.25])
def test_a_weight_off_the_middle(at: float, ratio: float) -> None:
    """Sin q = (M/m) q sin(qa) sin(q(1 - a))."""

    def left(q: Floats) -> Floats:
        return np.sin(q) - ratio * q * np.sin(q * at) * np.sin(q * (1 - at))

    line = sounding_line([at, 1 - at], 1.0, 1.0, weight=ratio)
    np.testing.assert_allclose(over_uniform(line, 3), roots(left, 12.0, 3) / np.pi, rtol=1e-10)


@pytest.mark.parametrize(("part", "heavy"), [(0.5, 4.0), (0.5, 2.0), (0.25, 2.0), (0.2, 3.0)])
def test_a_part_of_another_mass(part: float, heavy: float) -> None:
    """S cos(qsb) sin(q(1-b)) + cos(q(1-b)) sin(qsb) = 0."""
    s = np.sqrt(heavy)

    def left(q: Floats) -> Floats:
        served, bare = q * s * part, q * (1 - part)
        return s * np.cos(served) * np.sin(bare) + np.cos(bare) * np.sin(served)

    line = sounding_line([part, 1 - part], [heavy, 1.0], 1.0)
    np.testing.assert_allclose(over_uniform(line, 3), roots(left, 12.0, 3) / np.pi, rtol=1e-11)


@pytest.mark.parametrize("give", [0.001, 0.01, 0.05, 0.1])
def test_an_end_that_gives(give: float) -> None:
    """Tan q = -q T/(KL)."""
    wanted = roots(lambda q: np.sin(q) + give * q * np.cos(q), 12.0, 3) / np.pi
    line = sounding_line([1.0], 1.0, 1.0, end_spring=[1.0 / give, np.inf])
    np.testing.assert_allclose(over_uniform(line, 3), wanted, rtol=1e-11)
    turned = sounding_line([1.0], 1.0, 1.0, end_spring=[np.inf, 1.0 / give])
    np.testing.assert_allclose(over_uniform(turned, 3), wanted, rtol=1e-11)


@pytest.mark.parametrize("stiff", [1e-5, 1e-4, 1e-3, 1e-2])
def test_a_clamped_stiff_line(stiff: float) -> None:
    """A tanh(a/2) cos(b/2) + b sin(b/2) = 0 for the modes alike on both sides."""

    def left(omega: Floats) -> Floats:
        root = np.sqrt(1.0 + 4.0 * stiff * omega**2)
        a, b = np.sqrt((1 + root) / (2 * stiff)), np.sqrt((root - 1) / (2 * stiff))
        return a * np.tanh(a / 2) * np.cos(b / 2) + b * np.sin(b / 2)

    line = sounding_line([1.0], 1.0, 1.0, bending_stiffness=stiff, clamped=(True, True))
    wanted = roots(left, 17.0, 2) / np.pi
    np.testing.assert_allclose(over_uniform(line, 3)[::2], wanted, rtol=1e-9)


@pytest.mark.parametrize("stiff", [1e-5, 1e-2])
def test_a_pinned_stiff_line(stiff: float) -> None:
    """N sqrt(1 + B n^2) with B = pi^2 EI/(T L^2), whatever it is parted into."""
    n = np.arange(1, 7)
    line = sounding_line([0.2, 0.35, 0.45], 1.0, 1.0, bending_stiffness=stiff)
    wanted = n * np.sqrt(1.0 + np.pi**2 * stiff * n**2)
    np.testing.assert_allclose(over_uniform(line, 6), wanted, rtol=1e-11)


def element(h: float) -> tuple[Floats, Floats, Floats]:
    """Bending, pull and mass of a cubic beam element of stiffness, tension and mass one."""
    h2 = h * h
    bend = [
        [12, 6 * h, -12, 6 * h],
        [6 * h, 4 * h2, -6 * h, 2 * h2],
        [-12, -6 * h, 12, -6 * h],
        [6 * h, 2 * h2, -6 * h, 4 * h2],
    ]
    pull = [
        [36, 3 * h, -36, 3 * h],
        [3 * h, 4 * h2, -3 * h, -h2],
        [-36, -3 * h, 36, -3 * h],
        [3 * h, -h2, -3 * h, 4 * h2],
    ]
    mass = [
        [156, 22 * h, 54, -13 * h],
        [22 * h, 4 * h2, 13 * h, -3 * h2],
        [54, 13 * h, 156, -22 * h],
        [-13 * h, -3 * h2, -22 * h, 4 * h2],
    ]
    return np.array(bend) / h**3, np.array(pull) / (30 * h), np.array(mass) * h / 420


def element_frequencies(line: SoundingLine, each: int) -> Floats:
    """Lowest four frequencies by cubic beam elements of a line between fixed ends."""
    sections = line.length.shape[1]
    size = 2 * each * sections + 2
    places, firm, heavy = [], [], []
    at = 0
    for i, long in enumerate(line.length[0] / each):
        bend, pull, mass = element(float(long))
        for _ in range(each):
            places.append(np.arange(at, at + 4))
            firm.append(line.bending_stiffness[0, i] * bend + line.tension[0] * pull)
            heavy.append(line.mass_per_length[0, i] * mass)
            at += 2
    where = np.array(places)
    rows, columns = np.repeat(where, 4, axis=1).ravel(), np.tile(where, (1, 4)).ravel()
    stiffness, inertia = (
        csc_matrix((np.array(v).ravel(), (rows, columns)), shape=(size, size)).tolil()
        for v in (firm, heavy)
    )
    for i, weight in enumerate(line.weight[0]):
        inertia[2 * each * (i + 1), 2 * each * (i + 1)] += weight
    held = [0, size - 2] + [k for k, on in ((1, 0), (size - 1, 1)) if line.clamped[on]]
    kept = np.setdiff1d(np.arange(size), held)
    free = [csc_matrix(v.tocsc()[kept][:, kept]) for v in (stiffness, inertia)]
    squares = eigsh(free[0], 4, free[1], sigma=0.0, return_eigenvectors=False)
    return np.sqrt(np.sort(squares)) / (2 * np.pi)


def test_a_served_bowstring_as_elements_have_it() -> None:
    """A 57 in string of five sections that resist bending, a nocking point and a peep on it."""
    line = sounding_line(
        [0.15, 0.55, 0.15, 0.45, 0.148], [7.1e-3, 4.3e-3, 7.9e-3, 4.3e-3, 7.1e-3], 1334.0,
        bending_stiffness=[0.09, 0.03, 0.11, 0.03, 0.09], weight=[0.0, 4e-4, 0.0, 6e-4],
        clamped=(True, False),
    )  # fmt: skip
    np.testing.assert_allclose(found(line).frequency[0], element_frequencies(line, 300), rtol=1e-7)


def test_a_line_that_hardly_bends_is_one_that_does_not() -> None:
    """The two ways to the frequencies meet; beside a weight the bend is a hair's breadth long."""
    sections = ([0.2, 0.9, 0.3], [7e-3, 4e-3, 7e-3], 1300.0)
    bare = found(sounding_line(*sections, weight=[5e-4, 0.0])).frequency
    stiff = sounding_line(*sections, weight=[5e-4, 0.0], bending_stiffness=1e-12)
    np.testing.assert_allclose(found(stiff).frequency, bare, rtol=1e-8)


@given(
    st.lists(
        st.tuples(st.floats(0.05, 1.0), st.floats(2e-3, 2e-2), st.floats(0.0, 5e-3)),
        min_size=1, max_size=6,
    ),
    st.floats(50.0, 3000.0),
)  # fmt: skip
def test_turned_about_it_sounds_the_same(parts: list[tuple[float, ...]], tension: float) -> None:
    """Start and end are names; and the modes rise, none left out or found twice."""
    long, mass, weight = (np.array(v) for v in zip(*parts, strict=True))
    one = found(sounding_line(long, mass, tension, weight=weight[:-1]), 6).frequency[0]
    other = sounding_line(long[::-1], mass[::-1], tension, weight=weight[:-1][::-1])
    np.testing.assert_allclose(found(other, 6).frequency[0], one, rtol=1e-9)
    assert np.all(np.diff(one) > 0.0)


@pytest.mark.parametrize("bending", [0.0, 0.02])
def test_shapes_have_as_many_nodes_as_their_order_says(bending: float) -> None:
    """The n-th mode crosses zero n - 1 times, and fixed ends stay where they are."""
    line = sounding_line(
        [0.3, 0.7, 0.45], [7e-3, 4e-3, 7e-3], 1000.0, weight=[1e-3, 0.0],
        bending_stiffness=bending,
    )  # fmt: skip
    at = np.linspace(0.0, 1.45, 2001)
    swing = found(line, 5).shapes(at)[0]
    for n, shape in enumerate(swing):
        assert np.count_nonzero(np.diff(np.sign(shape[2:-2])) != 0) == n
        assert np.abs(shape[[0, -1]]).max() < 1e-6
        assert np.abs(shape).max() == pytest.approx(1.0)
        assert shape[1] > 0.0


def test_shapes_are_at_right_angles_under_their_mass() -> None:
    """Two modes share no energy, the weight's included."""
    line = sounding_line([0.6, 0.9], [7e-3, 4e-3], 1000.0, weight=[2e-3])
    at = np.linspace(0.0, 1.5, 15_001)
    swing = found(line, 3).shapes(at)[0]
    density = np.where(at < 0.6, 7e-3, 4e-3)
    density[6000] = 0.5 * (7e-3 + 4e-3)
    step = np.full(at.shape, at[1])
    step[[0, -1]] *= 0.5
    weights = density * step
    weights[6000] += 2e-3
    shared = swing @ (weights[:, None] * swing.T)
    np.testing.assert_allclose(shared - np.diag(np.diag(shared)), 0.0, atol=2e-7 * shared.max())


def test_a_batch_is_solved_case_by_case() -> None:
    """Tensions side by side, as if each were alone."""
    pulls = np.array([200.0, 900.0, 1500.0])
    many = found(sounding_line([0.4, 1.0], [7e-3, 4e-3], pulls, bending_stiffness=0.03), 3)
    for pull, row in zip(pulls, many.frequency, strict=True):
        alone = sounding_line([0.4, 1.0], [7e-3, 4e-3], pull, bending_stiffness=0.03)
        np.testing.assert_allclose(found(alone, 3).frequency[0], row, rtol=1e-10)


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"length": [0.5, 0.0]}, "line.length"),
        ({"mass_per_length": -1e-3}, "line.mass_per_length"),
        ({"tension": np.nan}, "line.tension"),
        ({"weight": -1.0}, "line.weight"),
        ({"end_spring": 0.0}, "line.end_spring"),
        ({"bending_stiffness": [0.1, 0.0]}, "line.bending_stiffness"),
    ],
)
def test_what_no_line_can_be_is_refused(changed: dict[str, object], field: str) -> None:
    """With the field's name, what was given and the rule."""
    given_numbers = {"length": [0.5, 0.9], "mass_per_length": 4e-3, "tension": 900.0} | changed
    with pytest.raises(InputError) as caught:
        sounding_line(**given_numbers)  # pyright: ignore[reportArgumentType]
    assert caught.value.field == field


def test_more_modes_than_anybody_hears_are_refused() -> None:
    """And none at all."""
    line = sounding_line([1.0], 4e-3, 900.0)
    for count in (0, 201):
        with pytest.raises(SpecError, match="whole number"):
            modes(line, count)
