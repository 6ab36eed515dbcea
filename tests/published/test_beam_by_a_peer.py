"""A beam bent far, and a braced and drawn bow of two beams, beside a finite-element program.

Exudyn 1.13 (`exudyn` in the registry) has plane beams with nodes of places and slopes that turn
as far as they will: J. Gerstmayr and H. Irschik, On the correct representation of bending and
axial deformation in the absolute nodal coordinate formulation with an elastic line approach,
*Journal of Sound and Vibration* 318 (2008) 461-487. Its beams stretch, ours do not: at a stiffness
along the beam of 1e7 EI/L^2 that is some millionths, as is what 64 or 40 elements are off. The
peer is given length, stiffness and the string, begins at arcs of circles, and finds the rest.
What it gives stands in the column of what is printed.
"""

from functools import cache
from typing import Any

import numpy as np
import pytest
from multibody_peer import Floats, Peer
from scipy.optimize import brentq

from strandwright.bow.bent import BentBow, string_up
from strandwright.bow.cantilever import cantilever
from strandwright.bow.draw_cycle import DrawCycle, draw_cycle
from strandwright.bow.elastica import ElasticaLimb
from strandwright.bow.strung import Strung

ALONG = 1e7
STRING = 1e4
CANTILEVER = "Dead force across the tip, Exudyn's cable elements"
BRACED = "Uniform bow, braced, Exudyn's cable elements"
DRAWN = "Uniform bow, drawn, Exudyn's cable elements"
HALF = "half the last digit, and the elements"


@pytest.fixture(scope="module")
def exudyn(need_library) -> Any:
    """The peer, where it is installed."""
    return need_library("exudyn")


def straight(elements: int, side: float = 1.0) -> Floats:
    """Places and slopes of a straight limb of unit length, up or down."""
    s = np.linspace(0.0, 1.0, elements + 1)
    return np.stack([0.0 * s, side * s, 0.0 * s, side + 0.0 * s], axis=-1)


def arc(elements: int, turn: float, side: float = 1.0) -> Floats:
    """Places and slopes of the same limb bent to an arc."""
    angle = turn * np.linspace(0.0, 1.0, elements + 1)
    c, s = np.cos(angle), np.sin(angle)
    return np.stack([(1.0 - c) / turn, side * s / turn, s, side * c], axis=-1)


@pytest.mark.parametrize("load", [1, 2, 4, 7, 10])
def test_cantilever(record, exudyn: Any, load: int) -> None:
    """Shortening and deflection of the tip at P L^2/EI from 1 to 10."""
    peer = Peer(exudyn)
    nodes = peer.limb(straight(64), straight(64), (1.0, ALONG))
    peer.push(peer.at_node(nodes[-1]), float(load), 0.0)
    peer.assemble()
    peer.settle(1e-11)
    across, along = peer.coordinates(nodes[-1])[:2]
    limb = ElasticaLimb(1.0, 1.0, degree=15)
    q = cantilever(limb, [0.0, float(load)]).raise_for_failure().value
    x, y = limb.tip(q).position[0]
    for item, theirs, ours in (("u/L", 1.0 - along, 1.0 - x), ("w/L", across, y)):
        text = f"{theirs:.5f}"
        record(CANTILEVER, f"{item}, P L²/EI = {load}", text, float(ours), 8e-6, HALF)
    np.testing.assert_allclose([x, y], [along, across], atol=3e-6)


# ----------------------------------------------------------------------------------- a bow of two


@cache
def standing() -> Strung:
    """Give our uniform bow on a string as long as that of a tip that heads about 20 degrees."""
    limb = ElasticaLimb(1.0, 1.0, elements=2, degree=11)
    return string_up(BentBow(limb, limb, string_stiffness=STRING), 2.0 * 0.9695)


@cache
def pulled() -> DrawCycle:
    """Draw it."""
    s = standing()
    out = draw_cycle(s.rig, s.brace, s.directions, np.array([0.7]), 9)
    return out.raise_for_failure("the draw").value


class PeerBow:
    """Two beams clamped back to back, and a string between them in two parts."""

    def __init__(self, exudyn: Any, *, held: bool = False) -> None:
        self.peer, elements = Peer(exudyn), 40
        half = float(standing().rig.natural[0, 0])
        # Arcs between whose ends the string is about as tight as the buckled bar would have it.
        tight = half * (1.0 + 0.25 * np.pi**2 / STRING)
        turn: Any = brentq(lambda t: np.sin(t) / t - tight, 0.05, 2.0)
        stiffness = (1.0, ALONG)
        self.limbs = [
            self.peer.limb(straight(elements, side), arc(elements, turn, side), stiffness)
            for side in (1.0, -1.0)
        ]
        start = float(arc(elements, turn)[-1, 0])
        body, self.nock = self.peer.body(start, 0.0, 0.0)
        self.peer.hold(self.nock, [2])
        place = self.peer.place(body)
        if held:
            self.rod = self.peer.apart(self.peer.place(self.peer.ground), place, start)
        tips = [self.peer.at_node(limb[-1]) for limb in self.limbs]
        self.strings = [self.peer.string(tip, place, (STRING, half)) for tip in tips]
        self.peer.assemble()
        self.peer.settle(1e-8)

    def draw_to(self, draw: float) -> None:
        """Draw the nocking point to a distance from the pivot."""
        self.peer.system.SetObjectParameter(self.rod, "distance", draw)
        self.peer.settle(1e-8)

    def tip(self) -> Floats:
        """Place and slope of the upper tip."""
        return self.peer.coordinates(self.limbs[0][-1])


def test_braced_bow(record, exudyn: Any) -> None:
    """Tension, brace and tip follow from the length of the string."""
    peer, ours = PeerBow(exudyn), standing()
    at = ours.rig.poses(ours.brace).at[0, ours.rig.bow.tip(0)]
    x, y, slope_x, slope_y = peer.tip()
    rows = (
        ("T L²/EI", peer.peer.tension(peer.strings[0]), ours.tension[0, 0]),
        ("brace / L", peer.peer.coordinates(peer.nock)[0], ours.brace[0, ours.rig.draw]),
        ("tip sideways / L", x, at[0]),
        ("tip along / L", y, at[1]),
        ("tip angle", np.arctan2(slope_x, slope_y), 0.5 * np.pi - at[2]),
    )
    for item, theirs, own in rows:
        unit = "rad" if item == "tip angle" else ""
        record(BRACED, item, f"{theirs:.5f}", float(own), 8e-6, HALF, unit)
        assert own == pytest.approx(theirs, abs=3e-6)


def test_drawn_bow(record, exudyn: Any) -> None:
    """Draw force, tension and tip along the draw."""
    cycle = pulled()
    peer = PeerBow(exudyn, held=True)
    tip = cycle.rig.bow.tip(0)
    for k in range(1, cycle.points):
        draw = float(cycle.draw[0, k])
        peer.draw_to(draw)
        at = cycle.rig.poses(cycle.q[:, k]).at[0, tip]
        x, y, *_ = peer.tip()
        rows = (
            ("F L²/EI", peer.peer.force(peer.rod), cycle.force[0, k]),
            ("T L²/EI", peer.peer.tension(peer.strings[0]), cycle.tension[0, k, 0]),
            ("tip sideways / L", x, at[0]),
            ("tip along / L", y, at[1]),
        )
        for item, theirs, own in rows:
            assert own == pytest.approx(theirs, abs=5e-6)
            if k % 2 == 0:
                name = f"{item}, b/L = {draw:.4f}"
                record(DRAWN, name, f"{theirs:.5f}", float(own), 1e-5, HALF)
