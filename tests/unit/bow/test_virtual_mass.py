"""Virtual mass: what a chronograph teaches of it."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable

import numpy as np
import pytest

from strandwright.bow.launch import Shot, arrow_speed, speed_uncertainty
from strandwright.bow.speed_reading import SpeedReading, fit_virtual_mass
from strandwright.bow.virtual_mass import VirtualMass, virtual_mass
from strandwright.errors import InputError
from strandwright.reference import practice

PRIOR = virtual_mass(0.005, 0.05, constant_u=0.003, slope_u=0.04, energy_u=0.02, arrow=0.02)
TRUTH = virtual_mass(0.0065, 0.09, arrow=0.02)


def _read(arrow: float, speed_u: float = 0.05, energy: float = 60.0) -> SpeedReading:
    """Shoot the true bow, with a string of 2.5 g and a hysteresis of 3 %."""
    speed = float(arrow_speed(Shot(energy, arrow, TRUTH, string_mass=0.0025, hysteresis=0.03)))
    return SpeedReading(arrow, speed, speed_u, energy, string_mass=0.0025, hysteresis=0.03)


def _same(one: VirtualMass, other: VirtualMass) -> None:
    """Hold two states of knowledge to be the same."""
    for field in ("reference", "slope", "energy_scale"):
        assert getattr(one, field) == pytest.approx(getattr(other, field), rel=1e-9)
    np.testing.assert_allclose(one.covariance, other.covariance, rtol=1e-7, atol=1e-13)


def test_constant_and_slope_are_what_was_stated() -> None:
    """K0 + k1 m, whatever arrow it is referred to."""
    for arrow in (0.0, 0.03):
        known = virtual_mass(0.005, 0.05, arrow=arrow)
        assert known.constant == pytest.approx(0.005)
        np.testing.assert_allclose(known.of([0.0, 0.02]), [0.005, 0.006], rtol=1e-14)


def test_uncertainty_of_the_constant_grows_away_from_the_reference_arrow() -> None:
    """K0 is further from the reference arrow than K is, by the slope's own +-."""
    assert PRIOR.constant_u == pytest.approx(np.hypot(0.003, 0.04 * 0.02))
    np.testing.assert_allclose(PRIOR.deviations, [0.003, 0.04, 0.02], rtol=1e-14)


def test_one_reading_leaves_the_slope_at_its_prior() -> None:
    """Of the reference arrow one speed says nothing of k1, and narrows K."""
    fitted = fit_virtual_mass(PRIOR, [_read(0.02)]).virtual
    assert fitted.slope == PRIOR.slope
    assert fitted.deviations[1] == pytest.approx(PRIOR.deviations[1], rel=1e-12)
    assert fitted.deviations[0] < 0.5 * PRIOR.deviations[0]


def test_one_reading_makes_the_same_arrow_known() -> None:
    """The bow then shoots that arrow as read, to the reading's own +-, though K is not known."""
    reading = _read(0.02)
    fitted = fit_virtual_mass(PRIOR, [reading]).virtual
    shot = Shot(60.0, 0.02, fitted, string_mass=0.0025, hysteresis=0.03)
    assert arrow_speed(shot) == pytest.approx(reading.speed, abs=0.01)
    assert speed_uncertainty(shot) == pytest.approx(reading.speed_u, rel=0.05)
    assert fitted.deviations[0] > 10 * 0.05 / reading.speed * 0.02


def test_sharp_readings_find_the_truth() -> None:
    """With the energy known, three arrows give K0 and k1 back."""
    prior = virtual_mass(0.005, 0.05, constant_u=0.01, slope_u=0.5, arrow=0.02)
    readings = [_read(arrow, 1e-5) for arrow in (0.015, 0.02, 0.03)]
    fitted = fit_virtual_mass(prior, readings).virtual
    assert fitted.constant == pytest.approx(0.0065, rel=1e-3)
    assert fitted.slope == pytest.approx(0.09, rel=1e-3)


def test_without_a_prior_it_is_the_weighted_straight_line() -> None:
    """Against a wide prior and a known energy the fit is least squares of K on the arrow."""
    readings = [_read(0.015), _read(0.02, 0.2), _read(0.03)]
    readings = [dataclasses.replace(readings[0], speed=readings[0].speed + 0.3), *readings[1:]]
    prior = virtual_mass(0.005, 0.05, constant_u=10.0, slope_u=1000.0, arrow=0.02)
    fitted = fit_virtual_mass(prior, readings).virtual
    arrow = np.array([r.arrow_mass for r in readings])
    moving = np.array([2 * 0.97 * r.energy / r.speed**2 for r in readings])
    left = moving - arrow - 0.0025
    noise = 2 * moving * np.array([r.speed_u / r.speed for r in readings])
    slope, constant = np.polyfit(arrow, left, 1, w=1 / noise)
    assert fitted.constant == pytest.approx(constant, rel=1e-5)
    assert fitted.slope == pytest.approx(slope, rel=1e-5)


def test_readings_may_come_one_by_one() -> None:
    """In any order, and together, they teach the same."""
    first, second = _read(0.016), _read(0.026)
    together = fit_virtual_mass(PRIOR, [first, second]).virtual
    for order in ((first, second), (second, first)):
        known = PRIOR
        for reading in order:
            known = fit_virtual_mass(known, [reading]).virtual
        _same(known, together)


def test_a_vague_reading_teaches_nothing() -> None:
    """A +- of a thousand times the speed leaves everything as it was."""
    _same(fit_virtual_mass(PRIOR, [_read(0.02, 1e5)]).virtual, PRIOR)


def test_a_faster_bow_than_expected_is_seen_as_such() -> None:
    """Innovation is positive when the arrow is faster; a wild one stands out; residuals shrink."""
    good = _read(0.02)
    fast = dataclasses.replace(good, speed=good.speed * 1.3)
    fitted = fit_virtual_mass(PRIOR, [good, fast])
    assert fitted.innovation[1] > fitted.innovation[0]
    assert fitted.normalised[1] > 3.0
    assert abs(fitted.normalised[0]) < 2.0
    alone = fit_virtual_mass(PRIOR, [good])
    assert abs(alone.residual[0]) < 0.01 * abs(alone.innovation[0])


@pytest.mark.parametrize("kind", ["recurve", "longbow", "compound", "crossbow"])
def test_the_built_in_rows_make_a_prior(kind: str) -> None:
    """Each kind of bow has a virtual mass in kilograms, uncertain enough for a reading to tell."""
    row, slope = practice(f"launch.{kind}.virtual_mass"), practice("launch.virtual_mass_slope")
    assert row.unit == "kg"
    prior = virtual_mass(
        row.value,
        slope.value,
        constant_u=row.standard_uncertainty,
        slope_u=slope.standard_uncertainty,
        arrow=0.02,
    )
    assert 0.002 < prior.of(0.02) < 0.02
    assert fit_virtual_mass(prior, [_read(0.02)]).virtual.deviations[0] < 0.3 * prior.deviations[0]


@pytest.mark.parametrize("unit", [3.28084, 1 / 3.28084, 1e-3])
def test_a_speed_in_the_wrong_unit_is_seen(unit: float) -> None:
    """Feet taken for metres, metres for feet and kilometres stand out by far."""
    good = _read(0.02)
    wrong = dataclasses.replace(good, speed=good.speed * unit)
    fitted = fit_virtual_mass(PRIOR, [wrong])
    assert np.sign(fitted.normalised[0]) == np.sign(unit - 1.0)
    assert abs(fitted.normalised[0]) > 10.0


def test_innovation_over_its_deviation_is_of_the_order_of_one() -> None:
    """Over bows drawn from the prior and readings from their +-, it scatters by 1 to 5 %."""
    generator = np.random.default_rng(3)
    drawn = generator.multivariate_normal([PRIOR.reference, 0.05, 1.0], PRIOR.covariance, 4000)
    found: list[float] = []
    for reference, slope, scale in drawn:
        bow = VirtualMass(reference, slope, 0.02, scale, np.zeros((3, 3)))
        speed = float(arrow_speed(Shot(60.0, 0.025, bow))) + generator.normal(0.0, 0.4)
        reading = SpeedReading(0.025, speed, 0.4, 60.0)
        found.append(float(fit_virtual_mass(PRIOR, [reading]).normalised[0]))
    assert np.std(found) == pytest.approx(1.0, abs=0.05)


def test_covariance_stays_one() -> None:
    """After twenty readings it is symmetric and has no negative variance."""
    readings = [_read(0.015 + 0.001 * n, 0.01) for n in range(20)]
    covariance = fit_virtual_mass(PRIOR, readings).virtual.covariance
    np.testing.assert_allclose(covariance, covariance.T, rtol=1e-6, atol=1e-16)
    assert np.all(np.diagonal(covariance) > 0.0)
    assert np.all(np.diagonal(covariance) < np.diagonal(PRIOR.covariance))


@pytest.mark.parametrize(
    ("call", "field", "given"),
    [
        (lambda: virtual_mass(-0.1, 0.0), "virtual_mass.constant", -0.1),
        (lambda: virtual_mass(0.1, -0.2), "virtual_mass.slope", -0.2),
        (lambda: virtual_mass(0.1, 0.0, energy_u=-1.0), "virtual_mass.energy_u", -1.0),
        (lambda: SpeedReading(0.0, 60.0, 0.1, 50.0), "reading.arrow_mass", 0.0),
        (lambda: SpeedReading(0.02, 0.0, 0.1, 50.0), "reading.speed", 0.0),
        (lambda: SpeedReading(0.02, 60.0, 0.0, 50.0), "reading.speed_u", 0.0),
        (lambda: SpeedReading(0.02, 60.0, 0.1, -50.0), "reading.energy", -50.0),
        (lambda: SpeedReading(0.02, 60.0, 0.1, 50.0, hysteresis=1.2), "reading.hysteresis", 1.2),
        (lambda: fit_virtual_mass(PRIOR, []), "readings", 0),
    ],
)
def test_what_cannot_be_is_refused_by_name(
    call: Callable[[], object], field: str, given: float
) -> None:
    """The error names the field, the value, the rule and the next act."""
    with pytest.raises(InputError) as caught:
        call()
    assert caught.value.field == field
    assert caught.value.given == given
    assert caught.value.rule
    assert caught.value.remedy
