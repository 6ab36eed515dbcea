"""Onset: when a line was plucked, which part of a sound is its ringing, and where it is cut off."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.sound import Sound

Floats = NDArray[np.float64]
#: Loudness is looked at over this long before and after, at every step of this length [s].
_SPAN, _STEP = 0.05, 0.005
#: A pluck makes what changes fastest this many times as strong.
_JUMP = 3.0
#: Weaker than this beside the strongest is no pluck.
_WEAK = 1e-3
#: Share of samples at the ceiling, where it is loudest, that is called cut off.
_CUT = 0.01


def onsets(sound: Sound) -> Floats:
    """Find when something was plucked or struck.

    Parameters
    ----------
    sound : Sound
        At a rate of a few times what is listened for.

    Returns
    -------
    ndarray, shape (onsets,)
        Times from its beginning, to some thousandths, earliest first [s].
    """
    step = max(1, round(_STEP * sound.rate))
    power = np.diff(sound.samples, prepend=sound.samples[:1]) ** 2
    blocks = len(power) // step
    span = round(_SPAN / _STEP)
    if blocks < 2 * span:
        return np.zeros(1)
    each = np.sum(power[: blocks * step].reshape(blocks, step), axis=1)
    total = np.concatenate([[0.0], np.cumsum(each)])
    after = total[span:] - total[:-span]
    floor = 1e-9 * float(np.max(after)) + 1e-300
    # At block b: the span from b on against that before it, or as much of it as there is.
    count = np.minimum(np.arange(len(after)), span)
    at = np.arange(len(after))
    before = (total[at] - total[at - count]) * span / np.maximum(count, 1)
    jump = (after + floor) / (before + floor)
    jump[:2] = np.inf if after[0] > 0.2 * float(np.max(after)) else 1.0
    jump[2:] = np.where(count[2:] < 4, 1.0, jump[2:])
    wide = np.lib.stride_tricks.sliding_window_view(np.pad(jump, 2 * span), 4 * span + 1)
    found = (jump >= np.max(wide, axis=1)) & (jump > _JUMP) & (after > _WEAK * np.max(after))
    times = np.flatnonzero(found) * step / sound.rate
    return times[np.concatenate([[True], np.diff(times) > 2.0 * _SPAN])] if len(times) else times


def cut_until(sound: Sound) -> float:
    """Find until when a sound is cut off at the ceiling of what recorded it.

    Parameters
    ----------
    sound : Sound
        As it was recorded.

    Returns
    -------
    float
        End of the last part that is cut off, from its beginning; 0 where none is [s].
    """
    size = np.abs(sound.samples)
    peak = float(np.max(size, initial=0.0))
    at = np.flatnonzero(size >= (1.0 - 1e-6) * peak)
    span = max(1, round(_SPAN * sound.rate))
    if len(at) < _CUT * span:
        return 0.0
    near = at - at[0] < span
    if np.count_nonzero(near) < _CUT * min(span, len(size)) and len(at) < 2.0 * _CUT * span:
        return 0.0
    return float(at[-1] + 1) / sound.rate
