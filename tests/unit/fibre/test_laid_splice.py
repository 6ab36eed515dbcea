"""Married splices."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from strandwright.fibre.bundle import filled_radii
from strandwright.fibre.laid.lay import lay_of
from strandwright.fibre.laid.splice import splice_grip, splice_hold, splice_length, splice_share
from strandwright.numerics.outcome import Reason

LAY = lay_of(0.001, 0.018, 2)


@pytest.mark.parametrize(("cover", "taper"), [(0.5, 1.0), (0.3, 0.0), (1.0, 0.5)])
def test_share_is_the_equation_solved_from_the_tip(cover: float, taper: float) -> None:
    """Another method walks from the tip to the throat."""
    length, grip = 0.1, 15.0

    def slope(from_tip: float, y: np.ndarray) -> np.ndarray:
        here = cover * (1.0 - taper * (1.0 - from_tip / length))
        return grip * (y + here * (1.0 - y))

    walked = solve_ivp(slope, (0.0, length), [0.0], rtol=1e-11, atol=1e-13).y[0, -1]
    assert float(splice_share(length, grip, cover, taper)) == pytest.approx(walked, rel=1e-8)


def test_share_without_taper_in_closed_form() -> None:
    """An even tail: the capstan on top of the cover."""
    cover, turning = 0.4, 1.7
    closed = cover / (1.0 - cover) * np.expm1(turning * (1.0 - cover))
    assert float(splice_share(0.1, 17.0, cover, 0.0)) == pytest.approx(closed, rel=1e-13)


def test_no_lay_and_no_twist_holds_nothing() -> None:
    """Straight strands do not press; wax that sticks still holds its part."""
    straight = lay_of(0.001, np.inf, 2)
    grip = splice_grip(0.25, straight)
    assert float(grip) == 0.0
    assert float(splice_share(1.0, grip)) == 0.0
    assert float(splice_hold(1.0, grip)) == 0.0
    found = splice_length(grip, 2.0)
    assert not found.ok
    assert found.reason is Reason.NO_BRACKET
    assert np.isinf(float(found.value))
    # Half of the wax of a full tail over 0.1 m against half of the tension.
    assert float(splice_hold(0.1, 0.0, stick=100.0)) == pytest.approx(10.0, rel=1e-12)


def test_longer_steeper_rougher_holds_more() -> None:
    """Share and hold rise with length, lay, friction and cover; taper costs."""
    lengths = np.linspace(0.0, 0.3, 31)
    grip = splice_grip(0.1, LAY)
    assert (np.diff(splice_share(lengths, grip)) > 0.0).all()
    held = splice_hold(lengths, grip, stick=50.0)
    finite = np.isfinite(held)
    assert (np.diff(held[finite]) > 0.0).all()
    assert not finite[-1]
    grips = [float(splice_grip(0.1, lay_of(0.001, p, 2))) for p in (0.03, 0.02, 0.012)]
    assert grips == sorted(grips)
    assert splice_share(0.1, grip, 0.6) > splice_share(0.1, grip, 0.5)
    assert splice_share(0.1, grip, 0.5, 0.0) > splice_share(0.1, grip, 0.5, 1.0)


def test_length_gives_its_share_back() -> None:
    """A length for a factor brings in that many times the share of a loop, batch or alone."""
    grip, factor = splice_grip(np.array([0.08, 0.25]), LAY), np.array([2.0, 3.0])
    found = splice_length(grip, factor).raise_for_failure()
    np.testing.assert_allclose(splice_share(found.value, grip), 0.5 * factor, rtol=1e-10)
    for i in range(2):
        alone = splice_length(float(grip[i]), float(factor[i])).value
        assert float(alone) == pytest.approx(float(found.value[i]), rel=1e-10)
    assert not splice_length(10.0, 2.0, cover=0.0).ok


def test_twist_of_the_bundles_helps() -> None:
    """Own turns of either hand press the strands on top of the lay."""
    radii = 0.001 * filled_radii(14)
    bare = float(splice_grip(0.1, LAY))
    both = [float(splice_grip(0.1, LAY, rate, radii)) for rate in (-80.0, 80.0)]
    assert both[0] == both[1] > bare
