"""Speed of limb, bow and family, beside other ways to the same answers in the same run.

Limb. The case is the cantilever of tests/published, P L^2 / EI = 4, ours to 1e-8 and the peers to
1e-5 of the length, each with as few elements as that takes, after set-up on both sides. One load
alone is mostly the cost of calling NumPy; a family of loads is what a plan asks for. One peer is a
plain co-rotational beam in NumPy and SciPy, written here, its assembly without loops. The others
are general-purpose programs in compiled code: the cable elements of Exudyn, which the tests use
too, and the co-rotational beam of the package ``opensees``, each if it is installed.

Bow. The case is the draw of a bow with one cam, 41 states. The peer is SciPy's general solver of
equations, state after state, each from the one before: once on balance and tangents written here
in plain Python, once on the gradient of our own energy. It has no second derivatives. Family:
bows of 64 kinds drawn together, and 64 members fitted to a weight, a let-off and a draw length.
"""

from __future__ import annotations

import importlib
import itertools
import math
import statistics
import sys
import time
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq, root
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu
from scipy.special import ellipe, ellipeinc, ellipk, ellipkinc

from strandwright.bow import machine
from strandwright.bow.cantilever import cantilever
from strandwright.bow.draw_cycle import DrawCycle, draw_cycle
from strandwright.bow.elastica import ElasticaLimb
from strandwright.bow.family import Known, Spread, fit_family
from strandwright.bow.figures import figures
from strandwright.bow.strung import Strung
from strandwright.bow.systems import Sizes, System, lay_out
from strandwright.geometry.taut import Contact

LOAD = 4.0
FAMILY = 100
#: So stiff along itself that the peers, too, keep their length to 1e-7
AXIAL = 1e8

Floats = np.ndarray


def exact_tip() -> Floats:
    """Tip by elliptic integrals, after Bisshopp and Drucker."""

    def parts(theta: float) -> tuple[float, float]:
        m = 0.5 * (1.0 + np.sin(theta))
        return m, np.arcsin(np.sqrt(0.5 / m))

    def off(theta: float) -> float:
        m, start = parts(theta)
        return ellipk(m) - ellipkinc(start, m) - np.sqrt(LOAD)

    theta: Any = brentq(off, 1e-6, np.pi / 2 - 1e-6, xtol=1e-15)
    m, start = parts(theta)
    across = 1.0 - 2.0 * (ellipe(m) - ellipeinc(start, m)) / np.sqrt(LOAD)
    return np.array([np.sqrt(2.0 * np.sin(theta) / LOAD), across])


class CorotationalBeam:
    """A cantilever of straight two-node beams that carry their frame with them."""

    def __init__(self, elements: int) -> None:
        self.rest = np.linspace(0.0, 1.0, elements + 1)
        self.own = 1.0 / elements
        first = 3 * np.arange(elements)
        self.places = first[:, None] + np.arange(6)
        self.rows = np.repeat(self.places, 6, axis=1).ravel()
        self.columns = np.tile(self.places, (1, 6)).ravel()
        self.size = 3 * (elements + 1)
        bend = np.array([[4.0, 2.0], [2.0, 4.0]]) / self.own
        self.law = np.zeros((3, 3))
        self.law[0, 0] = AXIAL / self.own
        self.law[1:, 1:] = bend

    def forces(self, moved: Floats) -> tuple[Floats, csc_matrix]:
        """Inner forces and tangent of all elements at once."""
        node = moved.reshape(-1, 3)
        x, y, turn = self.rest + node[:, 0], node[:, 1], node[:, 2]
        dx, dy = np.diff(x), np.diff(y)
        length, lean = np.hypot(dx, dy), np.arctan2(dy, dx)
        strain = (length**2 - self.own**2) / (length + self.own)
        local = np.stack([strain, turn[:-1] - lean, turn[1:] - lean], axis=-1)
        inner = local @ self.law
        c, s, none = dx / length, dy / length, 0.0 * dx
        r = np.stack([-c, -s, none, c, s, none], axis=-1)
        z = np.stack([s, -c, none, -s, c, none], axis=-1)
        frame = np.stack([r, -z / length[:, None], -z / length[:, None]], axis=1)
        frame[:, 1, 2] += 1.0
        frame[:, 2, 5] += 1.0
        outward = np.swapaxes(frame, 1, 2)
        tangent = outward @ self.law @ frame
        tangent += (inner[:, 0] / length)[:, None, None] * z[:, :, None] * z[:, None, :]
        mixed = r[:, :, None] * z[:, None, :]
        moments = ((inner[:, 1] + inner[:, 2]) / length**2)[:, None, None]
        tangent += moments * (mixed + np.swapaxes(mixed, 1, 2))
        force = np.zeros(self.size)
        np.add.at(force, self.places, (outward @ inner[..., None])[..., 0])
        entries = (tangent.ravel(), (self.rows, self.columns))
        return force, csc_matrix(entries, shape=(self.size, self.size))

    def solve(self, load: float, moved: Floats | None = None) -> Floats:
        """Newton's steps to a dead force across the tip; the root does not move."""
        moved = np.zeros(self.size) if moved is None else moved.copy()
        dead = np.zeros(self.size)
        dead[-2] = load
        for _ in range(60):
            force, tangent = self.forces(moved)
            step = splu(tangent[3:, 3:]).solve((dead - force)[3:])
            moved[3:] += step
            if np.abs(step).max() < 1e-7:
                return moved
        raise AssertionError("the peer did not converge")

    def tip(self, moved: Floats) -> Floats:
        """Place of the tip."""
        return np.array([1.0 + moved[-3], moved[-2]])


def fewest(error: Callable[[int], float]) -> int:
    """Fewest elements, in steps of four, that come within 1e-5."""
    return next(n for n in range(8, 400, 4) if error(n) <= 1e-5)


def median_time(act: Callable[[], object], runs: int) -> float:
    """Median time of an act after a warming one [s]."""
    act()
    spent = []
    for _ in range(runs):
        start = time.perf_counter()
        act()
        spent.append(time.perf_counter() - start)
    return statistics.median(spent)


def least_time(act: Callable[[], object], runs: int) -> float:
    """Least time of an act after a warming one, when nothing else took the machine [s]."""
    act()
    spent = []
    for _ in range(runs):
        start = time.perf_counter()
        act()
        spent.append(time.perf_counter() - start)
    return min(spent)


def off_by(tip: Floats) -> float:
    """Distance from the exact tip, in lengths."""
    return float(np.linalg.norm(tip - exact_tip()))


def ours() -> tuple[float, float]:
    """Time of one case, and of one case among a family of loads, both to 1e-8 [s]."""
    limb = ElasticaLimb(1.0, 1.0, degree=6)
    force = np.array([0.0, LOAD])

    def bent(load: Floats) -> Floats:
        # What a tolerance leaves is about its square.
        return cantilever(limb, load, tolerance=1e-4).raise_for_failure().value

    assert off_by(limb.tip(bent(force)).position[0]) < 1e-8
    loads = np.linspace(LOAD / FAMILY, LOAD, FAMILY)
    family = np.stack([0.0 * loads, loads], axis=-1)
    assert off_by(limb.tip(bent(family)).position[-1]) < 1e-8
    one = median_time(lambda: bent(force), 400)
    return one, median_time(lambda: bent(family), 60) / FAMILY


def say(peer: str, elements: int, theirs: float, own: float) -> None:
    """Print the two times and their ratio."""
    sys.stdout.write(
        f"\ncantilever, {peer}, {elements} elements: {1e3 * theirs:.3f} ms; "
        f"ours {1e3 * own:.4f} ms: x{theirs / own:.0f}\n"
    )


def test_beside_a_plain_corotational_beam() -> None:
    """One load alone at least 25 times as fast as the beam written here, one of many 100 times."""
    elements = fewest(lambda n: off_by((beam := CorotationalBeam(n)).tip(beam.solve(LOAD))))
    beam = CorotationalBeam(elements)
    one, of_many = ours()
    single = median_time(lambda: beam.solve(LOAD), 30)

    def follow() -> None:
        moved = None
        for load in np.linspace(LOAD / FAMILY, LOAD, FAMILY):
            moved = beam.solve(float(load), moved)

    stepped = median_time(follow, 3) / FAMILY
    say("plain co-rotational beam, one load", elements, single, one)
    say(f"plain co-rotational beam, each of {FAMILY} loads", elements, stepped, of_many)
    assert single >= 25.0 * one
    assert stepped >= 100.0 * of_many


def test_beside_the_cable_elements_of_a_general_purpose_program() -> None:
    """One load at least 8 times as fast as they are, one of many 100 times."""
    program: Any = pytest.importorskip("exudyn")
    items: Any = importlib.import_module("exudyn.itemInterface")

    def run(elements: int, steps: int) -> tuple[float, float]:
        container = program.SystemContainer()
        system = container.AddSystem()
        length, slope = 1.0 / elements, [1.0, 0.0]
        nodes = [
            system.AddNode(items.NodePoint2DSlope1(referenceCoordinates=[i * length, 0.0, *slope]))
            for i in range(elements + 1)
        ]
        for pair in itertools.pairwise(nodes):
            element = items.Cable2D(
                nodeNumbers=list(pair), length=length, massPerLength=1.0,
                bendingStiffness=1.0, axialStiffness=1e6,
            )  # fmt: skip
            system.AddObject(element)
        still = system.AddNode(items.NodePointGround())
        for k in range(4):
            pair = [
                system.AddMarker(items.MarkerNodeCoordinate(nodeNumber=node, coordinate=c))
                for node, c in ((still, 0), (nodes[0], k))
            ]
            system.AddObject(items.ObjectConnectorCoordinate(markerNumbers=pair))
        tip = system.AddMarker(items.MarkerNodePosition(nodeNumber=nodes[-1]))
        system.AddLoad(items.LoadForceVector(markerNumber=tip, loadVector=[0.0, LOAD, 0.0]))
        system.Assemble()
        settings = program.SimulationSettings()
        settings.solution.file.write = False
        settings.staticSolver.verboseMode = 0
        settings.staticSolver.numberOfLoadSteps = steps
        # Twice as fast here as its dense default.
        settings.linearSolver.solverType = program.LinearSolverType.EigenSparse
        start = time.perf_counter()
        assert system.SolveStatic(settings)
        spent = time.perf_counter() - start
        x, y, *_ = system.GetNodeOutput(nodes[-1], program.OutputVariableType.CoordinatesTotal)
        return off_by(np.array([x, y])), spent / steps

    elements = fewest(lambda n: run(n, 1)[0])
    one, of_many = ours()
    single = statistics.median(run(elements, 1)[1] for _ in range(30))
    stepped = statistics.median(run(elements, FAMILY)[1] for _ in range(5))
    say("cable elements, one load", elements, single, one)
    say(f"cable elements, each of {FAMILY} loads", elements, stepped, of_many)
    assert single >= 8.0 * one
    assert stepped >= 100.0 * of_many


def test_beside_the_beam_of_a_general_purpose_program() -> None:
    """One load at least 8 times as fast as a compiled program, one of many 60 times."""
    program: Any = pytest.importorskip("opensees.openseespy")

    def make(elements: int, steps: int) -> None:
        program.wipe()
        program.model("basic", "-ndm", 2, "-ndf", 3)
        for i in range(elements + 1):
            program.node(i, i / elements, 0.0)
        program.fix(0, 1, 1, 1)
        program.geomTransf("Corotational", 1)
        for i in range(elements):
            program.element("elasticBeamColumn", i + 1, i, i + 1, AXIAL, 1.0, 1.0, 1)
        program.timeSeries("Linear", 1)
        program.pattern("Plain", 1, 1)
        program.load(elements, 0.0, LOAD, 0.0)
        program.constraints("Plain")
        program.numberer("Plain")
        program.system("BandGen")
        program.test("NormDispIncr", 1e-7, 60)
        program.algorithm("Newton")
        program.integrator("LoadControl", 1.0 / steps)
        program.analysis("Static")

    def run(elements: int, steps: int) -> tuple[float, float]:
        make(elements, steps)
        start = time.perf_counter()
        assert program.analyze(steps) == 0
        spent = time.perf_counter() - start
        x, y = (program.nodeDisp(elements, k) for k in (1, 2))
        return off_by(np.array([1.0 + x, y])), spent / steps

    elements = fewest(lambda n: run(n, 1)[0])
    one, of_many = ours()
    single = statistics.median(run(elements, 1)[1] for _ in range(30))
    stepped = statistics.median(run(elements, FAMILY)[1] for _ in range(5))
    say("compiled co-rotational beam, one load", elements, single, one)
    say(f"compiled co-rotational beam, each of {FAMILY} loads", elements, stepped, of_many)
    assert single >= 8.0 * one
    assert stepped >= 60.0 * of_many


# ------------------------------------------------------------------------------------- whole bows

INCH = 0.0254
FULL = 25.0 * INCH
POINTS = 41
BOWS = 64
#: Sizes of an invented bow: middle, and spread in a family; of the logarithm where over zero.
SIZES: dict[str, tuple[float, float]] = {
    "axle_to_axle": (33 * INCH, 0.0), "brace_height": (6.875 * INCH, 0.0),
    "nock_height": (0.25 * INCH, 0.0), "idler": (1.4 * INCH, 0.0), "thickness": (0.1 * INCH, 0.0),
    "string_stiffness": (156e3, 0.0), "cable_stiffness": (156e3, 0.0),
    "link": (10 * INCH, 0.12), "lean": (math.radians(40.0), 0.2), "limb_stiffness": (250.0, 0.3),
    "string_tension": (400.0, 0.2), "string_lever": (2 * INCH, 0.12), "string_throw": (0.35, 0.1),
    "cable_lever": (0.85 * INCH, 0.15), "cable_throw": (0.7, 0.15), "cable_second": (0.0, 0.1),
    "cable_third": (0.0, 0.05), "cable_lag": (0.2, 0.2), "control_lever": (1.5 * INCH, 0.15),
    "control_throw": (0.35, 0.05), "follower_lever": (1.05 * INCH, 0.1),
    "follower_throw": (0.0, 0.05), "turn": (math.radians(200.0), 0.08),
}  # fmt: skip


def made(system: System, bows: int = 1, **changed: Floats) -> Strung:
    """Lay out invented bows, alike but for what is changed."""
    named = {name: middle * np.ones(bows) for name, (middle, _) in SIZES.items()}
    return lay_out(system, Sizes(**(named | changed)))


def pulled(standing: Strung) -> DrawCycle:
    """Draw bows to the full draw, 41 states each."""
    full = np.full(len(standing.brace), FULL)
    out = draw_cycle(standing.rig, standing.brace, standing.directions, full, POINTS)
    return out.raise_for_failure("the draw").value


#: Weight of a tangent missed beside a moment or force left over, so that both count [N].
_PER_METRE = 1e4


class PlainBow:
    """Balance and tangents of one bow with links for limbs, written out in plain Python."""

    def __init__(self, standing: Strung) -> None:
        bow, rig = standing.bow, standing.rig
        self.pivots = [tuple(float(np.squeeze(v)) for v in self._numbers(m)) for m in bow.mounts]
        self.wheels = [w.limb for w in bow.wheels]
        self.reaches = [
            [self._plain(c) for c in reach.contacts] for line in bow.lines for reach in line.reaches
        ]
        self.natural = [float(v) for v in rig.natural[0]]
        self.ea = [float(v) for v in np.broadcast_to(rig.stiffness, rig.natural.shape)[0]]
        self.nock = bow.nock

    @staticmethod
    def _numbers(mount: Any) -> tuple[Any, ...]:
        limb = mount.limb
        sign = -1.0 if mount.mirrored else 1.0
        return mount.x, mount.y, mount.heading, sign, limb.length, limb.stiffness, limb.rest_angle

    @staticmethod
    def _plain(contact: Contact) -> tuple[Any, ...]:
        track = contact.track
        waves = [
            (k, float(np.squeeze(a)), float(np.squeeze(b)))
            for k, (a, b) in enumerate(
                zip(np.moveaxis(track.cosine, -1, 0), np.moveaxis(track.sine, -1, 0), strict=True),
                1,
            )
        ]
        peg = None if contact.peg is None else float(np.squeeze(contact.peg))
        return contact.body, float(np.squeeze(track.mean)), waves, float(contact.side), peg

    @staticmethod
    def _support(mean: float, waves: list[Any], psi: float) -> tuple[float, float, float]:
        h, slope, swept = mean, 0.0, mean * psi
        for k, a, b in waves:
            c, s = math.cos(k * psi), math.sin(k * psi)
            h += a * c + b * s
            slope += k * (b * c - a * s)
            swept += (a * s - b * c) / k
        return h, slope, swept

    def _bodies(self, q: Floats, draw: float) -> tuple[list[Any], list[Any]]:
        bodies: list[Any] = [(0.0, 0.0, 0.0)]
        arms: list[Any] = []
        for turn, (x, y, heading, sign, length, *_) in zip(q, self.pivots, strict=False):
            at = heading + sign * turn
            arms.append((length * math.cos(at), length * math.sin(at)))
            bodies.append((x + arms[-1][0], y + arms[-1][1], at))
        for j, limb in enumerate(self.wheels):
            bodies.append((*bodies[1 + limb][:2], q[len(self.pivots) + j]))
        bearing = q[len(self.pivots) + len(self.wheels)]
        bodies.append((draw * math.cos(bearing), draw * math.sin(bearing), bearing))
        return bodies, arms

    def off(self, unknown: Floats, draw: float) -> list[float]:
        """What is left of every balance, then of every tangent."""
        return self._all(unknown, draw)[0]

    def force(self, unknown: Floats, draw: float) -> float:
        """Draw force."""
        return self._all(unknown, draw)[1]

    def _all(self, unknown: Floats, draw: float) -> tuple[list[float], float]:
        limbs, wheels = len(self.pivots), len(self.wheels)
        q, ways = unknown[: limbs + wheels + 1].tolist(), unknown[limbs + wheels + 1 :].tolist()
        bodies, arms = self._bodies(q, draw)
        pull = [[0.0, 0.0, 0.0] for _ in bodies]
        tangents: list[float] = []
        for contacts, natural, ea in zip(self.reaches, self.natural, self.ea, strict=True):
            count = len(contacts) - 1
            parts, length = [], 0.0
            for (a, b), way in zip(itertools.pairwise(contacts), ways, strict=False):
                c, s = math.cos(way), math.sin(way)
                dx = bodies[b[0]][0] - bodies[a[0]][0]
                dy = bodies[b[0]][1] - bodies[a[0]][1]
                (ha, la), (hb, lb) = (self._end(bodies, end, way) for end in (a, b))
                length += dx * c + dy * s + la - lb
                tangents.append(_PER_METRE * (dy * c - dx * s + ha - hb))
                parts.append((a[0], b[0], c, s, ha, hb))
            ways = ways[count:]
            tension = ea * max(0.0, length / natural - 1.0)
            for a, b, c, s, ha, hb in parts:
                for body, sign, h in ((a, 1.0, ha), (b, -1.0, hb)):
                    pull[body][0] += sign * tension * c
                    pull[body][1] += sign * tension * s
                    pull[body][2] += sign * tension * h
        return self._balance(q, bodies, arms, pull, tangents)

    def _end(self, bodies: list[Any], end: tuple[Any, ...], way: float) -> tuple[float, float]:
        """Lever and length of line round one end, each with its side."""
        body, mean, waves, side, peg = end
        psi = way - side * 0.5 * math.pi - bodies[body][2]
        h, _, swept = self._support(mean, waves, psi)
        if peg is not None:
            _, slope, start = self._support(mean, waves, peg)
            swept -= start + slope
        return side * h, side * swept

    def _balance(
        self, q: list[float], bodies: list[Any], arms: list[Any], pull: list[Any], left: list[float]
    ) -> tuple[list[float], float]:
        limbs = len(self.pivots)
        balance: list[float] = []
        for i, (*_, sign, _, stiffness, rest) in enumerate(self.pivots):
            carried = [1 + i, *(1 + limbs + j for j, on in enumerate(self.wheels) if on == i)]
            fx, fy = (sum(pull[k][axis] for k in carried) for axis in (0, 1))
            turning = arms[i][0] * fy - arms[i][1] * fx + pull[1 + i][2]
            balance.append(sign * turning - stiffness * (q[i] - rest))
        balance += [pull[1 + limbs + j][2] for j in range(len(self.wheels))]
        fx, fy, _ = pull[self.nock]
        bearing = bodies[self.nock][2]
        c, s = math.cos(bearing), math.sin(bearing)
        balance.append(fy * c - fx * s)
        return [*balance, *left], -(fx * c + fy * s)


def plainly_drawn(bow: PlainBow, standing: Strung, draws: Floats) -> tuple[Floats, Floats]:
    """Draw state after state with SciPy, each begun where the one before ended."""
    draw_at = standing.rig.draw
    at = np.concatenate([np.delete(standing.brace[0], draw_at), standing.directions[0]])
    # Its differences are a share of each number, so one that is zero must be so to the last bit.
    at = np.where(np.abs(at) < 1e-12, 0.0, at)
    states, forces = [], []
    for draw in draws:
        found = root(bow.off, at, args=(float(draw),), tol=1e-12)
        at = found.x
        states.append(at)
        forces.append(bow.force(at, float(draw)))
    return np.array(states), np.array(forces)


@pytest.fixture(params=["plain Python", "machine code"])
def code(request: pytest.FixtureRequest) -> Iterator[str]:
    """Draw with NumPy and plain Python, then in machine code."""
    if request.param == "machine code":
        pytest.importorskip("numba")
        machine.make()
    yield request.param
    machine.switch_off()


#: How many times as fast at least: one draw, each of a batch; on plain equations, on our gradient.
AT_LEAST = {"plain Python": ((2.0, 12.0), (12.0, 80.0)), "machine code": ((300.0,) * 2,) * 2}


def test_a_draw_beside_a_general_solver(code: str) -> None:
    """Same states to 1e-8; one draw in machine code at least 300 times as fast."""
    standing = made("one-cam")
    cycle, plain = pulled(standing), PlainBow(standing)
    states, forces = plainly_drawn(plain, standing, cycle.draw[0])
    ours = np.concatenate([np.delete(cycle.q[0], cycle.rig.draw, axis=1), cycle.direction[0]], 1)
    np.testing.assert_allclose(states, ours, atol=1e-8)
    np.testing.assert_allclose(forces, cycle.force[0], atol=1e-5)

    many = made("one-cam", BOWS, link=np.linspace(9.0, 11.0, BOWS) * INCH)
    one = least_time(lambda: pulled(standing), 100)
    each = least_time(lambda: pulled(many), 7) / BOWS
    theirs = least_time(lambda: plainly_drawn(plain, standing, cycle.draw[0]), 7)
    own_energy = least_time(lambda: by_own_gradient(standing, cycle), 3)
    peers = (("plain equations", theirs), ("our own gradient", own_energy))
    for (name, time_of), (least, least_each) in zip(peers, AT_LEAST[code], strict=True):
        sys.stdout.write(
            f"\ndraw of 41 states, SciPy on {name}: {1e3 * time_of:.0f} ms; ours, {code}, "
            f"{1e3 * one:.3f} ms: x{time_of / one:.0f}; one of {BOWS} bows {1e3 * each:.3f} ms: "
            f"x{time_of / each:.0f}\n"
        )
        assert time_of >= least * one
        assert time_of >= least_each * each


def by_own_gradient(standing: Strung, cycle: DrawCycle) -> None:
    """Draw with SciPy on the gradient of our energy, and hold it to our own draw."""
    rig, ways = standing.rig, standing.directions
    at = np.where(np.abs(standing.brace[0]) < 1e-12, 0.0, standing.brace[0])
    free = np.arange(rig.freedoms) != rig.draw
    for i, draw in enumerate(cycle.draw[0]):
        whole = np.array(at)
        whole[rig.draw] = draw

        def off(moved: Floats, whole: Floats = whole, ways: Floats = ways) -> Floats:
            whole[free] = moved
            return rig.potential(whole[None], ways).gradient[0, free]

        whole[free] = root(off, at[free], tol=1e-12).x
        np.testing.assert_allclose(whole, cycle.q[0, i], atol=1e-8)
        at, ways = whole, rig.potential(whole[None], ways).spans.direction


@pytest.mark.parametrize("system", ["two-cam", "slaved two-cam", "hybrid-cam", "one-cam"])
def test_a_family_within_seconds(system: System) -> None:
    """Sixty-four members fitted to weight, let-off and draw length in under five seconds."""
    control = {} if system == "one-cam" else {
        "control_lever": np.array([0.3 * INCH]), "control_throw": np.zeros(1)
    }  # fmt: skip
    read = figures(pulled(made(system, 1, **control)))
    exact = tuple((name, middle) for name, (middle, spread) in SIZES.items() if spread == 0.0)
    prior = {
        name: Spread(float(control.get(name, np.array([middle]))[0]), spread)
        for name, (middle, spread) in SIZES.items()
        if spread > 0.0
    }
    wanted = (
        ("peak", (1.04 * float(read.peak[0]), 2.0)),
        ("holding", (0.95 * float(read.holding[0]), 4.0)),
    )
    known = Known(system, exact, wanted, (FULL, INCH / 16))
    start = time.perf_counter()
    family = fit_family(known, prior, BOWS)
    spent = time.perf_counter() - start
    sys.stdout.write(f"\nfamily of {BOWS}, {system}: {family.members} agree, {spent:.2f} s\n")
    assert family.members >= BOWS // 2
    assert spent < 5.0
