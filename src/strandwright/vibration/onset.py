"""Onset: when a line was plucked, which part of a sound is its ringing, and where it is cut off."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.sound import Sound

Floats = NDArray[np.float64]
#: Loudness is looked at over this long before and after, at every step of this length [s].
_SPAN, _SHORT, _STEP = 0.05, 0.015, 0.005
#: A pluck makes it this many times as loud, and over the short span this many times.
_JUMP, _SHARP = 2.2, 2.5
#: What changes within a step tells a pluck from what rings on; what changes within this from the
#: rumble of the room [s].
_LAG = 0.0025
#: Longer than this before the first pluck may be ringing of its own [s].
_IN_THE_MIDST = 0.25
#: Mean rise of all bands at a pluck, each counting at most so much, as logarithms of power.
_BANDS_RISE, _BAND_MOST = 0.45, 2.5
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
    blocks = len(sound.samples) // step
    span, short = round(_SPAN / _STEP), round(_SHORT / _STEP)
    if blocks < 2 * span:
        return np.zeros(1)
    jump, sharp, loud = np.ones(blocks), np.ones(blocks), np.zeros(blocks, dtype=bool)
    after = np.zeros(blocks)
    for lag in (1, max(2, round(_LAG * sound.rate))):
        change = sound.samples[lag:] - sound.samples[:-lag]
        change = np.concatenate([np.full(lag, change[0]), change])
        power = np.sum((change**2)[: blocks * step].reshape(blocks, step), axis=1)
        jump_here, after = _jumps(power, span)
        sharp = np.maximum(sharp, _jumps(power, short)[0])
        jump = np.maximum(jump, jump_here)
        loud |= after > _WEAK * float(np.max(after))
    near = np.lib.stride_tricks.sliding_window_view(np.pad(sharp, 2, constant_values=1.0), 5)
    jump = np.where(np.max(near, axis=1) > _SHARP, jump, 1.0)
    wide = np.lib.stride_tricks.sliding_window_view(np.pad(jump, 2 * span), 4 * span + 1)
    found = (jump >= np.max(wide, axis=1)) & (jump > _JUMP) & loud
    times = np.flatnonzero(found) * step / sound.rate
    if len(times) == 0:
        times = _by_bands(sound)
    # A sound that begins in the midst of its ringing begins with its pluck.
    if (len(times) == 0 or times[0] > _IN_THE_MIDST) and after[0] > 0.2 * float(np.max(after)):
        times = np.concatenate([[0.0], times])
    return times[np.diff(times, prepend=-1.0) > 2.0 * _SPAN]


def _by_bands(sound: Sound) -> Floats:
    """When most of many bands get louder at once: a pluck beside a whistle or much noise."""
    wide = 2 * (round(0.016 * sound.rate))
    hop = wide // 4
    if len(sound.samples) < 12 * wide:
        return np.zeros(0)
    rows = np.lib.stride_tricks.sliding_window_view(sound.samples, wide)[::hop]
    window = np.sin(np.pi * (np.arange(wide) + 0.5) / wide) ** 2
    power = np.abs(np.fft.rfft(rows * window, axis=1)) ** 2
    total = np.cumsum(np.concatenate([np.zeros((1, power.shape[1])), power]), axis=0)
    span = 8
    at = np.arange(span + 3, len(power) - span)
    # Frames that hold the moment itself count neither as before nor as after.
    before, after = total[at - 3] - total[at - 3 - span], total[at + span] - total[at]
    risen = np.log((after + 1e-300) / (before + 1e-300))
    jump = np.mean(np.clip(risen, 0.0, _BAND_MOST), axis=1) - np.mean(np.clip(-risen, 0.0, 1.0))
    best = int(np.argmax(jump))
    if jump[best] < _BANDS_RISE:
        return np.zeros(0)
    return np.array([max(0.0, (at[best] * hop) / sound.rate)])


def _jumps(power: Floats, span: int) -> tuple[Floats, Floats]:
    """How much louder it is over a span from each block on than over that before it."""
    blocks = len(power)
    total = np.concatenate([[0.0], np.cumsum(power)])
    at = np.arange(blocks)
    on, back = np.minimum(at + span, blocks), np.maximum(at - span, 0)
    after = (total[on] - total[at]) / np.maximum(on - at, 1)
    before = (total[at] - total[back]) / np.maximum(at - back, 1)
    floor = 1e-9 * float(np.max(after)) + 1e-300
    jump = (after + floor) / (before + floor)
    jump[:2] = 1.0
    jump[blocks - span // 2 :] = 1.0
    return jump, after


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
