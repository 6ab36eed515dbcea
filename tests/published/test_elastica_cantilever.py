"""A cantilever bent far by a dead force across it.

Sources: K. E. Bisshopp and D. C. Drucker, Large deflection of cantilever beams, *Quarterly of
Applied Mathematics* 3 (1945) 272-275, for the problem and its solution by elliptic integrals;
K. Mattiasson, Numerical results from large deflection beam and frame problems analysed by means
of elliptic integrals, *International Journal for Numerical Methods in Engineering* 17 (1981)
145-153, for its tables. The digits below were computed apart from this program, with elliptic
integrals to 30 digits; the five digits of Mattiasson's table that are recalled, for loads 1, 2,
3, 4, 5 and 10, agree in every one (from memory). The test computes them once more.
"""

from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import ellipe, ellipeinc, ellipk, ellipkinc

from strandwright.bow.cantilever import cantilever
from strandwright.bow.elastica import ElasticaLimb

#: P L^2 / EI: shortening over L, deflection over L, heading of the tip
TABLE = [
    ("0.2", "0.00264655", "0.06636448", "0.09963616"),
    ("0.5", "0.01591896", "0.16214358", "0.24453365"),
    ("1", "0.05643324", "0.30172077", "0.46135195"),
    ("2", "0.16064172", "0.49345748", "0.78174983"),
    ("3", "0.25442018", "0.60325344", "0.98601695"),
    ("5", "0.38762836", "0.71379152", "1.2153681"),
    ("7", "0.47292743", "0.76736910", "1.3349599"),
    ("10", "0.55499560", "0.81060902", "1.4302855"),
    ("20", "0.68388557", "0.86869590", "1.5329350"),
]
LENGTH, STIFFNESS = 0.7, 12.0


def by_elliptic_integrals(load: float) -> tuple[float, float, float]:
    """Shortening, deflection, heading: the root slope's modulus is found by bisection."""

    def root_of(theta: float) -> tuple[float, float, float]:
        m = 0.5 * (1.0 + np.sin(theta))
        start = np.arcsin(np.sqrt(0.5 / m))
        return float(ellipk(m) - ellipkinc(start, m)), m, start

    theta: Any = brentq(lambda t: root_of(t)[0] - np.sqrt(load), 1e-9, np.pi / 2 - 1e-9, xtol=1e-15)
    root, m, start = root_of(theta)
    along = np.sqrt(2.0 * np.sin(theta)) / root
    across = 1.0 - 2.0 * (ellipe(m) - ellipeinc(start, m)) / root
    return 1.0 - along, across, theta


@pytest.mark.parametrize(("load", "shortening", "deflection", "angle"), TABLE)
def test_tip(record, load: str, shortening: str, deflection: str, angle: str) -> None:
    """Shortening, deflection and heading meet their digits at every load."""
    limb = ElasticaLimb(LENGTH, STIFFNESS, degree=15)
    force = [0.0, float(load) * STIFFNESS / LENGTH**2]
    tip = limb.tip(cantilever(limb, force).raise_for_failure().value)
    x, y = tip.position[0] / LENGTH
    ours = (1.0 - x, y, tip.angle[0])
    source, reason = "Dead force across the tip, uniform limb", "half the last digit"
    rows = (("u/L", shortening, ""), ("w/L", deflection, ""), ("tip heading", angle, "rad"))
    for (name, printed, unit), value in zip(rows, ours, strict=True):
        half = 0.5 * 10.0 ** -len(printed.partition(".")[2])
        record(source, f"{name}, P L²/EI = {load}", printed, value, half, reason, unit)
    np.testing.assert_allclose(ours, by_elliptic_integrals(float(load)), atol=2e-10)


def test_linear_theory_overstates() -> None:
    """Small-deflection theory overstates w by 10.5 % at P L^2/EI = 1 and 35 % at 2."""
    limb = ElasticaLimb(1.0, 1.0)
    tip = limb.tip(cantilever(limb, [[0.0, 1.0], [0.0, 2.0]]).value)
    over = np.array([1.0, 2.0]) / 3.0 / tip.position[:, 1]
    np.testing.assert_allclose(over, [1.105, 1.351], atol=1e-3)
