"""The brace curve against the bow's own slope, bows strung anew, and elastica by another way."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import root
from scipy.special import ellipe, ellipk

from strandwright.bow.bent import BentBow, string_up
from strandwright.bow.bent_family import BentFamily, BentKnown, fit_bent_family
from strandwright.bow.brace_curve import BraceCurve, brace_curve
from strandwright.bow.elastica import ElasticaLimb
from strandwright.bow.family import Spread
from strandwright.bow.sensitivity import respond
from strandwright.bow.taper import width_taper
from strandwright.errors import SpecError

INCH = 0.0254
RECURVE = {
    "riser": Spread(24 * INCH, 0.5 * INCH),
    "set_forward": Spread(-0.8 * INCH, 0.2 * INCH),
    "lean": Spread(0.1, 0.02),
    "tip": Spread(4 * INCH, 0.3 * INCH),
    "tip_turn": Spread(0.9, 0.08),
}
LONGBOW = {
    "riser": Spread(9 * INCH, 1.5 * INCH),
    "set_forward": Spread(0.0, 0.4 * INCH),
    "lean": Spread(0.0, 0.02),
}


def family(*, recurved: bool) -> BentFamily:
    """Some bows of 66 in that pull 44 lbf, or longbows of 68 in."""
    known = BentKnown(
        recurved, (66 if recurved else 68) * INCH, (8.375 if recurved else 6.5) * INCH,
        26.25 * INCH, (196.0, 1.0), 0.0, 1.5e5, 0.003,
    )  # fmt: skip
    return fit_bent_family(known, RECURVE if recurved else LONGBOW, 8)


@pytest.fixture(scope="module", params=[True, False], ids=["recurve", "longbow"])
def looked_at(request: pytest.FixtureRequest) -> tuple[BentFamily, BraceCurve]:
    """Bows with their curve."""
    bows = family(recurved=request.param)
    return bows, brace_curve(bows.strung, -0.03, 0.02)


def test_its_own_string_gives_its_own_brace(looked_at: tuple[BentFamily, BraceCurve]) -> None:
    """On its own string each bow stands as it was found."""
    bows, curve = looked_at
    here = curve.read(curve.brace, 0.0)
    np.testing.assert_allclose(here, bows.figures.brace_height[curve.rows], atol=2e-6)
    tension = bows.strung.tension[curve.rows, 0]
    np.testing.assert_allclose(curve.read(curve.tension, 0.0), tension, rtol=1e-4)


def test_its_slope_is_the_response(looked_at: tuple[BentFamily, BraceCurve]) -> None:
    """Its slope at the bow's own string is what implicit differentiation says."""
    bows, curve = looked_at
    step = 2e-4
    slope = (curve.read(curve.brace, step) - curve.read(curve.brace, -step)) / (2 * step)
    share = bows.strung.rig.natural / bows.strung.rig.natural.sum(axis=1, keepdims=True)
    told = np.sum(respond(bows.cycle).brace_height * share, axis=1)[curve.rows]
    np.testing.assert_allclose(slope, told, rtol=2e-4)


def test_a_longer_string_always_braces_lower(looked_at: tuple[BentFamily, BraceCurve]) -> None:
    """Over the whole range, on every bow."""
    _, curve = looked_at
    heights = np.array([curve.read(curve.brace, at) for at in np.linspace(-0.03, 0.02, 21)])
    assert np.all(np.diff(heights, axis=0) < 0.0)


def test_the_string_for_a_height_gives_that_height(
    looked_at: tuple[BentFamily, BraceCurve],
) -> None:
    """There and back again; a height past the range is said to be out of reach."""
    bows, curve = looked_at
    wanted = bows.known.brace_height + 0.4 * INCH
    longer, reached = curve.longer_for(curve.brace, wanted)
    assert reached.all()
    np.testing.assert_allclose(curve.read(curve.brace, longer), wanted, atol=1e-12)
    assert not curve.longer_for(curve.brace, 3 * INCH)[1].any()


def test_a_range_the_bows_do_not_stand_on_is_refused() -> None:
    """A string longer than the unstrung bow braces nothing."""
    with pytest.raises(SpecError, match="standing on every string"):
        brace_curve(family(recurved=False).strung, -0.01, 0.25)


@pytest.mark.parametrize("alpha", [14.0, 20.0, 25.0])
def test_uniform_bow_by_elliptic_integrals(alpha: float) -> None:
    """A straight uniform bow without a grip braces on any string as the buckled bar does."""
    stiff = 1e5
    limb = ElasticaLimb(1.0, 1.0, elements=2, degree=9)
    unstrung = BentBow(limb, limb, string_stiffness=stiff)

    def exact(angle: float) -> tuple[float, float, float]:
        m = np.sin(0.5 * np.deg2rad(angle)) ** 2
        k = float(ellipk(m))
        return k**2, 2.0 * float(ellipe(m)) / k - 1.0, 2.0 * float(np.sqrt(m)) / k

    pull, half, _ = exact(20.0)
    strung = string_up(unstrung, 2.0 * half / (1.0 + pull / stiff))
    curve = brace_curve(strung, -0.05, 0.04)
    pull, half, height = exact(alpha)
    longer = 2.0 * half / (1.0 + pull / stiff) - float(strung.rig.natural.sum())
    assert curve.read(curve.brace, longer)[0] == pytest.approx(height, abs=2e-5)
    assert curve.read(curve.tension, longer)[0] == pytest.approx(pull, rel=1e-4)
    assert curve.read(curve.path, longer)[0] == pytest.approx(2.0 * half, abs=1e-6)


@pytest.mark.parametrize("longer", [-0.02, 0.0, 0.012])
def test_tapered_bow_by_integrating_the_beam(longer: float) -> None:
    """A longbow's limbs, integrated as a beam by another program, give the same string."""
    bows = family(recurved=False)
    curve = brace_curve(bows.strung, -0.03, 0.02)
    one = int(curve.rows[0])
    size = {name: float(getattr(bows.sizes, name)[one]) for name in
            ("riser", "set_forward", "lean", "root_stiffness")}  # fmt: skip
    working = 0.5 * (bows.known.bow_length - size["riser"])
    taper = width_taper(0.35)

    def limb(pull: float, tip: float) -> np.ndarray:
        """Place of the tip: towards the archer, and up."""

        def slope(s: float, y: np.ndarray) -> list[float]:
            stiffness = size["root_stiffness"] * float(taper(np.array(s / working)))
            bend = pull * (tip - y[0]) / stiffness
            return [np.sin(y[2]), np.cos(y[2]), bend]

        start = [-size["set_forward"], 0.5 * size["riser"], size["lean"]]
        return solve_ivp(slope, (0.0, working), start, rtol=1e-9, atol=1e-11).y[:2, -1]

    half = 0.5 * float(curve.read(curve.path, longer)[0])

    def off(unknown: np.ndarray) -> np.ndarray:
        place = limb(1e2 * unknown[0], unknown[1])
        return np.array([place[0] - unknown[1], place[1] - half])

    found = root(off, [3.5, 6.5 * INCH], tol=1e-12)
    assert np.abs(off(found.x)).max() < 1e-9
    assert curve.read(curve.brace, longer)[0] == pytest.approx(found.x[1], abs=1e-4)
    assert curve.read(curve.tension, longer)[0] == pytest.approx(1e2 * found.x[0], rel=2e-3)
