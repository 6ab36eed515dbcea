"""Reads recorded notes from a sound font, after the SoundFont technical specification 2.04.

Only what a check of pitch needs: the samples, and for each zone of each instrument the key at
which it sounds as recorded, with its tuning. Where a zone says nothing, the sample's own header
counts.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np

Floats = np.ndarray
_COARSE, _FINE, _SAMPLE, _MODES, _SCALE, _ROOT = 51, 52, 53, 54, 56, 58


@dataclass(frozen=True)
class Note:
    """A recorded note: whose, its samples as far as a player uses them, and its pitch.

    The loop is how many of its last samples a player goes over again and again; 0 for none.
    """

    instrument: str
    name: str
    samples: Floats
    rate: float
    pitch: float
    loop: int


def notes(path: Path) -> list[Note]:
    """Every sample of every instrument, once for each pitch that a zone gives it."""
    parts = dict(_parts(path.read_bytes()))
    wave = np.frombuffer(parts["smpl"], dtype="<i2")
    headers = list(struct.iter_unpack("<20s5IBbHH", parts["shdr"]))
    names = list(struct.iter_unpack("<20sH", parts["inst"]))
    bags = list(struct.iter_unpack("<HH", parts["ibag"]))
    generators = list(struct.iter_unpack("<Hh", parts["igen"]))
    found: dict[tuple[str, int, float], Note] = {}
    for (name, first), (_, after) in pairwise(names):
        shared: dict[int, int] = {}
        for bag in range(first, after):
            own = dict(generators[bags[bag][0] : bags[bag + 1][0]])
            if _SAMPLE not in own:
                shared = own
                continue
            note = _note(_text(name), headers[own[_SAMPLE]], {**shared, **own}, wave)
            if note is not None:
                found[note.instrument, own[_SAMPLE], round(note.pitch, 4)] = note
    return list(found.values())


def _note(instrument: str, header: tuple, zone: dict[int, int], wave: Floats) -> Note | None:
    name, start, end, loop, loop_end, rate, root, correction, _, _ = header
    if zone.get(_SCALE, 100) != 100 or end - start < 100:
        return None
    root = root if zone.get(_ROOT, -1) < 0 else zone[_ROOT]
    # A player raises the note by its tunings to reach the key: as recorded it is that much lower.
    raised = zone.get(_COARSE, 0) + (zone.get(_FINE, 0) + correction) / 100.0
    pitch = 440.0 * 2.0 ** ((root - raised - 69.0) / 12.0)
    looped = zone.get(_MODES, 0) in (1, 3) and start < loop < loop_end <= end
    samples = wave[start : loop_end if looped else end].astype(np.float64) / 32768.0
    return Note(
        instrument, _text(name), samples, float(rate), pitch, loop_end - loop if looped else 0
    )


def _text(raw: bytes) -> str:
    return raw.split(b"\0")[0].decode("latin-1").strip()


def _parts(data: bytes) -> Iterator[tuple[str, bytes]]:
    """Every chunk that holds no others."""
    at = 0
    while at + 8 <= len(data):
        kind, size = data[at : at + 4], struct.unpack("<I", data[at + 4 : at + 8])[0]
        body = data[at + 8 : at + 8 + size]
        if kind in (b"RIFF", b"LIST"):
            yield from _parts(body[4:])
        else:
            yield kind.decode("latin-1"), body
        at += 8 + size + size % 2
