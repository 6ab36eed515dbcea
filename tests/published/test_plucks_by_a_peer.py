"""Plucks beside a pitch tracker of phonetics.

Praat (by the package `praat-parselmouth` 0.4.7 of the registry) finds the pitch of voices by
autocorrelation: P. Boersma, Accurate short-term analysis of the fundamental frequency and the
harmonics-to-noise ratio of a sampled sound, *Proceedings of the Institute of Phonetic Sciences*
17 (1993) 97-110. Asked for its most accurate pitch over a pluck, the median of all frames, it
agrees with ours where a tone is soft, quiet and of whole ratios; where a pluck is hard, or the
line stiff or served, it gives what sounds in the mean, and ours gives mode 1 at small swings.
What it gives stands in the column of what is printed.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from made_tones import cents, tone
from plucked_strings import believed, drawn, in_the_shop, ringing
from strandwright.vibration.pluck import hear
from strandwright.vibration.series import plain_series
from strandwright.vibration.sound import Sound

CLEAN = "Soft plucks of whole ratios, Praat's autocorrelation"
BOTH = "Served strings in a shop, both off the true pitch"


@pytest.fixture(scope="module")
def praat(need_library) -> Any:
    """The peer, where it is installed."""
    return need_library("parselmouth")


def tracked(praat: Any, sound: Sound, lowest: float, highest: float) -> float:
    """The peer's pitch: the median over all frames that have one."""
    track = praat.Sound(sound.samples, sound.rate).to_pitch_ac(
        pitch_floor=lowest, pitch_ceiling=highest, very_accurate=True
    )
    found = track.selected_array["frequency"]
    return float(np.median(found[found > 0.0])) if np.any(found > 0.0) else float("nan")


@pytest.mark.parametrize("pitch", [31.2, 52.3, 87.0, 146.8])
def test_soft_plucks_of_whole_ratios(record: Any, praat: Any, pitch: float) -> None:
    """The two agree to a tenth of a cent."""
    sound = tone(pitch, hiss=1e-4)
    theirs = tracked(praat, sound, 0.5 * pitch, 2.0 * pitch)
    ours = hear(sound, plain_series(25.0, 200.0)).pitch
    record(
        CLEAN, f"pluck at {pitch} Hz", f"{theirs:.4f}", ours, 6e-5 * pitch,
        "a tenth of a cent, as the peer's frames scatter", "Hz",
    )  # fmt: skip


def test_served_strings_in_a_shop(record: Any, praat: Any) -> None:
    """On forty of them ours is nearer by far, and nearly always."""
    plucks = drawn(40, seed=11)
    ours, theirs = [], []
    for pluck, swing, frequency in zip(plucks, *ringing(plucks)[:2], strict=True):
        sound, true = in_the_shop(pluck, swing), float(frequency[0])
        found = hear(sound, believed(frequency, pluck))
        other = tracked(praat, sound, max(20.0, 0.5 * true), 2.0 * true)
        if found.refusal is None and np.isfinite(other):
            ours.append(abs(cents(found.pitch, true)))
            theirs.append(abs(cents(other, true)))
    assert len(ours) >= 36
    better = float(np.mean(np.array(ours) < np.array(theirs)))
    assert better > 0.9
    assert float(np.median(ours)) < 0.1 * float(np.median(theirs))
    record(
        BOTH, "ours, median", "0", round(float(np.median(ours)), 1), 0.2,
        "what a series that is a little wrong leaves", "cent",
    )  # fmt: skip


def test_hard_plucks_of_whole_ratios(praat: Any) -> None:
    """Of a kind the peer is made for, but that fall in pitch as they fade."""
    for seed, drift in enumerate((0.005, 0.01, 0.02, 0.03)):
        sound = tone(61.0, drift=drift, hiss=1e-3, seed=seed)
        ours = cents(hear(sound, plain_series(25.0, 200.0)).pitch, 61.0)
        theirs = cents(tracked(praat, sound, 30.0, 120.0), 61.0)
        assert abs(ours) < 0.3
        assert abs(theirs) > 3.0 * abs(ours)
