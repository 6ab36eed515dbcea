"""Heard loads in a plan: what they are good for, what they share, what weighing and checks buy."""

from __future__ import annotations

import math
import re

import pytest

from sample_job import INCH, RIDGE, exact, job_of, plan_of
from strandwright.planning.hearing.known import heard_uncertainty, jig_known, mass_known
from strandwright.planning.prepare import prepare
from strandwright.planning.readings.noise import read_noise
from strandwright.planning.strand_stock import known_strand
from strandwright.units import LBF, Dimension, parse

POSTS = "57 9/16 in"


def heard_of(**changes) -> float:
    """Relative uncertainty of loads heard on the string of the ridge bow at 100 lbf."""
    job = job_of(RIDGE, {"bench.gauge": "by ear"} | changes)
    return heard_uncertainty(job, known_strand(job), 100.0 * LBF, 57.25 * INCH)


def spools(job, factor):
    """What the spools lost, as a share of what they should have lost."""
    return [
        {"run": i, "planned": "10 g", "lost": f"{10.0 * factor:.5f} g"}
        for i in range(len(job.makeup.colours))
    ]


def test_loads_by_ear_are_better_than_by_feel_and_the_plan_says_so():
    """The +- falls, the chance rises, and both budgets name what is heard."""
    felt, heard = plan_of(RIDGE, {"bench.gauge": "none"}), plan_of(RIDGE, {"bench.gauge": "by ear"})
    assert heard.landing.guided_u < 0.6 * felt.landing.guided_u
    assert heard.landing.chance > felt.landing.chance
    assert felt.landing.heard == ""
    assert "load heard in the pluck" in [c.label for c in heard.landing.guided_budget[:4]]
    # The sentence's +- by feel, carried over on this plan's slopes, is near that of the other.
    said = float(re.findall(r"± ([0-9.]+) in", heard.landing.heard)[1]) * INCH
    assert said == pytest.approx(2.0 * felt.landing.guided_u, rel=0.15)


def test_a_bench_without_gauge_is_told_to_listen_and_one_by_ear_to_weigh():
    """What would help names the ear where there is nothing, the scale where only the ear is."""
    felt, heard = plan_of(RIDGE, {"bench.gauge": "none"}), plan_of(RIDGE, {"bench.gauge": "by ear"})
    assert "hear the load in the pluck" in [r.name for r in felt.landing.remedies]
    names = [r.name for r in heard.landing.remedies]
    assert "hear the load in the pluck" not in names
    assert "weigh the spools before and after" in names
    cell = plan_of(RIDGE, {"bench.gauge": "load cell"})
    assert "hear the load in the pluck" not in [r.name for r in cell.landing.remedies]


def test_weighing_the_spools_makes_a_heard_load_several_times_surer():
    """The table's mass is known to some per cent, the scale's to some thousandths."""
    job = job_of(RIDGE)
    by_table = heard_of()
    weighed = heard_of(**{"build.masses": spools(job, 1.03)})
    assert weighed < 0.5 * by_table
    strand = known_strand(job)
    known = mass_known(job_of(RIDGE, {"build.masses": spools(job, 1.03)}), strand)
    assert known.mean == pytest.approx(1.03, rel=1e-6)
    partly = heard_of(**{"build.masses": spools(job, 1.0)[:1]})
    assert weighed < partly < by_table


def test_checks_of_the_jig_pull_towards_what_they_say():
    """Many agreeing checks give their own ratio; none the prior; one on this line needs no mass.

    One gauge read two hundred times is no better than the gauge.
    """
    checks = [{"heard": "100 lbf +- 1", "true": "97 lbf +- 0.5"}] * 200
    far = jig_known(job_of(RIDGE, {"bench.ear_checks": checks}))
    assert far.mean == pytest.approx(0.97, rel=2e-4)
    assert far.standard_uncertainty == pytest.approx(0.25 / 97.0, rel=1e-6)
    assert jig_known(job_of(RIDGE)).mean == 1.0
    own = heard_of(**{"bench.ear_checks": [{**checks[0], "line": job_of(RIDGE).id}]})
    other = heard_of(**{"bench.ear_checks": checks[:1]})
    assert own < 0.5 * other < 0.5 * heard_of() * 1.001


def test_what_all_heard_loads_share_is_not_counted_as_scatter_again():
    """A heard load's +- less what the line has in common is what one reading adds by itself."""
    prepared = prepare(job_of(RIDGE, {"bench.gauge": "by ear"}), 57.25 * INCH)
    load = 100.0 * LBF

    def noise(text: str, *, heard: bool) -> float:
        entered = parse(Dimension.FORCE, text, field="load")
        return read_noise(prepared, load, stated_load=entered, heard=heard) ** 2

    exactly = noise("100 lbf +- 0.001", heard=False)
    alone = noise("100 lbf +- 13.5", heard=False) - exactly
    beside = noise("100 lbf +- 13.5", heard=True) - exactly
    common = prepared.parameters.standard_uncertainty("gauge")
    assert beside / alone == pytest.approx(1.0 - (common / 0.0675) ** 2, rel=0.02)
    # Never less than one pluck differs from the next.
    assert noise("100 lbf +- 1", heard=True) == pytest.approx(read_noise(prepared, load) ** 2)


def test_a_heard_load_at_a_bench_without_gauge_teaches_more_than_a_felt_one():
    """The same reading of the bare skein, its load heard: the finished length is surer."""

    def after(**load):
        read = {"stage": "bare", "length": exact(57.7 * INCH)} | load
        changes = {"bench.gauge": "none", "build.wound_at": POSTS, "build.readings": [read]}
        return plan_of(RIDGE, changes)

    felt = after(load="100 lbf")
    heard = after(load="100 lbf +- 13 lbf", heard=True)
    assert heard.parameters.names[-1] == "heard"
    assert "heard" not in felt.parameters.names
    assert heard.landing.blind.u < felt.landing.blind.u
    assert "load heard in the pluck" in [c.label for c in heard.landing.budget]


def test_the_gauge_is_not_asked_where_the_load_was_heard():
    """A gauge that is far off moves the reading it was read on, not one that was heard."""
    read = {"stage": "bare", "length": "57 3/4 in", "load": "100 lbf +- 13 lbf"}
    changes = {"bench.gauge": "none", "build.wound_at": POSTS}
    before = plan_of(RIDGE, changes | {"build.readings": []})
    gauged = plan_of(RIDGE, changes | {"build.readings": [read]})
    heard = plan_of(RIDGE, changes | {"build.readings": [read | {"heard": True}]})
    moved = [
        abs(math.log(p.parameters.value("gauge") / before.parameters.value("gauge")))
        for p in (gauged, heard)
    ]
    assert moved[1] < 0.5 * moved[0]
