"""Without noise the pitch of a pluck is exact, whatever rate it was recorded at."""

from __future__ import annotations

import numpy as np
import pytest

from made_tones import cents, tone
from strandwright.vibration.pluck import hear
from strandwright.vibration.series import Series, plain_series
from strandwright.vibration.sound import Sound

PLAIN = plain_series(25.0, 200.0)
WIDE = plain_series(25.0, 2000.0)


@pytest.mark.parametrize("rate", [8000.0, 11025.0, 44100.0, 192000.0])
@pytest.mark.parametrize("pitch", [30.0, 52.3, 147.0])
def test_a_clean_pluck_is_exact(rate: float, pitch: float) -> None:
    """To a millionth, with decays and nothing else."""
    heard = hear(tone(pitch, rate=rate), PLAIN)
    assert heard.refusal is None
    assert heard.pitch == pytest.approx(pitch, rel=1e-6)
    decay = [1.5 * (1.0 + 0.02 * p.mode**2) for p in heard.partials]
    np.testing.assert_allclose([p.decay for p in heard.partials], decay, rtol=1e-3)
    assert heard.onset == pytest.approx(0.1, abs=0.01)


@pytest.mark.parametrize("pitch", [400.0, 900.0, 1900.0])
def test_high_pitches(pitch: float) -> None:
    """Up to where two or three partials are left below half the rate."""
    heard = hear(tone(pitch, duration=1.5, hiss=1e-3), WIDE)
    assert abs(cents(heard.pitch, pitch)) < 0.05


@pytest.mark.parametrize(("pitch", "duration"), [(26.0, 0.4), (30.0, 0.4), (60.0, 0.32)])
def test_a_third_of_a_second_is_enough(pitch: float, duration: float) -> None:
    """Ten periods of a low line."""
    heard = hear(tone(pitch, duration=duration, onset=0.02, hiss=1e-3), WIDE)
    assert abs(cents(heard.pitch, pitch)) < 0.3
    assert heard.octave is None or heard.octave.worse > 1.0


@pytest.mark.parametrize("stiffness", [1e-5, 1e-4, 3e-4])
def test_stiffness_is_found_with_the_pitch(stiffness: float) -> None:
    """In standard uncertainties of what was thought of it beforehand."""
    heard = hear(tone(stiffness=stiffness, hiss=1e-4), PLAIN)
    assert abs(cents(heard.pitch, 52.3)) < 0.1
    assert heard.shape[0] == pytest.approx(stiffness / 1e-4, rel=0.03, abs=0.01)
    assert heard.covariance.shape == (2, 2)


@pytest.mark.parametrize("drift", [0.003, 0.01, 0.03])
def test_a_hard_pluck_is_heard_at_small_swings(drift: float) -> None:
    """All partials begin up to fifty cents high; what is left of that is a fifth of a cent."""
    heard = hear(tone(drift=drift, hiss=1e-4), PLAIN)
    assert abs(cents(heard.pitch, 52.3)) < 0.25
    assert heard.rise == pytest.approx(drift, rel=0.08)


def test_a_soft_pluck_does_not_rise() -> None:
    """Where nothing drifts nothing is said to."""
    assert hear(tone(hiss=1e-3), PLAIN).rise < 1e-4


def test_a_series_that_is_not_harmonic() -> None:
    """Ratios as a served line has them; taken for whole numbers the same sound is no series."""
    ratio = np.array([1.0, 2.06, 3.01, 4.11, 5.04, 6.13, 7.11, 8.16])
    rng = np.random.default_rng(3)
    t = np.arange(96000) / 48000.0
    x = sum(
        0.2 / (k + 1) * np.exp(-1.5 * t) * np.cos(2 * np.pi * 61.0 * r * t + rng.uniform(0, 6))
        for k, r in enumerate(ratio)
    )
    heard = hear(Sound(x + 1e-4 * rng.standard_normal(len(t)), 48000.0), Series(ratio, 25.0, 200.0))
    assert abs(cents(heard.pitch, 61.0)) < 0.05
    assert [p.mode for p in heard.partials] == list(range(1, 9))


def test_the_fundamental_need_not_be_heard() -> None:
    """A small microphone hears nothing below 100 Hz: the partials above carry the pitch."""
    sound = tone(30.0, modes=16, hiss=3e-4)
    spectrum = np.fft.rfft(sound.samples)
    frequency = np.fft.rfftfreq(len(sound.samples), 1.0 / sound.rate)
    weak = np.fft.irfft(spectrum / (1.0 + (120.0 / np.maximum(frequency, 1.0)) ** 4))
    heard = hear(Sound(weak, sound.rate), PLAIN)
    assert abs(cents(heard.pitch, 30.0)) < 0.5
    assert heard.partials[0].level < -20.0 or heard.partials[0].mode > 1


def test_partials_tell_mode_level_and_uncertainty() -> None:
    """In rising order, the loudest at 0 dB."""
    heard = hear(tone(hiss=1e-3), PLAIN)
    assert [p.mode for p in heard.partials] == sorted(p.mode for p in heard.partials)
    assert max(p.level for p in heard.partials) == 0.0
    for p in heard.partials:
        assert p.frequency == pytest.approx(52.3 * p.mode, abs=max(5.0 * p.u, 2e-3))


def test_quieter_is_surer() -> None:
    """The stated uncertainty grows with the noise, down to what no series is exact to."""
    u = [hear(tone(hiss=hiss), PLAIN).u for hiss in (1e-3, 0.1, 0.5)]
    assert u[0] < u[1] < u[2]
    assert u[0] / 52.3 > 3e-5
