r"""Placing: where to pluck a line and where to hold the microphone for its pitch to be heard well.

A finger that holds a line aside at a place and lets it go leaves each mode, of mass 1, with
:math:`F w_n(x)/\omega_n^2`, F being the force it held with: high modes are left little. Air close
to a thin line is pressed with the line's acceleration, :math:`\omega_n^2` times its swing (Lamb,
Hydrodynamics, on a cylinder that moves in a fluid), which takes that back: what reaches the
microphone of a mode goes as its swing at the finger times its swing at the microphone.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError
from strandwright.vibration.giving import give_at
from strandwright.vibration.modes import Modes
from strandwright.vibration.swing import pitch_rise

Floats = NDArray[np.float64]
#: Places that are tried along a stretch.
_PLACES = 301
_SIDES, _SHARES = np.polynomial.legendre.leggauss(48)


def pluck_swings(found: Modes, place: float, height: ArrayLike) -> Floats:
    r"""Give how far each mode swings after a line is held aside at a place and let go.

    Parameters
    ----------
    found : Modes
        The modes of one line or a batch.
    place : float
        Where it is held, from the start, between the ends [m]
    height : array_like, () or (batch,)
        How far it is held aside there [m]

    Returns
    -------
    ndarray, shape (batch, modes)
        Swing to one side where the mode swings most; signed as its shape is over zero near the
        start, so that these times the modes' shapes add up to the line as it is held [m]

    Notes
    -----
    For a bare line of length 1 held at p: :math:`2h \sin(n\pi p)/(n^2\pi^2 p(1-p))`.
    """
    waves = found.waves()
    here = waves.at(np.array([place]))[..., 0]
    near = 1e-3 * float(found.line.length.sum(axis=1).min())
    sign = np.sign(waves.at(np.array([near]))[..., 0])
    force = np.asarray(height, np.float64) / give_at(found.line, place)
    return force[..., None] * here * sign * waves.largest() / waves.omega**2


def heard_swing(found: Modes, places: ArrayLike, distance: float = 0.0) -> Floats:
    r"""Give how each mode is heard at places along a line.

    Parameters
    ----------
    found : Modes
        The modes of one line or a batch.
    places : array_like, shape (places,)
        Where the microphone is held, from the start [m]
    distance : float
        Of the microphone from the line, >= 0 [m]

    Returns
    -------
    ndarray, shape (batch, modes, places)
        The mode's swing there, as the air between spreads it; for a mode of mass 1 kg [-]

    Notes
    -----
    Each length of the line is heard as :math:`d^2/(2 (d^2 + x^2)^{3/2}`, its near field seen from
    distance d and x aside: half of it comes from within 0.6 d to either side.
    """
    waves = found.waves()
    at = np.asarray(places, np.float64)
    if distance == 0.0:
        return waves.at(at)
    # With x = d s/sqrt(1 - s^2), each step of s weighs alike.
    aside = distance * _SIDES / np.sqrt(1.0 - _SIDES**2)
    spread = (at[:, None] + aside).ravel()
    swing = waves.at(spread)
    beyond = (spread < 0.0) | (spread > found.line.length.sum(axis=1)[:, None])
    swing = np.where(beyond[:, None, :], 0.0, swing)
    return 0.5 * swing.reshape(*swing.shape[:2], len(at), len(aside)) @ _SHARES


def evenness(found: Modes, places: ArrayLike, distance: float = 0.0) -> Floats:
    r"""Give how well a place serves all of the modes at once.

    Parameters
    ----------
    found : Modes
        The modes that are to be heard, of one line or a batch.
    places : array_like, shape (places,)
        From the start [m]
    distance : float
        Of the microphone from the line; 0 for a finger [m]

    Returns
    -------
    ndarray, shape (batch, places)
        Geometric mean of the modes' squares there, over that of places anywhere: 0 at a node of
        any; 2 where a bare line had an antinode of all [-]

    Notes
    -----
    Of the pitch, the n-th partial teaches its power times :math:`n^2` (the Fisher information of
    a frequency, over n for the pitch). Powers go as the squares of swings at finger and
    microphone; the product of what all teach is greatest where that of their squares is, whatever
    powers of n stand before, so that one place suits the finger and the microphone alike.
    """
    squares = heard_swing(found, places, distance) ** 2
    mass = (found.line.length * found.line.mass_per_length).sum(axis=1) + found.line.weight.sum(1)
    with np.errstate(divide="ignore"):
        return np.exp(np.log(squares * mass[:, None, None]).mean(axis=1))


@dataclass(frozen=True)
class Place:
    """The best of the places along a stretch of line.

    Attributes
    ----------
    place : ndarray, shape (batch,)
        From the start [m].
    evenness : ndarray, shape (batch,)
        How well it serves all of the modes, as :func:`evenness` has it [-].
    level : ndarray, shape (batch, modes)
        Of each mode, heard or plucked there, over the strongest [dB].
    """

    place: Floats
    evenness: Floats
    level: Floats


def best_place(found: Modes, lowest: float, highest: float, distance: float = 0.0) -> Place:
    """Find the place along a stretch of line that serves all of the modes best.

    Parameters
    ----------
    found : Modes
        The modes that are to be heard, of one line or a batch; some four or five.
    lowest, highest : float
        Ends of the stretch, clear of servings and marks, from the start [m]
    distance : float
        Of the microphone from the line; 0 for a finger [m]

    Returns
    -------
    Place
        Where to pluck, or where to hold the microphone.

    Raises
    ------
    InputError
        If the stretch is none, or is not on the line.
    """
    long = float(found.line.length.sum(axis=1).min())
    if not 0.0 <= lowest < highest <= long * (1.0 + 1e-9):
        rule = f"must run along the line, within 0 and {long:g} m"
        given = f"{lowest:g} to {highest:g} m"
        raise InputError("placing.stretch", given, rule, "give two places on the line")
    places = np.linspace(lowest, highest, _PLACES)
    with np.errstate(divide="ignore", invalid="ignore"):
        served = np.log(evenness(found, places, distance))
        top = np.clip(np.argmax(served, axis=1), 1, _PLACES - 2)[:, None] + np.array([-1, 0, 1])
        before, middle, after = np.take_along_axis(served, top, axis=1).T
        # The top of the parabola through three places, as long as it lies between them.
        aside = 0.5 * (before - after) / (before - 2.0 * middle + after)
    aside = np.clip(np.nan_to_num(aside), -1.0, 1.0)
    best = places[top[:, 1]] + aside * (places[1] - places[0])
    score = np.einsum("bb->b", evenness(found, best, distance))
    swing = np.abs(heard_swing(found, best, distance))
    own = np.einsum("bmb->bm", swing)
    level = 20.0 * np.log10(np.maximum(own / own.max(axis=1, keepdims=True), 1e-15))
    return Place(best, score, level)


def gentlest_pluck(
    found: Modes, place: float, share: ArrayLike, run: ArrayLike, mode: int = 1
) -> Floats:
    """Give how far a line may be plucked for a mode to sound only so much higher.

    Parameters
    ----------
    found : Modes
        The modes of one line or a batch; some eight, so that all that swings is counted.
    place : float
        Where it is plucked, from the start [m]
    share : array_like, () or (batch,)
        Rise that is borne, as a share of the pitch, up to some 0.03 [-]
    run : array_like, () or (batch,)
        Stiffness of the whole run, see :func:`strandwright.vibration.swing.run_stiffness` [N/m]
    mode : int
        Whose pitch, 1 for the lowest [-]

    Returns
    -------
    ndarray, shape (batch,)
        How far it is held aside before it is let go [m]
    """
    unit = 1e-3
    rise = pitch_rise(found, pluck_swings(found, place, unit), run)[:, mode - 1]
    return unit * np.sqrt(np.asarray(share, np.float64) / rise)
