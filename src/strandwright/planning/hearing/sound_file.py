"""Sound files: a WAV or FLAC file as a sound of one channel.

The library that decodes them is loaded when one is read, not before.
"""

from __future__ import annotations

import io

import numpy as np

from strandwright.errors import InputError, SpecError
from strandwright.vibration.sound import Sound

#: Formats that are read; what loses sound to be small loses the overtones first
FORMATS = ("WAV", "WAVEX", "FLAC")
#: Longer recordings hold talk and work, not plucks [s]
LONGEST = 120.0
_REMEDY = "record it again as WAV or FLAC, 44100 or 48000 samples a second"


def read_sound(content: bytes, name: str = "sound") -> Sound:
    """Read a sound file.

    Parameters
    ----------
    content : bytes
        The whole file.
    name : str
        What to call it in an error.

    Returns
    -------
    Sound
        Its loudest channel: two microphones hear the line at different times, and their mean
        would lose what they hear apart.

    Raises
    ------
    SpecError
        If it is no WAV or FLAC file, is cut short, empty or too long, or what decodes it is not
        installed.
    """
    try:
        import soundfile  # pyright: ignore[reportMissingTypeStubs]
    except (ImportError, OSError) as error:
        rule = "needs the library soundfile, which is not installed here"
        raise SpecError("sound", name, rule, "install it with pip install soundfile") from error
    try:
        with soundfile.SoundFile(io.BytesIO(content)) as file:
            if file.format not in FORMATS:
                raise SpecError("sound", name, f"must be WAV or FLAC, not {file.format}", _REMEDY)
            if file.frames > LONGEST * file.samplerate:
                seconds = file.frames / file.samplerate
                rule = f"must last {LONGEST:.0f} s at most, and lasts {seconds:.0f} s"
                raise SpecError("sound", name, rule, "cut out the plucks")
            rate = float(file.samplerate)
            channels = np.asarray(file.read(dtype="float64", always_2d=True), np.float64)
    except soundfile.LibsndfileError as error:
        rule = "must be a WAV or FLAC file that can be read"
        raise SpecError("sound", name, rule, _REMEDY) from error
    if len(channels) == 0:
        raise SpecError("sound", name, "must hold a sound, and is empty", _REMEDY)
    loudest = int(np.argmax(np.sum(channels**2, axis=0)))
    try:
        return Sound(channels[:, loudest], rate)
    except InputError as error:
        raise SpecError("sound", name, error.rule, _REMEDY) from error
