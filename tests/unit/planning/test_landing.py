"""Landing: how surely the line comes to length, and what would make it surer."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from sample_job import (
    EXAMPLE_NAMES,
    RIDGE,
    TARN,
    example_plan,
    model_of,
    plan_of,
    prepared_of,
    settings_of,
)
from strandwright.numerics.propagation import propagate
from strandwright.planning.forecast import INTERACTING
from strandwright.planning.predict import predict
from strandwright.planning.readings.noise import read_noise
from strandwright.planning.readings.tape import reading_uncertainty
from strandwright.statistics.acceptance import judge


def spread_of(plan):
    """Propagate the plan's own build."""
    model, settings = model_of(plan), settings_of(plan)
    return propagate(
        lambda q: predict(model, settings, q), plan.parameters, interacting=INTERACTING
    )


def guided_by_information(plan, asked=None):
    """Finished length's u after the readings: inverse of prior and reading precisions."""
    spread = spread_of(plan)
    known = np.flatnonzero(plan.parameters.deviations)
    prior = plan.parameters.covariance[np.ix_(known, known)]
    rows = np.array([
        spread.jacobian[spread.index(f"read:{s.key}")][known]
        for s in plan.stages if s.reading and (asked is None or s.key in asked)
    ]).reshape(-1, len(known))  # fmt: skip
    noise = read_noise(prepared_of(plan.job), plan.loads.measure, turns=plan.twist.turns)
    precision = np.linalg.inv(prior) + rows.T @ rows / noise**2
    slopes = spread.jacobian[spread.index("finished")][known]
    return float(np.sqrt(slopes @ np.linalg.solve(precision, slopes)))


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_readings_never_make_it_worse(name):
    """Guided by readings the line lands surer than by the numbers alone; no reading costs."""
    plan = example_plan(name)
    assert plan.landing.guided_u <= plan.landing.blind.u
    assert plan.landing.chance >= plan.landing.chance_blind
    assert all(s.buys >= -1e-12 for s in plan.stages)
    assert all(s.buys == 0.0 for s in plan.stages if not s.reading)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_guided_uncertainty_by_another_way(name):
    """Adding precisions gives the same as the plan, with the half-turn step's own spread."""
    plan = example_plan(name)
    step = abs(plan.twist.next_turn.value) * 0.5 / np.sqrt(12.0)
    left = guided_by_information(plan)
    assert plan.landing.guided_u == pytest.approx(np.hypot(left, step), rel=1e-4)


def test_a_reading_buys_what_it_takes_off():
    """The first reading's worth is the fall of the finished length's u when only it is read."""
    plan = example_plan(RIDGE)
    spread = spread_of(plan)
    before = float(spread.first_order[spread.index("finished")])
    first = plan.stage("bare")
    assert first.buys == pytest.approx(before - guided_by_information(plan, {"bare"}), rel=1e-4)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_budgets_share_out_the_whole(name):
    """Shares of both budgets are whole parts of one, largest first."""
    landing = example_plan(name).landing
    for budget in (landing.budget, landing.guided_budget):
        shares = np.array([c.share for c in budget])
        assert shares.sum() == pytest.approx(1.0, abs=1e-9)
        assert (shares >= 0.0).all()
        assert (np.diff(shares) <= 1e-12).all()
    total = sum(c.standard_uncertainty**2 for c in landing.budget)
    assert total == pytest.approx(landing.blind.u**2, rel=0.02)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_chances_are_those_of_a_normal_error(name):
    """By SciPy: blind a normal error, guided one beside what the step of the turns leaves."""
    plan = example_plan(name)
    landing, tolerance = plan.landing, plan.target.tolerance
    half = 0.25 * abs(plan.twist.next_turn.value)
    left = guided_by_information(plan)

    def within(rest):
        return norm.cdf((tolerance - rest) / left) - norm.cdf((-tolerance - rest) / left)

    guided = quad(within, -half, half)[0] / (2.0 * half)
    assert landing.chance == pytest.approx(guided, abs=1e-5)
    error = landing.blind.value - plan.target.length.value
    low, high = ((s * tolerance - error) / landing.blind.u for s in (-1.0, 1.0))
    assert landing.chance_blind == pytest.approx(float(norm.cdf(high) - norm.cdf(low)))


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_the_first_proof_is_less_sure_than_the_last_and_surer_than_blind(name):
    """Before any correction at the proof, only the readings before it count."""
    plan = example_plan(name)
    landing = plan.landing
    early = [s.key for s in plan.stages if s.reading and s.key != "proof"]
    left, half = guided_by_information(plan, early), 0.25 * abs(plan.twist.next_turn.value)
    tolerance = plan.target.tolerance
    ends = [norm.cdf((tolerance - s * half) / left) + norm.cdf((tolerance + s * half) / left) - 1.0
            for s in (0.0, 1.0)]  # fmt: skip
    assert landing.chance_blind < landing.chance_first <= landing.chance
    assert ends[1] < landing.chance_first < ends[0]


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_remedies_help_and_the_best_comes_first(name):
    """Each gains a line in a hundred, or a tenth of the +-; none harms; the best is first."""
    landing = example_plan(name).landing
    gains = [round(r.gain + r.gain_first, 3) for r in landing.remedies]
    assert gains == sorted(gains, reverse=True)
    for remedy in landing.remedies:
        narrower = remedy.u < 0.9 * landing.guided_u
        assert narrower or remedy.gain >= 0.01 or remedy.gain_first >= 0.01
        assert remedy.gain >= -1e-9 and remedy.gain_first >= -1e-9
        assert remedy.gain == pytest.approx(remedy.chance - landing.chance)
        assert remedy.gain_first == pytest.approx(remedy.chance_first - landing.chance_first)


def test_a_load_cell_is_offered_to_those_without():
    """Who has no gauge is told to get one; who has a load cell is not."""
    without = {r.name for r in plan_of(RIDGE, {"bench.gauge": "none"}).landing.remedies}
    assert any("load cell" in name for name in without)
    assert not any("load cell" in r.name for r in example_plan(RIDGE).landing.remedies)


def test_a_remedy_is_really_so_good():
    """A plan at a bench that has the load cell is as sure as the remedy promised."""
    poor = plan_of(RIDGE, {"bench.gauge": "none"})
    promised = next(r.u for r in poor.landing.remedies if "load cell" in r.name)
    assert example_plan(RIDGE).landing.guided_u == pytest.approx(promised, rel=0.02)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_proof_is_judged_by_the_acceptance_rule(name):
    """The proof's limits are those of the acceptance rule at this bench's reading."""
    plan = example_plan(name)
    landing = plan.landing
    assert landing.proof == judge(0.0, landing.proof_u, plan.target.tolerance)
    assert landing.proof_u >= reading_uncertainty(plan.job)


def test_without_a_gauge_no_line_is_accepted():
    """A proof at an unmeasured pull is too coarse to accept a soft line at 1/16 in, and says so."""
    changes = {"bench.gauge": "none", "line.tolerance": "1/16 in"}
    landing = plan_of(TARN, changes).landing
    assert not landing.proof.can_accept
    assert "too coarse to accept any line" in landing.proof.sentence()


@pytest.mark.parametrize("gauge", ["load cell", "spring scale", "none"])
def test_proof_spread_is_the_readings_own(gauge):
    """What moves the reading but not the line, and the reading's own noise."""
    plan = plan_of(RIDGE, {"bench.gauge": gauge})
    spread = spread_of(plan)
    parts = [read_noise(prepared_of(plan.job), plan.loads.measure)]
    for name in ("gauge", "tape_scale", "recovery", "warmth", "stiffness"):
        i = plan.parameters.index(name)
        slopes = [spread.jacobian[spread.index(o), i] for o in ("read:proof", "finished")]
        parts.append((slopes[0] - slopes[1]) * plan.parameters.standard_uncertainty(name))
    assert plan.landing.proof_u == pytest.approx(float(np.linalg.norm(parts)), rel=0.01)


def test_a_looser_tolerance_is_easier():
    """The wider the tolerance, the greater both chances; the line itself is as sure as before."""
    tight, loose = (
        plan_of(RIDGE, {"line.tolerance": t}).landing for t in ("1/32 in", "1/8 in")
    )
    assert tight.chance < loose.chance
    assert tight.chance_blind < loose.chance_blind
    assert tight.blind == loose.blind
