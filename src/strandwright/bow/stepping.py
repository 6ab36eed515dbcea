r"""Stepping: one bow brought along its draw, state after state.

Where the way has a kink, as at the touch of a stop, it is gone in short steps and foretold
afresh. A bow that cannot be followed so is given up: a line hangs slack, a straight part is lost,
or the bow would tip over. Bows, rooms and spare rooms are those of
:mod:`strandwright.bow.looking` and :mod:`strandwright.bow.settling`.
"""

# pyright: basic, reportMissingParameterType=false

from __future__ import annotations

import math
from typing import Any

import numpy as np

from strandwright.bow.looking import ALL, LENGTH, NONE, NORMAL, SPAN, glance, look, stop_turned
from strandwright.bow.machine import compiled, inlined
from strandwright.bow.settling import AFRESH, USED, foretell, least, settle

#: Change of the draw at which the touch is found [m], and how far before it a stop may stand [rad].
_TOUCH, _SHORT = 1e-10, 1e-13
#: Steps to a touch, and by which a way round a kink is sought between two draws.
_MOST_TO_WALL, _TRIES = 60, 16
#: Longest step towards a touch, and the shortest with which a way on is sought [m].
_LONGEST, _SHORTEST = 0.004, 1e-5
#: Tension under which a line of a bow that goes no further is slack [N].
_SLACK = 5.0
#: Last step after which what was seen before it is carried on over it [rad], and by how much
#: the moments left may exceed those before it, for each radian of it [1/rad].
_SURE, _CURVED = 2e-8, 100.0
#: First step over which the way has a kink [rad].
_KINK = 1e-3
#: In place of how many steps lie between two that are written down.
_NOTHING = np.int64(0)


@inlined
def _amend(state, bow, shape, room, spare):
    """Carry what was seen before the last step on over it; gives the energy."""
    limbs, reaches, wheel_limb = bow[0], bow[3], shape[0]
    bodies, side, at, span, tension = shape[1], shape[2], room[0], room[2], room[5]
    gradient, hessian, whole = room[7], room[8], room[9]
    step, size = spare[0], len(spare[0])
    energy, draw = spare[4][2], size - 2
    for r in range(len(tension)):
        rate = reaches[r, 1] / reaches[r, 0]
        for n in range(size):
            tension[r] += rate * whole[r, n] * step[n]
    for n in range(size):
        energy += gradient[n] * step[n]
        gradient[draw] += step[n] * (hessian[draw, n] if n < draw else hessian[n, draw])
        if n != draw:
            # What is left goes with the square of the step.
            gradient[n] *= _CURVED * spare[4][3]
    for i in range(len(limbs)):
        at[1 + i, 2] = limbs[i, 2] + limbs[i, 3] * state[i]
    for j in range(len(wheel_limb)):
        at[1 + len(limbs) + j, 2] = state[len(limbs) + j]
    for i in range(len(span)):
        for e in range(2):
            turned = state[size + i] - side[i, e] * (0.5 * math.pi)
            span[i, NORMAL + e] = turned - at[bodies[i, e], 2]
    return energy


@compiled
def _record(state, bow, shape, room, spare, row, kept):
    """Write a state just settled down; false where it does not hold."""
    states, numbers, spans, ends = kept
    span, tension, excess, gradient = room[2], room[5], room[6], room[7]
    size = len(gradient)
    draw = size - 2
    if spare[4][3] < _SURE:
        energy = _amend(state, bow, shape, room, spare)
    else:
        energy = look(state[:size], state[size:], NONE, True, bow, shape, room)
    numbers[row, 0], numbers[row, 1] = gradient[draw], energy
    for r in range(len(tension)):
        numbers[row, 2 + r] = tension[r]
    for p in range(len(excess)):
        numbers[row, 2 + len(tension) + p] = excess[p]
    lowest = least(tension)
    for i in range(len(span)):
        spans[row, i, 0] = span[i, LENGTH]
        spans[row, i, 1], spans[row, i, 2] = span[i, NORMAL], span[i, NORMAL + 1]
        lowest = min(lowest, span[i, LENGTH])
    for n in range(len(state)):
        states[row, n] = state[n]
    for n in range(size):
        if n != draw:
            ends[0] = max(ends[0], abs(gradient[n]))
    return lowest > 0.0


@compiled
def _creep(state, target, released, bow, shape, room, spare):
    """Bring a state just settled to another draw, in steps as long as they can be."""
    size, spans = len(spare[1]), len(spare[2])
    moved, turned, trial = np.empty(size), np.empty(spans), np.empty(len(state))
    stride, tries = target - state[size - 2], 0
    while state[size - 2] != target:
        moved[:], turned[:] = spare[1], spare[2]
        while True:
            tries += 1
            last = stride >= target - state[size - 2]
            ahead = target - state[size - 2] if last else stride
            _onto(state, moved, turned, ahead, trial)
            if last:
                trial[size - 2] = target
            if settle(trial, AFRESH, released, bow, shape, room, spare):
                break
            stride = 0.5 * ahead
            if tries > _TRIES:
                return False
        state[:] = trial
        stride *= 2.0
    return True


@compiled
def _onto(state, moved, turned, ahead, trial):
    """Carry a state on along its tangents."""
    size = len(moved)
    for n in range(len(state)):
        trial[n] = state[n] + ahead * (moved[n] if n < size else turned[n - size])


@compiled
def _march(start, draws, released, inner, bow, shape, room, spare, nodes, kept):
    """Settle one state after the other; gives how many, with stops away up to the first touch.

    Every ``inner`` of them is written down; none where that is 0.
    """
    size, excess = len(room[7]), room[6]
    state = start.copy()
    stride, since, pressed = draws[1] - draws[0], 0, 0
    for k in range(len(draws)):
        used = min(k - since, USED)
        if k:
            foretell(nodes, k, used, stride, state)
        state[size - 2] = draws[k]
        kink = not settle(state, used, released, bow, shape, room, spare)
        if kink:
            if k == 0:
                return -1
            state[:] = nodes[0][k - 1]
            settled = settle(state, AFRESH, released, bow, shape, room, spare)
            if not settled or not _creep(state, draws[k], released, bow, shape, room, spare):
                return -1
        now = 0
        for past in excess:
            now += past > 0.0
        if kink or now != pressed or (used > 2 and spare[4][0] > _KINK):
            # From here on by what lies behind the kink, which takes exact tangents.
            if not settle(state, AFRESH, released, bow, shape, room, spare):
                return -1
            since, pressed = k, now
        _keep(state, nodes, k, spare)
        if released == ALL and now:
            return k + 1
        written = inner > 0 and k % inner == 0
        if written and not _record(state, bow, shape, room, spare, k // inner, kept):
            return -1
    return len(draws)


@inlined
def _keep(state, nodes, k, spare):
    """Keep a state with its tangents, to foretell others from."""
    states, slopes = nodes
    size = len(spare[1])
    for n in range(len(state)):
        states[k, n] = state[n]
        slopes[k, n] = spare[1][n] if n < size else spare[2][n - size]


@compiled
def _touch(state, which, released, longest, bow, shape, room, spare):
    """Draw until a stop that is released is touched; or until it cannot be drawn further.

    The second is where, past a stop touched before, a line hangs slack. Gives whether the bow
    could be followed; its state is where it ends.
    """
    size, excess = len(room[7]), room[6]
    trial = np.empty(len(state))
    if not settle(state, AFRESH, released, bow, shape, room, spare):
        return False
    most = _LONGEST
    for _ in range(_MOST_TO_WALL):
        rate = stop_turned(which, spare[1], bow, shape)
        ahead = -excess[which] / rate if rate > 1e-9 else most
        ahead = min(max(ahead, -most), most, longest - state[size - 2])
        near = abs(ahead) < _TOUCH
        moved, turned = spare[1].copy(), spare[2].copy()
        while True:
            _onto(state, moved, turned, ahead, trial)
            if settle(trial, AFRESH, released, bow, shape, room, spare):
                break
            most = 0.5 * abs(ahead)
            ahead = most if ahead > 0.0 else -most
            if most < _SHORTEST:
                glance(state, released, bow, shape, room)
                return least(room[5]) < _SLACK
        state[:] = trial
        # What is left goes with the square of the step.
        if near:
            return True
    return False


@compiled
def _wall(state, longest, bow, shape, room, spare):
    """Draw of the last touch, the stops touched before it holding; not a number if it is lost."""
    size, excess, stops = len(room[7]), room[6], len(bow[4])
    if not settle(state, AFRESH, ALL, bow, shape, room, spare):
        return math.nan
    soonest, first = math.inf, 0
    for p in range(stops):
        rate = stop_turned(p, spare[1], bow, shape)
        if rate > 1e-9 and -excess[p] / rate < soonest:
            soonest, first = -excess[p] / rate, p
    for _ in range(stops):
        if not _touch(state, first, ALL, longest, bow, shape, room, spare):
            return math.nan
        sooner = np.argmax(excess)
        if sooner == first or not excess[sooner] > _SHORT:
            break
        first = sooner
    for _ in range(stops - 1):
        late = np.argmin(excess)
        if excess[late] > -_SHORT:
            break
        if not _touch(state, late, late, longest, bow, shape, room, spare):
            return math.nan
    return state[size - 2]


@compiled
def drawn(start, full, to_stops, inner, bows, shape, kept) -> None:
    """Draw every bow of a batch to a draw, or to where its last stop is touched before that.

    Parameters
    ----------
    start : tuple of ndarray
        States at brace (bows, n) and directions (bows, spans) [rad, m].
    full : ndarray, shape (bows,)
        Last draw [m]
    to_stops : bool
        Whether to end at the last touch of a stop.
    inner : int
        Steps taken between two points kept, >= 1 [-]
    bows : tuple of ndarray
        Tables of the bows, as :mod:`strandwright.bow.tables` lays them out [SI].
    shape : tuple of ndarray
        How their parts hang together [-].
    kept : tuple of ndarray
        Filled in: states (bows, points, n + spans); numbers (bows, points, 2 + reaches + stops),
        force, energy, tensions, stops; spans (bows, points, spans, 3), length and normals; ends
        (bows, 2), the largest moment left, not a number for a bow that is given up, and the most
        steps at one draw [SI].
    """
    (brace, ways), (states, numbers, spans, ends) = start, kept
    limbs, series, pegs, reaches, stops = bows
    bodies, dofs = shape[1], shape[5]
    size, many, points = brace.shape[1], len(bodies), states.shape[1]
    room = (
        np.zeros((len(dofs), 3)), np.zeros((len(dofs), 2, 2)), np.zeros((many, SPAN)),
        np.zeros((many, size)), np.zeros((many, size)), np.zeros(reaches.shape[1]),
        np.zeros(stops.shape[1]), np.zeros(size), np.zeros((size, size)),
        np.zeros((reaches.shape[1], size)),
        np.zeros((len(dofs), 2)), np.zeros((many, 2)),
    )  # fmt: skip
    room[10][0, 0] = 1.0
    spare = np.zeros(size), np.zeros(size), np.zeros(many), np.zeros((size, size)), np.zeros(4)
    steps = (points - 1) * inner + 1
    nodes = np.zeros((steps, size + many)), np.zeros((steps, size + many))
    for b in range(len(brace)):
        bow = limbs[b], series[b], pegs[b], reaches[b], stops[b]
        own = states[b], numbers[b], spans[b], ends[b]
        first, end = np.concatenate((brace[b], ways[b])), full[b]
        ends[b, 0], spare[4][1] = math.nan, 0.0
        if to_stops:
            draws = np.linspace(brace[b, size - 2], end, steps)
            count = _march(first, draws, ALL, _NOTHING, bow, shape, room, spare, nodes, own)
            if count < 2:
                continue
            if np.max(room[6]) > 0.0:
                end = _wall(nodes[0][count - 2].copy(), end, bow, shape, room, spare)
        if brace[b, size - 2] < end:
            draws = np.linspace(brace[b, size - 2], end, steps)
            ends[b, 0] = 0.0
            if _march(first, draws, NONE, inner, bow, shape, room, spare, nodes, own) < steps:
                ends[b, 0] = math.nan
            ends[b, 1] = spare[4][1]


def nothing() -> tuple[Any, ...]:
    """Give a call of :func:`drawn` with no bows in it, of the kinds of array it always has.

    Returns
    -------
    tuple
        Its arguments [SI].
    """
    f, whole = np.zeros, np.int64
    bows = f((0, 1, 8)), f((0, 1, 2, 3)), f((0, 1, 2, 5)), f((0, 1, 2)), f((0, 0, 3))
    shape = (
        np.zeros(1, whole), np.zeros((1, 2), whole), f((1, 2)), np.zeros((1, 2), whole),
        np.zeros(1, whole), np.zeros((4, 3), whole), f(4),
    )  # fmt: skip
    kept = f((0, 3, 2)), f((0, 3, 3)), f((0, 3, 1, 3)), f((0, 2))
    return (f((0, 1)), f((0, 1))), f(0), False, 1, bows, shape, kept
