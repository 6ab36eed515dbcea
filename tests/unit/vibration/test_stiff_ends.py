"""Loops and lines that resist bending, against a frame of beams put together here."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import eigsh

from strandwright.vibration.ends import LoopOnPin, swings_along, swings_sideways, with_ends
from strandwright.vibration.modes import modes
from strandwright.vibration.sounding_line import sounding_line

Floats = np.ndarray
TENSION, LONG, MASS, BENDING, STRETCH = 450.0, 1.3, 4.3e-3, 0.03, 3e5
LEG, LEG_MASS, LEG_BENDING, LEG_STRETCH = 0.048, 3.1e-3, 0.012, 1.6e5


def beam(h: float, pull: float, mass: float, bending: float, stretch: float) -> tuple[Floats, ...]:
    """Stiffness and mass of a bar for (along, across, lean) at both its ends."""
    k, m = np.zeros((6, 6)), np.zeros((6, 6))
    across, along = np.ix_([1, 2, 4, 5], [1, 2, 4, 5]), np.ix_([0, 3], [0, 3])
    bend = np.array(
        [[12, 6 * h, -12, 6 * h], [0, 4 * h * h, -6 * h, 2 * h * h], [0, 0, 12, -6 * h],
         [0, 0, 0, 4 * h * h]]
    )  # fmt: skip
    taut = np.array(
        [[36, 3 * h, -36, 3 * h], [0, 4 * h * h, -3 * h, -h * h], [0, 0, 36, -3 * h],
         [0, 0, 0, 4 * h * h]]
    )  # fmt: skip
    heavy = np.array(
        [[156, 22 * h, 54, -13 * h], [0, 4 * h * h, 13 * h, -3 * h * h], [0, 0, 156, -22 * h],
         [0, 0, 0, 4 * h * h]]
    )  # fmt: skip
    whole = [v + np.triu(v, 1).T for v in (bend, taut, heavy)]
    k[across] = bending * whole[0] / h**3 + pull * whole[1] / (30 * h)
    m[across] = mass * h * whole[2] / 420
    k[along] = stretch / h * np.array([[1, -1], [-1, 1]])
    m[along] = mass * h / 6 * np.array([[2, 1], [1, 2]])
    return k, m


class Frame:
    """Bars between nodes of three moves each, some held, all seen along (cosine, sine)."""

    def __init__(self) -> None:
        """Begin with none."""
        self.rows: list[tuple[Floats, Floats, Floats]] = []
        self.nodes = 0
        self.held: list[int] = []

    def node(self) -> int:
        """Add a node."""
        self.nodes += 1
        return self.nodes - 1

    def run(self, nodes: list[int], bar: tuple[Floats, ...], turn: list[Floats]) -> None:
        """Put bars between nodes, each node's moves turned into the bar's own."""
        for a, b, one, two in zip(nodes[:-1], nodes[1:], turn[:-1], turn[1:], strict=True):
            by = np.zeros((6, 6))
            by[:3, :3], by[3:, 3:] = one, two
            places = np.r_[3 * a : 3 * a + 3, 3 * b : 3 * b + 3]
            self.rows.append((places, by.T @ bar[0] @ by, by.T @ bar[1] @ by))

    def frequencies(self, kept: tuple[int, ...]) -> Floats:
        """Lowest three, of these of the three moves of each node."""
        size = 3 * self.nodes
        at = [np.repeat(p, 6) for p, _, _ in self.rows], [np.tile(p, 6) for p, _, _ in self.rows]
        where = (np.concatenate(at[0]), np.concatenate(at[1]))
        k, m = (
            coo_matrix((np.concatenate([r[i].ravel() for r in self.rows]), where), (size, size))
            .tocsc()
            for i in (1, 2)
        )  # fmt: skip
        free = [j for j in range(size) if j % 3 in kept and j not in self.held]
        squares = eigsh(k[free][:, free], 3, m[free][:, free], sigma=0.0, return_eigenvectors=False)
        return np.sqrt(np.sort(squares)) / (2 * np.pi)


def framed(degrees: float, *, sideways: bool) -> Floats:
    """A body pinned at its start, and a loop's two legs pinned, or clamped out of their plane."""
    angle, made = np.radians(degrees), Frame()
    c, s = np.cos(angle), np.sin(angle)
    same = np.eye(3)
    body, legs = 260, 30
    nodes = [made.node() for _ in range(body + 1)]
    made.held += [3 * nodes[0], 3 * nodes[0] + 1]
    bar = beam(LONG / body, TENSION, MASS, BENDING, STRETCH)
    made.run(nodes, bar, [same] * (body + 1))
    pull = TENSION / (2 * c)
    bar = beam(LEG / legs, pull, LEG_MASS, LEG_BENDING, LEG_STRETCH)
    for side in (1.0, -1.0):
        own = [nodes[-1], *(made.node() for _ in range(legs))]
        if sideways:
            turn = np.array([[c, side * s, 0], [-side * s, c, 0], [0, 0, 1.0]])
            made.run(own, bar, [turn] * (legs + 1))
            made.held += [3 * own[-1], 3 * own[-1] + 1]
        else:
            # Across is out of the plane; a leg's slope is the line's times the cosine.
            made.run(own, bar, [np.diag([1.0, 1.0, c]), *[same] * legs])
            made.held += [3 * own[-1] + 1, 3 * own[-1] + 2]
    return made.frequencies((0, 1, 2) if sideways else (1, 2))


@pytest.mark.parametrize("sideways", [False, True])
@pytest.mark.parametrize("degrees", [2.0, 9.0, 20.0])
def test_a_loop_of_stiff_legs(degrees: float, *, sideways: bool) -> None:
    """The throat's lean, which the legs hold by bending, included."""
    loop = LoopOnPin(LEG, np.radians(degrees), LEG_MASS, LEG_STRETCH, LEG_BENDING)
    body = sounding_line([LONG], MASS, TENSION, bending_stiffness=BENDING)
    end = swings_sideways(loop, TENSION) if sideways else swings_along(loop)
    found = modes(with_ends(body, end=end), 3).raise_for_failure().value.frequency[0]
    np.testing.assert_allclose(found, framed(degrees, sideways=sideways), rtol=2e-6)
