"""Recurves and longbows: stringing, what lies on the tips, and what is refused."""

from dataclasses import replace

import numpy as np
import pytest

from strandwright.bow.bent import BentBow, RecurvedTip, string_up
from strandwright.bow.draw_cycle import DrawCycle, draw_cycle
from strandwright.bow.elastica import ElasticaLimb
from strandwright.bow.equilibrium import Trouble, stand
from strandwright.bow.figures import figures
from strandwright.bow.limb import PivotLimb
from strandwright.bow.strung import Strung
from strandwright.bow.strung import strung as strung_by_links
from strandwright.bow.taper import Stations, power_taper
from strandwright.errors import SpecError

Floats = np.ndarray

INCH = 0.0254


def limb(stiffness: float = 30.0) -> ElasticaLimb:
    """A limb of a 68 in recurve, its outer half curved back."""
    back = Stations([0.0, 0.5, 1.0], [0.0, 0.0, -2.5])
    taper = power_taper(1.6, 0.35)
    return ElasticaLimb(17.5 * INCH, stiffness, taper, back, elements=2, degree=6)


def recurve(lower: float = 30.0) -> BentBow:
    """A recurve whose string lies on its tips at brace."""
    return BentBow(
        limb(),
        limb(lower),
        riser=25 * INCH,
        set_forward=-0.02,
        lean=0.1,
        tip=RecurvedTip(4 * INCH, 0.9, 0.012),
        string_stiffness=1e5,
        string_thickness=0.0025,
    )


def longbow() -> BentBow:
    """A straight bow without anything at its tips."""
    straight = ElasticaLimb(32 * INCH, 35.0, power_taper(1.0, 0.4), elements=2, degree=6)
    return BentBow(straight, straight, riser=4 * INCH, string_stiffness=1e5)


def pull(standing: Strung, full: float = 26 * INCH, points: int = 41) -> DrawCycle:
    """Draw a bow."""
    whole = np.full(len(standing.brace), full)
    out = draw_cycle(standing.rig, standing.brace, standing.directions, whole, points)
    return out.raise_for_failure("the draw").value


BOWS = [(recurve(), 64.2 * INCH), (longbow(), 65.3 * INCH)]


@pytest.mark.parametrize(("bow", "length"), BOWS)
def test_stands_on_its_string(bow: BentBow, length: float) -> None:
    """At brace nothing is left over, both halves pull alike, and the string is straight."""
    standing = string_up(bow, length)
    at = standing.rig.potential(standing.brace, standing.directions)
    assert np.abs(at.gradient).max() < 1e-7
    np.testing.assert_allclose(at.tension, standing.tension, rtol=1e-7)
    assert standing.tension[0, 0] == pytest.approx(standing.tension[0, 1], rel=1e-7)
    assert standing.directions[0, 0] == pytest.approx(standing.directions[0, 1], abs=1e-9)
    assert float(standing.rig.natural.sum()) == pytest.approx(length, rel=1e-12)
    assert 4 * INCH < standing.brace[0, standing.rig.draw] < 11 * INCH
    again = stand(standing.rig, standing.brace, standing.directions, hold_draw=False)
    assert again.value.trouble == (Trouble.NONE,)


@pytest.mark.parametrize(("bow", "length"), BOWS)
def test_work_is_the_energy_gained(bow: BentBow, length: float) -> None:
    """The area under the force is what was stored, lift-off from the tips included."""
    cycle = pull(string_up(bow, length), points=401)
    step = (cycle.draw[0, -1] - cycle.draw[0, 0]) / 400
    force = cycle.force[0]
    area = step / 3 * (force[0] + 4 * force[1::2].sum() + 2 * force[2:-1:2].sum() + force[-1])
    assert area == pytest.approx(cycle.energy[0, -1], rel=1e-6)
    assert figures(cycle).let_off[0] == 0.0


def test_the_string_lies_on_the_tips_and_lifts_off() -> None:
    """At brace it lies on the belly from the nock on; far drawn it hangs from the nock alone."""
    bow = recurve()
    assert bow.tip is not None
    long, turn, thick = (
        float(np.asarray(v)) for v in (bow.tip.length, bow.tip.turn, bow.tip.thickness)
    )
    string = float(np.asarray(bow.string_thickness))
    cycle = pull(string_up(bow, 64.2 * INCH))
    peg = 0.5 * np.pi - turn
    lower, upper = cycle.normal[0, :, 0, 0], -cycle.normal[0, :, 1, 1]
    np.testing.assert_allclose(lower, upper, atol=1e-7)
    assert peg < lower[0] < 0.5 * np.pi
    assert lower[-1] < peg
    assert np.all(np.diff(lower) < 0.0)
    # Off the tip, the string is the straight line from the nock.
    at = cycle.rig.poses(cycle.q[:, -1]).at[0]
    radius = long / turn
    outer = radius + 0.5 * thick + 0.5 * string
    own = np.array([outer * np.cos(peg), outer * np.sin(peg) - radius])
    c, s = np.cos(at[2, 2]), np.sin(at[2, 2])
    nock = at[2, :2] + np.array([[c, -s], [s, c]]) @ own
    straight = np.hypot(*(at[3, :2] - nock))
    stretched = cycle.rig.natural[0, 0] * (1.0 + cycle.tension[0, -1, 0] / 1e5)
    assert straight == pytest.approx(stretched, rel=1e-9)


def test_a_shorter_string_raises_the_brace() -> None:
    """Several strings at once, longest first: brace rises, and each is as it is alone."""
    lengths = np.array([65.0, 64.5, 64.0, 63.5]) * INCH
    many = string_up(recurve(), lengths)
    braces = many.brace[:, many.rig.draw]
    assert np.all(np.diff(braces) > 0.0)
    for i, length in enumerate(lengths):
        one = string_up(recurve(), length)
        np.testing.assert_allclose(one.brace[0], many.brace[i], atol=1e-8)
    cycle = pull(many, points=9)
    np.testing.assert_allclose(
        pull(string_up(recurve(), lengths[2]), points=9).force[0],
        cycle.force[2],
        rtol=1e-6,
        atol=1e-5,
    )


def test_nocked_above_the_middle() -> None:
    """The nocking point stands at its height, square to a string that leans or not."""
    bow = replace(recurve(lower=32.0), nock_height=0.012, above=0.02)
    standing = string_up(bow, 64.2 * INCH)
    at = standing.rig.poses(standing.brace).at[0, standing.rig.bow.nock]
    assert at[1] == pytest.approx(0.012, abs=1e-12)
    assert np.abs(standing.rig.potential(standing.brace, standing.directions).gradient).max() < 1e-7
    low, high = standing.rig.natural[0]
    assert low != high


def test_upside_down() -> None:
    """A bow and its mirror image brace and draw alike."""
    bow = replace(recurve(lower=32.0), nock_height=0.012)
    turned = replace(bow, upper=bow.lower, lower=bow.upper, nock_height=-0.012)
    base, other = (pull(string_up(b, 64.2 * INCH), points=9) for b in (bow, turned))
    np.testing.assert_allclose(other.draw, base.draw, atol=1e-10)
    np.testing.assert_allclose(other.force, base.force, rtol=1e-7, atol=1e-6)
    np.testing.assert_allclose(other.q[..., -1], -base.q[..., -1], atol=1e-9)


def test_stiffer_limbs_pull_harder_in_proportion() -> None:
    """Limbs and string all twice as stiff: the same shape, every force doubled."""
    bow = recurve()
    double = replace(bow, upper=limb(60.0), lower=limb(60.0), string_stiffness=2e5)
    base, other = (pull(string_up(b, 64.2 * INCH), points=9) for b in (bow, double))
    np.testing.assert_allclose(other.force, 2.0 * base.force, rtol=1e-7, atol=1e-5)
    np.testing.assert_allclose(other.draw, base.draw, atol=1e-9)


def test_a_stiff_string_is_strung_as_well() -> None:
    """A string a hundred times as stiff hardly changes where the bow stands."""
    soft, stiff = (
        string_up(replace(longbow(), string_stiffness=k), 65.0 * INCH) for k in (1e6, 1e7)
    )
    assert stiff.brace[0, stiff.rig.draw] == pytest.approx(soft.brace[0, soft.rig.draw], abs=1e-3)


@pytest.mark.parametrize(
    ("length", "said"), [(68.2 * INCH, "shorter than the unstrung bow"), (0.0004, "shape")]
)
def test_a_string_that_cannot_be_is_refused(length: float, said: str) -> None:
    """As long as the bow itself, or hardly there: refused in plain words."""
    with pytest.raises(SpecError, match=said) as refused:
        string_up(longbow(), length)
    assert "string.length" in str(refused.value)
    assert "measure" in str(refused.value)


def test_a_bow_that_will_not_stay_strung_is_refused() -> None:
    """Limbs curved far back, braced low, tip over: no brace is made up for them."""
    bow = replace(recurve(), lean=-0.3, set_forward=0.03)
    with pytest.raises(SpecError, match="stands on"):
        string_up(bow, 66.0 * INCH)


@pytest.mark.parametrize("tip", [(0.0, 0.5, 0.0), (0.1, 0.0, 0.0), (0.1, 3.2, 0.0), (0.1, 1.0, -1)])
def test_a_tip_that_cannot_be_is_refused(tip: tuple[float, float, float]) -> None:
    """No length, no turn, more than half a turn, or less than no thickness."""
    with pytest.raises(SpecError, match="tip"):
        RecurvedTip(*tip)


def test_links_are_laid_out_and_beams_are_solved() -> None:
    """A bow of bent limbs cannot be laid out by its brace, and says what to do instead."""
    standing = string_up(longbow(), 65.0 * INCH)
    with pytest.raises(SpecError, match="solve its brace"):
        strung_by_links(standing.bow, standing.brace, np.array([300.0]))
    assert not isinstance(standing.bow.mounts[0].limb, PivotLimb)
