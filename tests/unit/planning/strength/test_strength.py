"""Strength: the derated break load and what is held against it."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sample_job import (
    CABLE,
    EXAMPLE_NAMES,
    LBF,
    ORDERS,
    RIDGE,
    example_plan,
    job_of,
    plan_of,
    prepared_of,
)
from strandwright.errors import LimitError
from strandwright.planning.estimate import Estimate
from strandwright.planning.strength.margins import (
    JIG_PULLS,
    arrow_mass,
    bundle_factor,
    check_load,
    derate,
    highest_pull,
    jig_pulls,
    rating_warning,
)
from strandwright.reference import practice, strand


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_derated_is_the_product_of_its_factors(name):
    """Strands by count, times twist, bundle and ends; none of the factors adds strength."""
    plan = example_plan(name)
    strength, makeup = plan.strength, plan.job.makeup
    assert strength.strands == pytest.approx(
        makeup.strands * strand(makeup.strand).break_load.value
    )
    factors = [strength.twist, strength.bundle, strength.ends]
    assert strength.derated.value == pytest.approx(
        strength.strands * math.prod(f.value for f in factors)
    )
    assert all(0.5 < f.value <= 1.0 for f in factors)
    # Relative uncertainties of a product add in squares, the strand's own break load with them.
    relative = math.hypot(
        *(f.u / f.value for f in factors), strand(makeup.strand).break_load.relative_uncertainty
    )
    assert strength.derated.u / strength.derated.value == pytest.approx(relative)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_shares_are_loads_over_the_derated_break(name):
    """Each check's share is its load over the derated break load, and its verdict goes by it."""
    strength = example_plan(name).strength
    names = ["stretch on the jig", "resting on the bow", "highest, slow draw"]
    if example_plan(name).job.line.kind == "string":
        names.append("bound at release")
    assert [c.name for c in strength.checks] == names
    for check in strength.checks:
        assert check.share.value == pytest.approx(check.load.value / strength.derated.value)
        assert check.verdict in ("fine", "warn", "refuse")
    warned = [c for c in strength.checks if c.verdict != "fine"]
    for check in warned:
        assert any(check.name in w for w in example_plan(name).warnings)


def test_twist_costs_strength():
    """The more turns, the less of the strands' break load is left."""
    plans = [
        plan_of(RIDGE, {"makeup.twist": None, "makeup.turns": t}) for t in (0.0, 14.0, 28.0, 45.0)
    ]
    kept = np.array([p.strength.twist.value for p in plans])
    assert kept[0] == pytest.approx(1.0, abs=0.005)
    assert (np.diff(kept) < 0.0).all()


@pytest.mark.parametrize("rating", ["299 lbf", "250 lbf"])
def test_a_pull_over_the_benchs_rating_is_refused(rating):
    """Stretching at 300 lbf on a weaker strap is refused; the error says both loads."""
    with pytest.raises(LimitError, match=rating) as caught:
        plan_of(RIDGE, {"bench.rating": rating})
    assert caught.value.field == "route.stretch"
    assert caught.value.given == "300 lbf"
    assert "use rated parts" in caught.value.remedy


def test_a_pull_at_the_rating_passes():
    """What is rated for the pull may be pulled so."""
    assert plan_of(RIDGE, {"bench.rating": "300 lbf"}).route.stage("proof").highest_load > 0.0


def test_a_third_of_the_derated_break_is_the_limit():
    """A stretch just under a third is planned; just over, it is refused."""
    free = {"bench.rating": "3000 lbf"}
    third = example_plan(RIDGE).strength.derated.value / 3.0 / LBF
    # The limit of practice stands to 0.33, the stretch moves the twist's share a very little.
    limit = practice("safety.refuse").value * 3.0 * third
    plan_of(RIDGE, free | {"route.stretch": f"{0.99 * limit:.1f} lbf"})
    with pytest.raises(LimitError, match="a third of the derated break load") as caught:
        plan_of(RIDGE, free | {"route.stretch": f"{1.01 * limit:.1f} lbf"})
    assert "more strands" in caught.value.remedy


def test_an_unknown_rating_is_a_caution():
    """Nobody knows the strap: the plan is made, and says so."""
    warned = plan_of(RIDGE, {"bench.rating": "unknown"}).warnings
    assert any("rating" in w and "not a pass" in w for w in warned)
    assert not any("not a pass" in w for w in example_plan(RIDGE).warnings)


def test_nothing_known_of_the_bow_checks_only_the_jig():
    """Without draw weight or loads, only the stretch is held against the line."""
    plan = plan_of(RIDGE, {"bow.draw_weight": None})
    assert [c.name for c in plan.strength.checks] == ["stretch on the jig"]


@given(st.floats(0.001, 0.3), st.floats(0.001, 0.3))
def test_unequal_strands_hold_less(one, other):
    """The more the strands differ in strength, the less the bundle holds; never more than all."""
    low, high = sorted((one, other))
    assert bundle_factor(high).value <= bundle_factor(low).value <= 1.0
    assert 0.0 <= bundle_factor(high).u <= 1.0 - bundle_factor(high).value


@given(load=st.floats(1.0, 1e4), warn=st.floats(0.05, 0.5), more=st.floats(0.0, 0.5))
def test_a_verdict_goes_by_the_value(load, warn, more):
    """Fine up to the first limit, a warning up to the second, refused over it."""
    derated = Estimate(5e3, 500.0, "N")
    check = check_load("pull", Estimate(load, 0.1 * load, "N"), derated, (warn, warn + more), "")
    share = load / 5e3
    expected = "fine" if share <= warn else "warn" if share <= warn + more else "refuse"
    assert check.verdict == expected
    assert check.share.u == pytest.approx(share * math.hypot(0.1, 0.1))


def test_limits_come_from_the_table():
    """The bow's loads are judged by the rows of practice: momentary loads by the wider ones."""
    rows = {
        "resting on the bow": ("safety.warn", "safety.refuse"),
        "highest, slow draw": ("safety.highest_warn", "safety.highest_refuse"),
        "bound at release": ("safety.release_warn", "safety.release_refuse"),
    }
    seen = set()
    for pull in range(40, 3000, 120):
        loads = {f"bow.loads.{n}": f"{pull} lbf" for n in ("resting", "highest", "release")}
        for check in plan_of(RIDGE, loads).strength.checks[1:]:
            warn, refuse = (practice(key).value for key in rows[check.name])
            share = check.share.value
            expected = "fine" if share <= warn else "warn" if share <= refuse else "refuse"
            assert check.verdict == expected
            seen.add((check.name, expected))
    assert len(seen) == 9


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("field", ["equalise", "settle", "serve", "stretch"])
def test_the_pull_at_fault_is_named(order, field):
    """Whichever pull of the route passes the rating is named; one the order has not is not."""
    changes = {
        "route.order": order, f"route.{field}": "420 lbf", "bench.rating": "400 lbf"
    }  # fmt: skip
    if field == "settle" and order != "serve, then twist":
        assert "route.settle" not in jig_pulls(prepared_of(job_of(RIDGE, changes)))
        return
    with pytest.raises(LimitError, match="400 lbf") as caught:
        plan_of(RIDGE, changes)
    assert caught.value.field == f"route.{field}"
    assert caught.value.given == "420 lbf"


def test_the_check_on_the_jig_is_of_its_highest_pull():
    """Evening out harder than the stretch is what the line is checked against."""
    changes = {"route.equalise": "350 lbf"}
    assert highest_pull(prepared_of(job_of(RIDGE, changes))) == pytest.approx(
        ("route.equalise", 350.0 * LBF)
    )
    check = plan_of(RIDGE, changes).strength.checks[0]
    assert check.name == JIG_PULLS["route.equalise"]
    assert check.load.value == pytest.approx(350.0 * LBF)


def test_a_poor_gauge_is_said_where_a_pull_is_refused():
    """Where the load is judged by feel the refusal says how far it can be off."""
    changes = {"bench.gauge": "none", "bench.gauge_uncertainty": None, "bench.rating": "250 lbf"}
    with pytest.raises(LimitError, match="judged by feel is only good to 70 %"):
        plan_of(RIDGE, changes)
    with pytest.raises(LimitError) as caught:
        plan_of(RIDGE, {"bench.gauge": "load cell", "bench.rating": "250 lbf"})
    assert "only good to" not in caught.value.rule


@pytest.mark.parametrize(("gauge", "u"), [("load cell", 0.02), ("spring scale", 0.05)])
def test_a_rating_that_the_gauge_cannot_keep_is_warned_of(gauge, u):
    """Just under the far end of the gauge's +- the rating is in doubt; over it, it is kept."""
    worst = 300.0 * (1.0 + 2.0 * u)
    said = [
        rating_warning(
            prepared_of(job_of(RIDGE, {"bench.gauge": gauge, "bench.rating": f"{r:.1f} lbf"}))
        )
        for r in (worst - 1.0, worst + 1.0)
    ]
    assert f"300 lbf may be {worst:.0f} lbf" in said[0]
    assert said[1] == ""
    assert rating_warning(prepared_of(job_of(RIDGE, {"bench.rating": "unknown"}))) == ""


def test_a_cable_has_no_third_in_arrow_mass():
    """A third of a string's mass goes with the arrow; of a cable nothing is said."""
    mass = Estimate(0.009, 0.0006, "kg")
    assert arrow_mass(job_of(RIDGE), mass) == Estimate(0.009 / 3.0, 0.0006 / 3.0, "kg")
    assert arrow_mass(job_of(CABLE), mass) is None


def test_strength_goes_with_the_count():
    """Twice the strands hold twice the load, as surely."""
    known = prepared_of(job_of(RIDGE)).strand
    twist = Estimate(0.95, 0.01, "1")
    one, two = derate(known, 12, twist).derated, derate(known, 24, twist).derated
    assert two.value == pytest.approx(2.0 * one.value)
    assert two.u / two.value == pytest.approx(one.u / one.value)
