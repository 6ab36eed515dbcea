"""The Y solved anew by another way: SciPy finds the least energy of three elastic members.

Nothing of the package's solvers is used: strands, loops and energies are written out here, a
strand's pull against length by its own root, the energy by a spline's integral.
"""

from collections.abc import Callable

import numpy as np
import pytest
from scipy.interpolate import CubicSpline
from scipy.optimize import brentq, minimize

from sample_line import BLEND, INCH, LBF, unknowns
from sample_yoke import FRAME, leg, model
from strandwright.line.yoke.member import Member
from strandwright.line.yoke.settle import settle


def _root(miss: Callable[[float], float], low: float, high: float) -> float:
    """Root of a function of one number."""
    return float(brentq(miss, low, high, xtol=1e-16))  # pyright: ignore[reportArgumentType]


def _strand(strain: float, member: Member) -> float:
    """Tension of one strand, slack below none."""
    stiffness, softening = (float(v[0]) for v in member.strands.law[:2])
    e = max(strain, 0.0)
    return stiffness * (softening * e - (softening - 1.0) * e * e / BLEND.break_strain)


def _twisted(load: float, member: Member) -> float:
    """Length of a twisted span, strands fixed where they lie."""
    natural, turns, radius = (
        float(np.ravel(v)[0]) for v in (member.natural, member.turns, member.radius)
    )
    radii = radius * member.strands.radii

    def miss(length: float) -> float:
        paths = np.hypot(length, 2 * np.pi * radii * turns)
        pulls = [_strand(p / natural - 1.0, member) * length / p for p in paths]
        return float(np.sum(pulls)) - load

    return _root(miss, 0.9 * natural, 1.03 * natural)


def _loop(strain: float, member: Member) -> float:
    """Throat of a closed eye whose sides meet on the axis, from its pin's centre."""
    eye = member.eyes[0]
    perimeter, rho = float(eye.perimeter[0]) * (1 + strain), 0.5 * (eye.pin + eye.thickness[0])

    def miss(x: float) -> float:
        return np.sqrt(x * x - rho * rho) + rho * (np.pi - np.arccos(rho / x)) - 0.5 * perimeter

    return _root(miss, rho * (1 + 1e-12), perimeter)


def _law(member: Member, highest: float) -> CubicSpline:
    """Pull against distance."""
    count = member.strands.count
    loads = np.concatenate([[0.01], np.linspace(4.0, highest, 240)])
    places: list[float] = []
    for load in loads:
        strain = _root(lambda e, n=load / count: _strand(e, member) - n, 0.0, 0.024)
        still = float(np.ravel(member.still)[0]) * (1 + strain)
        places.append(_twisted(load, member) + _loop(strain, member) + still)
    return CubicSpline(places, loads)


@pytest.mark.parametrize("moved", [0.0, 1.0, 2.5])
def test_least_energy_by_other_means(moved: float) -> None:
    """Throat, length and pulls agree, for legs alike and for one tighter than the other."""
    made, q = model(second=leg("right", length=6.01 * INCH)), unknowns(share=np.array([0.0]))
    naturals = made.naturals(q)
    tripod = made.tripod(q, naturals, made.turns + np.array([moved, -moved, 0.0]))
    load = 100 * LBF
    found = settle(tripod, np.array([load]))
    assert found.ok.all()
    laws = [_law(m, 2.5 * load) for m in tripod.members]
    works = [law.antiderivative() for law in laws]
    half = 0.5 * FRAME.span

    def reach(u: np.ndarray) -> np.ndarray:
        x, z, far = u * 1e-3
        return np.array([np.hypot(x - half, z), np.hypot(x + half, z), np.hypot(x, far - z)])

    def energy(u: np.ndarray) -> float:
        total = 0.0
        for law, work, r in zip(laws, works, reach(u), strict=True):
            total += float(work(r)) if r > law.x[0] else 0.0
        return total - load * (u[2] * 1e-3 - 0.95)

    state = found.value
    start = np.array([1.0, 1e3 * state.throat[0, 1] + 0.3, 1e3 * state.far[0] + 0.4])
    options = {"xatol": 1e-7, "fatol": 1e-14, "maxiter": 4000, "maxfev": 4000}
    best = minimize(energy, start, method="Nelder-Mead", options=options)
    best = minimize(energy, best.x, method="Nelder-Mead", options=options)
    # A minimum by values alone is as sharp as the root of the rounding.
    np.testing.assert_allclose(best.x[0] * 1e-3, state.throat[0, 0], atol=3e-6)
    np.testing.assert_allclose(best.x[1] * 1e-3, state.throat[0, 1], atol=3e-7)
    np.testing.assert_allclose(best.x[2] * 1e-3, state.far[0], atol=3e-7)
    pulls = [float(law(r)) for law, r in zip(laws, reach(best.x), strict=True)]
    np.testing.assert_allclose(pulls, state.pulls[0], rtol=2e-3)
    at = np.array([*state.throat[0], state.far[0]]) * 1e3
    assert energy(at) == pytest.approx(energy(best.x), abs=1e-7)
    same = [float(law(r)) for law, r in zip(laws, reach(at), strict=True)]
    np.testing.assert_allclose(same, state.pulls[0], rtol=1e-5)
