"""Effects in natural units: there and back, in inches and millimetres, and what they do."""

from __future__ import annotations

import numpy as np
import pytest
from test_shop_memory import build

from bench_work import Work
from sample_job import RIDGE, job_of
from strandwright.planning.estimate import Estimate
from strandwright.planning.plan_line import plan_line
from strandwright.planning.prepare import prepare
from strandwright.planning.shop.effects import group_effects
from strandwright.planning.shop.knowledge import POOLED, knowledge_of
from strandwright.planning.shop.memory import spreads
from strandwright.planning.shop.natural import (
    SAYINGS,
    change_of,
    factor_of,
    size_of,
    written_change,
    written_factor,
)
from strandwright.planning.written import Written
from strandwright.units import INCH

TABLES = prepare(job_of(RIDGE), 1.45415).parameters
INCHES, MILLIMETRES = Written("in", 32), Written("mm", 32)
#: Those of which the tables of this job say anything
OPEN = [n for n in TABLES.names if n in SAYINGS and TABLES.standard_uncertainty(n) > 0.0]


@pytest.fixture(scope="module")
def taught() -> Work:
    """A desk at which four skeins of one lot read 1/16 in long."""
    work = Work(makeup=Work().desk.job("RIDGE-1").document.table["makeup"] | {"lot": "A7"})
    for _ in range(4):
        build(work, INCH / 16.0)
        work.build = work.id()
        at = work.now.isoformat(timespec="milliseconds")
        work.advice = work.desk.start("RIDGE-1", work.build, work.id(), at=at)
    return work


def test_every_unknown_that_groups_differ_in_has_its_words():
    """Only what is of the day alone goes without."""
    own = spreads()
    shared = own.variance[:-1].sum(axis=0)
    assert {n for n, v in zip(POOLED, shared, strict=True) if v > 0.0} == set(SAYINGS)


@pytest.mark.parametrize("name", OPEN)
@pytest.mark.parametrize("size", [-1.5, -0.1, 0.0, 0.4, 2.0])
def test_natural_units_lead_there_and_back(name, size):
    """What is told is the very difference that the pool knows."""
    change = change_of(TABLES, name, size, 0.3)
    assert size_of(TABLES, name, change.value) == pytest.approx(size, abs=1e-9)


@pytest.mark.parametrize("name", OPEN)
def test_the_plus_minus_is_the_slope_times_the_uncertainty(name):
    """A small step either way, over its size."""
    h = 1e-5
    slope = (
        change_of(TABLES, name, 0.4 + h, 0.0).value - change_of(TABLES, name, 0.4 - h, 0.0).value
    ) / (2.0 * h)
    assert change_of(TABLES, name, 0.4, 0.3).u == pytest.approx(abs(slope) * 0.3, rel=1e-6)


def test_a_part_is_of_the_tables_value():
    """Half a standard uncertainty of packing, 10.3 %, is 5.3 % denser."""
    u = TABLES.standard_uncertainty("packing")
    change = change_of(TABLES, "packing", 0.5, 0.2)
    assert change.value == pytest.approx(np.exp(0.5 * u) - 1.0)
    alone = change_of(TABLES, "packing", 0.0, 1.0)
    text = written_change("packing", change, alone, INCHES)
    assert text == "5 ± 5 % denser than the table; the table alone ± 21 %"


def test_each_kind_is_told_in_its_own_unit():
    """Pounds of drag, inches of post setting, inches to a yard of tape, points, layers."""
    said = {
        name: written_change(
            name, change_of(TABLES, name, -1.0, 0.5), change_of(TABLES, name, 0.0, 1.0), INCHES
        )
        for name in ("drag", "setting_error", "tape_scale", "share", "layers", "gauge")
    }
    assert "lbf less than the table; the table alone ±" in said["drag"]
    assert said["setting_error"].startswith("0.007 ± 0.007 in closer than set; ")
    assert said["tape_scale"].startswith("0.007 ± 0.008 in a yard reading short; ")
    assert "points less of the load" in said["share"]
    assert "layers fewer than the table" in said["layers"]
    assert said["gauge"].startswith("2.0 ± 2.0 % less pull than it says; ")


@pytest.mark.parametrize(
    "name, unit, size",
    [("drag", ("lbf", "N"), 4.4482), ("setting_error", ("in", "mm"), 25.4),
     ("tape_scale", ("in a yard", "mm a metre"), 25.4 / 0.9144)],
)  # fmt: skip
def test_inches_and_millimetres_say_the_same(name, unit, size):
    """Number by number, to the digits that are written."""
    change, alone = Estimate(*_scaled(name, 3.0)), Estimate(*_scaled(name, 0.0))
    texts = [written_change(name, change, alone, to) for to in (INCHES, MILLIMETRES)]
    first, second = (float(text.split(" ")[0]) for text in texts)
    for text, one in zip(texts, unit, strict=True):
        assert f" {one} " in text
    assert second == pytest.approx(first * size, rel=0.02)


def _scaled(name: str, size: float) -> tuple[float, float, str]:
    change = change_of(TABLES, name, 10.0 * size, 0.5)
    return change.value, change.u, change.unit


def test_what_is_known_poorly_is_told_as_a_factor():
    """Bedding-in by the tables is unsure by a factor; packing is not."""
    assert factor_of(TABLES, "packing", 1.0, 0.5) is None
    factor = factor_of(TABLES, "bedding", 1.0, 0.5)
    assert factor is not None
    u = TABLES.standard_uncertainty("bedding")
    assert factor.ratio == pytest.approx(np.exp(u))
    assert factor.within == pytest.approx(np.exp(u))
    assert factor.tables == pytest.approx(np.exp(2.0 * u))
    text = written_factor(factor)
    assert text.startswith("1.6 times the table's, within a factor of 1.7; the table alone 2.8")


def test_a_lot_is_told_by_its_newest_build(taught):
    """More bedding-in than the table's, surer than the table, in the words of its job."""
    lot = next(g for g in group_effects(taught.desk.memory) if g.level == "lot")
    assert (lot.builds, lot.job) == (4, "RIDGE-1")
    bedding = next(e for e in lot.effects if e.name == "bedding")
    assert bedding.factor is not None
    assert bedding.factor.ratio > 1.2
    assert bedding.change.u / (1.0 + bedding.change.value) < bedding.tables.u


def test_what_it_does_to_the_next_line_is_what_a_plan_would_have_missed(taught):
    """Posts and turns by the tables, then the line of the lot: the plan's own model says as much.

    The two plans aim at one length; what the shop's plan takes off by posts and turns is what the
    tables' plan would have come out long by.
    """
    memory = taught.desk.memory
    lot = next(g for g in group_effects(memory) if g.level == "lot")
    assert lot.longer is not None
    assert lot.longer.value > 0.25 * lot.tolerance
    assert "would come out" in lot.next_line(INCHES)
    assert "longer; the next plan allows for it." in lot.next_line(INCHES)
    assert " mm longer" in lot.next_line(MILLIMETRES)

    job = memory.job_of(memory.outcomes()[-1].build)
    lesson = next(iter(memory.lessons.values()))
    named = dict(lesson.groups)
    mean, covariance = memory.pool.shared_for([(n, named[n]) for n in ("fibre", "lot")])
    known = job.model_copy(update={"shop": knowledge_of(mean, covariance, 4, {})})
    plans = [plan_line(one) for one in (job, known)]
    posts = [plan.winding.posts_outside.value for plan in plans]
    turns = [plan.twist.turns for plan in plans]
    per_turn = abs(plans[0].twist.next_turn.value)
    taken = (posts[0] - posts[1]) + per_turn * (turns[1] - turns[0])
    assert taken == pytest.approx(lot.longer.value, abs=0.35 * lot.longer.value)


def test_little_is_not_spoken_of():
    """One build exactly as planned: no sentence about a next line, whatever is told."""
    work = Work()
    build(work)
    for group in group_effects(work.desk.memory):
        for effect in group.effects:
            assert np.isfinite(effect.change.value)
        assert group.longer is None or abs(group.longer.value) < INCH / 8.0
