"""Twisted bundles against a solution strand by strand, without the program's own solver.

No printed source: an independent solution of the same mechanics, stated in full in the test.
Each strand lies on its own helix at its own packed centre, never pushes, and all of them
together balance the load; the unknown length is found by Brent's method through SciPy.
The digits of the worked case (24 strands of 0.018 in, EA 2779 lbf each, 58 in natural, 29 turns,
100 lbf) were worked out apart from this program.
"""

import numpy as np
import pytest
from scipy.optimize import brentq

from strandwright.fibre.bundle import centre_radii, filled_radii
from strandwright.fibre.twist import StrandSet, breaking_load, span_length
from strandwright.geometry.packing import unit_centres

INCH = 0.0254
LBF = 4.4482216152605
STIFFNESS = 2779 * LBF
RADIUS = 0.5 * 5.651661 * 0.018 * INCH


def solve(
    load: float, natural: float, turns: float, centres: np.ndarray, shared: bool
) -> tuple[float, int]:
    """Length in equilibrium and number of slack strands, from explicit strands."""

    def tensions(length: float) -> tuple[np.ndarray, np.ndarray]:
        paths = np.sqrt(length**2 + (2 * np.pi * np.hypot(*centres.T) * turns) ** 2)
        own = natural * paths / paths.mean() if shared else np.full(len(paths), natural)
        return np.maximum(STIFFNESS * (paths / own - 1.0), 0.0), length / paths

    def miss(length: float) -> float:
        pull, cosine = tensions(length)
        return float(pull @ cosine) - load

    length = float(np.asarray(brentq(miss, 0.5 * natural, 1.5 * natural, xtol=1e-14)))
    return length, int((tensions(length)[0] == 0.0).sum())


def _strands(share: float, count: int = 24) -> StrandSet:
    return StrandSet(centre_radii(count), np.array(STIFFNESS), np.array(1.0), 0.025,
                     np.array(share))  # fmt: skip


@pytest.mark.parametrize(
    ("share", "printed", "slack"), [(0.0, "57.648", 10), (1.0, "57.734", 0)]
)
def test_the_worked_string(record, share: float, printed: str, slack: int) -> None:
    """Both limits of the share: printed digits, the independent solution, the slack strands."""
    centres = RADIUS * np.asarray(unit_centres(24))
    length, loose = solve(100 * LBF, 58 * INCH, 29, centres, shared=share == 1.0)
    span = span_length(100 * LBF, 58 * INCH, 29, RADIUS, _strands(share))
    source = "24 strands of 0.018 in, 58 in natural, 29 turns, 100 lbf"
    name = "fully shared" if share else "fixed in place"
    half = "half the last digit"
    record(source, f"length, {name}", printed, float(span.length) / INCH, 5e-4, half, "in")
    record(source, f"slack strands, {name}", str(slack), int(span.slack_count), 0.0, "a count")
    assert float(span.length) == pytest.approx(length, abs=1e-12)
    assert loose == slack


@pytest.mark.parametrize("shared", [False, True])
@pytest.mark.parametrize("count", [8, 16, 24, 27])
@pytest.mark.parametrize("turns", [0.0, 7.0, 40.0, 90.0])
@pytest.mark.parametrize("load", [5.0, 100.0, 400.0])
def test_against_brent(load: float, turns: float, count: int, shared: bool) -> None:
    """Loads from hand-tight to a stretch, up to 1 1/2 turns an inch, agree to 1e-11 m."""
    centres = RADIUS * np.asarray(unit_centres(count))
    length, loose = solve(load * LBF, 1.5, turns, centres, shared)
    span = span_length(load * LBF, 1.5, turns, RADIUS, _strands(float(shared), count))
    assert float(span.length) == pytest.approx(length, abs=1e-11)
    assert loose == int(span.slack_count)


def test_torque_is_the_work_of_a_turn() -> None:
    """Torque is the slope of elastic energy plus load's work with the angle of twist.

    At a fixed load the energy of strands and load together has the slope M per radian.
    """
    centres = RADIUS * np.asarray(unit_centres(24))
    load, natural, turns, h = 300 * LBF, 1.5, 20.0, 1e-3

    def energy(n: float) -> float:
        length, _ = solve(load, natural, n, centres, shared=False)
        paths = np.sqrt(length**2 + (2 * np.pi * np.hypot(*centres.T) * n) ** 2)
        strain = np.maximum(paths / natural - 1.0, 0.0)
        return float((0.5 * STIFFNESS * natural * strain**2).sum()) - load * length

    slope = (energy(turns + h) - energy(turns - h)) / (2 * h) / (2 * np.pi)
    torque = float(span_length(load, natural, turns, RADIUS, _strands(0.0)).torque)
    assert torque == pytest.approx(slope, rel=1e-6)


@pytest.mark.parametrize(("turns", "printed"), [(20, "93"), (30, "140"), (40, "187")])
def test_torque_of_a_tensioned_string(record, turns: int, printed: str) -> None:
    """M = T (R / 2) tan a for a uniform disc at 300 lbf and 1500 mm."""
    strands = StrandSet(filled_radii(24), np.array(STIFFNESS), np.array(1.0), 0.025, np.array(1.0))
    length = 1.5
    natural = 1.5
    for _ in range(20):
        natural += length - float(span_length(300 * LBF, natural, turns, RADIUS, strands).length)
    span = span_length(300 * LBF, natural, turns, RADIUS, strands)
    record(
        "Torque that keeps 24 strands of 0.018 in twisted, 300 lbf, 1500 mm",
        f"{turns} turns",
        printed,
        1e3 * float(span.torque),
        0.02 * float(printed),
        "printed for small angles with equal stress; ours shares by cosine",
        "N mm",
    )


@pytest.mark.parametrize("share", [0.0, 0.4, 1.0])
@pytest.mark.parametrize("rate", [0.0, 15.0, 40.0])
def test_breaking_load_is_where_the_first_strand_breaks(share: float, rate: float) -> None:
    """Solving the span for that load gives the break strain in its most strained strand."""
    strands = _strands(share)
    load = float(breaking_load(rate, RADIUS, strands))
    natural = 1.0
    for _ in range(60):
        natural += 1.0 - float(span_length(load, natural, rate, RADIUS, strands).length)
    span = span_length(load, natural, rate, RADIUS, strands)
    assert float(span.length) == pytest.approx(1.0, abs=1e-12)
    assert float(span.strains.max()) == pytest.approx(0.025, abs=1e-9)
    straight = 24 * STIFFNESS * 0.025
    assert load <= straight * (1 + 1e-12)
