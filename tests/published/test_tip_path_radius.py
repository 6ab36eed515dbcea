"""The circle on which a limb's tip sets out.

Sources: C. N. Hickman, The dynamics of a bow and arrow, *Journal of Applied Physics* 8 (1937)
404-409: a limb whose width tapers to a point bends in an arc, and its tip moves on a circle of
three quarters of its length (reference from memory). For a uniform limb under a force across it
the linear deflection gives u = 3 w^2/(5 L), a circle of five sixths. L. L. Howell, *Compliant
Mechanisms*, 2001, gives 0.8517 for a uniform limb bent far by a force across it: a mean over the
path, by which the tip is met within half a percent of the deflection until the link has turned
64.3 degrees (from memory).
"""

import numpy as np
import pytest

from strandwright.bow.cantilever import cantilever
from strandwright.bow.elastica import ElasticaLimb
from strandwright.bow.taper import Profile, uniform, width_taper

SMALL, REASON = 1e-3, "the path is no circle: its radius changes with the square of the bending"


def radius(limb: ElasticaLimb, force: float, moment: float = 0.0) -> float:
    """Radius of the path through root position and bent position, over the length."""
    q = cantilever(limb, [0.0, force], moment, tolerance=1e-9).raise_for_failure().value
    x, y = limb.tip(q).position[0]
    return y**2 / (2.0 * (1.0 - x))


@pytest.mark.parametrize(
    ("name", "taper", "printed", "force", "moment"),
    [
        ("width tapered to a point, force", width_taper(), "0.75", SMALL, 0.0),
        ("uniform, end moment: an arc", uniform(), "0.75", 0.0, SMALL),
        ("uniform, force", uniform(), "0.8333", SMALL, 0.0),
    ],
)
def test_radius(
    record, name: str, taper: Profile, printed: str, force: float, moment: float
) -> None:
    """Bent a little, the tip runs on a circle of the printed radius."""
    limb = ElasticaLimb(1.0, 1.0, taper, degree=6)
    record("Radius over length", name, printed, radius(limb, force, moment), 1e-4, REASON)


def test_width_taper_bends_in_an_arc() -> None:
    """Under a small force the limb that tapers to a point has the same curvature everywhere."""
    limb = ElasticaLimb(1.0, 1.0, width_taper(), degree=6)
    q = cantilever(limb, [0.0, SMALL], tolerance=1e-9).raise_for_failure().value[0]
    assert q[0] == pytest.approx(SMALL, rel=1e-6)
    assert np.abs(q[1:]).max() < 1e-6 * q[0]


def test_link_in_place_of_a_limb(record) -> None:
    """A link of 0.8517 meets the path within half a percent until it has turned that far."""
    gamma, loads = 0.8517, np.linspace(0.1, 12.0, 400)
    limb = ElasticaLimb(1.0, 1.0, degree=17)
    q = cantilever(limb, np.stack([0.0 * loads, loads], axis=-1)).raise_for_failure().value
    tip = limb.tip(q).position
    from_pivot = tip - np.array([1.0 - gamma, 0.0])
    turn = np.rad2deg(np.arctan2(from_pivot[:, 1], from_pivot[:, 0]))
    miss = np.abs(np.linalg.norm(from_pivot, axis=-1) - gamma)
    miss /= np.linalg.norm(tip - np.array([1.0, 0.0]), axis=-1)
    passed = np.flatnonzero(miss > 0.005)
    last = float(np.interp(0.005, miss[passed[0] - 1 : passed[0] + 1], turn[passed[0] - 1 :][:2]))
    source, reason = "Link of 0.8517 in place of a uniform limb", "half the last digit"
    record(source, "turn up to which it is within half a percent", "64.3", last, 0.05, reason, "°")
