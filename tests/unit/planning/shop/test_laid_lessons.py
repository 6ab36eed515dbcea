"""What a laid-in line teaches: its own habits, and nothing of winding."""

from __future__ import annotations

from strandwright.planning.plan_line import plan_line
from strandwright.planning.shop.knowledge import POOLED
from strandwright.planning.shop.lesson import lesson_of
from strandwright.units import INCH
from strandwright.workshop.job import Job, read_job

LAID = """
id = "HEATH-8"
name = "String of the heath bow"
[bow]
kind = "longbow"
draw_weight = "45 lbf"
[line]
name = "string"
finished = "64 1/4 in"
zero_end = { name = "upper limb", size = "3 1/4 in" }
far_end = { name = "lower limb", size = "2 3/4 in" }
laid = { bundles = 2 }
[makeup]
strand = "polyester"
strands = 14
[bench]
zero_post = "1/2 in"
longest = "80 in"
gauge = "load cell"
[build]
wound_at = "WOUND in"
turns = 60.0
[[build.readings]]
stage = "bare"
length = "READ in"
load = "50 lbf"
"""


def built(off: float) -> Job:
    """A job whose first reading is so far from what its plan expects [in]."""
    blank = LAID.split("[build]")[0]
    plan = plan_line(read_job(blank))
    read = plan.stage("bare").length.value / INCH + off
    wound = plan.winding.posts_outside.value / INCH
    return read_job(LAID.replace("WOUND", f"{wound:.6f}").replace("READ", f"{read:.5f}"))


def test_a_laid_in_line_teaches_its_own_habits_and_nothing_of_winding() -> None:
    """A line that comes out long says its loop is laid far out; drag and posts stay unknown."""
    lesson = lesson_of(built(0.5))
    assert lesson is not None
    told = {name: abs(lesson.slopes[:, i]).max() for i, name in enumerate(POOLED)}
    assert told["loop_place"] > 0.0
    assert told["hand_pull"] > 0.0
    assert told["drag"] == told["setting_error"] == 0.0
    pull = lesson.slopes.T @ lesson.value
    assert pull[POOLED.index("loop_place")] > 0.0


def test_a_line_that_comes_out_short_says_the_opposite() -> None:
    """The sign follows the reading."""
    lesson = lesson_of(built(-0.5))
    assert lesson is not None
    assert (lesson.slopes.T @ lesson.value)[POOLED.index("loop_place")] < 0.0
