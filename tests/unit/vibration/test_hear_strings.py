"""Plucks of served strings, made by physics of its own: the pitch, the octave, the uncertainty.

The series that is promised is a little wrong, as a plan's is: shapes by one standard uncertainty
of each thing it knows to be unsure, and every ratio by a ten-thousandth more.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from made_tones import cents
from plucked_strings import MODES, believed, drawn, in_the_shop, quiet, ringing
from strandwright.vibration.heard import Heard
from strandwright.vibration.pluck import hear
from strandwright.vibration.series import Series

COUNT = 120


@cache
def plucks() -> tuple:
    """Plucks, what their strings did, and the frequencies of their modes."""
    made = drawn(COUNT)
    swings, frequencies, _ = ringing(made)
    return tuple(zip(made, swings, frequencies, strict=True))


@cache
def again() -> tuple[tuple[Heard, float], ...]:
    """The same plucks in other shops, and by series that are wrong in another way."""
    return tuple(
        (hear(in_the_shop(other, swing), believed(f, other)), float(f[0]))
        for p, swing, f in plucks()
        for other in [replace(p, seed=p.seed + 500_000)]
    )


@cache
def heard() -> tuple[tuple[Heard, float], ...]:
    """Each in its shop, by the series a plan would promise; and its true pitch."""
    return tuple(
        (hear(in_the_shop(p, swing), believed(f, p)), float(f[0])) for p, swing, f in plucks()
    )


def test_nearly_all_are_heard() -> None:
    """Hiss, rumble, clatter, hum, roll-off, hard and soft: refused is at most one in a hundred."""
    assert sum(h.refusal is not None for h, _ in heard() + again()) <= COUNT // 50


def test_pitch_is_right_to_cents_and_no_octave_slips() -> None:
    """Half of them within a fifth of a cent, and the worst within two."""
    off = np.array([abs(cents(h.pitch, true)) for h, true in heard() if h.refusal is None])
    assert float(np.median(off)) < 0.2
    assert float(np.max(off)) < 2.0


def test_the_stated_uncertainty_covers() -> None:
    """Two standard uncertainties hold the truth about nineteen times in twenty."""
    both = heard() + again()
    z = np.array([np.log(h.pitch / true) * h.pitch / h.u for h, true in both if not h.refusal])
    # Binomial, three standard deviations below 95 %; above, it must not be idle either.
    assert float(np.mean(np.abs(z) < 2.0)) > 0.95 - 3.0 * np.sqrt(0.95 * 0.05 / len(z))
    assert float(np.sqrt(np.mean(z**2))) == pytest.approx(1.0, abs=0.3)
    assert float(np.median(np.abs(z))) > 0.4


def test_no_second_pitch_is_made_up() -> None:
    """All of them swing one way."""
    assert sum(h.second is not None for h, _ in heard()) <= COUNT // 100


def test_hard_plucks_are_told_from_soft_ones() -> None:
    """What they rise by is found, and makes the pitch no worse than half a cent in the middle."""
    hard = [(h, true) for h, true in heard() if h.rise > 0.008]
    assert len(hard) > 15
    assert max(h.rise for h, _ in hard) < 0.05
    assert float(np.median([abs(cents(h.pitch, true)) for h, true in hard])) < 0.3


@pytest.mark.parametrize("expecting", [True, False], ids=["expected", "anywhere"])
def test_quiet_plucks_with_the_right_series(expecting: bool) -> None:
    """Without noise, and with ratios that are right, what is left is the drift's own doing."""
    off = []
    for pluck, swing, f in plucks()[:30]:
        low, high = 0.3 * f[0], 3.0 * f[0]
        expected, spread = (f[0] * 1.03, 0.05) if expecting else (np.nan, np.inf)
        series = Series(f / f[0], low, high, expected=expected, expected_spread=spread)
        found = hear(in_the_shop(quiet(pluck), swing), series)
        assert found.refusal is None
        off.append(abs(cents(found.pitch, float(f[0]))))
    assert float(np.median(off)) < 0.05
    assert float(np.max(off)) < 0.5


def test_whole_numbers_are_not_the_modes_of_a_served_string() -> None:
    """Why the series must be told: taken for harmonics the same plucks come out cents off."""
    off = []
    for pluck, swing, f in plucks()[:20]:
        low, high, whole = 0.4 * f[0], 2.5 * f[0], np.arange(1.0, MODES + 1.0)
        series = Series(whole, low, high, expected=f[0], expected_spread=0.1)
        found = hear(in_the_shop(pluck, swing), series)
        if found.refusal is None:
            off.append(abs(cents(found.pitch, float(f[0]))))
    assert not off or float(np.median(off)) > 5.0
