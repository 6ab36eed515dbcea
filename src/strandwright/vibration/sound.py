"""Sound: samples at a rate, a part of it by time, and the same at a lower rate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import InputError

Floats = NDArray[np.float64]
_LOWEST_RATE, _HIGHEST_RATE = 4000.0, 400e3
#: Samples of the lower rate over which the filter before it reaches.
_REACH = 8
#: Multiplications of matrices that one processor does as quickly as several.
PIECE = 200_000


@dataclass(frozen=True)
class Sound:
    """A sound of one channel.

    Attributes
    ----------
    samples : ndarray, shape (samples,)
        Over full scale, -1 to 1 [-].
    rate : float
        Samples each second [Hz].

    Raises
    ------
    InputError
        If the samples are not one row of finite numbers or the rate is none of sound.
    """

    samples: Floats
    rate: float

    def __post_init__(self) -> None:
        values = np.asarray(self.samples, dtype=np.float64)
        object.__setattr__(self, "samples", values)
        if values.ndim != 1:
            rule = "must be one channel: a row of samples"
            raise InputError("sound.samples", f"shape {values.shape}", rule, "mix the channels")
        if not bool(np.isfinite(np.sum(values))):
            rule = "must be finite numbers"
            raise InputError("sound.samples", "not finite", rule, "record again")
        if not _LOWEST_RATE <= self.rate <= _HIGHEST_RATE:
            rule = f"must be a rate of sound, {_LOWEST_RATE:g} to {_HIGHEST_RATE:g} Hz"
            raise InputError("sound.rate", f"{self.rate:g}", rule, "record at 44100 or 48000 Hz")

    @property
    def duration(self) -> float:
        """How long it lasts [s]."""
        return len(self.samples) / self.rate

    def part(self, start: float, end: float = np.inf) -> Sound:
        """Give a part of it by time.

        Parameters
        ----------
        start : float
            From here, from its beginning [s]
        end : float
            To here; beyond its end, to its end [s]

        Returns
        -------
        Sound
            The part, of the same rate; of no samples where nothing lies between.
        """
        first = int(np.clip(np.round(start * self.rate), 0, len(self.samples)))
        last = int(np.clip(np.round(min(end, self.duration) * self.rate), first, 2**62))
        return Sound(self.samples[first:last], self.rate)


def thinned(sound: Sound, top: float) -> Sound:
    """Give a sound at a lower rate, as far up as something is listened for.

    Parameters
    ----------
    sound : Sound
        The sound.
    top : float
        Highest frequency that is to be kept [Hz]

    Returns
    -------
    Sound
        At a whole fraction of its rate, never below that of any sound, begun half a sample of
        the old rate early; what lay above the new rate's half is filtered out by 60 dB or more.
    """
    step = int(sound.rate / max(3.2 * top, _LOWEST_RATE))
    if step < 2:
        return sound
    taps = _REACH * step
    at = (np.arange(taps) - 0.5 * (taps - 1)) / step
    filter_ = np.sinc(0.9 * at) * np.kaiser(taps, 6.0)
    filter_ /= np.sum(filter_)
    rows = len(sound.samples) // step
    # Each sample meets each of the filter's stretches once: one product of matrices.
    taken, weights = sound.samples[: rows * step].reshape(rows, step), filter_.reshape(_REACH, step)
    parts = np.empty((_REACH, rows))
    # In pieces too small to be worth more than one processor, whose waking costs more.
    piece = max(64, PIECE // taps)
    for i in range(0, rows, piece):
        np.matmul(weights, taken[i : i + piece].T, out=parts[:, i : i + piece])
    low = np.zeros(rows + _REACH)
    for i in range(_REACH):
        back = _REACH - 1 - i
        low[back : back + rows] += parts[i]
    begin = _REACH // 2 - 1
    return Sound(low[begin : begin + rows], sound.rate / step)
