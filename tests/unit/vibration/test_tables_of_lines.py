"""Tables of lines worked beforehand, each root and each formula worked again here.

Printed digits are held to roots by SciPy's Brent of the case's own equation, and the package to
the roots, so that neither a misprint nor a slip of the package passes.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from strandwright.vibration.heard_load import heard_load
from strandwright.vibration.modes import modes
from strandwright.vibration.sounding_line import SoundingLine, sounding_line

Floats = np.ndarray


def ratios(line: SoundingLine, count: int) -> Floats:
    """Frequencies over the lowest of a uniform line of length, mass and tension one."""
    return 2.0 * modes(line, count).raise_for_failure("the modes").value.frequency[0]


def roots(equation, most: float, count: int) -> Floats:
    """The lowest roots over zero of a function without poles."""
    net = np.linspace(1e-6, most, 200_001)
    values = equation(net)
    places = np.flatnonzero(np.sign(values[1:]) != np.sign(values[:-1]))
    return np.array([brentq(equation, net[i], net[i + 1], xtol=1e-15) for i in places[:count]])


def agree(line: SoundingLine, wanted: Floats, printed: list[float], digits: int = 8) -> None:
    """Hold the package to the roots, and the roots to what is printed."""
    np.testing.assert_allclose(ratios(line, len(wanted)), wanted, rtol=1e-9)
    np.testing.assert_allclose(wanted[: len(printed)], printed, atol=0.6 * 10.0**-digits)


@pytest.mark.parametrize(
    ("ratio", "printed"),
    [
        (0.01, [0.99009980]), (0.1, [0.90964690]), (0.5, [0.68555927]), (2.0, [0.41588535]),
    ],
)  # fmt: skip
def test_a_weight_in_the_middle(ratio: float, printed: list[float]) -> None:
    """X tan x = m/M, and whole even numbers; below Rayleigh's 1/sqrt(1 + 2 M/m)."""
    alike = roots(lambda x: x * np.sin(x) - np.cos(x) / ratio, 12.0, 2) * 2 / np.pi
    wanted = np.sort([alike[0], 2.0, alike[1], 4.0])
    agree(sounding_line([0.5, 0.5], 1.0, 1.0, weight=ratio), wanted, printed)
    assert wanted[0] < 1.0 / np.sqrt(1.0 + 2.0 * ratio)


@pytest.mark.parametrize(
    ("at", "ratio", "printed"),
    [
        (0.25, 0.05, [0.9747148, 1.9059253, 2.9351526, 4.0]),
        (0.25, 0.2, [0.8987014, 1.7047349, 2.8261809, 4.0]),
        (0.25, 1.0, [0.6256479, 1.4363559, 2.7128697, 4.0]),
        (0.1, 0.05, [0.9950690, 1.9618338, 2.8895696]),
        (0.1, 1.0, [0.8417327, 1.2949580, 2.2804796]),
    ],
)
def test_a_weight_off_the_middle(at: float, ratio: float, printed: list[float]) -> None:
    """Sin q = (M/m) q sin(qa) sin(q(1 - a)); a mode with a node at the weight passes it by."""

    def left(q: Floats) -> Floats:
        return np.sin(q) - ratio * q * np.sin(q * at) * np.sin(q * (1 - at))

    wanted = roots(left, 14.0, len(printed)) / np.pi
    agree(sounding_line([at, 1 - at], 1.0, 1.0, weight=ratio), wanted, printed, 7)


@pytest.mark.parametrize(
    ("part", "heavy", "printed"),
    [
        (0.5, 4.0, [0.60817345, 1.39182655, 2.0, 2.60817345]),
        (0.5, 2.0, [0.80575176, 1.69742552, 2.43981961]),
        (0.25, 2.0, [0.95222856, 1.77240785, 2.70719853]),
        (0.2, 3.0, [0.94569314, 1.69489933, 2.57892053]),
    ],
)
def test_a_part_of_another_mass(part: float, heavy: float, printed: list[float]) -> None:
    """S cos(qsb) sin(q(1-b)) + cos(q(1-b)) sin(qsb) = 0."""
    s = np.sqrt(heavy)

    def left(q: Floats) -> Floats:
        dense, bare = q * s * part, q * (1 - part)
        return s * np.cos(dense) * np.sin(bare) + np.cos(bare) * np.sin(dense)

    wanted = roots(left, 12.0, len(printed)) / np.pi
    agree(sounding_line([part, 1 - part], [heavy, 1.0], 1.0), wanted, printed)
    if (part, heavy) == (0.5, 4.0):
        assert wanted[0] == pytest.approx(2 / np.pi * np.arctan(np.sqrt(2)), rel=1e-12)


def even_and_odd(middle: float, inner: float, outer: float, count: int) -> Floats:
    """Roots of a line alike on both sides: half of it, its middle free or fixed.

    The middle fraction has the mass of a length ``inner``, the rest ``outer``.
    """
    s, t, b, c = np.sqrt(inner), np.sqrt(outer), 0.5 * middle, 0.5 * (1 - middle)

    def alike(q: Floats) -> Floats:
        return t * np.cos(q * t * c) * np.cos(q * s * b) - s * np.sin(q * t * c) * np.sin(q * s * b)

    def opposed(q: Floats) -> Floats:
        return t * np.cos(q * t * c) * np.sin(q * s * b) + s * np.sin(q * t * c) * np.cos(q * s * b)

    both = np.concatenate([roots(alike, 16.0, count), roots(opposed, 16.0, count)])
    return np.sort(both)[:count] / np.pi


def test_a_line_served_in_its_middle() -> None:
    """A tenth at twice the mass; Rayleigh's bound lies above."""
    e, rho = 0.10, 2.0
    wanted = even_and_odd(e, rho, 1.0, 4)
    line = sounding_line([0.45, 0.1, 0.45], [1.0, rho, 1.0], 1.0)
    agree(line, wanted, [0.9112827, 1.99336247, 2.77675739, 3.94630294], 7)
    bound = 1.0 / np.sqrt(1.0 + (rho - 1.0) * (e + np.sin(np.pi * e) / np.pi))
    assert bound == pytest.approx(0.913494, abs=1e-6)
    assert wanted[0] < bound


def test_a_line_served_at_its_ends() -> None:
    """A twentieth each at twice the mass: a thousandth of the pitch."""
    wanted = even_and_odd(0.90, 1.0, 2.0, 3)
    line = sounding_line([0.05, 0.9, 0.05], [2.0, 1.0, 2.0], 1.0)
    agree(line, wanted, [0.99917556, 1.99336247, 2.97742852])


@pytest.mark.parametrize(
    ("give", "printed"),
    [(0.001, 0.999001), (0.01, 0.99010217), (0.05, 0.95271515), (0.1, 0.91124882)],
)
def test_an_end_that_gives(give: float, printed: float) -> None:
    """Tan q = -q T/(KL), about 1/(1 + T/(KL)) while that is little."""
    wanted = roots(lambda q: np.sin(q) + give * q * np.cos(q), 12.0, 3) / np.pi
    line = sounding_line([1.0], 1.0, 1.0, end_spring=[np.inf, 1.0 / give])
    agree(line, wanted, [printed], 6 if give == 0.001 else 8)
    assert wanted[0] == pytest.approx(1 / (1 + give), abs=4 * give**2 * (1 + give))


@pytest.mark.parametrize(
    ("stiff", "printed", "near"),
    [
        (1e-5, [1.00641457, 3.02043772], 2e-6),
        (1e-4, [1.02091451, 3.07486619], 1e-4),
        (1e-3, [1.07282635, 3.34247513], 3e-3),
        (1e-2, [1.30485284, 4.97822315], 3e-2),
    ],
)
def test_a_clamped_stiff_line(stiff: float, printed: list[float], near: float) -> None:
    """Both kinds of modes by their own equation; Fletcher's formula is near while stiffness is."""

    def waves(omega: Floats) -> tuple[Floats, Floats]:
        root = np.sqrt(1.0 + 4.0 * stiff * omega**2)
        return np.sqrt((1 + root) / (2 * stiff)), omega * np.sqrt(2 / (1 + root))

    def alike(omega: Floats) -> Floats:
        a, b = waves(omega)
        return a * np.tanh(a / 2) * np.cos(b / 2) + b * np.sin(b / 2)

    def opposed(omega: Floats) -> Floats:
        a, b = waves(omega)
        return b * np.tanh(a / 2) * np.cos(b / 2) - a * np.sin(b / 2)

    one, two = roots(alike, 17.0, 2) / np.pi, roots(opposed, 30.0, 2) / np.pi
    line = sounding_line([1.0], 1.0, 1.0, bending_stiffness=stiff, clamped=(True, True))
    np.testing.assert_allclose(ratios(line, 4), np.sort([*one, *two]), rtol=1e-9)
    np.testing.assert_allclose(one, printed, atol=6e-9)
    big = np.pi**2 * stiff
    n = np.array([1, 3])
    fletcher = n * (1 + 2 * np.sqrt(big) / np.pi + 4 * big / np.pi**2) * np.sqrt(1 + big * n**2)
    np.testing.assert_allclose(fletcher, one, rtol=near)


def test_what_a_serving_left_out_costs() -> None:
    """15 % of the middle at 2.5 times the mass: 17 % of the pitch, a third of the load."""
    wanted = even_and_odd(0.15, 2.5, 1.0, 1)[0]
    assert 1.0 - wanted == pytest.approx(0.17, abs=0.01)
    bare = heard_load(sounding_line([1.0], 1.0, 1.0), 0.5 * wanted).raise_for_failure().value[0]
    assert bare == pytest.approx(wanted**2, rel=1e-10)
    assert 1.0 - bare == pytest.approx(0.32, abs=0.01)


#: A widely printed chart of steel musical strings of 25.5 in: weight of an inch, pitch, load.
CHART = [
    (0.00002215, 329.6276, 16.2), (0.00003732, 246.9417, 15.4), (0.00006391, 195.9977, 16.6),
    (0.00012671, 146.8324, 18.4), (0.00023964, 110.0, 19.5), (0.00038216, 82.4069, 17.5),
]  # fmt: skip


@pytest.mark.parametrize(("weight", "pitch", "printed"), CHART)
def test_a_chart_of_musical_strings(weight: float, pitch: float, printed: float) -> None:
    """Loads within a tenth of a pound of what shops have printed, from pitch and mass."""
    pound, inch = 0.45359237, 0.0254
    line = sounding_line([25.5 * inch], weight * pound / inch, 10.0)
    load = heard_load(line, pitch).raise_for_failure().value[0]
    assert load / (pound * 9.80665) == pytest.approx(printed, abs=0.1)
    assert load == pytest.approx(weight * pound / inch * (2 * 25.5 * inch * pitch) ** 2, rel=1e-12)
