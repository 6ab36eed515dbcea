"""Speed of the elastica limb, measured beside beams of finite elements in the same run.

The case is the cantilever of tests/published, P L^2 / EI = 4, ours to 1e-8 and the peers to 1e-5
of the length, each with as few elements as that takes, after set-up on both sides. One load
alone is mostly the cost of calling NumPy; a family of loads is what a plan asks for. One peer is
a plain co-rotational beam in NumPy and SciPy, written here, its assembly without loops. The other
is a general-purpose program in compiled code, if the package ``opensees`` is installed.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import splu
from scipy.special import ellipe, ellipeinc, ellipk, ellipkinc

from strandwright.bow.cantilever import cantilever
from strandwright.bow.elastica import ElasticaLimb

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


def off_by(tip: Floats) -> float:
    """Distance from the exact tip, in lengths."""
    return float(np.linalg.norm(tip - exact_tip()))


def ours() -> tuple[float, float]:
    """Time of one case, and of one case among a family of loads, both to 1e-8 [s]."""
    limb = ElasticaLimb(1.0, 1.0, degree=6)
    force = np.array([0.0, LOAD])
    assert off_by(limb.tip(cantilever(limb, force).raise_for_failure().value).position[0]) < 1e-8
    loads = np.linspace(LOAD / FAMILY, LOAD, FAMILY)
    family = np.stack([0.0 * loads, loads], axis=-1)
    last = limb.tip(cantilever(limb, family).raise_for_failure().value).position[-1]
    assert off_by(last) < 1e-8
    one = median_time(lambda: cantilever(limb, force), 400)
    return one, median_time(lambda: cantilever(limb, family), 60) / FAMILY


def say(peer: str, elements: int, theirs: float, own: float) -> None:
    """Print the two times and their ratio."""
    sys.stdout.write(
        f"\ncantilever, {peer}, {elements} elements: {1e3 * theirs:.3f} ms; "
        f"ours {1e3 * own:.4f} ms: x{theirs / own:.0f}\n"
    )


def test_beside_a_plain_corotational_beam() -> None:
    """A family of loads at least 20 times as fast as the beam written here; one alone 10 times."""
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
    assert single >= 10.0 * one
    assert stepped >= 20.0 * of_many


def test_beside_a_general_purpose_program() -> None:
    """A family of loads at least 20 times as fast as a compiled program that follows it."""
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
    say("compiled program, one load", elements, single, one)
    say(f"compiled program, each of {FAMILY} loads", elements, stepped, of_many)
    assert stepped >= 20.0 * of_many
