"""Speed of hearing a pluck, beside general pitch trackers on the same sound in the same run.

The sound is two seconds at 48 kHz. Peers: Praat's autocorrelation and its cross-correlation, both
at their most accurate (package ``praat-parselmouth``), and the probabilistic YIN of ``librosa`` on
the same sound, each if it is installed. Praat's autocorrelation, in compiled code and of one
number for each frame, is the quickest of them and about as quick as ours; its cross-correlation
is held to ten times ours, pYIN to four.
"""

from __future__ import annotations

import importlib
import statistics
import sys
import time
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from made_tones import cents, hum, together, tone
from strandwright.vibration.pluck import hear
from strandwright.vibration.series import plain_series
from strandwright.vibration.sound import Sound

PITCH = 52.3
SERIES = plain_series(25.0, 200.0)


def middle(act: Callable[[], object], times: int) -> float:
    """Median time of an act, of this process alone, so that a busy machine counts less [s]."""
    act()
    taken = []
    for _ in range(times):
        start = time.process_time()
        act()
        taken.append(time.process_time() - start)
    return statistics.median(taken)


def library(name: str) -> Any:
    """A peer, where it is installed."""
    try:
        return importlib.import_module(name)
    except ImportError:
        pytest.skip(f"the library '{name}' is not installed")


def say(text: str) -> None:
    """Print beside the timings."""
    sys.stdout.write(f"\n{text}\n")


def sound() -> Sound:
    """A pluck in a quiet shop."""
    return tone(PITCH, hiss=1e-3)


def test_one_pluck(benchmark: Any) -> None:
    """Two seconds of sound, from samples to pitch."""
    pluck = sound()
    heard = benchmark(hear, pluck, SERIES)
    assert abs(cents(heard.pitch, PITCH)) < 0.1
    # Measured in what one Fourier transform of all the samples takes in the same run.
    transform = middle(lambda: np.fft.rfft(pluck.samples), 40)
    ours = middle(lambda: hear(pluck, SERIES), 40)
    say(f"{1e3 * ours:.1f} ms, {ours / transform:.1f} transforms of the whole sound")
    assert ours < 25.0 * transform


@pytest.mark.parametrize("kind", ["hard", "hum", "two"])
def test_one_pluck_in_trouble(benchmark: Any, kind: str) -> None:
    """The same with a hard attack, hum upon partials, or a second pitch."""
    pluck = {
        "hard": tone(PITCH, hiss=1e-3, drift=0.02),
        "hum": together(sound(), hum(sound())),
        "two": together(sound(), tone(PITCH * 1.008, size=0.15, seed=5)),
    }[kind]
    assert benchmark(hear, pluck, SERIES).refusal is None


def test_beside_praat() -> None:
    """Its autocorrelation takes half as long as ours or more; its cross-correlation ten times."""
    praat, pluck = library("parselmouth"), sound()
    theirs = praat.Sound(pluck.samples, pluck.rate)
    ask = {"pitch_floor": 25.0, "pitch_ceiling": 200.0, "very_accurate": True}
    ours = middle(lambda: hear(pluck, SERIES), 15)
    auto = middle(lambda: theirs.to_pitch_ac(**ask), 7)
    cross = middle(lambda: theirs.to_pitch_cc(**ask), 2)
    say(
        f"ours {1e3 * ours:.1f} ms; Praat by autocorrelation {1e3 * auto:.1f} ms, "
        f"{auto / ours:.1f} times; by cross-correlation {1e3 * cross:.0f} ms, "
        f"{cross / ours:.0f} times"
    )
    assert auto > 0.5 * ours
    assert cross > 10.0 * ours


def test_beside_librosa() -> None:
    """Its probabilistic YIN, itself compiled, takes several times as long."""
    librosa, pluck = library("librosa"), sound()

    def track() -> Any:
        return librosa.pyin(pluck.samples, fmin=25.0, fmax=200.0, sr=pluck.rate, frame_length=8192)

    found = track()[0]
    theirs = cents(float(np.nanmedian(found)), PITCH)
    ours = middle(lambda: hear(pluck, SERIES), 15)
    taken = middle(track, 3)
    say(
        f"ours {1e3 * ours:.1f} ms, off {cents(hear(pluck, SERIES).pitch, PITCH):+.3f} cent; "
        f"pYIN {1e3 * taken:.0f} ms, off {theirs:+.2f} cent: {taken / ours:.0f} times"
    )
    assert taken > 4.0 * ours
