"""Hearing lines of several sections: laid-in ones weigh more at their ends, forks are refused."""

from __future__ import annotations

import numpy as np
import pytest

from strandwright.errors import SpecError
from strandwright.planning.examples import example
from strandwright.planning.hearing.standing import standing_in
from strandwright.planning.plan_line import plan_line
from strandwright.planning.prepare import prepare
from strandwright.workshop.job import Job, read_job

BENCH = """
[bench]
zero_post = "1/2 in"
longest = "80 in"
gauge = "load cell"
"""
LAID = f"""
id = "HEATH-7"
name = "String of the heath bow"
[bow]
kind = "longbow"
draw_weight = "45 lbf"
[line]
name = "string"
finished = "64 1/4 in"
zero_end = {{ name = "upper limb", size = "3 in" }}
far_end = {{ name = "lower limb", size = "3 in" }}
laid = {{ bundles = 2 }}
[makeup]
strand = "polyester"
strands = 14
{BENCH}"""
YOKE = f"""
id = "CRAG-7"
name = "Cable of the crag bow"
[bow]
kind = "two-cam"
draw_weight = "60 lbf"
[line]
name = "cable"
kind = "cable"
finished = "36 in"
zero_end = {{ name = "cam", size = "7/8 in" }}
far_end = {{ name = "axle", size = "1 in" }}
yoke = {{ leg = "8 in" }}
servings = [
  {{ name = "throat", use = "throat", thread = "braid-018", start = "26 in", stop = "28 in" }},
]
[makeup]
strand = "hmpe-lcp"
strands = 24
{BENCH}"""


@pytest.mark.parametrize("key", ["bare", "half", "twisted", "proof"])
def test_a_laid_in_line_has_its_strands_where_they_are(key: str) -> None:
    """Half again as many where the tails are married, twice as many round a loop."""
    plan = plan_line(read_job(LAID))
    standing = standing_in(plan, key, 222.0)
    loop, married, body, other, last = standing.fibre
    assert married / body == pytest.approx(1.5, rel=0.02)
    assert married == pytest.approx(other, rel=1e-6)
    assert loop / body == pytest.approx(2.0, rel=0.1)
    assert loop == pytest.approx(last, rel=1e-6)
    whole = float(standing.fibre @ standing.length)
    assert whole == pytest.approx(plan.mass.value, rel=0.03)
    np.testing.assert_allclose(standing.solid[1] / standing.solid[2], 1.5**2)


def test_a_fork_is_heard_before_it_is_parted_only() -> None:
    """The bare skein sounds as any; afterwards the answer is what to do instead."""
    plan = plan_line(read_job(YOKE))
    assert standing_in(plan, "bare", 444.0).closed is False
    for key in (stage.key for stage in plan.stages if stage.key != "bare"):
        with pytest.raises(SpecError, match="before the skein is parted"):
            standing_in(plan, key, 444.0)


def test_a_skein_has_as_many_strands_all_along() -> None:
    """One section between its loops, by either order of work."""
    skein = read_job(LAID.replace("laid = { bundles = 2 }\n", ""))
    for job in (skein, _twisted_first(skein)):
        standing = standing_in(plan_line(job), "proof", 222.0)
        np.testing.assert_allclose(standing.fibre / standing.fibre[1], 1.0, rtol=0.05)


def test_a_marked_line_is_heard_along_all_its_segments() -> None:
    """Marks are on it, servings are not: every segment has its strands and no thread."""
    text = LAID.replace(
        "laid = { bundles = 2 }",
        "laid = { bundles = 2 }\n"
        'servings = [{ name = "centre", use = "centre", thread = "nylon-017", '
        'start = "29 in", stop = "36 in" }]',
    )
    plan = plan_line(read_job(text))
    standing = standing_in(plan, "marking", 222.0)
    assert len(standing.fibre) == len(standing.length) == len(standing.solid) == 7
    np.testing.assert_allclose(standing.fibre[1] / standing.fibre[2], 1.5, rtol=0.02)
    assert not np.any(standing.thread[1:-1])


def test_strands_laid_in_later_weigh_and_do_not_stiffen() -> None:
    """Half as many again in an end: so much heavier, and half, not the square, stiffer to bend."""
    plan = plan_line(example("QUARRY-1"))
    prepared = prepare(plan.job, plan.target.length.value, plan.parameters)
    line, standing = prepared.model.line, standing_in(plan, "proof", 444.0)
    assert line.zero.strands == pytest.approx(1.5) and line.zero.bearing == pytest.approx(1.0)
    body = len(standing.solid) // 2
    assert standing.solid[1] / standing.solid[body] == pytest.approx(1.5)
    assert standing.fibre[1] / standing.fibre[body] == pytest.approx(1.5, rel=0.02)
    # A leg of half the strands in a section of three quarters, two of them side by side.
    assert standing.solid[0] / standing.solid[body] == pytest.approx(0.5 * 1.5, rel=0.1)


def _twisted_first(job: Job) -> Job:
    route = job.route.model_copy(update={"order": "twist, stretch, then serve"})
    return job.model_copy(update={"route": route})
