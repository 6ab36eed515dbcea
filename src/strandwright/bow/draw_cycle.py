r"""The draw cycle: a bow from its brace to its wall, every state in equilibrium.

A few states are followed one after the other along the draw; the states between are interpolated
with their tangents and brought to rest all together. The whole works on a batch of bows at once.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from strandwright.bow import machine
from strandwright.bow.equilibrium import Stand, Trouble, stand
from strandwright.bow.following import Followed, between, follow, moved_by_length, tangent
from strandwright.bow.rig import Potential, Rig
from strandwright.bow.tables import QuickDraw, quick_draw
from strandwright.bow.wall import wall_near, wall_of
from strandwright.numerics.outcome import Outcome, Reason

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Rows = NDArray[np.intp]
#: Change of an angle for which a straight line foretells a state [rad].
_STRAIGHT = 0.25
_TOLD = {True: Trouble.NONE, False: Trouble.NOT_CONVERGED}
#: How far past the wall of before a wall is looked for [m].
_WALL_REACH = 0.05


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

    def taken(self, rows: NDArray[np.intp]) -> DrawCycle:
        """Give the draw of some bows of a batch.

        Parameters
        ----------
        rows : ndarray of int
            Bows to take, in order [-]

        Returns
        -------
        DrawCycle
            Their draws.
        """
        changes: dict[str, Any] = {
            field.name: getattr(self, field.name)[rows]
            for field in fields(self)
            if isinstance(getattr(self, field.name), np.ndarray)
        }
        changes["trouble"] = tuple(self.trouble[i] for i in rows)
        return replace(self, rig=self.rig.taken(rows), **changes)


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
    full = _whole(full, len(brace))

    def at_once(part: Rig, rows: Rows) -> Outcome[DrawCycle]:
        states = follow(part, brace[rows], _each(directions, rows), full[rows])
        return _polished(part, states, full[rows], points)

    return _drawn(rig, _Start(brace, directions, full, points, to_stops=False), at_once)


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
        Its last point is where every stop is touched; or where, past the first of them, a line
        would hang slack; or the longest draw.
    """
    longest = _whole(longest, len(brace))

    def at_once(part: Rig, rows: Rows) -> Outcome[DrawCycle]:
        start, most = (brace[rows], _each(directions, rows)), longest[rows]
        states = follow(part, *start, most)
        wall = wall_of(part, states, most) if part.bow.stops else most
        if not np.all(states.ok):
            states = follow(part, *start, wall)
        return _polished(part, states, wall, points)

    start = _Start(brace, directions, longest, points, to_stops=bool(rig.bow.stops))
    return _drawn(rig, start, at_once)


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
    near = _brace_foretold(cycle, rig)
    braced = stand(rig, near, cycle.direction[:, 0], hold_draw=False).value
    longest = cycle.draw[:, -1] + (_WALL_REACH if rig.bow.stops else 0.0)
    at_brace = braced.q, braced.potential.spans.direction

    def at_once(part: Rig, rows: Rows) -> Outcome[DrawCycle]:
        return _solved_again(cycle.taken(rows), part, braced.q[rows])

    stops = bool(rig.bow.stops)
    start = _Start(*at_brace, longest, points, to_stops=stops, must_stop=stops)
    return _drawn(rig, start, at_once)


@dataclass(frozen=True)
class _Start:
    """Where a draw begins and how far it is to go."""

    brace: Floats
    directions: Floats
    full: Floats
    points: int
    to_stops: bool
    must_stop: bool = False

    def quick(self, rig: Rig, rows: Rows | None = None) -> Outcome[DrawCycle] | None:
        """Draw the bows, or some of them, one by one."""
        brace, ways, full = self.brace, self.directions, self.full
        if rows is not None:
            brace, ways, full = brace[rows], _each(ways, rows), full[rows]
        found = quick_draw(rig, brace, ways, full, self.points, to_stops=self.to_stops)
        if found is not None and self.must_stop:
            done = found.done & (found.draw[:, -1] < full - 1e-9)
            found = replace(found, done=done)
        return None if found is None else _of_quick(rig, found)


def _drawn(
    rig: Rig, start: _Start, at_once: Callable[[Rig, Rows], Outcome[DrawCycle]]
) -> Outcome[DrawCycle]:
    """Draw bows one by one where that is machine code, else all at once; the rest the other way."""
    if not machine.is_on() or (drawn := start.quick(rig)) is None:
        drawn = at_once(rig, np.arange(len(start.brace)))
        if drawn.ok.all():
            return drawn
        rows = np.flatnonzero(~drawn.ok)
        again = start.quick(rig.taken(rows), rows)
        return drawn if again is None else _patched(drawn, rows, again, told=False)
    if drawn.ok.all():
        return drawn
    rows = np.flatnonzero(~drawn.ok)
    return _patched(drawn, rows, at_once(rig.taken(rows), rows), told=True)


def _patched(
    drawn: Outcome[DrawCycle], rows: Rows, again: Outcome[DrawCycle], *, told: bool
) -> Outcome[DrawCycle]:
    """Put bows that were drawn again in place; those that failed again only if they tell why."""
    use = again.ok | told
    to, of = rows[use], np.flatnonzero(use)
    cycle, changes = drawn.value, dict[str, Any]()
    for field in fields(cycle):
        values = getattr(cycle, field.name)
        if isinstance(values, np.ndarray):
            changes[field.name] = np.array(values)
            changes[field.name][to] = getattr(again.value, field.name)[of]
    trouble = list(cycle.trouble)
    ok, residual = np.array(drawn.ok), np.array(drawn.residual)
    for i, k in zip(to, of, strict=True):
        trouble[i], ok[i], residual[i] = again.value.trouble[k], again.ok[k], again.residual[k]
    reason = Reason.CONVERGED if bool(np.all(ok)) else Reason.NOT_CONVERGED
    most = max(drawn.iterations, again.iterations)
    return Outcome(replace(cycle, trouble=tuple(trouble), **changes), ok, reason, residual, most)


def _of_quick(rig: Rig, quick: QuickDraw) -> Outcome[DrawCycle]:
    done = quick.done
    cycle = DrawCycle(
        rig,
        quick.draw,
        quick.q,
        quick.force,
        quick.energy - quick.energy[:, :1],
        quick.tension,
        quick.direction,
        quick.span_length,
        quick.normal,
        np.ones(quick.direction.shape, dtype=bool),
        quick.stop_excess,
        tuple(_TOLD[fine] for fine in done.tolist()),
    )
    reason = Reason.CONVERGED if done.all() else Reason.NOT_CONVERGED
    return Outcome(cycle, done, reason, quick.residual, quick.iterations)


def _solved_again(cycle: DrawCycle, rig: Rig, brace: Floats) -> Outcome[DrawCycle]:
    """Solve every state again from what the tangents of the draw before foretell."""
    bows, points = cycle.draw.shape
    moved, along = _foretold(cycle, rig)
    last, ways = cycle.q[:, -1] + _small(moved[:, -1]), cycle.direction[:, -1]
    if rig.bow.stops:
        last = wall_near(rig, last, ways, _WALL_REACH)
    share = np.linspace(0.0, 1.0, points)[None, :, None]
    start, end = (brace - cycle.q[:, 0])[:, None], (last - cycle.q[:, -1])[:, None]
    guess = cycle.q + (1.0 - share) * start + share * end
    draws = np.linspace(brace[:, rig.draw], last[:, rig.draw], points, axis=1)
    straight = moved + along * (draws - cycle.draw)[..., None]
    near = np.abs(straight).max(axis=2, keepdims=True) < _STRAIGHT
    guess = np.where(near, cycle.q + straight, guess)
    guess[:, :, rig.draw] = draws
    each = rig.taken(np.repeat(np.arange(bows), points))
    flat = guess.reshape(bows * points, -1), cycle.direction.reshape(bows * points, -1)
    return _cycle(rig, each, draws, stand(each, *flat, hold_draw=True))


def _whole(values: Floats, bows: int) -> Floats:
    values = np.asarray(values, dtype=np.float64)
    return values if values.shape == (bows,) else np.broadcast_to(values, (bows,))


def _each(values: Floats, rows: NDArray[np.intp]) -> Floats:
    return values if len(values) == 1 else values[rows]


def _brace_foretold(cycle: DrawCycle, rig: Rig) -> Floats:
    """The brace as its tangents have it for lines of the new lengths."""
    at = cycle.potential(0)
    state, _ = moved_by_length(at, np.ones(rig.freedoms, dtype=bool))
    moved = np.einsum("bnr,br->bn", state, rig.natural - cycle.rig.natural)
    return cycle.q[:, 0] + _small(moved)


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
