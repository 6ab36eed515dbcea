"""Knowledge of a shop in a job: into its unknowns, and said in words."""

from __future__ import annotations

import numpy as np
import pytest

from sample_job import RIDGE, job_of, plan_of
from strandwright.errors import StrandwrightError
from strandwright.planning.prepare import prepare
from strandwright.planning.shop.groups import groups_of
from strandwright.planning.shop.knowledge import POOLED, knowledge_of, shop_said
from strandwright.planning.shop.memory import spreads
from strandwright.statistics.lesson import Lesson
from strandwright.statistics.pooling import pool_of
from strandwright.workshop.job import job_from_table, read_job, write_job

SIZE = len(POOLED)
LENGTH = 1.45415


def knowing(mean=None, covariance=None, builds=14, counts=None):
    """The job of the ridge string with what a shop knows."""
    mean = np.zeros(SIZE) if mean is None else mean
    covariance = np.eye(SIZE) if covariance is None else covariance
    known = knowledge_of(mean, covariance, builds, counts or {})
    return job_of(RIDGE).model_copy(update={"shop": known})


def test_a_shop_that_learned_nothing_says_what_the_tables_say():
    """Mean nought and variance one: the very same unknowns."""
    tables = prepare(job_of(RIDGE), LENGTH).parameters
    known = prepare(knowing(), LENGTH).parameters
    assert np.array_equal(known.mean, tables.mean)
    assert known.covariance == pytest.approx(tables.covariance)
    assert known.sources == tables.sources


def test_means_and_spreads_are_in_standard_uncertainties_of_the_tables():
    """Half a sigma up and half as wide: so it is in the unknown, and its source says so."""
    mean, covariance = np.zeros(SIZE), np.eye(SIZE)
    i = POOLED.index("bedding")
    mean[i], covariance[i, i] = 0.5, 0.25
    tables = prepare(job_of(RIDGE), LENGTH).parameters
    known = prepare(knowing(mean, covariance), LENGTH).parameters
    u = tables.standard_uncertainty("bedding")
    assert known.value("bedding") == pytest.approx(tables.value("bedding") * np.exp(0.5 * u))
    assert known.standard_uncertainty("bedding") == pytest.approx(0.5 * u)
    assert "14 finished builds" in known.sources[known.index("bedding")]
    assert "finished" not in known.sources[known.index("drag")]


def test_a_bench_by_ear_takes_its_gauge_from_what_was_heard():
    """What a gauge taught is not what an ear is."""
    mean, covariance = np.zeros(SIZE), np.eye(SIZE)
    mean[POOLED.index("gauge")], mean[POOLED.index("heard")] = 1.0, -1.0
    job = knowing(mean, covariance)
    bench = job.bench.model_copy(update={"gauge": "by ear"})
    heard = prepare(job.model_copy(update={"bench": bench}), LENGTH).parameters
    assert heard.value("gauge") == pytest.approx(np.exp(-heard.standard_uncertainty("gauge")))
    gauged = prepare(job, LENGTH).parameters
    assert gauged.value("gauge") > 1.0


def test_what_is_known_goes_through_a_file_and_makes_the_same_plan():
    """Stored with the plan, it plans again to the same numbers."""
    mean = np.linspace(-0.3, 0.3, SIZE)
    covariance = 0.5 * np.eye(SIZE) + 0.1
    job = knowing(mean, covariance)
    again = read_job(write_job(job))
    assert again == job
    assert again.shop is not None
    assert job_from_table(again.model_dump(mode="json", exclude_defaults=True)) == job


def test_knowledge_narrows_the_plan():
    """Half of every +-: the finished length is surer before the first reading."""
    from strandwright.planning.plan_line import plan_line

    before = plan_of(RIDGE).landing.blind.u
    after = plan_line(knowing(covariance=0.25 * np.eye(SIZE))).landing.blind.u
    assert after < 0.6 * before


def test_it_says_from_how_many_builds_it_knows():
    """The whole shop's, and those of this bench, family, fibre and lot."""
    groups = list(groups_of(job_of(RIDGE, {"makeup.lot": "A7"})).items())
    counts = dict(zip(groups, (14, 9, 12, 11, 3), strict=True))
    said = shop_said(knowing(counts=counts))
    assert "14 of your builds" in said
    assert "9 at long beam" in said
    assert "12 of HMPE/LCP blend" in said
    assert "11 of hmpe-lcp" in said
    assert "3 of hmpe-lcp, lot A7" in said
    assert shop_said(job_of(RIDGE)) == ""
    alone = knowing(counts=counts | {groups[2]: 11})
    assert "blend" not in shop_said(alone)


def test_a_bench_that_was_changed_is_another_bench():
    """What it says of its gauge, posts or tape changes what its readings meant."""
    one = groups_of(job_of(RIDGE))["bench"]
    assert one == groups_of(job_of(RIDGE, {"bench.temperature": "70 degF"}))["bench"]
    assert one != groups_of(job_of(RIDGE, {"bench.gauge": "spring scale"}))["bench"]
    assert one != groups_of(job_of(RIDGE, {"bench.drag": "6 lbf"}))["bench"]


def test_knowledge_that_is_not_whole_is_refused():
    """A mean or a row missing: said by field and rule."""
    table = knowing().model_dump(mode="json", exclude_defaults=True)
    table["shop"]["mean"] = table["shop"]["mean"][:-1]
    with pytest.raises(StrandwrightError, match="lower triangle"):
        job_from_table(table)


def test_a_strand_never_met_begins_from_its_family():
    """What one blend taught goes before the tables for another blend, and not for polyester."""
    shop = groups_of(job_of(RIDGE))
    thin = groups_of(job_of(RIDGE, {"makeup.strand": "hmpe-lcp-thin"}))
    other = groups_of(job_of(RIDGE, {"makeup.strand": "polyester"}))
    assert thin["family"] == shop["family"] != other["family"]
    lesson = Lesson(tuple(shop.items()), 10.0 * np.eye(SIZE), 20.0 * np.ones(SIZE), np.eye(SIZE))
    pool = pool_of(spreads(), np.zeros(SIZE), [lesson])
    place = POOLED.index("packing")
    told = [pool.prior_for(tuple(of.items())) for of in (shop, thin, other)]
    means = [mean[place] for mean, _ in told]
    assert means[0] > means[1] > means[2] + 0.2
    assert told[1][1][place, place] < told[2][1][place, place] < 1.0
