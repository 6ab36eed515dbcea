"""Sounds are one row of numbers, parted by time and thinned without what folds back."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from strandwright.errors import InputError
from strandwright.vibration.series import Series, plain_series
from strandwright.vibration.sound import Sound, thinned


def test_a_part_is_cut_by_time() -> None:
    """From one time to another, and never beyond the end."""
    sound = Sound(np.arange(8000.0), 8000.0)
    np.testing.assert_array_equal(np.arange(800.0, 1600.0), sound.part(0.1, 0.2).samples)
    assert sound.part(0.9).duration == pytest.approx(0.1)
    assert sound.part(3.0).duration == 0.0


@pytest.mark.parametrize(
    ("samples", "rate", "field"),
    [
        (np.zeros((2, 100)), 48000.0, "sound.samples"),
        (np.array([0.0, np.nan]), 48000.0, "sound.samples"),
        (np.zeros(100), 0.0, "sound.rate"),
        (np.zeros(100), np.nan, "sound.rate"),
    ],
)
def test_what_is_no_sound(samples: np.ndarray, rate: float, field: str) -> None:
    """Two channels, a number that is none, and a rate of nothing."""
    with pytest.raises(InputError) as caught:
        Sound(samples, rate)
    assert field == caught.value.field


@pytest.mark.parametrize("rate", [44100.0, 48000.0, 96000.0])
def test_thinning_keeps_what_is_low_and_drops_what_would_fold(rate: float) -> None:
    """A tone below the top passes in phase; one that would fold onto it is gone by 60 dB."""
    t = np.arange(int(rate)) / rate
    low = thinned(Sound(np.cos(2 * np.pi * 300.0 * t), rate), 2000.0)
    step = round(rate / low.rate)
    assert step >= 6
    at = (np.arange(len(low.samples)) * step - 0.5) / rate
    inside = slice(50, -50)
    np.testing.assert_allclose(
        low.samples[inside], np.cos(2 * np.pi * 300.0 * at)[inside], atol=0.02
    )
    folds = thinned(Sound(np.cos(2 * np.pi * (low.rate - 1500.0) * t), rate), 2000.0)
    assert float(np.max(np.abs(folds.samples[inside]))) < 1e-3


def test_a_plain_series_is_whole_numbers_and_stiffness() -> None:
    """The shape changes the ratios as B does."""
    series = plain_series(25.0, 200.0, modes=6, stiffness=1e-5)
    np.testing.assert_array_equal(np.arange(1.0, 7.0), series.ratio)
    n = series.ratio
    exact = 0.5 * np.log((1.0 + 1e-5 * n**2) / (1.0 + 1e-5))
    np.testing.assert_allclose(series.shaping[:, 0], exact, atol=1e-7)
    assert (series.modes, series.shapes) == (6, 1)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"ratio": [1.0, 0.9]}, "series.ratio"),
        ({"ratio": [2.0, 3.0]}, "series.ratio"),
        ({"shaping": np.zeros((3, 1))}, "series.shaping"),
        ({"lowest": 300.0}, "series.lowest"),
        ({"expected": -1.0, "expected_spread": 0.1}, "series.expected"),
    ],
)
def test_what_is_no_series(change: dict[str, Any], field: str) -> None:
    """Ratios that fall, shapes of other modes, a band turned about, a pitch below nothing."""
    given: dict[str, Any] = {"ratio": [1.0, 2.0], "lowest": 25.0, "highest": 200.0, **change}
    with pytest.raises(InputError) as caught:
        Series(**given)
    assert field == caught.value.field


def test_however_low_a_line_sounds_the_thinned_sound_is_still_one():
    """A long slack line is listened to up to 700 Hz: thinned to that it would be refused."""
    for rate in (44100.0, 48000.0, 24000.0, 96000.0):
        low = thinned(Sound(np.zeros(int(rate)), rate), 700.0)
        assert 4000.0 <= low.rate < 9000.0
