"""A line over wheels, and a bow with two round cams, beside a general multibody program.

Exudyn 1.13 (`exudyn` in the registry) runs a rope without friction over sheaves: J. Gerstmayr,
*Multibody System Dynamics* 60 (2024) 533-561. Its lengths, and the forces with which a tight rope
pulls the wheels' bodies, stand beside our lengths and their derivatives: wheels with their tracks
off the axle, passed on either side. Then a whole bow: two limbs on pivots, two wheels, each with
two round tracks off its axle, a string in two parts and two cables. The peer is given the sizes
and the natural lengths; it finds the rest itself, from the brace on, draw after draw, by its own
Newton's method with rods and hinges for constraints, where ours has neither. What the peer gives
stands in the column of what is printed.
"""

from functools import cache
from typing import Any

import numpy as np
import pytest
from multibody_peer import Floats, Peer

from strandwright.bow.draw_cycle import DrawCycle, draw_cycle
from strandwright.bow.limb import PivotLimb
from strandwright.bow.parts import Reach
from strandwright.bow.strung import Strung
from strandwright.bow.systems import Sizes, lay_out
from strandwright.geometry.taut import Contact, TautPaths
from strandwright.geometry.track import circle, point

INCH = 0.0254
ROPE = "Rope over sheaves off their axles, Exudyn"
BOW = "Bow with two round cams off their axles, Exudyn"
HALF = "half the last digit"

#: Radius of each track, its centre in the wheel's axes, and the side on which the line passes
WHEELS = [(0.3, (0.03, 0.02), -1), (0.2, (-0.05, 0.01), 1), (0.25, (0.0, 0.08), -1)]
#: Place and angle of each wheel; where the line ends
POSES = {
    "two, crossed": ([(1.0, 0.5, 0.3), (2.0, -0.4, -0.2)], (3.0, 0.2)),
    "two, turned": ([(1.0, 0.5, 2.0), (2.0, -0.4, -1.7)], (3.0, 0.2)),
    "three": ([(1.0, 0.5, 0.3), (2.0, -0.4, -0.2), (3.1, 0.3, 1.1)], (3.6, -0.8)),
    "three, turned": ([(0.9, 0.7, 4.0), (2.2, -0.2, 1.2), (3.0, 0.5, -0.9)], (4.0, -0.5)),
}


@pytest.fixture(scope="module")
def exudyn(need_library) -> Any:
    """The peer, where it is installed."""
    return need_library("exudyn")


def by_the_peer(exudyn: Any, poses: list[Any], end: tuple[float, float]) -> tuple[float, Floats]:
    """Length of the rope, and what a pull of one does to the bodies."""
    peer = Peer(exudyn)
    bodies = [peer.body(*pose)[0] for pose in poses]
    tracks = WHEELS[: len(poses)]
    places = [peer.place(b, *at) for b, (_, at, _) in zip(bodies, tracks, strict=True)]
    places = [peer.place(peer.ground), *places, peer.place(peer.ground, *end)]
    radii = [0.0, *(r for r, _, _ in tracks), 0.0]
    rope = peer.rope(places, radii, [1, *(s for _, _, s in tracks), 1], (1e3, 1.0))
    peer.assemble()
    return peer.length(rope), -peer.residual() / peer.tension(rope)


def by_ours(poses: list[Any], end: tuple[float, float]) -> tuple[float, Floats]:
    """Length of the taut path, and its derivatives by the poses: directions and levers."""
    contacts = [Contact(1 + i, circle(r, *at), s) for i, (r, at, s) in enumerate(WHEELS)]
    ends = Contact(0, point(0.0, 0.0)), Contact(1 + len(poses), point(0.0, 0.0))
    paths = TautPaths(((ends[0], *contacts[: len(poses)], ends[1]),))
    at = np.array([[(0.0, 0.0, 0.0), *poses, (*end, 0.0)]])
    spans = paths.spans(at, paths.guess(at))
    way = np.stack([np.cos(spans.direction[0]), np.sin(spans.direction[0])], axis=-1)
    gradient = np.zeros_like(at[0])
    for (start, stop), d, sides, levers in zip(
        paths.bodies, way, paths.side, spans.lever[0], strict=True
    ):
        gradient[start, :2] -= d
        gradient[stop, :2] += d
        gradient[start, 2] -= sides[0] * levers[0]
        gradient[stop, 2] += sides[1] * levers[1]
    return float(spans.path_length[0, 0]), gradient[1:-1].ravel()


@pytest.mark.parametrize("name", POSES)
def test_rope_over_sheaves(record, exudyn: Any, name: str) -> None:
    """Length and every derivative by the wheels' places and turns."""
    poses, end = POSES[name]
    (length, slopes), (ours, gradient) = by_the_peer(exudyn, poses, end), by_ours(poses, end)
    record(ROPE, f"length, {name}", f"{length:.8f}", ours, 5.1e-9, HALF, "m")
    for k, (theirs, own) in enumerate(zip(slopes, gradient, strict=True)):
        by = f"by {('x', 'y', 'the turn')[k % 3]} of wheel {1 + k // 3}"
        record(ROPE, f"{by}, {name}", f"{theirs:.7f}", own, 5.1e-8, HALF)
    np.testing.assert_allclose(ours, length, rtol=1e-12)
    np.testing.assert_allclose(gradient, slopes, atol=1e-9)


# ------------------------------------------------------------------------------------ a whole bow


@cache
def drawn() -> tuple[Strung, DrawCycle]:
    """Give an invented bow with two cams of round tracks off the axle, drawn past its peak."""
    sizes = {
        "axle_to_axle": 33 * INCH, "brace_height": 7 * INCH, "nock_height": 0.3 * INCH,
        "link": 10 * INCH, "lean": 0.7, "limb_stiffness": 250.0, "string_tension": 400.0,
        "string_lever": 1.9 * INCH, "string_throw": 0.3, "cable_lever": 0.9 * INCH,
        "cable_throw": 0.5, "cable_second": 0.0, "cable_third": 0.0, "cable_lag": 0.2,
        "control_lever": INCH, "control_throw": 0.0, "follower_lever": INCH,
        "follower_throw": 0.0, "turn": 2.6, "idler": 1.4 * INCH, "string_stiffness": 156e3,
        "cable_stiffness": 156e3, "thickness": 0.1 * INCH,
    }  # fmt: skip
    standing = lay_out("two-cam", Sizes(**{k: np.array([v]) for k, v in sizes.items()}))
    full = np.array([25.0 * INCH])
    out = draw_cycle(standing.rig, standing.brace, standing.directions, full, 41)
    return standing, out.raise_for_failure("the draw").value


def number(value: Any) -> float:
    """Give the one number of a batch of one."""
    return float(np.squeeze(value))


class PeerBow:
    """The same bow of the peer's parts, standing at its brace."""

    #: By how much a line goes on past its peg, straight, over the track's radius: the peer's
    #: rope ends at a point, which must not lie on the sheave itself.
    _ON = 0.5

    def __init__(self, exudyn: Any, standing: Strung) -> None:
        self.peer, self.bow = Peer(exudyn), standing.bow
        at = standing.rig.poses(standing.brace).at[0]
        limbs = [self._limb(i) for i in range(2)]
        self.limbs, self._tips = [node for _, node in limbs], [body for body, _ in limbs]
        wheels = [self.peer.body(*at[self.bow.wheel(j)]) for j in range(2)]
        self.wheels, self._wheels = [node for _, node in wheels], [body for body, _ in wheels]
        for j, wheel in enumerate(self.bow.wheels):
            self.peer.hinge(self._tip(wheel.limb), self.peer.place(self._wheels[j]))
        x, y, _ = at[self.bow.nock]
        self._nock, node = self.peer.body(x, y, 0.0)
        self.peer.hold(node, [2])
        pivot, nock = self.peer.place(self.peer.ground), self.peer.place(self._nock)
        self.rod = self.peer.apart(pivot, nock, float(np.hypot(x, y)))
        reaches = [reach for line in self.bow.lines for reach in line.reaches]
        self.ropes = [self._rope(reach) for reach in reaches]
        self.peer.assemble()

    def draw_to(self, draw: float) -> None:
        """Draw the nocking point to a distance from the pivot."""
        self.peer.system.SetObjectParameter(self.rod, "distance", draw)
        self.peer.settle()

    def energy(self) -> float:
        """Energy in the limbs and lines, from their turns and pulls."""
        total = 0.0
        for node, mount in zip(self.limbs, self.bow.mounts, strict=True):
            assert isinstance(mount.limb, PivotLimb)
            turn = self.peer.coordinates(node)[2] - number(mount.heading)
            wound = (-turn if mount.mirrored else turn) - number(mount.limb.rest_angle)
            total += 0.5 * number(mount.limb.stiffness) * wound**2
        reaches = [reach for line in self.bow.lines for reach in line.reaches]
        for rope, reach in zip(self.ropes, reaches, strict=True):
            soft = number(reach.natural_length) / number(reach.stiffness)
            total += 0.5 * soft * self.peer.tension(rope) ** 2
        return total

    def _limb(self, i: int) -> tuple[int, int]:
        mount = self.bow.mounts[i]
        assert isinstance(mount.limb, PivotLimb)
        body, node = self.peer.body(*(number(v) for v in (mount.x, mount.y, mount.heading)))
        self.peer.hold(node, [0, 1])
        rest = number(mount.limb.rest_angle) * (-1.0 if mount.mirrored else 1.0)
        self.peer.spring(node, 2, number(mount.limb.stiffness), rest)
        return body, node

    def _tip(self, i: int) -> int:
        limb = self.bow.mounts[i].limb
        assert isinstance(limb, PivotLimb)
        return self.peer.place(self._tips[i], number(limb.length), 0.0)

    def _rope(self, reach: Reach) -> int:
        sheaves: list[tuple[int, float, int]] = []
        more = 0.0
        for contact, start in zip(reach.contacts, (True, False), strict=True):
            if contact.peg is None:
                nock = contact.body == self.bow.nock
                place = self.peer.place(self._nock) if nock else self._tip(contact.body - 1)
                sheaves.append((place, 0.0, 1))
                continue
            on, fastened = self._fastened(contact, start)
            sheaves += [fastened, on] if start else [on, fastened]
            more += self._ON * number(contact.track.mean)
        places, radii, sides = zip(*sheaves, strict=True)
        natural = number(reach.natural_length)
        stretch = number(reach.stiffness) * (natural + more) / natural, natural + more
        return self.peer.rope(places, radii, sides, stretch)

    def _fastened(
        self, contact: Contact, start: bool
    ) -> tuple[tuple[int, float, int], tuple[int, float, int]]:
        """Give a track as a sheave, and the point past the peg where the rope ends."""
        wheel = self._wheels[contact.body - self.bow.wheel(0)]
        radius, peg = number(contact.track.mean), number(contact.peg)
        centre = np.array([contact.track.cosine[0, 0], contact.track.sine[0, 0]])
        normal = np.array([np.cos(peg), np.sin(peg)])
        way = contact.side * np.array([-np.sin(peg), np.cos(peg)])
        end = centre + radius * (normal + (-self._ON if start else self._ON) * way)
        sheave = self.peer.place(wheel, *centre), radius, contact.side
        return sheave, (self.peer.place(wheel, *end), 0.0, 1)


def test_bow_with_two_round_cams(record, exudyn: Any) -> None:
    """Draw force, pulls, turns and energy from brace to let-off."""
    standing, cycle = drawn()
    peer = PeerBow(exudyn, standing)
    energy = peer.energy()
    for k, draw in enumerate(cycle.draw[0]):
        peer.draw_to(float(draw))
        pull = [peer.peer.tension(rope) for rope in peer.ropes]
        theirs = {
            "draw force": (peer.peer.force(peer.rod), cycle.force[0, k], 3, "N"),
            "pull of the string": (pull[0], cycle.tension[0, k, 0], 3, "N"),
            "pull of a cable": (pull[2], cycle.tension[0, k, 2], 3, "N"),
            "turn of the upper wheel": (
                peer.peer.coordinates(peer.wheels[0])[2], cycle.q[0, k, standing.rig.wheels][0],
                6, "rad",
            ),
            "energy stored": (peer.energy() - energy, cycle.energy[0, k], 5, "J"),
        }  # fmt: skip
        for item, (printed, ours, digits, unit) in theirs.items():
            assert ours == pytest.approx(printed, abs=1e-5 * 10.0 ** (3 - digits))
            if k % 10 == 0 and abs(printed) > 1e-6:
                room = 0.51 * 10.0**-digits
                text = f"{printed:.{digits}f}"
                name = f"{item}, drawn to {draw / INCH:.4g} in"
                record(BOW, name, text, float(ours), room, HALF, unit)
    assert cycle.force[0, -1] < 0.9 * cycle.force[0].max(), "the bow lets off"
