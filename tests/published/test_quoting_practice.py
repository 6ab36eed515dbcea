"""What lines take and how long they take; common practice, no source.

Nobody printed these as measurements. Strand is worked out from its mass per length and told as what
a spool yields; hours are what builders say of themselves, most of them from memory. A shop's own
builds go before all of it.
"""

from __future__ import annotations

import pytest

from sample_job import example_plan, plan_of
from strandwright.planning.quote.labour import labour_of
from strandwright.planning.quote.materials import materials_of
from strandwright.planning.quote.pace import pace_of
from strandwright.reference import practice
from strandwright.units import FOOT
from timed_logs import builds_of

#: A string of 58 in and 24 strands in one colour, as the rule has it
LONG = {
    "line.finished": "58 in", "line.shorthand": "", "line.servings": [], "line.marks": [],
    "makeup.colours": None, "makeup.pattern": "free",
}  # fmt: skip


def test_what_a_quarter_pound_yields(record) -> None:
    """Told: 58 in and 24 strands are about 116 ft and tails, 14 to 15 to a quarter of a pound."""
    plan = plan_of("crag-string", LONG)
    (strand,) = [m for m in materials_of([plan]) if m.want.ware.kind == "strand"]
    assert strand.length is not None
    assert strand.mass is not None
    source = "58 in string of 24 strands, derived from mass per length"
    tails = 2.0 * plan.winding.tail_cut
    record(source, "strand without its tails", "116", (strand.length.value - tails) / FOOT, 2.0,
           "told as about, without the posts; ours is wound round them", "ft")  # fmt: skip
    spool = practice("spool.mass").value
    record(source, "strings from a quarter of a pound", "14.5", spool / strand.mass.value, 1.0,
           "told as 14 to 15, tails of a hand's breadth or more allowed for")  # fmt: skip


def test_hours_of_a_compound_string(record) -> None:
    """Told from memory: a string takes 1.5 to 2.5 h and the stretch besides."""
    labour = labour_of([example_plan("ridge-string")])
    record("Compound string, from memory", "hands", "2.0", labour.hands.value / 3600.0, 0.5,
           "told as a range of 1.5 to 2.5 h", "h")  # fmt: skip
    assert labour.stands > 0.0, "the stretch is apart"


def test_hours_of_a_full_set(record) -> None:
    """Told from memory: a set of string and two cables takes 3 to 5 h."""
    names = ("ridge-string", "ridge-upper-cable", "ridge-lower-cable")
    labour = labour_of([example_plan(name) for name in names])
    record("Full set, string and two cables, from memory", "hands", "4.0",
           labour.hands.value / 3600.0, 1.0, "told as a range of 3 to 5 h", "h")  # fmt: skip


def test_a_shop_that_makes_a_recurve_string_in_half_an_hour_is_believed() -> None:
    """Told on a page: half an hour, by practised hands that read no lengths.

    The same acts by practice (a skein wound, its loops closed, served, twisted once) are 70 min:
    the two contradict each other. A shop whose logs say half an hour is told so after ten builds.
    """
    acts = (("winding", 1.0), ("loops", 1.0), ("serving_time", 1.0), ("turning", 1.0))
    usual = {row: practice(f"work.{row}").value for row, _ in acts}
    before = pace_of([], list(usual)).minutes(acts)[1]
    assert 70.0 * 60.0 == pytest.approx(before.value)
    quick = {row: 30.0 / 70.0 * seconds for row, seconds in usual.items()}
    after = pace_of(builds_of(acts, quick, 10)).minutes(acts)[1]
    assert 1800.0 == pytest.approx(after.value, rel=0.1)
