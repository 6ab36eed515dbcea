"""Bedding-in, creep and recovery."""

import math

import numpy as np
import pytest

from strandwright.fibre.settling import (
    REFERENCE_LOAD,
    bedding_progress,
    creep_strain,
    delayed_left,
    steady_creep_rate,
)

REFERENCE = {
    "reference_rate": 3e-9, "reference_stress": 1e3, "reference_temperature": 293.15,
    "activation_energy": 118e3, "activation_volume": 5e-28,
}  # fmt: skip


def test_bedding_is_whole_at_its_reference_load() -> None:
    """1 at 12.5 lbf a strand, 0 without load, rising and saturating in between and after."""
    load = np.linspace(0.0, 3 * REFERENCE_LOAD, 50)
    progress = bedding_progress(load, 17.8)
    assert bedding_progress(REFERENCE_LOAD, 17.8) == pytest.approx(1.0, rel=1e-15)
    assert progress[0] == 0.0
    assert np.all(np.diff(progress) > 0.0)
    assert progress[-1] < 1 / (1 - np.exp(-REFERENCE_LOAD / 17.8)) + 1e-12


def test_creep_by_decades() -> None:
    """Nothing at once; 9, 99 and 999 minutes are one, two and three decades."""
    minutes = np.array([0.0, 9.0, 99.0, 999.0])
    np.testing.assert_allclose(
        creep_strain(0.2, 60 * minutes, 3e-4), 0.2 * 3e-4 * np.array([0, 1, 2, 3]), atol=1e-18
    )


def test_recovery_after_a_printed_braid() -> None:
    """Most of the rest is back within 30 to 45 min or little longer, the last in about 12 h."""
    assert delayed_left(math.inf, 0.0) == 1.0
    assert 0.25 < delayed_left(math.inf, 45 * 60.0) < 0.35
    assert delayed_left(math.inf, 12 * 3600.0) < 0.02


def test_a_short_pull_leaves_little() -> None:
    """Delayed strain grows while the load acts: nothing at once, 0.61 of it in half an hour."""
    assert delayed_left(0.0, 0.0) == 0.0
    half_an_hour = 0.75 * (1.0 - math.exp(-1.5)) + 0.25 * (1.0 - math.exp(-0.125))
    assert delayed_left(1800.0, 0.0) == pytest.approx(half_an_hour, rel=1e-12)


def test_pulls_add_up() -> None:
    """Two halves of a pull, one after the other, leave what the whole leaves."""
    whole = delayed_left(2000.0, 600.0)
    halves = delayed_left(1000.0, 600.0) + delayed_left(1000.0, 1600.0)
    assert halves == pytest.approx(float(whole), rel=1e-12)


@pytest.mark.parametrize(
    ("energy", "celsius", "factor"),
    [(105e3, 30, 4.1), (105e3, 40, 15.7), (105e3, 60, 176), (118e3, 40, 22), (118e3, 60, 335)],
)
def test_creep_quickens_with_warmth(energy: float, celsius: float, factor: float) -> None:
    """Factors against 20 degC, worked apart; at a small stress its term is 1 / kelvin."""
    rate = steady_creep_rate(1e3, 273.15 + celsius, **(REFERENCE | {"activation_energy": energy}))
    ratio = float(rate) / REFERENCE["reference_rate"]
    assert ratio * (273.15 + celsius) / 293.15 == pytest.approx(factor, rel=0.02)


def test_creep_rate_at_its_reference() -> None:
    """At the reference point the rate is the reference rate."""
    assert steady_creep_rate(1e3, 293.15, **REFERENCE) == pytest.approx(3e-9)


def test_creep_rate_carried_to_the_bench() -> None:
    """1.9 %/h at 71.1 degC is 1321 times less at 20 degC with 118 kJ/mol, but for the stress."""
    rate = steady_creep_rate(
        1e3, 293.15, **(REFERENCE | {"reference_temperature": 344.25, "activation_energy": 118e3})
    )
    # sinh(s V / k T) is nearly s V / k T at this stress.
    assert float(rate) == pytest.approx(3e-9 / 1321 * 344.25 / 293.15, rel=2e-3)
