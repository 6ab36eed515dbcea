"""Tables: bows with links for limbs as plain arrays, and their draw by single steps."""

from __future__ import annotations

import weakref
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow import machine, stepping
from strandwright.bow.limb import PivotLimb
from strandwright.bow.rig import Rig

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]
#: Longest draw between two states that are followed [m].
_STRIDE = 0.013
#: Rigs laid out already; a rig does not change.
_LAID_OUT: weakref.WeakKeyDictionary[Rig, Tables | None] = weakref.WeakKeyDictionary()


@dataclass(frozen=True)
class Tables:
    """Numbers of a batch of bows, and how their parts hang together.

    Attributes
    ----------
    bows : tuple of ndarray
        Limbs (bows, limbs, 8): root, heading, mirror sign, length, rate, rest, hardening; series
        of each span's ends (bows, spans, 2, 1 + 2 harmonics); their pegs (bows, spans, 2, 5):
        whether fastened, normal, integral up to it, point; reaches (bows, reaches, 2): natural
        length, EA; stops (bows, stops, 2 + wheels): limit, stiffness, share of each wheel
        [m, rad, N m/rad, N m/rad^3, N].
    shape : tuple of ndarray
        Limb of each wheel; bodies, sides and harmonics of each span's ends, -1 harmonics for a
        point at a body's origin; reach of each span; coordinates
        that carry each body, -1 for none, and the sign of its own turn [-].
    """

    bows: tuple[Floats, ...]
    shape: tuple[NDArray[np.generic], ...]


@dataclass(frozen=True)
class QuickDraw:
    """What was found, for the bows that were not given up.

    Attributes
    ----------
    done : ndarray of bool, shape (bows,)
        Where the rest means something [-].
    draw : ndarray, shape (bows, points)
        Nocking point to the pivot of the grip [m].
    q : ndarray, shape (bows, points, n)
        States [-, rad, m, rad].
    direction : ndarray, shape (bows, points, spans)
        Directions of the straight parts [rad].
    force, energy : ndarray, shape (bows, points)
        Draw force and stored energy, all of it [N, J].
    tension : ndarray, shape (bows, points, reaches)
        Tensions [N].
    stop_excess : ndarray, shape (bows, points, stops)
        Turn past each stop [rad].
    span_length : ndarray, shape (bows, points, spans)
        Lengths of the straight parts [m].
    normal : ndarray, shape (bows, points, spans, 2)
        Normals at their ends [rad].
    residual : ndarray, shape (bows,)
        Largest moment or force left; where the last step was under 2e-8 rad, estimated from it
        and from what was left before it [J].
    iterations : int
        Most Newton steps at one draw [-].
    """

    done: NDArray[np.bool_]
    draw: Floats
    q: Floats
    direction: Floats
    force: Floats
    energy: Floats
    tension: Floats
    stop_excess: Floats
    span_length: Floats
    normal: Floats
    residual: Floats
    iterations: int


def laid_out(rig: Rig) -> Tables | None:
    """Lay a rig out as plain arrays, once.

    Parameters
    ----------
    rig : Rig
        A bow or a batch of bows.

    Returns
    -------
    Tables or None
        None for a bow that is not stepped: with bent limbs, or tracks that may be left.
    """
    if rig not in _LAID_OUT:
        _LAID_OUT[rig] = _layout(rig)
    return _LAID_OUT[rig]


def _layout(rig: Rig) -> Tables | None:
    bow, paths = rig.bow, rig.paths
    limbs = [mount.limb for mount in bow.mounts]
    if len(paths.links) or not all(isinstance(limb, PivotLimb) for limb in limbs):
        return None
    many, wheels = len(bow.mounts), len(bow.wheels)
    columns: list[list[object]] = []
    for mount in bow.mounts:
        limb = mount.limb
        assert isinstance(limb, PivotLimb)
        sign = -1.0 if mount.mirrored else 1.0
        own = [limb.length, limb.stiffness, limb.rest_angle, limb.hardening]
        columns.append([mount.x, mount.y, mount.heading, sign, *own])
    stops: list[list[object]] = []
    for stop in bow.stops:
        share = np.zeros(wheels)
        for index, sense in stop.wheels:
            share[index] += sense / len(stop.wheels)
        stops.append([stop.limit, stop.stiffness, *share])
    numbers = (
        _table(columns, 8),
        paths.series(),
        paths.fastenings(),
        np.stack(np.broadcast_arrays(rig.natural, rig.stiffness), axis=-1),
        _table(stops, 2 + wheels),
    )
    wheel_limb = np.array([wheel.limb for wheel in bow.wheels], dtype=np.int64)
    dofs, turns = _carriers(rig, wheel_limb, many)
    shape = (
        wheel_limb,
        paths.bodies,
        paths.side,
        _harmonics(numbers[1], numbers[2]),
        paths.of_path,
        dofs,
        turns,
    )
    return Tables(numbers, shape)


def quick_draw(
    rig: Rig, brace: Floats, directions: Floats, full: Floats, points: int, *, to_stops: bool
) -> QuickDraw | None:
    """Draw bows one by one, state after state.

    Parameters
    ----------
    rig : Rig
        A bow or a batch of bows.
    brace : ndarray, shape (bows, n)
        States at brace, in equilibrium or near it [-, rad, m, rad]
    directions : ndarray, shape (bows, spans)
        Directions of the spans there [rad]
    full : ndarray, shape (bows,)
        Last draw, past the brace [m]
    points : int
        States in all, >= 3 [-]
    to_stops : bool
        Whether to end where the last stop is touched, if that is before the last draw.

    Returns
    -------
    QuickDraw or None
        None for a bow that is not stepped.
    """
    tables = laid_out(rig)
    if tables is None:
        return None
    many, size = brace.shape
    spans, reaches = rig.paths.count, len(rig.paths.paths)
    furthest = float((full - brace[:, rig.draw]).max())
    inner = max(1, int(np.ceil(furthest / (_STRIDE * (points - 1)))))
    states = np.zeros((many, points, size + spans))
    numbers = np.zeros((many, points, 2 + reaches + len(rig.bow.stops)))
    runs, ends = np.zeros((many, points, spans, 3)), np.zeros((many, 2))
    bows = tuple(_each(v, many) for v in tables.bows)
    start, kept = (_each(brace, many), _each(directions, many)), (states, numbers, runs, ends)
    call = start, _each(full, many), to_stops, inner, bows, tables.shape, kept
    if machine.is_on():
        stepping.drawn(*call)
    else:
        with np.errstate(all="ignore"):
            stepping.drawn(*call)
    return QuickDraw(
        np.isfinite(ends[:, 0]),
        states[:, :, rig.draw],
        states[:, :, :size],
        states[:, :, size:],
        numbers[:, :, 0],
        numbers[:, :, 1],
        numbers[:, :, 2 : 2 + reaches],
        numbers[:, :, 2 + reaches :],
        runs[..., 0],
        runs[..., 1:],
        ends[:, 0],
        int(ends[:, 1].max()),
    )


def _table(rows: list[list[object]], width: int) -> Floats:
    """Rows of numbers that are one for all bows or one for each: (1 or bows, rows, width)."""
    flat = [np.atleast_1d(np.asarray(v, dtype=np.float64)) for row in rows for v in row]
    if not flat:
        return np.zeros((1, 0, width))
    many = max(len(v) for v in flat)
    columns = [np.broadcast_to(v, (many,)) for v in flat]
    return np.stack(columns, axis=-1).reshape(many, len(rows), width)


def _each(values: Floats, many: int) -> Floats:
    """Numbers of its own for each bow; always laid out alike, so that one compiling serves."""
    flags = values.flags
    if len(values) == many and flags.c_contiguous and flags.writeable:
        return values
    return np.array(np.broadcast_to(values, (many, *values.shape[1:])), order="C")


def _harmonics(series: Floats, pegs: Floats) -> Whole:
    """Harmonics that count at the ends of every span; -1 for a point at a body's origin."""
    waves = np.any(series[..., 1:] != 0.0, axis=(0, 3))
    count = np.where(waves, (series.shape[-1] - 1) // 2, 0)
    none = ~waves & np.all(series[..., 0] == 0.0, axis=0) & np.all(pegs[..., 0] == 0.0, axis=0)
    return np.where(none, -1, count)


def _carriers(rig: Rig, wheel_limb: Whole, many: int) -> tuple[Whole, Floats]:
    """Coordinates that carry each body: two for its place, one for its turn with the sign."""
    bow = rig.bow
    dofs = np.full((bow.nock + 1, 3), -1, dtype=np.int64)
    turns = np.zeros(bow.nock + 1)
    for i, mount in enumerate(bow.mounts):
        dofs[bow.tip(i)], turns[bow.tip(i)] = (i, -1, i), -1.0 if mount.mirrored else 1.0
    for j, limb in enumerate(wheel_limb):
        dofs[bow.wheel(j)], turns[bow.wheel(j)] = (limb, -1, many + j), 1.0
    dofs[bow.nock] = (rig.draw, rig.bearing, -1)
    return dofs, turns
