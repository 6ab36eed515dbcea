"""Peaks: what stands out of a spectrum, what of it stays, and the noise about it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
#: Tones that decay less than this do not die away; near the mains' frequencies, than this [1/s].
_STAYS, _STAYS_MAINS = 0.1, 0.25
#: What is less sure to stay than this is noise [1/s].
_SURE = 0.4
#: Frequencies of the mains [Hz].
MAINS = (50.0, 60.0)


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
        frequency, power, floor, decay, sure = (
            row[kept] for row in (self.frequency, self.power, self.floor, self.decay, self.sure)
        )
        return Peaks(frequency, power, floor, decay, sure, self.width)

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
