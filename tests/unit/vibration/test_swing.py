"""Pitch and swing: against Duffing's equation and strings of elements, integrated in time."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.linalg import eigh

from strandwright.vibration.modes import Modes, modes
from strandwright.vibration.sounding_line import sounding_line
from strandwright.vibration.swing import mode_rise, pitch_rise, run_stiffness, swing_at_rise

Floats = np.ndarray
LBF = 4.4482216152605
EA, LONG = 396e3, 0.5


def bare(tension: float, count: int = 4) -> Modes:
    """Half a metre of line."""
    return modes(sounding_line([LONG], 4.2e-3, tension), count).raise_for_failure().value


def turns(time: Floats, swing: Floats, speed: Floats, omega: float) -> float:
    """Mean angular frequency, by the phase that is gained, of a swing that wobbles a little."""
    phase = np.unwrap(np.arctan2(-speed / omega, swing))
    window = np.hanning(len(time))
    middle = np.sum(window * time) / window.sum()
    return float(np.sum(window * (time - middle) * phase) / np.sum(window * (time - middle) ** 2))


def duffing(hardening: float) -> float:
    """Angular frequency of q'' + q + h q^3 = 0 from q = 1, by its quarter period."""

    def rate(_: float, state: Floats) -> list[float]:
        return [state[1], -state[0] - hardening * state[0] ** 3]

    def middle(_: float, state: Floats) -> float:
        return float(state[0])

    middle.terminal = True  # pyright: ignore[reportFunctionMemberAccess]
    found = solve_ivp(rate, (0, 4), [1.0, 0.0], events=middle, rtol=1e-12, atol=1e-13)
    return float(0.5 * np.pi / found.t_events[0][0])


@pytest.mark.parametrize(
    ("tension", "swing", "printed"),
    [
        (300 * LBF, 1e-3, 1.001098), (300 * LBF, 2e-3, 1.004382), (300 * LBF, 5e-3, 1.02703),
        (445.0, 1e-3, 1.003287), (445.0, 2e-3, None), (445.0, 5e-3, None),
    ],
)  # fmt: skip
def test_a_bare_line_swings_by_duffings_equation(
    tension: float, swing: float, printed: float | None
) -> None:
    """One to five millimetres on half a metre, in time; the formula while that is little."""
    slope = EA / tension * (np.pi * swing / LONG) ** 2
    wanted = duffing(slope / 4) - 1.0
    run = run_stiffness([LONG], EA)
    rise = mode_rise(bare(tension), swing, run)[0, 0]
    assert rise == pytest.approx(wanted, rel=1e-7)
    assert pitch_rise(bare(tension), [swing, 0, 0, 0], run)[0, 0] == pytest.approx(3 / 32 * slope)
    assert 3 / 32 * slope == pytest.approx(wanted, rel=0.7 * wanted)
    if printed is not None:
        assert rise == pytest.approx(printed - 1.0, abs=6e-6)


@pytest.mark.parametrize("mode", [1, 2, 3])
def test_other_modes_of_a_bare_line(mode: int) -> None:
    """The n-th swings as n lines of a part of the length, of which each is stretched alike."""
    rise = mode_rise(bare(900.0), 1e-3, EA / LONG)[0, mode - 1]
    parts = modes(sounding_line([LONG / mode], 4.2e-3, 900.0), 1).raise_for_failure().value
    assert rise == pytest.approx(mode_rise(parts, 1e-3, EA * mode / LONG)[0, 0], rel=1e-10)


def test_a_line_that_whirls() -> None:
    """Its load is raised for good: by the stretch of a sine of that radius."""
    swing, tension = 3e-3, 700.0
    more = EA * (np.pi * swing / LONG) ** 2 / 4
    wanted = np.sqrt((tension + more) / tension) - 1.0
    rise = mode_rise(bare(tension), swing, EA / LONG, whirls=True)[0, 0]
    assert rise == pytest.approx(wanted, rel=1e-10)


class Elements:
    """A served string with a weight, of straight elements; all modes of it by SciPy."""

    length = (0.1, 0.4, 0.12, 0.38)
    mass = (7e-3, 4.2e-3, 8e-3, 4.2e-3)
    weight, tension, run = 8e-4, 600.0, 2.5e5
    each = 60

    def __init__(self) -> None:
        """Assemble and solve."""
        steps = np.repeat(np.array(self.length) / self.each, self.each)
        mu = np.repeat(self.mass, self.each)
        size = len(steps) + 1
        stretch, inertia = np.zeros((size, size)), np.zeros((size, size))
        for i, (h, m) in enumerate(zip(steps, mu, strict=True)):
            two = np.ix_([i, i + 1], [i, i + 1])
            stretch[two] += np.array([[1, -1], [-1, 1]]) / h
            inertia[two] += np.array([[5, 1], [1, 5]]) * m * h / 12
        inertia[2 * self.each, 2 * self.each] += self.weight
        inside = slice(1, -1)
        self.stretch = stretch[inside, inside]
        squares, self.shapes = eigh(self.tension * self.stretch, inertia[inside, inside])
        self.omega = np.sqrt(squares)

    def sounds(self, swings: list[float], mode: int, *, whirl: bool = False) -> float:
        """Angular frequency at which a mode goes, while the lowest swing as far as said."""
        count = len(swings)
        w = self.shapes[:, :count]
        meets, omega = w.T @ self.stretch @ w, self.omega[:count]
        start = np.array(swings) / np.abs(w).max(axis=0)
        planes = 2 if whirl else 1

        def rate(_: float, state: Floats) -> Floats:
            q, v = state.reshape(2, planes, count)
            longer = 0.5 * np.einsum("pm,mn,pn->", q, meets, q)
            return np.concatenate(
                [v.ravel(), (-(omega**2) * q - self.run * longer * (q @ meets)).ravel()]
            )

        state = np.zeros((2, planes, count))
        state[0, 0] = start
        if whirl:
            state[1, 1] = omega * start
        time = np.linspace(0.0, 60 * 2 * np.pi / omega[0], 12_001)
        found = solve_ivp(
            rate, (0, time[-1]), state.ravel(), t_eval=time, method="DOP853", rtol=1e-10, atol=1e-12
        )
        q, v = found.y.reshape(2, planes, count, -1)[:, 0, mode - 1]
        return turns(time, q, v, omega[mode - 1])


@pytest.fixture(scope="module")
def elements() -> Elements:
    """The string of elements."""
    return Elements()


@pytest.fixture(scope="module")
def served() -> Modes:
    """The same string as a line."""
    e = Elements
    line = sounding_line(e.length, e.mass, e.tension, weight=[0.0, e.weight, 0.0])
    return modes(line, 4).raise_for_failure().value


def test_a_served_line_alone_in_its_first_mode(elements: Elements, served: Modes) -> None:
    """Four shapes of the elements are free to join in."""
    rise = mode_rise(served, [3e-3, 0, 0, 0], elements.run)[0, 0]
    wanted = elements.sounds([3e-3, 0.0, 0.0, 0.0], 1) / elements.omega[0] - 1.0
    assert 0.003 < wanted < 0.02
    assert rise == pytest.approx(wanted, rel=0.01)


@pytest.mark.parametrize("mode", [1, 2, 3])
def test_a_served_line_in_three_modes_at_once(elements: Elements, served: Modes, mode: int) -> None:
    """Each is raised by the stretch of all."""
    swings = [1.2e-3, 7e-4, 4e-4, 0.0]
    rise = pitch_rise(served, swings, elements.run)[0, mode - 1]
    wanted = elements.sounds(swings, mode) / elements.omega[mode - 1] - 1.0
    alone = mode_rise(served, swings, elements.run)[0, mode - 1]
    assert rise == pytest.approx(wanted, rel=0.03)
    assert abs(alone - wanted) > 0.1 * wanted


def test_a_served_line_that_whirls(elements: Elements, served: Modes) -> None:
    """Two planes of the elements, a quarter apart in time."""
    rise = mode_rise(served, [2e-3, 0, 0, 0], elements.run, whirls=True)[0, 0]
    wanted = elements.sounds([2e-3, 0.0, 0.0, 0.0], 1, whirl=True) / elements.omega[0] - 1.0
    assert rise == pytest.approx(wanted, rel=0.01)


@pytest.mark.parametrize("whirls", [False, True])
def test_how_gently_to_pluck(served: Modes, *, whirls: bool) -> None:
    """There and back, from nothing to a third too high."""
    for share in (1e-6, 0.002, 0.03, 0.33):
        swing = swing_at_rise(served, share, 2.5e5, whirls=whirls)
        rise = mode_rise(served, swing, 2.5e5, whirls=whirls)
        np.testing.assert_allclose(rise, share, rtol=1e-8)
    assert np.all(swing_at_rise(served, 0.0, 2.5e5) == 0.0)


def test_what_is_stretched_along() -> None:
    """Sections, legs and posts give one after another."""
    run = run_stiffness([0.4, 0.8, 0.05], [3e5, 2e5, 2.2e5], ends=2e6)
    assert 1.0 / run == pytest.approx(0.4 / 3e5 + 0.8 / 2e5 + 0.05 / 2.2e5 + 1 / 2e6)
    many = run_stiffness([1.0], [[2e5], [3e5]])
    np.testing.assert_allclose(many, [2e5, 3e5])


def test_the_largest_swing_is_found_between_places() -> None:
    """As a fine net has it, for sections short and long, and for a sine exactly."""
    found = bare(900.0, 20).waves()
    np.testing.assert_allclose(found.largest(), np.abs(found.near[..., 0, 0]) * 2, rtol=1e-9)
    line = sounding_line(
        [0.02, 0.9, 0.3], [7e-3, 4e-3, 7e-3], 900.0, bending_stiffness=0.05,
        end_spring=[3e3, np.inf], clamped=(True, True),
    )  # fmt: skip
    waves = modes(line, 8).raise_for_failure().value.waves()
    net = np.abs(waves.at(np.linspace(0.0, 1.22, 40_001))).max(axis=-1)
    np.testing.assert_allclose(waves.largest(), net, rtol=1e-6)
