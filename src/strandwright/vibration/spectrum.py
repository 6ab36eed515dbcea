"""Spectrum: the peaks of a ringing sound, and the noise about each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.sound import Sound

Floats = NDArray[np.float64]
#: A peak stands out of the noise by this many times, as power.
_STANDS_OUT = 12.0
#: At most so many peaks are kept.
_MOST = 40
#: The window rises over this long [s].
_RISE = 0.025
#: Tones that decay less than this do not die away; near the mains' frequencies, than this [1/s].
_STAYS, _STAYS_MAINS = 0.1, 0.25
#: What is less sure to stay than this is noise [1/s].
_SURE = 0.4
#: Frequencies of the mains [Hz].
MAINS = (50.0, 60.0)
#: Median of the power of noise over its mean.
_MEDIAN = np.log(2.0)


@dataclass(frozen=True)
class Peaks:
    """Peaks of a spectrum, in rising order.

    Attributes
    ----------
    frequency : ndarray, shape (peaks,)
        Of each [Hz].
    power : ndarray, shape (peaks,)
        At each [full scale^2 samples].
    floor : ndarray, shape (peaks,)
        Mean power of the noise about each [full scale^2 samples].
    decay : ndarray, shape (peaks,)
        How fast each dies away, from the sound's first half to its second [1/s].
    sure : ndarray, shape (peaks,)
        Standard uncertainty of that from the noise [1/s].
    width : float
        How near two can lie [Hz].
    """

    frequency: Floats
    power: Floats
    floor: Floats
    decay: Floats
    sure: Floats
    width: float

    def parted(self) -> tuple[Peaks, Peaks]:
        """Part what dies away from tones that stay.

        Returns
        -------
        lively, steady : Peaks
            The two kinds.
        """
        mains = np.zeros(len(self), dtype=bool)
        for base in MAINS:
            order = np.maximum(1.0, np.round(self.frequency / base))
            mains |= np.abs(self.frequency - order * base) < 0.004 * base * order
        stays = np.where(mains, _STAYS_MAINS, _STAYS)
        steady = np.abs(self.decay) < stays + np.minimum(2.0 * self.sure, stays)
        return self.only(~steady), self.only(steady & (self.sure < _SURE))

    def hum_near(self, frequency: Floats, reach: float) -> Floats:
        """Find which tone that stays may lie in a partial's frames.

        Parameters
        ----------
        frequency : ndarray, shape (partials,)
            Of the partials [Hz]
        reach : float
            How far off a tone is seen in their frames [Hz]

        Returns
        -------
        ndarray, shape (partials,)
            The nearest, or where the mains hum, the nearest of all their harmonics, heard or
            not; nan where none is near [Hz].
        """
        tones = [*self.frequency]
        for base in MAINS:
            order = np.maximum(1.0, np.round(self.frequency / base))
            of_mains = np.abs(self.frequency - order * base) < 0.004 * base * order
            of_mains &= self.frequency < 20.0 * base
            if np.any(of_mains):
                # The clearest and highest tells best; one beside a partial may be pulled off.
                weight = np.where(of_mains, order / (self.sure + 1e-3), 0.0)
                best = int(np.argmax(weight))
                true = self.frequency[best] / order[best]
                tones = [v for v in tones if abs(v / true - np.round(v / true)) > 0.03]
                tones += [k * true for k in range(1, 21)]
        if not tones:
            return np.full(len(frequency), np.nan)
        every = np.array(tones)
        near = every[np.argmin(np.abs(every[:, None] - frequency), axis=0)]
        return np.where(np.abs(near - frequency) < reach, near, np.nan)

    def only(self, kept: NDArray[np.bool_]) -> Peaks:
        """Give some of them.

        Parameters
        ----------
        kept : ndarray of bool, shape (peaks,)
            Which [-]

        Returns
        -------
        Peaks
            Those.
        """
        rows = (self.frequency, self.power, self.floor, self.decay, self.sure)
        return Peaks(*(row[kept] for row in rows), self.width)

    def __len__(self) -> int:
        return len(self.frequency)


@dataclass(frozen=True)
class Noise:
    """Power of noise by frequency.

    Attributes
    ----------
    frequency : ndarray, shape (blocks,)
        Middle of each block [Hz].
    density : ndarray, shape (blocks,)
        Mean square of a sample's noise at each, as if it were white [full scale^2].
    """

    frequency: Floats
    density: Floats

    def at(self, frequency: Floats) -> Floats:
        """Give the noise at frequencies.

        Parameters
        ----------
        frequency : ndarray
            Where [Hz]

        Returns
        -------
        ndarray
            Mean square of a sample, as if the noise were white [full scale^2].
        """
        return np.exp(np.interp(frequency, self.frequency, np.log(self.density)))


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
    power = np.abs(np.fft.rfft(sound.samples * window, size)) ** 2
    bin_ = sound.rate / size
    last = min(len(power) - 2, int(top / bin_))
    noise = _noise(power, bin_, low, last, float(np.sum(window**2)))
    at = np.arange(max(2, int(0.7 * low / bin_)), last)
    here, left, right = power[at], power[at - 1], power[at + 1]
    floor = noise.at(at * bin_) * float(np.sum(window**2))
    peak = (here > left) & (here >= right) & (here > _STANDS_OUT * floor)
    at, here, left, right, floor = (v[peak] for v in (at, here, left, right, floor))
    if len(at) > _MOST:
        kept = np.sort(np.argsort(here / floor)[-_MOST:])
        at, here, left, right, floor = (v[kept] for v in (at, here, left, right, floor))
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
    frequency = (np.arange(blocks) + 0.5) * wide * bin_
    return Noise(frequency, np.maximum(middle, floor) / scale)
