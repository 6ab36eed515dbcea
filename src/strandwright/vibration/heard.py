"""Heard: the pitch of a plucked line, how far it may be believed, or why there is none."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


class Refusal(Enum):
    """Why no pitch is given, each with what to do."""

    SILENT = "Nothing is heard in this sound: hold the microphone nearer and pluck again."
    TOO_SHORT = (
        "The sound is too short to tell a pitch from: let the line ring for a second or more."
    )
    CLIPPED = (
        "The sound is cut off at its loudest: hold the microphone further away or pluck softer."
    )
    NO_PITCH = (
        "Nothing in this sound stands out of the noise as the modes of the line do: "
        "hold the microphone nearer, or wait until the shop is quieter."
    )
    NO_DECAY = (
        "What sounds does not die away, so it is no pluck: "
        "switch off what hums or whistles, and pluck the line."
    )
    UNDECIDED = (
        "The sound fits two pitches of this line equally well: "
        "pluck at another place, or say nearer where the load is."
    )
    TWO_PITCHES = (
        "The line sounds at two pitches too near to be told apart: "
        "pluck it one way only, touch the other leg, and let it ring longer."
    )
    UNCERTAIN = "The pitch is too uncertain to be used: pluck again and let the line ring longer."


@dataclass(frozen=True)
class Partial:
    """One mode of the line as it was heard.

    Attributes
    ----------
    mode : int
        Which, 1 for the lowest [-].
    frequency : float
        At small swings [Hz].
    u : float
        Standard uncertainty of that [Hz].
    decay : float
        How fast its swing dies away [1/s].
    level : float
        How loud it was at the start, beside the loudest [dB].
    """

    mode: int
    frequency: float
    u: float
    decay: float
    level: float


@dataclass(frozen=True)
class SecondPitch:
    """A second pitch beside the first: another way of swinging, or the other leg.

    Attributes
    ----------
    pitch : float
        Frequency of mode 1 [Hz].
    u : float
        Standard uncertainty of that [Hz].
    level : float
        How loud it was, beside the first [dB].
    """

    pitch: float
    u: float
    level: float


@dataclass(frozen=True)
class OtherOctave:
    """Another reading of the same modes that fits nearly as well.

    Attributes
    ----------
    pitch : float
        Frequency of mode 1 by that reading [Hz].
    worse : float
        How much less likely it is, as a logarithm [-].
    """

    pitch: float
    worse: float


@dataclass(frozen=True)
class Heard:
    """What one pluck says.

    Attributes
    ----------
    pitch : float
        Frequency of mode 1 at small swings; nan where refused [Hz].
    covariance : ndarray, shape (1 + shapes, 1 + shapes)
        Of the logarithm of the pitch, then of the shapes [-].
    shape : ndarray, shape (shapes,)
        What shaped the series, in standard uncertainties of it [-].
    refusal : Refusal or None
        Why there is no pitch.
    onset : float
        When it was plucked, from the beginning of the sound [s].
    duration : float
        How much of the sound was used [s].
    partials : tuple of Partial
        The modes that were heard, the lowest first.
    rise : float
        How much higher it sounded when plucked than at small swings, as a share [-].
    second : SecondPitch or None
        Another pitch close by.
    hum : tuple of float
        Frequencies of hum that was found and left out [Hz].
    octave : OtherOctave or None
        Another reading that fits nearly as well.
    """

    pitch: float
    covariance: Floats
    shape: Floats
    refusal: Refusal | None
    onset: float
    duration: float
    partials: tuple[Partial, ...] = ()
    rise: float = 0.0
    second: SecondPitch | None = None
    hum: tuple[float, ...] = ()
    octave: OtherOctave | None = None

    @property
    def u(self) -> float:
        """Standard uncertainty of the pitch; nan where refused [Hz]."""
        return float(self.pitch * np.sqrt(self.covariance[0, 0]))


def refused(
    reason: Refusal,
    shapes: int,
    onset: float = 0.0,
    duration: float = 0.0,
    octave: OtherOctave | None = None,
) -> Heard:
    """Say that a sound gives no pitch.

    Parameters
    ----------
    reason : Refusal
        Why.
    shapes : int
        How many things shape the series [-]
    onset : float
        When it was plucked, as far as known [s]
    duration : float
        How much of the sound was looked at [s]
    octave : OtherOctave or None
        What could not be told from what.

    Returns
    -------
    Heard
        With no pitch, and no covariance: nan.
    """
    blank = np.full((1 + shapes, 1 + shapes), np.nan)
    return Heard(np.nan, blank, np.full(shapes, np.nan), reason, onset, duration, octave=octave)
