"""Written quantities: value and +- as one text, in the job's units."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandwright.planning.estimate import Estimate
from strandwright.planning.written import Written, half_turns
from strandwright.workshop.job import Paper

INCH, LBF, GRAIN = 0.0254, 4.4482216152605, 6.479891e-5
IN, MM = Written("in", 16), Written("mm", 16)


@pytest.mark.parametrize(
    ("written", "text"),
    [
        (IN.length(57.25 * INCH), "57 1/4 in"),
        (MM.length(57.25 * INCH), "1454.2 mm"),
        (IN.small(0.118 * INCH), "0.118 in"),
        (MM.small(0.003), "3.00 mm"),
        (IN.force(100 * LBF), "100 lbf"),
        (IN.force(5 * LBF), "5.0 lbf"),
        (MM.force(100 * LBF), "445 N"),
        (IN.mass(118 * GRAIN), "118 gr"),
        (MM.mass(0.00765), "7.65 g"),
        (IN.rate(0.5 / INCH), "0.50 per in"),
        (MM.rate(20.0), "2.00 per 100 mm"),
        (IN.duration(20.0), "20 s"),
        (IN.duration(1800.0), "30 min"),
        (IN.duration(43200.0), "12 h"),
        (IN.share(0.91), "91 %"),
        (IN.share(0.045), "4.5 %"),
        (IN.share(0.0), "0 %"),
        (IN.estimate(Estimate(57.25 * INCH, INCH / 64, "m")), "57 1/4 ± 1/32 in"),
        (IN.estimate(Estimate(1300 * LBF, 60 * LBF, "N")), "1300 ± 120 lbf"),
        (IN.estimate(Estimate(118 * GRAIN, 4 * GRAIN, "kg")), "118 ± 8 gr"),
        (IN.estimate(Estimate(24.0, 0.0, "1")), "24"),
        (IN.estimate(Estimate(28.5, 0.0, "turn")), "28.5 turns"),
        (MM.estimate(Estimate(0.067, 0.0095, "N m")), "0.067 ± 0.019 N m"),
        (IN.size(1.6875 * INCH), "1 11/16 in"),
        (IN.size(0.118 * INCH), "0.118 in"),
        (MM.size(0.003), "3.00 mm"),
        (IN.half_range(0.348 * INCH), "3/8 in"),
        (IN.half_range(0.005 * INCH), "0.005 in"),
        (MM.half_range(0.348 * INCH), "9 mm"),
        (half_turns(38.5), "38 1/2"),
        (half_turns(0.5), "1/2"),
        (half_turns(9.0), "9"),
        (IN.estimate(Estimate(18 * LBF, 12 * LBF, "N")), "no more than 42 lbf"),
        (IN.estimate(Estimate(18 * LBF, 9 * LBF, "N")), "18 ± 18 lbf"),
        (IN.estimate(Estimate(4 * GRAIN, 3 * GRAIN, "kg")), "no more than 10 gr"),
        (IN.small_estimate(Estimate(0.0006 * INCH, 0.00035 * INCH, "m")), "no more than 0.002 in"),
        (IN.small_estimate(Estimate(-0.02 * INCH, 0.02 * INCH, "m")), "-0.02 ± 0.04 in"),
        (IN.small_estimate(Estimate(0.118 * INCH, 0.003 * INCH, "m")), "0.118 ± 0.006 in"),
        (IN.share_estimate(Estimate(0.142, 0.009, "1")), "14.2 ± 1.8 %"),
        (IN.long(Estimate(6.8, 1.0, "m")), "22 ± 7 ft"),
        (MM.long(Estimate(17.7, 0.0, "m")), "17.7 m"),
    ],
)
def test_a_quantity_reads_as_people_write_it(written, text):
    """Fractions, whole pounds and grains, or millimetres, newtons and grams."""
    assert text == written


@pytest.mark.parametrize(
    ("chance", "text"),
    [(1.0, "over 99 %"), (0.996, "over 99 %"), (0.91, "91 %"), (0.5, "50 %"), (0.0, "under 1 %")],
)
def test_no_chance_is_certain(chance, text):
    """A chance is never written as 0 or 100 per cent."""
    assert text == IN.chance(chance)


def test_a_job_s_paper_decides():
    """Units and fraction come from the job."""
    assert Written("mm", 16) == Written.on(Paper(units="mm"))
    assert "57 1/8 in" == Written.on(Paper(fraction=8)).length(57.15 * INCH)


@given(
    value=st.floats(-1e4, 1e4),
    u=st.floats(1e-6, 1e3),
)
def test_the_written_range_holds_the_true_one(value, u):
    """Value and +- as written cover value and +- as computed, and the +- is not doubled."""
    text = IN.estimate(Estimate(value, u, "1"))
    match = re.fullmatch(r"(-?[0-9.]+) ± ([0-9.]+)", text)
    assert match is not None, text
    shown, half = float(match[1]), float(match[2])
    slack = 1e-6 * max(abs(value), 2.0 * u)
    assert shown - half <= value - 2.0 * u + slack
    assert shown + half >= value + 2.0 * u - slack
    assert half <= 2.0 * (2.0 * u) + slack
