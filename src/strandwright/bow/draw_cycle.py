r"""The draw cycle: a bow from its brace to its wall, every state in equilibrium.

A few states are followed one after the other along the draw; the states between are interpolated
with their tangents and brought to rest all together. The whole works on a batch of bows at once.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.equilibrium import Stand, Trouble, stand
from strandwright.bow.following import Followed, between, follow, moved_by_length, tangent
from strandwright.bow.rig import Poses, Potential, Rig
from strandwright.numerics.outcome import Outcome, Reason

Floats = NDArray[np.float64]
#: Change of an angle for which a straight line foretells a state [rad].
_STRAIGHT = 0.25
#: Most steps to the wall; four do, from the stride before it.
_WALL_STEPS = 10


@dataclass(frozen=True)
class DrawCycle:
    """States of one bow or a batch of bows along the draw.

    Attributes
    ----------
    rig : Rig
        The bows, one for each row of the batch.
    draw : ndarray, shape (bows, points)
        Nocking point to the pivot of the grip; the first is the brace [m].
    q : ndarray, shape (bows, points, n)
        States [-, rad, m, rad].
    force : ndarray, shape (bows, points)
        Draw force, along the line from the nocking point to the grip [N].
    energy : ndarray, shape (bows, points)
        Energy stored since the brace [J].
    tension : ndarray, shape (bows, points, reaches)
        Tension of each reach [N].
    direction, span_length : ndarray, shape (bows, points, spans)
        Direction and length of each straight part [rad, m].
    normal : ndarray, shape (bows, points, spans, 2)
        Where each straight part leaves its tracks, as the normal in the body's axes [rad].
    touching : ndarray of bool, shape (bows, points, spans)
        Whether the track at the span's start is touched [-].
    stop_excess : ndarray, shape (bows, points, stops)
        Turn of each wheel past its stop; below zero before it [rad].
    trouble : tuple of Trouble
        Bow by bow, the first met along the draw.
    """

    rig: Rig
    draw: Floats
    q: Floats
    force: Floats
    energy: Floats
    tension: Floats
    direction: Floats
    span_length: Floats
    normal: Floats
    touching: NDArray[np.bool_]
    stop_excess: Floats
    trouble: tuple[Trouble, ...]

    @property
    def points(self) -> int:
        """States along the draw [-]."""
        return int(self.draw.shape[1])

    def potential(self, point: int) -> Potential:
        """Energy and derivatives of every bow at one of its points.

        Parameters
        ----------
        point : int
            Which point, from the brace [-]

        Returns
        -------
        Potential
            There.
        """
        return self.rig.potential(self.q[:, point], self.direction[:, point])


def draw_cycle(
    rig: Rig, brace: Floats, directions: Floats, full: Floats, points: int = 41
) -> Outcome[DrawCycle]:
    """Draw bows from their brace to a given draw.

    Parameters
    ----------
    rig : Rig
        The bow, or a batch of bows.
    brace : ndarray, shape (bows, n)
        States at brace, in equilibrium [-, rad, m, rad]
    directions : ndarray, shape (bows, spans)
        Directions of the spans there [rad]
    full : ndarray, shape (bows,)
        Last draw, past the brace [m]
    points : int
        States in all, >= 3 [-]

    Returns
    -------
    Outcome of DrawCycle
        ``ok`` bow by bow; the residual is the largest moment left at any point [J].
    """
    full = np.broadcast_to(np.asarray(full, dtype=np.float64), (len(brace),))
    followed = follow(rig, brace, directions, full)
    return _polished(rig, followed, full, points)


def draw_to_wall(
    rig: Rig, brace: Floats, directions: Floats, longest: Floats, points: int = 41
) -> Outcome[DrawCycle]:
    """Draw bows from their brace to where the last of their stops is met.

    Parameters
    ----------
    rig : Rig
        The bow, or a batch of bows.
    brace : ndarray, shape (bows, n)
        States at brace, in equilibrium [-, rad, m, rad]
    directions : ndarray, shape (bows, spans)
        Directions of the spans there [rad]
    longest : ndarray, shape (bows,)
        Draw to give up at; also where a bow without a stop ends [m]
    points : int
        States in all, >= 3 [-]

    Returns
    -------
    Outcome of DrawCycle
        Its last point is where every stop is touched, or the longest draw where they are not.
    """
    longest = np.broadcast_to(np.asarray(longest, dtype=np.float64), (len(brace),))
    followed = follow(rig, brace, directions, longest)
    wall = _wall(rig, followed, longest) if rig.bow.stops else longest
    if not np.all(followed.ok):
        followed = follow(rig, brace, directions, wall)
    return _polished(rig, followed, wall, points)


def redraw(cycle: DrawCycle, natural: Floats) -> Outcome[DrawCycle]:
    """Draw the same bows again with lines of other lengths, from where they stood before.

    Parameters
    ----------
    cycle : DrawCycle
        Their draw as it was, to the wall or to a given draw.
    natural : ndarray, shape (1 or bows, reaches)
        Natural lengths now, not far from what they were [m]

    Returns
    -------
    Outcome of DrawCycle
        As many points; to the wall, or to the same draw where nothing stops the bow.
    """
    bows, points = cycle.draw.shape
    rig = cycle.rig.taken(np.arange(bows), natural)
    moved, along = _foretold(cycle, rig)
    braced = stand(rig, cycle.q[:, 0], cycle.direction[:, 0], hold_draw=False).value
    last, ways = cycle.q[:, -1] + _small(moved[:, -1]), cycle.direction[:, -1]
    if rig.bow.stops:
        last = _wall_near(rig, last, ways)
    share = np.linspace(0.0, 1.0, points)[None, :, None]
    start, end = (braced.q - cycle.q[:, 0])[:, None], (last - cycle.q[:, -1])[:, None]
    guess = cycle.q + (1.0 - share) * start + share * end
    draws = np.linspace(braced.q[:, rig.draw], last[:, rig.draw], points, axis=1)
    straight = moved + along * (draws - cycle.draw)[..., None]
    near = np.abs(straight).max(axis=2, keepdims=True) < _STRAIGHT
    guess = np.where(near, cycle.q + straight, guess)
    guess[:, :, rig.draw] = draws
    each = rig.taken(np.repeat(np.arange(bows), points))
    flat = guess.reshape(bows * points, -1), cycle.direction.reshape(bows * points, -1)
    return _cycle(rig, each, draws, stand(each, *flat, hold_draw=True))


def _foretold(cycle: DrawCycle, rig: Rig) -> tuple[Floats, Floats]:
    """How every state moves for the change of the lines, the draw held, and along the draw."""
    bows, points = cycle.draw.shape
    # As the bow was, but without the stops, which hold it only past its own draw.
    was = cycle.rig.taken(np.repeat(np.arange(bows), points)).unstopped()
    flat = cycle.q.reshape(bows * points, -1), cycle.direction.reshape(bows * points, -1)
    at = was.potential(*flat)
    state, _ = moved_by_length(at, np.arange(rig.freedoms) != rig.draw)
    longer = np.broadcast_to(rig.natural - cycle.rig.natural, (bows, state.shape[2]))
    moved = np.einsum("bpnr,br->bpn", state.reshape(bows, points, *state.shape[1:]), longer)
    return moved, tangent(at, rig.draw).reshape(bows, points, -1)


def _small(moved: Floats) -> Floats:
    """A change to be trusted; none where it is too large for a straight line."""
    near = np.abs(moved).max(axis=1, keepdims=True) < _STRAIGHT
    return np.where(near, moved, 0.0)


def _wall_near(rig: Rig, q: Floats, ways: Floats) -> Floats:
    """State at the last touch of a stop, from a state that is near it."""
    at = stand(rig, q, ways, hold_draw=True).value
    late = np.argmin(_pressed(rig, at.potential.poses)[0], axis=1)
    return _touch(rig, late, at.q, at.potential.spans.direction, 0.05)[1]


def _touch(
    rig: Rig, late: NDArray[np.intp], q: Floats, ways: Floats, most: float
) -> tuple[Floats, Floats]:
    """Draw and state where each bow's last stop is touched, the others holding.

    It goes by the bow without the stop thought to be last, which is smooth past its touch; where
    another turns out to be later, that one is taken.
    """
    start = q[:, rig.draw].copy()
    for _ in rig.bow.stops:
        q, ways, excess = _touched(rig, late, q, ways, (start - most, start + most))
        later = np.argmin(excess, axis=1)
        if np.all((later == late) | (np.min(excess, axis=1) > -1e-9)):
            break
        late = later
    return q[:, rig.draw], q


def _touched(
    rig: Rig, late: NDArray[np.intp], q: Floats, ways: Floats, within: tuple[Floats, Floats]
) -> tuple[Floats, Floats, Floats]:
    """State and directions where one stop of each bow is touched, and how all are pressed."""
    free, rows = rig.released(late), np.arange(len(q))
    excess = np.zeros((len(q), len(rig.bow.stops)))
    for _ in range(_WALL_STEPS):
        at = stand(free, q, ways, hold_draw=True).value
        moved, ways = tangent(at.potential, rig.draw), at.potential.spans.direction
        excess, by = _pressed(rig, at.potential.poses)
        per_draw = np.einsum("bn,bn->b", by[rows, late], moved)
        step = -excess[rows, late] / np.where(per_draw > 1e-9, per_draw, np.inf)
        draw = at.q[:, rig.draw]
        step = np.clip(step, within[0] - draw, within[1] - draw)
        q = at.q + step[:, None] * moved
        if float(np.max(np.abs(step))) < 1e-10:
            break
    return q, ways, excess


def _polished(rig: Rig, followed: Followed, full: Floats, points: int) -> Outcome[DrawCycle]:
    """Solve the states between those followed, all of them at once."""
    draws = np.linspace(followed.draw[:, 0], full, points, axis=1)
    guess, ways = between(followed, draws, rig.draw)
    count = draws.size
    each = rig.taken(np.repeat(np.arange(len(draws)), points))
    solved = stand(
        each,
        guess.reshape(count, -1),
        ways.reshape(count, -1),
        hold_draw=True,
    )
    return _cycle(rig, each, draws, solved)


def _pressed(rig: Rig, poses: Poses) -> tuple[Floats, Floats]:
    """How far each stop is pressed, (bows, stops), and the derivatives by the state."""
    found = [rig.stop_excess(stop, poses) for stop in rig.bow.stops]
    return np.stack([e for e, _ in found], axis=-1), np.stack([g for _, g in found], axis=1)


def _wall(rig: Rig, followed: Followed, longest: Floats) -> Floats:
    """Draw of the last touch, by Newton's method from the last state that no stop holds."""
    nodes = followed.draw.shape[1]
    excess = np.stack([_pressed(rig, rig.poses(followed.q[:, i]))[0] for i in range(nodes)], axis=1)
    pressed = np.max(excess, axis=2) > 0.0
    met = np.any(pressed, axis=1)
    # What was followed past a touch, against a hard stop, need not be trusted.
    before = np.where(met, np.argmax(pressed, axis=1) - 1, nodes - 2).clip(0)
    rows = np.arange(len(excess))
    late = np.argmin(excess[rows, before], axis=1)
    q, ways = followed.q[rows, before], followed.direction[rows, before]
    most = float(np.max((longest - q[:, rig.draw]) * met, initial=0.0))
    wall, at_wall = _touch(rig, late, q, ways, most)
    all_met = np.min(_pressed(rig, rig.poses(at_wall))[0], axis=1) > -1e-6
    return np.where(met & all_met, np.minimum(wall, longest), longest)


def _cycle(rig: Rig, each: Rig, draws: Floats, solved: Outcome[Stand]) -> Outcome[DrawCycle]:
    bows, points = draws.shape
    at = solved.value
    excess = [each.stop_excess(stop, at.potential.poses)[0] for stop in each.bow.stops]

    def rows(values: NDArray[np.float64]) -> Floats:
        return values.reshape(bows, points, *values.shape[1:])

    energy = rows(at.potential.energy)
    trouble: list[Trouble] = []
    for i in range(bows):
        met = [t for t in at.trouble[i * points : (i + 1) * points] if t is not Trouble.NONE]
        trouble.append(met[0] if met else Trouble.NONE)
    cycle = DrawCycle(
        rig,
        draws,
        rows(at.q),
        rows(at.potential.gradient[:, rig.draw]),
        energy - energy[:, :1],
        rows(at.potential.tension),
        rows(at.potential.spans.direction),
        rows(at.potential.spans.length),
        rows(at.potential.spans.normal),
        at.potential.spans.touching.reshape(bows, points, -1),
        rows(np.stack(excess, axis=-1) if excess else np.zeros((bows * points, 0))),
        tuple(trouble),
    )
    ok = np.array([t is Trouble.NONE for t in trouble])
    residual = np.max(solved.residual.reshape(bows, points), axis=1)
    reason = Reason.CONVERGED if bool(np.all(ok)) else Reason.NOT_CONVERGED
    return Outcome(cycle, ok, reason, residual, solved.iterations)
