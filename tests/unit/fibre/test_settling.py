"""Bedding-in, creep and recovery."""

import numpy as np
import pytest

from strandwright.fibre.settling import (
    REFERENCE_LOAD,
    bedding_progress,
    creep_strain,
    recovery_left,
    rest_needed,
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
    assert recovery_left(0.0) == 1.0
    assert 0.25 < recovery_left(45 * 60.0) < 0.35
    assert recovery_left(12 * 3600.0) < 0.02


@pytest.mark.parametrize("share", [0.9, 0.5, 0.1, 0.01])
def test_rest_needed_undoes_recovery(share: float) -> None:
    """After the rest it asks for, that share is left; a whole share needs no rest."""
    assert recovery_left(rest_needed(share)) == pytest.approx(share, rel=1e-9)
    assert rest_needed(1.0) == 0.0


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
