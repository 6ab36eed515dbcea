"""Laid ropes against the geometry of touching helical tubes and of ply yarns.

Sources: K. Olsen and J. Bohr, The geometrical origin of the strain-twist coupling in double
helices, *AIP Advances* 1 (2011) 012108 (the abstract was read); J. Bohr and K. Olsen, The ancient
art of laying rope, *EPL* 93 (2011) 60004, and the same authors' papers on close-packed helices
(their figures for three strands and for close packing from memory; a first version of the rope
paper is reported with 42.5 deg in place of 42.8); a study of ideal and best-packing double
helices, arXiv 1104.0489 (a summary was read); S. Neukirch and G. H. M. van der Heijden, Geometry
and mechanics of uniform n-plies, *Journal of Elasticity* 69 (2002) 41-72, and L. R. G. Treloar,
The geometry of multi-ply yarns, *Journal of the Textile Institute* 47 (1956) T348, both from
memory. Pitch angles are measured from the plane across the axis, lay angles from the axis. Each
figure was found again by a search of least distances apart from this program. What is common
practice has no source and is marked so.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from strandwright.fibre.bundle import filled_radii
from strandwright.fibre.laid.bundle import LaidBundles
from strandwright.fibre.laid.contact import touching, winding_at
from strandwright.fibre.laid.equilibrium import balanced_lay
from strandwright.fibre.laid.lay import Lay, lay_of
from strandwright.fibre.laid.splice import splice_grip, splice_length
from strandwright.fibre.laid.take_up import more_turns
from strandwright.fibre.twist import StrandSet

INCH = 0.0254
LAST = "half the last digit"


def _most(function, low: float, high: float) -> float:
    """Give where a function of the winding is at its most."""
    found = minimize_scalar(lambda q: -function(q), bounds=(low, high), method="bounded",
                            options={"xatol": 1e-11})  # fmt: skip
    return float(found.x)  # pyright: ignore[reportAttributeAccessIssue]


def _turns(count: int):
    """Turns in bundles of a length, by the winding."""
    return lambda q: q * float(np.cos(touching(q, count).angle))


def _filled(count: int):
    """Share of the cylinder round the rope that bundles fill, by the winding."""

    def share(q: float) -> float:
        touch = touching(q, count)
        return count / float(np.cos(touch.angle) * (1.0 + touch.spread) ** 2)

    return share


@pytest.mark.parametrize(("count", "printed"), [(2, "39.4"), (3, "42.8")])
def test_most_turns(record, count: int, printed: str) -> None:
    """No more turns go into strands of a length; a pull neither winds nor unwinds there."""
    winding = _most(_turns(count), 0.3, np.pi / count - 0.05)
    pitch_angle = 90.0 - float(np.degrees(touching(winding, count).angle))
    record("Pitch angle of the rope with the most turns", f"{count} strands", printed,
           pitch_angle, 0.05, LAST, "deg")  # fmt: skip


def test_length_of_the_rope_with_most_turns(record) -> None:
    """Three strands become a rope of 68 % of their length."""
    winding = _most(_turns(3), 0.3, 1.0)
    share = 100.0 * float(np.cos(touching(winding, 3).angle))
    record("Rope with the most turns", "length over that of three strands", "68", share, 0.5,
           LAST, "%")  # fmt: skip


def test_close_packing_of_two(record) -> None:
    """The fullest double helix: its angle, slope, pitch and share.

    The summary gives the shortest strands, the rope with most turns, too: slope 0.822 and a pitch
    of 5.93 radii. At that slope the tubes touch at 5.40 radii, so it is not used.
    """
    winding = _most(_filled(2), 1.1, 1.5)
    touch = touching(winding, 2)
    source = "Fullest double helix"
    angle = 90.0 - float(np.degrees(touch.angle))
    record(source, "pitch angle", "32.5", angle, 0.1, "printed from 32.45, rounded up", "deg")
    record(source, "slope of the centrelines", "0.635805", 1.0 / float(np.tan(touch.angle)),
           1e-5, "searched on a flat top; the slope's own zero lies at 0.635811")  # fmt: skip
    record(source, "pitch over radius of a tube", "4.80", 2.0 * np.pi / winding, 5e-3, LAST)
    record(source, "share filled", "0.769", _filled(2)(winding), 5e-4, LAST)


def test_two_touch_on_the_axis_down_to_a_pitch(record) -> None:
    """Above a pitch of 2 pi radii two tubes touch on the axis; below, off it."""
    low, high = 0.5, 1.4
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if touching(middle, 2).spread <= 1.0 else (low, middle)
    source = "Where two strands cease to touch on the axis"
    record(source, "pitch over radius of a tube", "6.2832", 2.0 * np.pi / low, 5e-5, LAST)
    angle = float(np.degrees(touching(low, 2).angle))
    record(source, "lay angle", "45", angle, 1e-4, "the spread leaves 1 slowly", "deg")


def test_side_by_side(record) -> None:
    """Radius of the centrelines without lay, in radii of a strand."""
    for count, printed in ((2, "1"), (3, "1.154701")):
        record("Plies without lay", f"helix radius of {count}", printed,
               float(touching(0.0, count).spread), 5e-7, LAST)  # fmt: skip


def _strand_length(lay: Lay, own: float, radius: float, start: float, turns: int) -> float:
    """Length of a strand in a bundle on a helix, over that of the bundle, from its points."""
    angle = float(lay.angle)
    around = np.linspace(0.0, 2.0 * np.pi * turns, 200_001 * turns)
    arc = around * float(lay.helix_radius) / np.sin(angle)
    phase = start + (2.0 * np.pi * own - float(lay.torsion)) * arc
    inward = np.stack([-np.cos(around), -np.sin(around), np.zeros_like(around)])
    beside = np.stack([np.cos(angle) * np.sin(around), -np.cos(angle) * np.cos(around),
                       np.full_like(around, np.sin(angle))])  # fmt: skip
    centre = np.stack([-inward[0], -inward[1], around / np.tan(angle)]) * float(lay.helix_radius)
    points = centre + radius * (np.cos(phase) * inward + np.sin(phase) * beside)
    return float(np.linalg.norm(np.diff(points), axis=0).sum() / arc[-1])


@pytest.mark.parametrize("angle", [10, 20, 30])
def test_strand_of_a_ply(record, angle: int) -> None:
    """A helix on a helix, measured along its points, against the helix on a straight bundle."""
    lay = lay_of(1.0, 2.0 * np.pi / float(winding_at(np.radians(angle), 2)), 2)
    # Twice the lay's turns over the bundle, the other way: what a rope free of torque has.
    own = -2.0 * float(np.sin(lay.angle) / (2.0 * np.pi * lay.helix_radius))
    # Over ten turns of lay the strand lies on all sides of its bundle.
    measured = _strand_length(lay, own, 0.7, 0.3, 10)
    straight = np.hypot(1.0, 2.0 * np.pi * own * 0.7)
    off = {10: 5e-4, 20: 5e-3, 30: 2e-2}[angle]
    record("Path of a strand in one of two plies, by its points, 0.7 of the way out",
           f"lay angle {angle} deg", f"{measured:.6f}", float(straight), off,
           "bend of the ply, left out by the model")  # fmt: skip


@pytest.mark.parametrize("count", [2, 3])
def test_plies_turned_as_one(record, count: int) -> None:
    """Without turns by hand every strand is a helix about the rope's axis, of its own radius."""
    lay = lay_of(1.0, 30.0, count)
    places = 0.7 * np.exp(2j * np.pi * np.arange(12) / 12.0)
    torsion = float(lay.torsion) / (2.0 * np.pi)
    paths = [_strand_length(lay, torsion, abs(z), float(np.angle(z)), 1) for z in places]
    mean = float(np.mean(paths) * lay.path)
    ours = float(np.hypot(1.0, 2.0 * np.pi * torsion * 0.7) * lay.path)
    record("Mean path of a ring of strands, 0.7 of the way out, plies turned as one",
           f"{count} plies, pitch of 15 diameters", f"{mean:.6f}", ours, 1e-4,
           "bend of the ply, left out by the model")  # fmt: skip


def _bundles(count: int) -> LaidBundles:
    """Give bundles of seven strands that share their load."""
    strands = StrandSet(filled_radii(7), np.array(2000.0), np.array(1.3), 0.1, np.array(1.0))
    return LaidBundles(count, np.array(0.0007), strands, np.array(0.0), np.array(0.0))


@pytest.mark.parametrize(("count", "printed"), [(2, "1.5"), (3, "1.222")])
def test_laid_strings_react_more_to_a_turn(record, count: int, printed: str) -> None:
    """The closed ratio for few turns; that laid strings react more is common practice."""
    effect = more_turns(250.0, 1.5, 15.0, 0.0, _bundles(count)).value
    record("One more turn, laid over endless, no turns by hand: by hand for small angles; that "
           "it is over 1 is common practice, no source", f"{count} bundles", printed,
           float(effect.ratio), 5e-3, "angles are not small: 15 turns in 1.5 m")  # fmt: skip


@pytest.mark.parametrize(("count", "printed"), [(2, "0.3333"), (3, "0.2727")])
def test_balanced_lay(record, count: int, printed: str) -> None:
    """Lay over turns by hand in a rope under a pull that needs no torque."""
    span = balanced_lay(15.0, 1.5, -20.0, _bundles(count)).value
    record("Lay free of torque over turns by hand, by hand for small angles", f"{count} bundles",
           printed, float(span.lay_turns) / 20.0, 3e-4,
           "angles are not small: 20 turns in 1.5 m")  # fmt: skip


@pytest.mark.parametrize("twisted", [False, True])
@pytest.mark.parametrize(
    ("name", "friction", "radius"),
    [("polyester", 0.25, 0.001), ("polyethylene", 0.08, 0.00075)],
)
def test_married_length(record, name: str, friction: float, radius: float, twisted: bool) -> None:
    """Common practice, no source: tails are married over 4 to 6 in."""
    angle = np.radians(20.0)
    lay = lay_of(radius, 2.0 * np.pi * radius / float(winding_at(angle, 2)), 2)
    # Either the lay alone presses, or also the turns by hand that a rope free of torque keeps.
    own = 2.0 * np.sin(angle) / (2.0 * np.pi * float(lay.helix_radius)) if twisted else 0.0
    grip = splice_grip(friction, lay, own, radius * filled_radii(14))
    along = splice_length(grip, 2.0).raise_for_failure().value
    how = "lay and turns by hand" if twisted else "lay alone"
    record("Married length at twice the tension of a loop, lay of 20 deg assumed; 4 to 6 in is "
           "common practice, no source", f"{name}, friction {friction:g}, {how}", "5",
           float(along / lay.path) / INCH, 4.0,
           "its order only: 1 for the range, friction known to a quarter, lay not known",
           "in")  # fmt: skip
