"""Shortening of a twisted bundle against the closed formulas of yarn mechanics.

Sources: J. W. S. Hearle, P. Grosberg, S. Backer, *Structural Mechanics of Fibers, Yarns, and
Fabrics*, volume 1 (Wiley, 1969), and L. R. G. Treloar, A migrating-filament theory of yarn
properties, *Journal of the Textile Institute* 56 (1965) T359; both from memory. A uniform bundle
whose strands all have one length contracts by the mean of the helix length over its section,
c = 2 (sec^3 a - 1) / (3 tan^2 a) with a the surface angle; the form (1 + sec a) / 2 is printed
beside it and differs by less than 2e-5 up to 10 degrees. The digits of the tables were computed
apart from this program by integration over the section.
"""

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq

from strandwright.fibre.bundle import centre_radii, filled_radii
from strandwright.fibre.strand_law import strand_strain
from strandwright.fibre.twist import StrandSet, area_mean_contraction, span_length

INCH = 0.0254
LBF = 4.4482216152605
STIFFNESS = 2779 * LBF
BUNDLE = 5.651661 * 0.018 * INCH
"""Rigid diameter of 24 strands of 0.018 in."""


def _strands(radii: np.ndarray, share: float) -> StrandSet:
    """Give 24 strands, linear to break."""
    return StrandSet(radii, np.array(STIFFNESS), np.array(1.0), 0.025, np.array(share))


@pytest.mark.parametrize(
    ("angle", "area_mean", "migrating", "retraction"),
    [
        (2, "1.0003048", "1.0003048", "0.0305"),
        (5, "1.0019111", "1.0019099", "0.1907"),
        (10, "1.0077330", "1.0077133", "0.7674"),
        (20, "1.0324214", "1.0320889", "3.1403"),
    ],
)
def test_contraction(record, angle: int, area_mean: str, migrating: str, retraction: str) -> None:
    """The formula meets all digits, the integral it stands for, and its rival to 4e-4."""
    alpha = np.radians(angle)
    ours = float(area_mean_contraction(alpha))
    source = "Contraction factor by surface angle"
    half = "half the last digit"
    record(source, f"area mean, {angle} deg", area_mean, ours, 5e-8, half)
    record(source, f"retraction, {angle} deg", retraction, 100 * (1 - 1 / ours), 5e-5, half, "%")
    gap = {2: 1e-7, 5: 2e-6, 10: 2.5e-5, 20: 4e-4}[angle]
    record(source, f"(1 + sec a)/2, {angle} deg", migrating, ours, gap, "another mean over radius")
    integral, _ = quad(lambda s: 2 * s * np.sqrt(1 + (s * np.tan(alpha)) ** 2), 0.0, 1.0)
    assert ours == pytest.approx(integral, rel=1e-12)


@pytest.mark.parametrize(
    ("turns", "printed", "tolerance"),
    [
        (10, "1.098", 5e-4),
        (20, "4.385", 5e-4),
        (30, "9.842", 5e-4),
        (40, "17.44", 5e-3),
        (60, "38.87", 5e-3),
    ],
)
def test_take_up_through_the_equilibrium(
    record, turns: int, printed: str, tolerance: float
) -> None:
    """24 strands of 0.018 in, twisted to 1500 mm: the solved span takes up what is printed.

    The natural length is chosen so that the span comes to 1500 mm under 100 lbf; what is left
    after the strands' own stretch is taken off is the take-up.
    """
    load = 100 * LBF
    contraction = float(area_mean_contraction(np.arctan(np.pi * BUNDLE * turns / 1.5)))
    natural = 1.5
    strands = _strands(filled_radii(24), 1.0)
    for _ in range(30):
        natural += 1.5 - float(span_length(load, natural, turns, BUNDLE / 2, strands).length)
    span = span_length(load, natural, turns, BUNDLE / 2, strands)
    assert float(span.length) == pytest.approx(1.5, abs=1e-12)
    stretched = natural * (1.0 + float(span.strains.mean()))
    assert np.ptp(span.strains) < 1e-12
    record(
        "Take-up of 24 strands of 0.018 in, fully shared, 1500 mm when twisted",
        f"{turns} turns",
        printed,
        1e3 * (stretched - 1.5),
        tolerance + 1e3 * 1.5 * 8e-5 * (contraction - 1) / 0.03,
        "half the last digit, and 24 strands for a continuous disc",
        "mm",
    )


@pytest.mark.parametrize(
    ("rate", "angle", "printed"),
    [(0.25, "4.568", "2.388"), (0.5, "9.079", "9.475"), (1.0, "17.724", "36.75")],
)
def test_turns_per_inch(record, rate: float, angle: str, printed: str) -> None:
    """Take-up of 1500 mm of untwisted skein, turns counted over the twisted length."""
    source = "Take-up of 24 strands of 0.018 in, fully shared, 1500 mm untwisted"
    alpha = np.arctan(np.pi * BUNDLE * rate / INCH)
    digits = 0.5 * 10.0 ** -len(printed.partition(".")[2])
    record(source, f"surface angle at {rate:g} turns/in", angle, np.degrees(alpha), 5e-4,
           "half the last digit", "deg")  # fmt: skip
    take_up = 1500 * (1 - 1 / float(area_mean_contraction(alpha)))
    record(source, f"take-up at {rate:g} turns/in", printed, take_up, digits,
           "half the last digit", "mm")  # fmt: skip


@pytest.mark.parametrize("turns", [10, 20, 30])
def test_one_more_turn(turns: int) -> None:
    """The slope nears the small-angle rule pi^2 D^2 N / (2 L), below it by 0.9 % at 30 turns."""

    def take_up(n: float) -> float:
        return 1.5 * (float(area_mean_contraction(np.arctan(np.pi * BUNDLE * n / 1.5))) - 1)

    slope = (take_up(turns + 0.01) - take_up(turns - 0.01)) / 0.02
    rule = np.pi**2 * BUNDLE**2 * turns / (2 * 1.5)
    angle = np.arctan(np.pi * BUNDLE * turns / 1.5)
    # The next term of the series of the closed formula: 1 - tan^2(a) / 3.
    assert slope / rule == pytest.approx(1 - np.tan(angle) ** 2 / 3, abs=np.tan(angle) ** 4)


@pytest.mark.parametrize(("turns", "more"), [(20, 1), (20, 5), (30, 1), (30, 5)])
def test_more_turns_in_one_skein(turns: int, more: int) -> None:
    """Turns added to a skein of fixed natural length, against the integral over the section.

    An easy slip is to take the angle from the untwisted length: it gives 0.446, 2.441, 0.655,
    3.479 mm for these four, where the integral gives 0.450, 2.470, 0.669, 3.565 mm.
    """

    def mean_path(length: float, n: float) -> float:
        return quad(lambda s: 2 * s * np.hypot(length, np.pi * BUNDLE * s * n), 0.0, 1.0)[0]

    natural = mean_path(1.5, turns)
    exact = brentq(lambda x: mean_path(x, turns + more) - natural, 1.4, 1.5, xtol=1e-13)
    after = span_length(1e-3, natural, turns + more, BUNDLE / 2, _strands(filled_radii(24), 1.0))
    # 24 strands for a continuous disc: 4e-6 of the length at 10.7 deg, 35 turns.
    assert float(after.length) == pytest.approx(exact, abs=6e-6)


def test_filled_radii_stand_for_the_disc() -> None:
    """Strands with their own second moment give the area mean to the fourth order of twist."""
    for angle, allowed in ((2, 1e-8), (5, 2e-7), (10, 3e-6), (20, 5e-5)):
        rate = np.tan(np.radians(angle))
        mean = np.sqrt(1 + (rate * filled_radii(24)) ** 2).mean()
        assert abs(mean - float(area_mean_contraction(np.radians(angle)))) < allowed


def test_strand_centres_contract_less() -> None:
    """The mean over strand centres is lower: the outermost lies half a strand inside the rim."""
    rate = np.tan(np.radians(10.0))
    centres = np.sqrt(1 + (rate * centre_radii(24)) ** 2).mean()
    area = float(area_mean_contraction(np.radians(10.0)))
    assert 0.94 < (centres - 1) / (area - 1) < 0.97


def test_straight_strands_by_hand() -> None:
    """No turns: the length is natural length and elastic strain, for both limits of the share."""
    strain = 100 * LBF / 24 / STIFFNESS
    assert float(strand_strain(100 * LBF / 24, STIFFNESS, 1.0, 0.025)) == pytest.approx(strain)
    for share in (0.0, 1.0):
        span = span_length(100 * LBF, 1.5, 0.0, BUNDLE / 2, _strands(centre_radii(24), share))
        assert float(span.length) == pytest.approx(1.5 * (1 + strain), rel=1e-13)
        assert float(span.torque) == 0.0
