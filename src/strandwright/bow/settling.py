"""Settling: one bow brought to rest at a draw, from a state foretold from those before it.

States are foretold by the polynomial through up to ten before them. Beside the *room* of
:mod:`strandwright.bow.looking` there is a *spare* one: the last step (n,); the tangent of the
state along the draw (n,) and of the spans' directions (spans,); the factor of the second
derivatives (n, n); and four numbers: the first step at the last draw, most steps at any, the
energy before the last step, and the last step.
"""

# pyright: basic, reportMissingParameterType=false

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.looking import LEFT, LENGTH, look, nudge, rotate, stop_turned
from strandwright.bow.machine import compiled, inlined

#: Longest Newton step that is trusted, and the step after which a state is exact, for half of
#: its square is left; shorter for one whose tangents others are foretold from [rad or m].
_FAR, _DONE, _EXACT = 0.3, 4e-6, 1e-7
#: Newton steps at one draw.
_MOST = 12
#: States a state is foretold from, at most; and from how many on by the states alone.
USED, _TANGENTS = 10, 6
#: In place of how many states one is foretold from.
AFRESH = np.int64(0)


def _onward() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Weights that carry states a stride apart on by a stride, for one of them and more.

    Up to five by the last three with their tangents; from six on by the states alone, which
    pass no fault of the tangents on.
    """
    values, slopes = np.zeros((2, USED + 1, USED))
    for used in range(1, USED + 1):
        tangents = used < _TANGENTS
        count = min(used, 3) if tangents else used
        powers = np.arange(2 * count if tangents else count)
        at = np.arange(1.0 - count, 1.0)[:, None]
        rows = [at**powers, powers * at ** np.maximum(powers - 1, 0)][: 1 + tangents]
        weights = np.linalg.solve(np.concatenate(rows).T, np.ones(len(powers)))
        values[used, used - count : used] = weights[:count]
        slopes[used, used - count : used] = weights[count:] if tangents else 0.0
    return values, slopes


_VALUES, _SLOPES = _onward()


@inlined
def _solve(gradient, hessian, step, tangent, factor):
    """Newton's step at a held draw, and the tangent along it; false where it is not steady."""
    size = len(gradient)
    draw = size - 2
    for a in range(size - 1):
        n = a if a < draw else size - 1
        for b in range(a + 1):
            m = b if b < draw else size - 1
            total = hessian[n, m]
            for k in range(b):
                total -= factor[a, k] * factor[b, k]
            if a > b:
                factor[a, b] = total / factor[b, b]
            elif total > 0.0:
                factor[a, a] = math.sqrt(total)
            else:
                return False
    for a in range(size - 1):
        n = a if a < draw else size - 1
        step[n] = -gradient[n]
        tangent[n] = -hessian[draw, n] if n < draw else -hessian[n, draw]
    _back(factor, draw, step)
    _back(factor, draw, tangent)
    step[draw], tangent[draw] = 0.0, 1.0
    return True


@inlined
def _back(factor, draw, values):
    """Solve for one right-hand side by the factor, the draw left out."""
    last = len(values) - 1
    for a in range(last):
        n = a if a < draw else last
        for k in range(a):
            values[n] -= factor[a, k] * values[k if k < draw else last]
        values[n] /= factor[a, a]
    for a in range(last - 1, -1, -1):
        n = a if a < draw else last
        for k in range(a + 1, last):
            values[n] -= factor[k, a] * values[k if k < draw else last]
        values[n] /= factor[a, a]


@inlined
def least(values) -> float:
    """Give the least of some numbers, without a search's overhead.

    Parameters
    ----------
    values : ndarray, shape (count,)
        Numbers [any]

    Returns
    -------
    float
        The least; without end where there are none [any]
    """
    least = math.inf
    for value in values:
        least = min(least, value)
    return least


@compiled
def settle(state, used, released, bow, shape, room, spare) -> bool:
    """Bring a state to rest at its draw; its tangents and steps are left in the spare room.

    Parameters
    ----------
    state : ndarray, shape (n + spans,)
        State and directions, near rest; changed [rad, m]
    used : int
        How many states it was foretold from; AFRESH where others will be foretold from it [-]
    released : int
        Stop that is taken away, or NONE or ALL [-]
    bow : tuple of ndarray
        Tables of one bow [m, rad, N m/rad, N m/rad^3, N].
    shape : tuple of ndarray
        How its parts hang together [-].
    room : tuple of ndarray
        Where what is seen is left [m, rad, N, J].
    spare : tuple of ndarray
        The spare room [rad, m, J].

    Returns
    -------
    bool
        Whether it stands there firmly, every line taut.
    """
    step, moved, turned, factor, history = spare
    size = len(step)
    q, alpha = state[:size], state[size:]
    # Tangents that others are foretold from must be good to more than the state itself.
    done = _DONE if used >= _TANGENTS else _EXACT
    span, mixed, tension, gradient, hessian = room[2], room[4], room[5], room[7], room[8]
    frame, way = room[10], room[11]
    for turn in range(_MOST):
        history[2] = look(q, alpha, released, False, bow, shape, room)
        if not _solve(gradient, hessian, step, moved, factor):
            return False
        longest, sound = 0.0, True
        for n in range(len(q)):
            sound = sound and abs(step[n]) < _FAR
            longest = max(longest, abs(step[n]))
            q[n] += step[n]
        for i in range(len(alpha)):
            change, along = span[i, LEFT], 0.0
            for n in range(len(q)):
                change += mixed[i, n] * step[n]
                along += mixed[i, n] * moved[n]
            change /= span[i, LENGTH]
            turned[i] = along / span[i, LENGTH]
            longest = max(longest, abs(change))
            alpha[i] += change
            rotate(way[i], change)
            sound = sound and abs(change) < _FAR and span[i, LENGTH] > 0.0
        if not sound or not least(tension) > 0.0:
            return False
        if turn == 0:
            history[0] = longest
        history[1], history[3] = max(history[1], turn + 1.0), longest
        if longest < done:
            nudge(step, bow[0], shape[0], frame)
            for p in range(len(bow[4])):
                room[6][p] += stop_turned(p, step, bow, shape)
            return True
    return False


@inlined
def foretell(nodes, k, used, stride, out) -> None:
    """Carry the polynomial through the states before on by a stride.

    Parameters
    ----------
    nodes : tuple of ndarray, shape (nodes, n + spans)
        States and their tangents along the draw [rad, m; the same per m]
    k : int
        The one to foretell, >= 1 [-]
    used : int
        From how many before it, 1 to USED [-]
    stride : float
        Draw between two of them [m]
    out : ndarray, shape (n + spans,)
        Filled in [rad, m]
    """
    states, slopes = nodes
    for n in range(len(out)):
        out[n] = 0.0
    for j in range(used):
        value, slope, node = _VALUES[used, j], stride * _SLOPES[used, j], k - used + j
        if slope != 0.0:
            for n in range(len(out)):
                out[n] += value * states[node, n] + slope * slopes[node, n]
        elif value != 0.0:
            for n in range(len(out)):
                out[n] += value * states[node, n]
