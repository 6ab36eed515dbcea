"""A beam rolled up by a moment at its end, and bent by a force there.

Sources: under an end moment a uniform beam is an arc of a circle, exactly: with the end turned by
theta, x/L = sin(theta)/theta and y/L = (1 - cos(theta))/theta. K. Y. Sze, X. H. Liu and S. H. Lo,
Popular benchmark problems for geometric nonlinear analysis of shells, *Finite Elements in
Analysis and Design* 40 (2004) 1551-1569: the tables of the cantilever under end moment (length
12, largest moment 50 pi/3, which closes the circle) and under end shear (length 10, EI 100,
largest force 4). The digits under end moment were read in public programs that quote the paper;
those under end shear are from memory. The paper's end shear is a computation with shells on a
mesh that stretch a little, not the inextensible beam.
"""

import numpy as np
import pytest

from strandwright.bow.cantilever import cantilever
from strandwright.bow.elastica import ElasticaLimb

ARCS = [
    ("0.5", "0.95885108", "0.24483488"),
    ("1.0", "0.84147098", "0.45969769"),
    ("1.5707963267948966", "0.63661977", "0.63661977"),
]
END_MOMENT = [
    ("0.05", "0.196", "1.870"),
    ("0.1", "0.774", "3.648"),
    ("0.2", "2.918", "6.598"),
    ("0.25", "4.361", "7.639"),
    ("0.5", "12.000", "7.639"),
    ("0.75", "14.546", "2.546"),
    ("1.0", "12.000", "0.000"),
]
END_SHEAR = [
    ("0.25", "0.563", "3.015"),
    ("0.5", "1.604", "4.933"),
    ("0.75", "2.541", "6.031"),
    ("1.0", "3.286", "6.698"),
]


@pytest.mark.parametrize(("turn", "along", "across"), ARCS)
@pytest.mark.parametrize(("elements", "degree"), [(1, 0), (3, 4)])
def test_arc(record, turn: str, along: str, across: str, elements: int, degree: int) -> None:
    """One element of even curvature is the arc already; more change nothing."""
    limb = ElasticaLimb(0.8, 20.0, elements=elements, degree=degree)
    theta = float(turn)
    q = cantilever(limb, [0.0, 0.0], theta * 20.0 / 0.8).raise_for_failure().value
    tip = limb.tip(q)
    x, y = tip.position[0] / 0.8
    source, half = "Arc of a circle", "half the last digit"
    item = f"θ = {theta:.4g}, {elements} element{'s' if elements > 1 else ''} of degree {degree}"
    record(source, f"x/L, {item}", along, x, 5e-9, half)
    record(source, f"y/L, {item}", across, y, 5e-9, half)
    exact = [np.sin(theta) / theta, (1.0 - np.cos(theta)) / theta]
    # One arc has the fewest Gauss points there are; they leave nine digits of it.
    np.testing.assert_allclose([x, y], exact, atol=1e-9)
    assert tip.angle[0] == pytest.approx(theta, rel=1e-13)


@pytest.mark.parametrize(("share", "shortening", "deflection"), END_MOMENT)
def test_end_moment(record, share: str, shortening: str, deflection: str) -> None:
    """Rolled up by steps into a full circle, the end is where it is printed."""
    limb = ElasticaLimb(12.0, 100.0)
    moment = float(share) * 50.0 * np.pi / 3.0
    x, y = limb.tip(cantilever(limb, [0.0, 0.0], moment).raise_for_failure().value).position[0]
    source, half = "Sze, Liu and Lo, cantilever under end moment", "half the last digit"
    record(source, f"shortening at {share} of the moment", shortening, 12.0 - x, 5e-4, half)
    record(source, f"deflection at {share} of the moment", deflection, y, 5e-4, half)


@pytest.mark.parametrize(("share", "shortening", "deflection"), END_SHEAR)
def test_end_shear(record, share: str, shortening: str, deflection: str) -> None:
    """Under a force the paper's shells bend within a quarter of a percent as much."""
    limb = ElasticaLimb(10.0, 100.0)
    q = cantilever(limb, [0.0, 4.0 * float(share)]).raise_for_failure().value
    x, y = limb.tip(q).position[0]
    source, reason = "Sze, Liu and Lo, cantilever under end shear", "0.25 %: shells on a mesh"
    for name, printed, ours in (
        ("shortening", shortening, 10.0 - x),
        ("deflection", deflection, y),
    ):
        allowed = 0.0025 * float(printed)
        record(source, f"{name} at {share} of the force", printed, ours, allowed, reason)
