"""Bow loads: what the bow asks of the line, stated or by the kind of bow and of line."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sample_job import CABLE, INCH, LBF, MERE, RIDGE, example_plan, job_of
from strandwright.errors import SpecError
from strandwright.planning.strength.loads import (
    bow_loads,
    draw_stroke,
    release_bound,
    stored_energy,
)
from strandwright.reference import practice


@given(
    brace=st.floats(0.0, 2000.0),
    energy=st.floats(0.0, 300.0),
    eta=st.floats(0.05, 0.99),
    stiffness=st.floats(5e3, 5e5),
    length=st.floats(0.5, 3.0),
)
def test_release_bound_is_an_energy_balance(brace, energy, eta, stiffness, length):
    """What the line's stretch gains from brace to the bound is the energy the arrow misses."""
    bound = release_bound(brace, energy, eta, stiffness, length)
    gained = (bound**2 - brace**2) * length / (2.0 * stiffness)
    assert gained == pytest.approx((1.0 - eta) * energy, abs=1e-9 * bound**2 + 1e-12)
    assert bound >= brace * (1.0 - 1e-12)


def test_stated_loads_stand():
    """Loads measured on the bow are used with their +- and said to be stated."""
    job = job_of(RIDGE, {
        "bow.loads.resting": "150 lbf +- 10",
        "bow.loads.highest": "420 lbf",
        "bow.loads.release": "700 lbf +- 60",
    })  # fmt: skip
    loads = bow_loads(job, 1e5, 1.45)
    assert (loads.resting.value, loads.resting.u) == pytest.approx((150 * LBF, 5 * LBF))
    assert (loads.highest.value, loads.highest.u) == pytest.approx((420 * LBF, 0.0))
    assert (loads.release.value, loads.release.u) == pytest.approx((700 * LBF, 30 * LBF))
    assert loads.source == "stated in the job"


def test_loads_go_with_the_draw_weight():
    """By the kind of bow, the loads are in proportion to the draw weight."""
    light, heavy = (
        bow_loads(job_of(RIDGE, {"bow.draw_weight": w}), 1e5, 1.45) for w in ("30 lbf", "60 lbf")
    )
    assert heavy.resting.value == pytest.approx(2.0 * light.resting.value)
    assert heavy.highest.value == pytest.approx(2.0 * light.highest.value)
    assert light.release.value < heavy.release.value < 2.0 * light.release.value


def test_energy_of_the_draw():
    """Stated energy stands; else weight times stroke times that kind of bow's fill."""
    assert stored_energy(job_of(MERE, {"bow.stored_energy": "60 J"})).value == pytest.approx(60.0)
    job = job_of(MERE)
    stroke = (28.0 - 1.75 - 8.375) * INCH
    fill = practice("bow.recurve.fill").value
    assert stored_energy(job).value == pytest.approx(fill * 44.0 * LBF * stroke)
    assert stored_energy(job_of(MERE, {"bow.draw_weight": None})) is None


def test_what_is_not_said_of_the_draw_comes_from_the_table():
    """Draw length and brace height left out are the table's, and their +- with them."""
    job = job_of(MERE, {"bow.draw_length": None, "bow.brace_height": None})
    drawn, braced = practice("bow.default.draw_length"), practice("bow.default.brace_height")
    stroke = draw_stroke(job)
    assert stroke.value == pytest.approx(drawn.value - 1.75 * INCH - braced.value)
    assert stroke.u**2 == pytest.approx(
        drawn.standard_uncertainty**2 + braced.standard_uncertainty**2
    )


def test_a_crossbow_has_its_own_stroke():
    """A crossbow's stroke is its own row, or its draw less its brace, no pivot between them."""
    crossbow = {"bow.kind": "crossbow", "bow.draw_length": None, "bow.brace_height": None}
    assert draw_stroke(job_of(RIDGE, crossbow)).value == pytest.approx(12.0 * INCH)
    given_both = crossbow | {"bow.draw_length": "17 in", "bow.brace_height": "3 in"}
    assert draw_stroke(job_of(RIDGE, given_both)).value == pytest.approx(14.0 * INCH)


def test_an_unsure_energy_widens_the_bound():
    """The less sure the stored energy, the less sure the bound at release; its value stays."""
    sure, unsure = (
        bow_loads(job_of(RIDGE, {"bow.stored_energy": e}), 1e5, 1.45).release
        for e in ("80 J", "80 J +- 20")
    )
    assert unsure.value == pytest.approx(sure.value)
    # T^2 = Tb^2 + 2 (1 - eta) E EA / L, so dT = (T^2 - Tb^2) / (2 T E) dE.
    resting = bow_loads(job_of(RIDGE), 1e5, 1.45).resting.value
    by_energy = (sure.value**2 - resting**2) / (2.0 * sure.value * 80.0) * 10.0
    assert unsure.u**2 - sure.u**2 == pytest.approx(by_energy**2)


@pytest.mark.parametrize("kind", ["one-cam", "two-cam", "hybrid-cam", "crossbow"])
def test_a_cable_has_rows_of_its_own(kind):
    """A cable is judged by its own ratios, less sure than a string's, and by no release."""
    string, cable = (
        bow_loads(job_of(RIDGE, {"bow.kind": kind, "line.kind": line}), 1e5, 1.45)
        for line in ("string", "cable")
    )
    weight = 60.0 * LBF
    assert cable.resting.value == pytest.approx(
        practice(f"bow.{kind}.cable.rest_tension").value * weight
    )
    assert cable.highest.value == pytest.approx(
        practice(f"bow.{kind}.cable.highest_tension").value * weight
    )
    assert cable.resting.value < string.resting.value
    assert cable.resting.u / cable.resting.value > string.resting.u / string.resting.value
    assert cable.release is None
    assert string.release is not None
    assert "low trust" in cable.source


def test_a_stated_release_stands_for_a_cable_too():
    """A load measured at release is used, whatever the line."""
    changes = {"bow.loads.release": "500 lbf +- 50"}
    assert bow_loads(job_of(CABLE, changes), 1e5, 0.9).release.value == pytest.approx(500.0 * LBF)


def test_a_plain_limb_has_no_cables():
    """A recurve's cable is a contradiction, unless its loads are stated."""
    changes = {"line.kind": "cable"}
    with pytest.raises(SpecError) as caught:
        bow_loads(job_of(MERE, changes), 1e5, 1.6)
    assert caught.value.field == "line.kind"
    stated = changes | {"bow.loads.resting": "90 lbf", "bow.loads.highest": "95 lbf"}
    assert bow_loads(job_of(MERE, stated), 1e5, 1.6).source == "stated in the job"


def test_a_cables_plan_has_no_release():
    """The plan of a cable checks what it rests at and is drawn to, and names no snap."""
    plan = example_plan(CABLE)
    assert [c.name for c in plan.strength.checks][1:] == [
        "resting on the bow", "highest, slow draw"
    ]  # fmt: skip
    assert plan.arrow_mass is None
