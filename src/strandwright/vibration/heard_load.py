"""The load a taut line is under, from the frequency of one of its modes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError
from strandwright.numerics.outcome import Outcome, Reason
from strandwright.vibration.modes import modes
from strandwright.vibration.sounding_line import SoundingLine

Floats = NDArray[np.float64]
_STEPS = 40
_DONE = 1e-11


def heard_load(line: SoundingLine, frequency: ArrayLike, mode: int = 1) -> Outcome[Floats]:
    r"""Find the tension at which a line sounds at a frequency.

    Parameters
    ----------
    line : SoundingLine
        One line or a batch; its tension is where the search begins.
    frequency : array_like, broadcast to (batch,)
        Of one of its modes, at small swings, > 0 [Hz]
    mode : int
        Which, 1 for the lowest [-]

    Returns
    -------
    Outcome of ndarray, shape (batch,)
        Tension [N]; not ok where the line is too stiff or its ends too soft to sound so low or
        so high at any tension. The residual is the logarithm of the frequency left [-].

    Raises
    ------
    InputError
        If a frequency is not over zero.

    Notes
    -----
    A line between fixed ends that does not bend goes with the square root of its tension, and is
    found in one step; others by secants on logarithms, on which the curve is nearly straight.
    """
    wanted = np.broadcast_to(np.asarray(frequency, dtype=np.float64), (line.cases,))
    if not np.all(np.isfinite(wanted) & (wanted > 0.0)):
        worst = wanted[~(np.isfinite(wanted) & (wanted > 0.0))][0]
        rule = "must be a frequency over 0 Hz"
        raise InputError("heard.frequency", f"{worst:g}", rule, "listen again")
    log_tension, target = np.log(line.tension), np.log(wanted)
    power = np.full(line.cases, 0.5)
    off, before = _off(line, log_tension, target, mode), log_tension
    done = np.abs(off) < _DONE
    steps = 0
    while steps < _STEPS and not np.all(done):
        steps += 1
        before, last = log_tension, off
        log_tension = np.where(done, before, before - np.clip(off / power, -3.0, 3.0))
        off = _off(line, log_tension, target, mode)
        moved = log_tension - before
        slope = (off - last) / np.where(moved == 0.0, 1.0, moved)
        # Between a stiff beam, which hears no tension, and a string with weights.
        power = np.where(moved == 0.0, power, np.clip(slope, 0.02, 0.6))
        done = (np.abs(off) < _DONE) | ~np.isfinite(off)
    ok = np.abs(off) < 1e-9
    reason = Reason.CONVERGED if bool(np.all(ok)) else Reason.NOT_CONVERGED
    return Outcome(np.exp(log_tension), ok, reason, off, steps)


def _off(line: SoundingLine, log_tension: Floats, target: Floats, mode: int) -> Floats:
    """How much too high the line sounds at a tension, as a logarithm."""
    found = modes(replace(line, tension=np.exp(log_tension)), mode)
    sounds = np.log(found.value.frequency[:, mode - 1])
    return np.where(found.ok, sounds - target, np.nan)
