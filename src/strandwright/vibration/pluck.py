"""A pluck: from the sound of a taut line to the pitch of its first mode at small swings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.beginning import begin
from strandwright.vibration.choosing import Choice, choose
from strandwright.vibration.fitting import fitted, settled
from strandwright.vibration.frames import cut
from strandwright.vibration.heard import (
    Heard,
    OtherOctave,
    Partial,
    Refusal,
    SecondPitch,
    refused,
)
from strandwright.vibration.humming import hummed, tones
from strandwright.vibration.joining import Joined, join
from strandwright.vibration.onset import cut_until, onsets
from strandwright.vibration.peaks import Noise, Peaks
from strandwright.vibration.ringing import Ringing
from strandwright.vibration.series import Series
from strandwright.vibration.sound import Sound, thinned
from strandwright.vibration.spectrum import look
from strandwright.vibration.twofold import apart, second_pitch, stronger

__all__ = [
    "Heard", "OtherOctave", "Partial", "Refusal", "Rung", "SecondPitch", "hear", "hear_all", "ring",
    "told_of",
]  # fmt: skip

Floats = NDArray[np.float64]
#: Shorter than this tells no pitch; longer than this adds nothing [s].
_SHORTEST, _LONGEST = 0.2, 4.0
#: The attack itself is left out, and the last moment before the next one [s].
_ATTACK, _BEFORE_NEXT = 0.012, 0.03
#: Nothing is listened for above this, or above so many times the highest pitch [Hz].
_TOP, _TIMES, _LEAST_TOP = 6500.0, 12.0, 1500.0
#: Most partials that are fitted.
_PARTIALS = 16
#: Another reading this little worse is no choice; this little worse is told of.
_UNDECIDED, _TOLD = 1.0, 6.0
#: A pitch less certain than this share is none.
_UNCERTAIN = 0.01
#: Decay below which a sound does not die away [1/s].
_STEADY = 0.12


@dataclass(frozen=True)
class Rung:
    """A pluck whose partials are fitted: what a series then makes of them is soon said.

    Attributes
    ----------
    fit : Ringing
        The partials.
    onset, late, used : float
        When it was plucked, how much later the fit begins, and how much of it was used [s].
    hum : tuple of float
        Hum that was found [Hz].
    octave : OtherOctave or None
        Another reading of the modes that fits nearly as well.
    """

    fit: Ringing
    onset: float
    late: float
    used: float
    hum: tuple[float, ...]
    octave: OtherOctave | None

    def told(self, series: Series) -> Heard:
        """Say what it says of a line with some series.

        Parameters
        ----------
        series : Series
            What the line promises; near that by which its modes were told apart.

        Returns
        -------
        Heard
            Its pitch, or why there is none.
        """
        heard = _heard(self.fit, series, self.onset, self.late, self.used)
        return replace(heard, hum=self.hum, octave=self.octave)


def ring(sound: Sound, series: Series) -> tuple[Rung | Heard, ...]:
    """Fit every pluck in a sound.

    Parameters
    ----------
    sound : Sound
        Holding one pluck or several.
    series : Series
        By which its modes are told apart.

    Returns
    -------
    tuple of Rung or Heard
        One for each, the earliest first; refused where there are no partials to fit.
    """
    return tuple(_each(sound, series))


def hear(sound: Sound, series: Series) -> Heard:
    """Hear one pluck.

    Parameters
    ----------
    sound : Sound
        Holding a pluck; of several, the first that gives a pitch is heard.
    series : Series
        What the line promises.

    Returns
    -------
    Heard
        Its pitch, or why there is none.
    """
    tried: list[Heard] = []
    for each in _each(sound, series):
        heard = each if isinstance(each, Heard) else each.told(series)
        if heard.refusal is None:
            return heard
        tried.append(heard)
    return _most_telling(tried)


def hear_all(sound: Sound, series: Series) -> tuple[Heard, ...]:
    """Hear every pluck in a sound.

    Parameters
    ----------
    sound : Sound
        Holding one pluck or several.
    series : Series
        What the line promises.

    Returns
    -------
    tuple of Heard
        One for each pluck that gives a pitch, the earliest first; where none does, one that
        says why.
    """
    return told_of(ring(sound, series), series)


def told_of(rung: Sequence[Rung | Heard], series: Series) -> tuple[Heard, ...]:
    """Say what plucks say of a line with some series.

    Parameters
    ----------
    rung : sequence of Rung or Heard
        The plucks, as :func:`ring` gives them.
    series : Series
        What the line promises.

    Returns
    -------
    tuple of Heard
        One for each pluck that gives a pitch, the earliest first; where none does, one that
        says why.
    """
    tried = [each if isinstance(each, Heard) else each.told(series) for each in rung]
    good = tuple(heard for heard in tried if heard.refusal is None)
    return good or (_most_telling(tried),)


def _most_telling(tried: Sequence[Heard]) -> Heard:
    """Of refused ones, that of the longest ringing."""
    return max(tried, key=lambda heard: heard.duration)


def _each(sound: Sound, series: Series) -> Iterator[Rung | Heard]:
    """Hear what rings from each onset to the next."""
    if sound.duration < _SHORTEST:
        yield refused(Refusal.TOO_SHORT, series.shapes, duration=sound.duration)
        return
    if float(np.max(np.abs(sound.samples))) < 1e-7:
        yield refused(Refusal.SILENT, series.shapes, duration=sound.duration)
        return
    top = min(max(_TIMES * series.highest, _LEAST_TOP), _TOP, 0.3125 * sound.rate)
    top = min(top, 1.1 * series.ratio[-1] * series.highest)
    low = thinned(sound, top)
    start = onsets(low)
    if len(start) == 0:
        start = np.zeros(1)
    end = np.append(start[1:] - _BEFORE_NEXT, sound.duration)
    for i in range(len(start)):
        yield _one(sound, low, series, float(start[i]), float(end[i]), top)


def _one(
    sound: Sound, low: Sound, series: Series, onset: float, end: float, top: float
) -> Rung | Heard:
    """Fit the pluck at an onset."""
    begin_at = onset + _ATTACK
    end = min(end, begin_at + _LONGEST)
    if end - begin_at < _SHORTEST:
        return refused(Refusal.TOO_SHORT, series.shapes, onset, max(0.0, end - begin_at))
    uncut = onset + cut_until(sound.part(onset, end))
    if uncut > onset:
        begin_at = max(begin_at, uncut + 0.005)
        if end - begin_at < _SHORTEST:
            return refused(Refusal.CLIPPED, series.shapes, onset, end - onset)
    ringing = low.part(begin_at, end)
    used = ringing.duration
    peaks, noise = look(ringing, series.lowest, top)
    lively, steady = peaks.parted()
    choice = choose(lively, series, top)
    if choice is None:
        reason = Refusal.NO_DECAY if len(steady) else Refusal.NO_PITCH
        return refused(reason, series.shapes, onset, used)
    other = choice.other if choice.other and choice.other.worse < _TOLD else None
    if other is not None and other.worse < _UNDECIDED:
        return refused(Refusal.UNDECIDED, series.shapes, onset, used, other)
    fit = _fit(ringing, choice, lively, steady, noise)
    if fit is None:
        return refused(Refusal.TOO_SHORT, series.shapes, onset, used)
    alone = [float(f) for f in steady.frequency]
    beside = [f for f in tones(fit) if not any(abs(f - a) < 1.0 for a in alone)]
    hum = tuple(sorted(alone + beside))
    return Rung(stronger(fit), onset, begin_at - onset, used, hum, other)


def _fit(
    ringing: Sound, choice: Choice, peaks: Peaks, steady: Peaks, noise: Noise
) -> Ringing | None:
    """Ringing the chosen partials, with a second way of swinging where one way is not enough."""
    loud = peaks.power[choice.peak] / peaks.floor[choice.peak]
    kept = np.sort(np.argsort(loud)[-_PARTIALS:])
    frequency, order = choice.frequency[kept], choice.mode[kept].astype(np.float64)
    frames = cut(ringing, frequency, choice.pitch)
    if frames is None:
        return None
    reach = 2.5 * frames.rate / len(frames.window)
    hum_at = steady.hum_near(frequency, reach)
    level = noise.at(frequency) * frames.noise
    one = settled(fitted(begin(frames, order, level, hum_at)))
    return apart(hummed(one, reach, level), level)


def _heard(fit: Ringing, series: Series, onset: float, late: float, used: float) -> Heard:
    """Join the partials to a pitch and judge it."""
    mode = fit.order.astype(np.intp)
    covariance = fit.covariance[:-1, :-1]
    log_ratio, shaping = np.log(series.ratio[mode - 1]), series.shaping[mode - 1]
    joined = join(np.log(fit.frequency), covariance, log_ratio, shaping)
    decay = float(np.median(fit.decay))
    if decay < _STEADY:
        return refused(Refusal.NO_DECAY, series.shapes, onset, used)
    u = float(np.sqrt(joined.covariance[0, 0]))
    if not u < _UNCERTAIN:
        return refused(Refusal.UNCERTAIN, series.shapes, onset, used)
    second, blurred = second_pitch(fit, joined)
    if blurred:
        return refused(Refusal.TWO_PITCHES, series.shapes, onset, used)
    speed = 2.0 * fit.rate * max(float(fit.decay[0]), 0.0)
    rise = max(0.0, fit.drift * float(np.exp(min(speed * late, 1.0))))
    return Heard(
        float(np.exp(joined.log_pitch)), joined.covariance, joined.shape, None, onset, used,
        _partials(fit, joined), rise, second,
    )  # fmt: skip


def _partials(fit: Ringing, joined: Joined) -> tuple[Partial, ...]:
    level = 20.0 / np.log(10.0) * (fit.log_size - np.max(fit.log_size))
    u = np.sqrt(np.diagonal(fit.covariance)[:-1]) * fit.frequency
    every = (fit.order, fit.frequency, u, fit.decay, level)
    rows = zip(*(column[joined.kept] for column in every), strict=True)
    return tuple(Partial(int(n), *(float(v) for v in rest)) for n, *rest in rows)
