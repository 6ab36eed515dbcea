"""What a shop does to a pluck, and what is no pluck: heard, or refused with a reason."""

from __future__ import annotations

import numpy as np
import pytest

from made_tones import bang, cents, hum, together, tone
from strandwright.vibration.heard import Heard, Refusal
from strandwright.vibration.pluck import hear, hear_all
from strandwright.vibration.series import plain_series
from strandwright.vibration.sound import Sound

PLAIN = plain_series(25.0, 200.0)
WIDE = plain_series(25.0, 2000.0)
PITCH = 52.3
T = np.arange(96000) / 48000.0


def near(heard: Heard, pitch: float, within: float) -> None:
    """Hold a pitch to cents, and to three of its own uncertainties."""
    assert heard.refusal is None
    off = cents(heard.pitch, pitch)
    assert abs(off) < within
    assert abs(off) < 3.0 * 1731.2 * heard.u / heard.pitch


def hiss(seed: int, size: float = 1e-3) -> Sound:
    """Two seconds of nothing but noise."""
    return Sound(size * np.random.default_rng(seed).standard_normal(96000), 48000.0)


# ------------------------------------------------------------------------------------- refusals


def refusal(sound: Sound) -> Refusal | None:
    """Why it is no pluck, with no pitch beside it."""
    heard = hear(sound, WIDE)
    assert np.isnan(heard.pitch) and np.isnan(heard.u)
    assert heard.covariance.shape == (2, 2)
    assert [heard.refusal] == [h.refusal for h in hear_all(sound, WIDE)]
    return heard.refusal


def test_silence() -> None:
    """No sound at all."""
    assert refusal(Sound(np.zeros(96000), 48000.0)) is Refusal.SILENT


@pytest.mark.parametrize("duration", [0.0, 0.05, 0.25])
def test_too_short(duration: float) -> None:
    """No samples, less than a period, and too few periods after the pluck."""
    assert refusal(tone(hiss=1e-3).part(0.0, duration)) is Refusal.TOO_SHORT


@pytest.mark.parametrize("seed", range(4))
def test_noise_is_no_pluck(seed: int) -> None:
    """Hiss alone, and a bang in it."""
    assert refusal(hiss(seed)) is Refusal.NO_PITCH
    assert refusal(together(hiss(seed), bang(hiss(seed), 0.4, seed=seed))) is Refusal.NO_PITCH


def test_what_does_not_die_away_is_no_pluck() -> None:
    """A whistle, and a hum."""
    whistle = Sound(0.2 * np.cos(2 * np.pi * 900.0 * T), 48000.0)
    assert refusal(together(whistle, hiss(0))) is Refusal.NO_DECAY
    assert refusal(together(hum(hiss(0)), hiss(0))) is Refusal.NO_DECAY


def test_what_is_cut_off_to_the_end() -> None:
    """An amplifier turned up far too high."""
    x = tone(hiss=1e-3).samples
    top = 0.05 * float(np.max(np.abs(x)))
    assert refusal(Sound(np.clip(x, -top, top), 48000.0)) is Refusal.CLIPPED


def test_an_octave_that_cannot_be_told() -> None:
    """One partial alone may be the third mode of one load or the fourth of another."""
    only = tone(300.0, modes=1, hiss=1e-3)
    series = plain_series(70.0, 102.0, expected=77.0, expected_spread=0.2)
    heard = hear(only, series)
    assert heard.refusal is Refusal.UNDECIDED
    assert heard.octave is not None and heard.octave.worse < 1.0
    sure = plain_series(70.0, 102.0, expected=77.0, expected_spread=0.05)
    near(hear(only, sure), 75.0, 5.0)


def test_every_refusal_says_what_to_do() -> None:
    """A whole sentence each, none of them the same."""
    texts = [reason.value for reason in Refusal]
    assert len(set(texts)) == len(texts)
    assert all(text.endswith(".") and (":" in text) for text in texts)


# ----------------------------------------------------------------------------- around the pluck


@pytest.mark.parametrize("pitch", [50.0, 50.1, 51.0, 100.3, 33.4])
@pytest.mark.parametrize("mains", [49.95, 50.02])
def test_hum_beside_and_upon_partials(pitch: float, mains: float) -> None:
    """Nearly as loud as the pluck's partials, and as near as a tenth of a hertz."""
    sound = tone(pitch, hiss=1e-3)
    heard = hear(together(sound, hum(sound, mains)), PLAIN)
    near(heard, pitch, 0.5)
    assert any(abs(f / mains - round(f / mains)) < 0.01 for f in heard.hum)


@pytest.mark.parametrize("size", [0.01, 0.1, 0.3])
def test_noise_as_loud_as_the_pluck(size: float) -> None:
    """Hiss up to the size of the first swing."""
    near(hear(tone(hiss=size), PLAIN), PITCH, 1.5)
    near(hear(tone(hiss=size), WIDE), PITCH, 1.5)


def test_a_whistle_along() -> None:
    """Found, left out and told of."""
    whistle = Sound(0.2 * np.cos(2 * np.pi * 913.0 * T), 48000.0)
    heard = hear(together(tone(hiss=1e-3), whistle), PLAIN)
    near(heard, PITCH, 0.2)
    assert heard.hum == (pytest.approx(913.0, abs=0.2),)


@pytest.mark.parametrize("other", [61.7, 78.2, 104.9])
def test_another_string_along(other: float) -> None:
    """Half as loud, and of a series of its own."""
    expecting = plain_series(25.0, 200.0, expected=53.0, expected_spread=0.1)
    both = together(tone(hiss=1e-3), tone(other, size=0.12, seed=5))
    near(hear(both, expecting), PITCH, 1.5)


def test_a_bang_before_and_a_bang_after() -> None:
    """Neither is taken for the pluck, and the later one ends the ringing that is used."""
    early = tone(hiss=1e-3, onset=0.8, duration=3.0)
    heard = hear(together(early, bang(early, 0.2)), PLAIN)
    near(heard, PITCH, 0.2)
    assert heard.onset == pytest.approx(0.8, abs=0.015)
    late = tone(hiss=1e-3)
    heard = hear(together(late, bang(late, 1.0)), PLAIN)
    near(heard, PITCH, 0.2)
    assert heard.duration < 0.95


# ------------------------------------------------------------------------------------ the pluck


@pytest.mark.parametrize("pick", [0.5, 1 / 3, 0.25, 0.2])
def test_plucked_at_a_node(pick: float) -> None:
    """Every second, third, fourth or fifth partial is missing: the octave stays."""
    for series in (PLAIN, WIDE):
        near(hear(tone(pick=pick, hiss=1e-3), series), PITCH, 0.2)


@pytest.mark.parametrize("cut", [0.5, 0.2])
def test_cut_off_at_first(cut: float) -> None:
    """The part that is cut off is left out."""
    x = tone(hiss=1e-3).samples
    top = cut * float(np.max(np.abs(x)))
    heard = hear(Sound(np.clip(x, -top, top), 48000.0), PLAIN)
    near(heard, PITCH, 0.5)
    assert heard.duration < 1.6


def test_several_plucks() -> None:
    """Each is heard for itself, up to the next."""
    plucks = [
        tone(p, duration=4.5, onset=at, seed=i, hiss=3e-4)
        for i, (p, at) in enumerate([(52.3, 0.2), (52.5, 1.6), (52.7, 3.0)])
    ]
    # A hand stops the string before it is plucked again.
    for before, at in zip(plucks[:-1], (1.6, 3.0), strict=True):
        t = np.arange(len(before.samples)) / before.rate
        before.samples[:] *= np.exp(-np.maximum(t - at + 0.02, 0.0) / 0.01)
    found = hear_all(together(*plucks), PLAIN)
    assert len(found) == 3
    for heard, pitch, at in zip(found, (52.3, 52.5, 52.7), (0.2, 1.6, 3.0), strict=True):
        near(heard, pitch, 0.3)
        assert heard.onset == pytest.approx(at, abs=0.015)
    near(hear(together(*plucks), PLAIN), 52.3, 0.3)


def test_a_sound_that_begins_in_the_midst() -> None:
    """Without its pluck."""
    heard = hear(tone(hiss=1e-3).part(0.4, 1.9), PLAIN)
    near(heard, PITCH, 0.2)
    assert heard.onset < 0.02


# ----------------------------------------------------------------------------------- two pitches


@pytest.mark.parametrize("share", [0.004, 0.008, 0.015, 0.03])
@pytest.mark.parametrize("loud", [0.3, 0.7, 0.85])
def test_a_second_pitch_is_told_of(share: float, loud: float) -> None:
    """Two ways of swinging, or two legs: never their mean."""
    both = together(tone(hiss=1e-3), tone(PITCH * (1 + share), size=0.3 * loud, seed=5))
    heard = hear(both, PLAIN)
    near(heard, PITCH, 0.3)
    assert heard.second is not None
    assert heard.second.pitch == pytest.approx(PITCH * (1 + share), abs=4.0 * heard.second.u)
    assert heard.second.level == pytest.approx(20.0 * np.log10(loud), abs=1.5)


@pytest.mark.parametrize("share", [0.0005, 0.001, 0.002])
@pytest.mark.parametrize("loud", [0.1, 0.7, 0.95])
def test_two_that_are_too_near_to_be_told_apart(share: float, loud: float) -> None:
    """Refused, or within the stated uncertainty of one of them."""
    both = together(tone(hiss=1e-3), tone(PITCH * (1 + share), size=0.3 * loud, seed=5))
    heard = hear(both, PLAIN)
    if heard.refusal is None:
        off = min(abs(heard.pitch - PITCH), abs(heard.pitch - PITCH * (1 + share)))
        assert off < 2.5 * heard.u
    else:
        assert heard.refusal is Refusal.TWO_PITCHES


def test_some_are_too_near() -> None:
    """Beats of five seconds and more in a sound of two, and hardly a difference in loudness."""
    refused = [
        hear(
            together(tone(hiss=1e-3), tone(PITCH * (1 + share), size=0.285, seed=5)), PLAIN
        ).refusal
        for share in (0.001, 0.0015, 0.002, 0.0025)
    ]
    assert Refusal.TWO_PITCHES in refused


def test_one_pitch_is_not_called_two() -> None:
    """Neither in noise nor beside hum nor after a hard pluck."""
    sound = tone(hiss=0.03, drift=0.02)
    for heard in (hear(sound, PLAIN), hear(together(sound, hum(sound)), PLAIN)):
        assert heard.refusal is None
        assert heard.second is None
