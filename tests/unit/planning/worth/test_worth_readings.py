"""Readings: what each is worth beside the others, by draws, in the limits, and when."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from sample_job import EXAMPLE_NAMES, MERE, RIDGE, TARN, example_plan, plan_of
from strandwright.planning.worth.candidates import Candidate, candidates, further_stop
from strandwright.planning.worth.grounds import Evidence, told_of
from strandwright.planning.worth.minutes import correction, saved, work
from strandwright.planning.worth.readings import worth_of
from strandwright.planning.worth.words import when_said

DRAWS = 100_000


def grounds_of(name=RIDGE, changes=None):
    """Give what the chances of a plan rest on."""
    return (plan_of(name, changes) if changes else example_plan(name)).landing.grounds


def reading(grounds, evidence, time=120.0):
    """Give a reading made up for a test."""
    return Candidate("length", "read it", "", evidence, time)


def share_drawn(grounds, evidence, seed=1):
    """Share within tolerance of builds drawn from the slopes, corrected by precisions."""
    generator = np.random.default_rng(seed)
    known = np.flatnonzero(grounds.known.deviations)
    prior = grounds.known.covariance[np.ix_(known, known)]
    x = generator.multivariate_normal(np.zeros(len(known)), prior, DRAWS)
    finished = grounds.spread.jacobian[grounds.spread.index("finished")][known]
    rows, variances = evidence.slopes[:, known], evidence.variances
    read = x @ rows.T + generator.standard_normal((DRAWS, len(rows))) * np.sqrt(variances)
    precision = np.linalg.inv(prior) + rows.T @ (rows / variances[:, None])
    mean = np.linalg.solve(precision, rows.T @ (read / variances).T).T
    expected = grounds.error + mean @ finished
    corrected = grounds.step * np.round(expected / grounds.step)
    off = grounds.error + x @ finished - corrected
    return float(np.mean(np.abs(off) <= grounds.tolerance))


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_both_chances_are_those_of_drawn_builds(name):
    """Builds drawn from the plan's slopes, read with noise and corrected in half turns."""
    grounds = grounds_of(name)
    told = grounds.chances()
    for proof, chance in ((False, told.first), (True, told.after)):
        share = share_drawn(grounds, grounds.asked(proof=proof))
        assert chance == pytest.approx(share, abs=4.0 * math.sqrt(0.25 / DRAWS))
        assert chance == pytest.approx(
            share, abs=4.0 * math.sqrt(chance * (1.0 - chance) / DRAWS) + 2e-4
        )


@pytest.mark.parametrize("name", [MERE, RIDGE, TARN])
def test_no_reading_is_worth_less_than_nothing(name):
    """All that could be taken, asked for or not, beside the others and by itself."""
    for worth in example_plan(name).landing.readings:
        assert worth.gain_first >= -1e-7 and worth.gain >= -1e-7 and worth.alone >= 0.0
        assert worth.chance_first == pytest.approx(worth.before + worth.gain_first)
        assert worth.saves == pytest.approx(
            saved(grounds_of(name).prepared, worth.gain_first, worth.gain)
        )


def test_a_reading_of_nothing_does_not_pay():
    """Slopes of zero: no gain, and not at all."""
    grounds = grounds_of()
    nothing = Evidence(np.zeros((1, len(grounds.known.names))), np.ones(1))
    worth = worth_of(grounds, reading(grounds, nothing, time=0.0), grounds.chances())
    assert (worth.gain_first, worth.gain, worth.alone) == (0.0, 0.0, 0.0)
    assert worth.when == "not at all"
    assert when_said(worth) == "not at all: it tells little"


def test_a_perfect_reading_is_limited_by_the_step_of_the_turns():
    """The finished length known exactly: right as often as half a step lies in tolerance."""
    grounds = replace(grounds_of(TARN), tolerance=0.2 * grounds_of(TARN).step)
    row = grounds.spread.jacobian[[grounds.spread.index("finished")]]
    exact = Evidence(row, np.array([1e-18]))
    assert grounds.chance(exact) == pytest.approx(0.4, abs=1e-6)
    wide = replace(grounds, tolerance=0.51 * grounds.step)
    assert wide.chance(exact) == pytest.approx(1.0, abs=1e-6)
    worth = worth_of(wide, reading(wide, exact), wide.chances())
    assert worth.when == "now"
    assert worth.chance_first == pytest.approx(1.0, abs=1e-6)


def test_what_a_later_reading_tells_as_well_is_for_later():
    """The same as the last reading before the proof: great by itself, nothing beside it."""
    grounds = grounds_of(RIDGE)
    last = [k for k in ("bare", "half", "twisted") if f"read:{k}" in grounds.spread.outputs][-1]
    same = grounds.lengths([last])
    worth = worth_of(grounds, reading(grounds, same), grounds.chances())
    assert worth.alone > 0.2
    assert max(worth.gain_first, worth.gain) < 0.01
    assert worth.when == "later"
    without = replace(worth, alone=0.0, when="not at all", gain_first=0.05)
    assert when_said(without) == "not at all: it saves no time"


def test_an_asked_reading_is_worth_what_the_chance_loses_without_it():
    """Taken out of those asked for, by the chances with and without."""
    grounds = grounds_of(TARN)
    worths = {w.stage: w for w in example_plan(TARN).landing.readings if w.asked}
    assert set(worths) >= {"bare", "half", "proof"}
    now = grounds.chances()
    for stage, worth in worths.items():
        without = grounds.asked(proof=False, without=(stage,))
        assert worth.gain_first == pytest.approx(now.first - grounds.chance(without))
    assert worths["proof"].gain_first == pytest.approx(0.0)
    assert worths["proof"].gain == pytest.approx(now.after - now.first)
    assert when_said(worths["proof"]) == "now: it proves the line"


def test_who_hears_may_weigh_and_check_and_who_weighed_may_not_again():
    """Spools and the ear are offered while they are not done."""
    by_ear = grounds_of(RIDGE, {"bench.gauge": "by ear"})
    kinds = [c.key for c in candidates(by_ear)]
    assert kinds[:3] == ["masses", "ear", "diameter"]
    assert "ear" not in [c.key for c in candidates(grounds_of(RIDGE))]
    weighed = [{"run": i, "planned": "10 g", "lost": "10 g"} for i in range(2)]
    measured = [{"of": "bare", "diameter": "0.109 in"}]
    done = grounds_of(RIDGE, {"build.masses": weighed, "build.diameters": measured})
    assert not {"masses", "diameter"} & {c.key for c in candidates(done)}


def test_weighing_pays_where_loads_are_heard():
    """What the strands weigh is most of what is not known of a heard load."""
    by_ear = plan_of(RIDGE, {"bench.gauge": "by ear"}).landing.readings
    gauge = example_plan(RIDGE).landing.readings
    ear, cell = (next(w for w in found if w.key == "masses") for found in (by_ear, gauge))
    assert ear.gain > 3.0 * cell.gain
    assert ear.gain_first > cell.gain_first


def test_a_reading_of_one_unknown_leaves_it_as_told():
    """Adding its precision to what is known gives the uncertainty that was asked for."""
    known = grounds_of().known
    before = known.standard_uncertainty("packing")
    told = told_of(known, "packing", 0.3 * before)
    assert told is not None
    assert 1.0 / (1.0 / before**2 + 1.0 / told.variances[0]) == pytest.approx((0.3 * before) ** 2)
    assert told_of(known, "packing", 1.1 * before) is None


def test_a_second_stop_lies_between_the_first_and_the_full_count():
    """At half turns, and only where there is one between."""
    plan = example_plan(RIDGE)
    stop = further_stop(plan.landing.grounds, plan.chosen.settings)
    half = plan.stage("half").turns
    if stop is not None:
        turns = float(stop.title.split()[2])
        assert half < turns < plan.twist.turns
        assert (2.0 * turns) % 1.0 == 0.0
        assert plan.landing.grounds.chances(stop.evidence).first >= plan.landing.chance_first
    settings = replace(plan.chosen.settings, turns=0.0)
    assert further_stop(plan.landing.grounds, settings) is None


def test_a_correction_costs_turns_settling_rest_and_a_reading():
    """Of the rest only its share counts; both chances save their own time."""
    prepared = grounds_of().prepared
    longer = replace(prepared, loads=replace(prepared.loads, rest=prepared.loads.rest + 600.0))
    assert correction(longer) - correction(prepared) == pytest.approx(300.0)
    assert correction(prepared) > work("turning") + work("reading")
    assert saved(prepared, 0.1, 0.0) == pytest.approx(0.1 * correction(prepared))
    assert saved(prepared, 0.0, 0.1) == pytest.approx(0.1 * work("on_the_bow"))
