"""Spectrum: the peaks of a ringing sound, and the noise about each."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.peaks import Noise, Peaks
from strandwright.vibration.sound import Sound

Floats = NDArray[np.float64]
#: A peak stands out of the noise by this many times, as power.
_STANDS_OUT = 12.0
#: At most so many peaks are kept.
_MOST = 40
#: The window rises over this long [s].
_RISE = 0.025
#: Median of the power of noise over its mean.
_MEDIAN = np.log(2.0)


def quick_length(least: int) -> int:
    """Give a length that is quick to transform: of factors 2, 3 and 5 only.

    Parameters
    ----------
    least : int
        At least so many [-]

    Returns
    -------
    int
        The next such length [-].
    """
    best = 1 << max(0, (least - 1).bit_length())
    three = 1
    while three < best:
        five = three
        while five < best:
            size = five << max(0, (-(-least // five) - 1).bit_length())
            best = min(best, size)
            five *= 5
        three *= 3
    return best


def look(sound: Sound, low: float, top: float) -> tuple[Peaks, Noise]:
    """Find what stands out of a ringing sound.

    Parameters
    ----------
    sound : Sound
        From just after the pluck on.
    low : float
        Lowest frequency that counts [Hz]
    top : float
        Highest [Hz]

    Returns
    -------
    Peaks
        The strongest peaks beside their noise.
    Noise
        What it stands out of.
    """
    count = len(sound.samples)
    rise = min(count // 4, round(_RISE * sound.rate))
    window = np.concatenate([
        np.sin(0.5 * np.pi * (np.arange(rise) + 0.5) / rise) ** 2,
        np.cos(0.5 * np.pi * (np.arange(count - rise) + 0.5) / (count - rise)) ** 2,
    ])  # fmt: skip
    size = quick_length(2 * count)
    whole = np.fft.rfft(sound.samples * window, size)
    power = whole.real**2 + whole.imag**2
    bin_ = sound.rate / size
    last = min(len(power) - 2, int(top / bin_))
    noise = _noise(power, bin_, low, last, float(np.sum(window**2)))
    at = np.arange(max(2, int(0.7 * low / bin_)), last)
    here, left, right = power[at], power[at - 1], power[at + 1]
    places = np.asarray(at * bin_, dtype=np.float64)
    floor = noise.at(places) * float(np.sum(window**2))
    peak = (here > left) & (here >= right) & (here > _STANDS_OUT * floor)
    at = at[peak]
    here, left, right, floor = (v[peak] for v in (here, left, right, floor))
    if len(at) > _MOST:
        kept = np.sort(np.argsort(here / floor)[-_MOST:])
        at = at[kept]
        here, left, right, floor = (v[kept] for v in (here, left, right, floor))
    a, b, c = (np.log(v + 1e-300) for v in (left, here, right))
    shift = 0.5 * (a - c) / np.minimum(a - 2.0 * b + c, -1e-12)
    frequency = (at + np.clip(shift, -0.5, 0.5)) * bin_
    decay, sure = _falls(sound, frequency, floor / float(np.sum(window**2)))
    peaks = Peaks(frequency, here, floor, decay, sure, 2.0 * sound.rate / count)
    return peaks.only(~_on_a_skirt(peaks)), noise


def _on_a_skirt(peaks: Peaks) -> NDArray[np.bool_]:
    """Whether a peak is no more than a ripple on the skirt of a stronger one that dies away."""
    apart = np.abs(peaks.frequency[:, None] - peaks.frequency) + 1e-9
    width = np.maximum(0.25 * peaks.width, np.clip(peaks.decay, 0.0, 60.0) / (2.0 * np.pi))
    skirt = 4.0 * peaks.power * np.minimum(width / apart, 1.0) ** 2
    np.fill_diagonal(skirt, 0.0)
    return np.any(peaks.power[:, None] < np.where(apart > 0.5 * peaks.width, skirt, 0.0), axis=1)


def _falls(sound: Sound, frequency: Floats, density: Floats) -> tuple[Floats, Floats]:
    """How fast tones die away from one half to the other, and how sure that is."""
    half = len(sound.samples) // 2
    window = np.sin(np.pi * (np.arange(half) + 0.5) / half) ** 2
    size = quick_length(half)
    rows = np.stack([sound.samples[:half], sound.samples[half : 2 * half]]) * window
    index = np.round(frequency * size / sound.rate).astype(np.intp)
    power = np.abs(np.fft.rfft(rows, size, axis=1)[:, index]) ** 2
    noise = density * float(np.sum(window**2))
    early, late = power + 1e-290
    span = half / sound.rate
    decay = 0.5 * np.log(early / late) / span
    sure = np.sqrt(0.5 * (noise / early + noise / late)) / span
    return decay, sure


def _noise(power: Floats, bin_: float, low: float, last: int, scale: float) -> Noise:
    """Medians over blocks that are wide beside a partial and its neighbour."""
    wide = max(8, int(max(3.0 * low, 60.0) / bin_))
    blocks = max(1, last // wide)
    rows = power[: blocks * wide].reshape(blocks, wide)
    middle = np.median(rows, axis=1) / _MEDIAN
    floor = 1e-13 * float(np.max(power[: last + 1])) + 1e-290
    frequency = (np.arange(blocks, dtype=np.float64) + 0.5) * (wide * bin_)
    return Noise(frequency, np.maximum(middle, floor) / scale)
