r"""Looking: energy of one bow in a state, with its derivatives, on plain arrays.

The states and the directions of the spans are sought together. With :math:`r` what a span's
tangent condition leaves, :math:`m` its mixed derivative and :math:`\ell` its length, the longest
path near a direction that is not yet the tangent's is, to second order,

.. math:: L^* = \Lambda + \frac{r^2}{2\ell}, \qquad
    \nabla L^* = \nabla\Lambda + \frac{r}{\ell} m, \qquad \delta\alpha = (r + m\,\delta q)/\ell

so one look at the tracks serves a Newton step of both.

A *bow* is its five tables and a *shape* its seven, as :mod:`strandwright.bow.tables` lays them
out, for one bow. A *room* is where a look leaves what it saw: places of the bodies (bodies, 3);
how their coordinates carry them (bodies, 2, 2); spans (spans, 11), by the columns below; first
and mixed derivatives of the spans (spans, n); tensions (reaches,); turns past the stops
(stops,); gradient (n,) and second derivatives (n, n), the lower half; derivatives of the reaches'
lengths (reaches, n); cosines and sines of the bodies (bodies, 2) and the spans (spans, 2).
Everything keeps to what Numba can make machine code of (:mod:`strandwright.bow.machine`).
"""

# pyright: basic, reportMissingParameterType=false

from __future__ import annotations

import math

import numpy as np

from strandwright.bow.machine import compiled, inlined

# Not Python's own whole numbers, for each of which a function would be compiled anew.
#: In place of the stop that is released: none of them, all of them.
NONE, ALL = np.int64(-1), np.int64(-2)

# Columns of a span: what its tangent leaves, its length, its part of the path, its direction's
# cosine and sine, then levers, slopes and normals of its two ends.
LEFT, LENGTH, _PATH, _COS, _SIN, _LEVER, _SLOPE, NORMAL = 0, 1, 2, 3, 4, 5, 7, 9
#: How many columns there are [-].
SPAN = 11


@inlined
def _support(series, waves, peg, sense, psi, c, s):
    """Support of a contact, its slope, and its integral from where the line is fastened."""
    if waves < 0:
        return 0.0, 0.0, 0.0
    if peg[0] > 0.0 and sense * (psi - peg[1]) < 0.0:
        slope = peg[4] * c - peg[3] * s
        return peg[3] * c + peg[4] * s, slope, -slope
    h, slope, swept = series[0], 0.0, series[0] * psi - peg[2]
    if waves == 0:
        return h, slope, swept
    ck, sk, half = c, s, (len(series) - 1) // 2
    for k in range(1, waves + 1):
        a, b = series[k], series[half + k]
        across = b * ck - a * sk
        h += a * ck + b * sk
        slope += k * across
        swept -= across / k
        ck, sk = ck * c - sk * s, sk * c + ck * s
    return h, slope, swept


@inlined
def _turn(q, alpha, limbs, wheel_limb, frame, way):
    """Cosines and sines of the bodies' angles, the nocking point's bearing and the spans."""
    many, wheels = len(limbs), len(wheel_limb)
    for i in range(many):
        angle = limbs[i, 2] + limbs[i, 3] * q[i]
        frame[1 + i, 0], frame[1 + i, 1] = math.cos(angle), math.sin(angle)
    for j in range(wheels):
        k = 1 + many + j
        frame[k, 0], frame[k, 1] = math.cos(q[many + j]), math.sin(q[many + j])
    nock = 1 + many + wheels
    frame[nock, 0], frame[nock, 1] = math.cos(q[len(q) - 1]), math.sin(q[len(q) - 1])
    for i in range(len(alpha)):
        way[i, 0], way[i, 1] = math.cos(alpha[i]), math.sin(alpha[i])


@inlined
def rotate(pair, angle) -> None:
    """Turn a cosine and a sine on by an angle so small that its cube is nothing.

    Parameters
    ----------
    pair : ndarray, shape (2,)
        Cosine and sine; changed [-]
    angle : float
        By how much [rad]
    """
    c, s = pair[0], pair[1]
    less = 0.5 * angle * angle
    pair[0], pair[1] = c - s * angle - c * less, s + c * angle - s * less


@inlined
def nudge(step, limbs, wheel_limb, frame) -> None:
    """Turn the bodies' cosines and sines on by the last, small step.

    Parameters
    ----------
    step : ndarray, shape (n,)
        Change of the state [rad or m]
    limbs : ndarray, shape (limbs, 8)
        The bow's limbs [m, rad, N m/rad, N m/rad^3]
    wheel_limb : ndarray of int, shape (wheels,)
        Limb of each wheel [-]
    frame : ndarray, shape (bodies, 2)
        Cosines and sines; changed [-]
    """
    many = len(limbs)
    for i in range(many):
        rotate(frame[1 + i], limbs[i, 3] * step[i])
    for j in range(len(wheel_limb)):
        rotate(frame[1 + many + j], step[many + j])
    rotate(frame[1 + many + len(wheel_limb)], step[len(step) - 1])


@inlined
def _place(q, limbs, wheel_limb, frame, at, arm):
    """Place the bodies; arm is how they move with the one or two coordinates that carry them."""
    many = len(limbs)
    for i in range(many):
        sign, length = limbs[i, 3], limbs[i, 4]
        px, py = length * frame[1 + i, 0], length * frame[1 + i, 1]
        at[1 + i, 0], at[1 + i, 1] = limbs[i, 0] + px, limbs[i, 1] + py
        at[1 + i, 2] = limbs[i, 2] + sign * q[i]
        arm[1 + i, 0, 0], arm[1 + i, 0, 1] = -sign * py, sign * px
    for j in range(len(wheel_limb)):
        body, tip = 1 + many + j, 1 + wheel_limb[j]
        at[body, 0], at[body, 1], at[body, 2] = at[tip, 0], at[tip, 1], q[many + j]
        arm[body, 0, 0], arm[body, 0, 1] = arm[tip, 0, 0], arm[tip, 0, 1]
    nock, draw = len(at) - 1, q[len(q) - 2]
    c, s = frame[nock, 0], frame[nock, 1]
    at[nock, 0], at[nock, 1] = draw * c, draw * s
    arm[nock, 0, 0], arm[nock, 0, 1] = c, s
    arm[nock, 1, 0], arm[nock, 1, 1] = -draw * s, draw * c


@inlined
def _run(alpha, way, at, frame, bodies, side, series, waves, pegs, span):
    """Look at every span in its direction."""
    for i in range(len(alpha)):
        a, b = bodies[i, 0], bodies[i, 1]
        c, s = way[i, 0], way[i, 1]
        dx, dy = at[b, 0] - at[a, 0], at[b, 1] - at[a, 1]
        left, along = dy * c - dx * s, dx * c + dy * s
        length, path = along, along
        for e in range(2):
            sense = side[i, e] if e == 0 else -side[i, e]
            body = bodies[i, e]
            psi = alpha[i] - side[i, e] * (0.5 * math.pi) - at[body, 2]
            cp = side[i, e] * (s * frame[body, 0] - c * frame[body, 1])
            sp = -side[i, e] * (c * frame[body, 0] + s * frame[body, 1])
            h, slope, swept = _support(series[i, e], waves[i, e], pegs[i, e], sense, psi, cp, sp)
            left += sense * h
            length -= sense * slope
            path += sense * swept
            span[i, _LEVER + e], span[i, _SLOPE + e], span[i, NORMAL + e] = h, slope, psi
        span[i, LEFT], span[i, LENGTH], span[i, _PATH] = left, length, path
        span[i, _COS], span[i, _SIN] = c, s


@inlined
def _carry(row, along, scale, arm, dofs, body):
    """Add to a row how a body moves along a direction."""
    for k in range(2):
        dof = dofs[body, k]
        if dof >= 0:
            row[dof] += scale * (along[0] * arm[body, k, 0] + along[1] * arm[body, k, 1])


@inlined
def _slopes(span, side, bodies, arm, dofs, turns, last, first, mixed):
    """Derivatives of each span's path by the state, and of what its tangent leaves."""
    size = first.shape[1]
    for i in range(len(span)):
        for n in range(size):
            first[i, n], mixed[i, n] = 0.0, 0.0
        c, s = span[i, _COS], span[i, _SIN]
        for e in range(2):
            body, sign = bodies[i, e], -1.0 if e == 0 else 1.0
            dof, turn = dofs[body, 2], sign * side[i, e] * turns[body]
            _carry(first[i], (c, s), sign, arm, dofs, body)
            if dof >= 0:
                first[i, dof] += turn * span[i, _LEVER + e]
            if not last:
                _carry(mixed[i], (-s, c), sign, arm, dofs, body)
                if dof >= 0:
                    mixed[i, dof] += turn * span[i, _SLOPE + e]
        if not last:
            share = span[i, LEFT] / span[i, LENGTH]
            for n in range(size):
                first[i, n] += share * mixed[i, n]


@inlined
def _pull(span, path, reaches, first, last, tension, gradient, hessian, whole):
    """Tensions, and what the lines' stretch adds to gradient and second derivatives."""
    size = len(gradient)
    energy = 0.0
    for r in range(len(reaches)):
        length = 0.0
        for n in range(size):
            whole[r, n] = 0.0
        for i in range(len(span)):
            if path[i] == r:
                length += span[i, _PATH] + 0.5 * span[i, LEFT] ** 2 / span[i, LENGTH]
                for n in range(size):
                    whole[r, n] += first[i, n]
        rate = reaches[r, 1] / reaches[r, 0]
        stretch = length - reaches[r, 0]
        tension[r] = rate * stretch
        if not stretch > 0.0:
            tension[r] = 0.0
            continue
        energy += 0.5 * rate * stretch * stretch
        for n in range(size):
            gradient[n] += tension[r] * whole[r, n]
            for m in range(0 if last else n + 1):
                hessian[n, m] += rate * whole[r, n] * whole[r, m]
    return energy


@inlined
def _curve(q, span, path, side, bodies, dofs, arm, limbs, at, tension, mixed, hessian):
    """What the tensions add to the second derivatives as spans and bodies turn."""
    size = len(q)
    for i in range(len(span)):
        pull = tension[path[i]]
        weight = pull / span[i, LENGTH]
        for n in range(size):
            if mixed[i, n] != 0.0:
                for m in range(n + 1):
                    hessian[n, m] += weight * mixed[i, n] * mixed[i, m]
        for e in range(2):
            sign = 1.0 if e == 0 else -1.0
            body = bodies[i, e]
            dof = dofs[body, 2]
            if dof >= 0:
                hessian[dof, dof] += sign * side[i, e] * pull * span[i, _SLOPE + e]
            fx, fy = -sign * pull * span[i, _COS], -sign * pull * span[i, _SIN]
            if body == len(at) - 1:
                bend = fx * arm[body, 1, 0] + fy * arm[body, 1, 1]
                hessian[size - 1, size - 2] += bend / q[size - 2]
                out = fx * arm[body, 0, 0] + fy * arm[body, 0, 1]
                hessian[size - 1, size - 1] -= q[size - 2] * out
            elif body > 0:
                limb = dofs[body, 0]
                px, py = at[body, 0] - limbs[limb, 0], at[body, 1] - limbs[limb, 1]
                hessian[limb, limb] -= fx * px + fy * py


@inlined
def _springs(q, limbs, wheel_limb, stops, released, gradient, hessian, excess):
    """Add limbs and stops, but the one stop that is released."""
    many, energy = len(limbs), 0.0
    for i in range(many):
        k, k3 = limbs[i, 5], limbs[i, 7]
        turn = q[i] - limbs[i, 6]
        energy += turn * turn * (0.5 * k + 0.25 * k3 * turn * turn)
        gradient[i] += turn * (k + k3 * turn * turn)
        hessian[i, i] += k + 3.0 * k3 * turn * turn
    for p in range(len(stops)):
        past = -stops[p, 0]
        for j in range(len(wheel_limb)):
            limb = wheel_limb[j]
            tip = limbs[limb, 2] + limbs[limb, 3] * q[limb]
            past += stops[p, 2 + j] * (q[many + j] - tip)
        excess[p] = past
        if past > 0.0 and released not in (p, ALL):
            energy += 0.5 * stops[p, 1] * past * past
            _press(stops[p], past, limbs, wheel_limb, gradient, hessian)
    return energy


@compiled
def _press(stop, past, limbs, wheel_limb, gradient, hessian):
    """Add the push of a stop."""
    many = len(limbs)
    by = np.zeros(len(gradient))
    for j in range(len(wheel_limb)):
        by[many + j] += stop[2 + j]
        by[wheel_limb[j]] -= stop[2 + j] * limbs[wheel_limb[j], 3]
    for n in range(len(by)):
        gradient[n] += stop[1] * past * by[n]
        for m in range(n + 1):
            hessian[n, m] += stop[1] * by[n] * by[m]


@inlined
def look(q, alpha, released, last, bow, shape, room) -> float:
    """Give the energy in a state; its derivatives and all else go into the room.

    Parameters
    ----------
    q : ndarray, shape (n,)
        State [rad, m]
    alpha : ndarray, shape (spans,)
        Directions of the spans, near the tangents' [rad]
    released : int
        Stop that is taken away, or NONE or ALL [-]
    last : bool
        Whether this is the last look at a state just settled: cosines and sines are then those
        the room holds, and second derivatives are left out.
    bow : tuple of ndarray
        Tables of one bow [m, rad, N m/rad, N m/rad^3, N].
    shape : tuple of ndarray
        How its parts hang together [-].
    room : tuple of ndarray
        Where what is seen is left [m, rad, N, J].

    Returns
    -------
    float
        Energy [J]
    """
    limbs, series, pegs, reaches, stops = bow
    wheel_limb, bodies, side, waves, path, dofs, turns = shape
    at, arm, span, first, mixed, tension, excess, gradient, hessian, whole, frame, way = room
    if not last:
        _turn(q, alpha, limbs, wheel_limb, frame, way)
    _place(q, limbs, wheel_limb, frame, at, arm)
    _run(alpha, way, at, frame, bodies, side, series, waves, pegs, span)
    _slopes(span, side, bodies, arm, dofs, turns, last, first, mixed)
    for n in range(len(gradient)):
        gradient[n] = 0.0
        for m in range(n + 1):
            hessian[n, m] = 0.0
    energy = _pull(span, path, reaches, first, last, tension, gradient, hessian, whole)
    if not last:
        _curve(q, span, path, side, bodies, dofs, arm, limbs, at, tension, mixed, hessian)
    return energy + _springs(q, limbs, wheel_limb, stops, released, gradient, hessian, excess)


@compiled
def glance(state, released, bow, shape, room) -> float:
    """Look once, where it is not done often.

    Parameters
    ----------
    state : ndarray, shape (n + spans,)
        State and directions [rad, m]
    released : int
        Stop that is taken away, or NONE or ALL [-]
    bow : tuple of ndarray
        Tables of one bow [m, rad, N m/rad, N m/rad^3, N].
    shape : tuple of ndarray
        How its parts hang together [-].
    room : tuple of ndarray
        Where what is seen is left [m, rad, N, J].

    Returns
    -------
    float
        Energy [J]
    """
    size = len(room[7])
    return look(state[:size], state[size:], released, False, bow, shape, room)


@inlined
def stop_turned(stop, change, bow, shape) -> float:
    """Give how a change of the state turns a stop towards its touch.

    Parameters
    ----------
    stop : int
        Which [-]
    change : ndarray, shape (n,)
        Change of the state [rad or m]
    bow : tuple of ndarray
        Tables of one bow [m, rad, N m/rad, N m/rad^3, N].
    shape : tuple of ndarray
        How its parts hang together [-].

    Returns
    -------
    float
        Turn [rad]
    """
    limbs, total = bow[0], 0.0
    for j in range(len(shape[0])):
        limb = shape[0][j]
        turn = change[len(limbs) + j] - limbs[limb, 3] * change[limb]
        total += bow[4][stop, 2 + j] * turn
    return total
