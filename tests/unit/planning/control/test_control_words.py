"""Control words: what the builds of a bench say, in sentences a builder would use."""

from __future__ import annotations

import numpy as np
import pytest

from strandwright.planning.control.chart import control_chart, marks
from strandwright.planning.control.words import counted, headline, sentences
from strandwright.planning.written import Written
from strandwright.statistics.control import ControlStudy, Series, Tolerance, study
from strandwright.units import INCH

INCHES, MILLIMETRES = Written("in", 16), Written("mm", 1)
SIXTEENTH = Tolerance.about(0.0, INCH / 16.0)


def lines(count: int = 32, seed: int = 3) -> np.ndarray:
    """Give errors of a bench in control that scatter 0.016 in."""
    return 0.016 * INCH * np.random.default_rng(seed).standard_normal(count)


def studied(values: np.ndarray, **about) -> ControlStudy:
    """Study them against a sixteenth."""
    series = Series.of(values, **about)
    return study(series, SIXTEENTH)


def said(values: np.ndarray, to: Written = INCHES, **about) -> str:
    """Say all of it."""
    return " ".join(sentences(studied(values, **about), to))


def test_a_bench_in_control_is_told_what_it_can_hold():
    """Of a hundred lines, with the range that so many builds leave."""
    found = sentences(studied(lines()), INCHES)
    assert found == (
        "In control: over 32 lines nothing shows but the scatter between neighbours.",
        "Of a hundred lines like these, 98 or more land within 1/16 in.",
    )


def test_a_coarser_bench_has_both_ends_of_its_range():
    """Nearly twice the scatter: at the least and at the most."""
    told = said(1.9 * lines())
    assert "Of a hundred lines like these, about 82 to 98 land within 1/16 in." in told


def test_one_build_that_stands_out_is_named():
    """With what is to be looked at, and no word of a step."""
    values = lines()
    values[30] += 0.13 * INCH
    found = sentences(studied(values), INCHES)
    assert found[0].startswith("Not in control")
    assert found[1] == (
        "Build 31 stands out, 0.111 in longer than the mean: look at its load, and how it was read."
    )
    assert found[-1] == "How many land within 1/16 in cannot be said before that is mended."
    assert len(found) == 3


def test_a_step_is_told_with_its_beginning_and_the_lot_that_began_there():
    """The last nine lie long."""
    values = lines(32, 12)
    values[23:] += 0.06 * INCH
    told = said(values, groups={"lot": ["A"] * 23 + ["B"] * 9})
    assert (
        "The last nine lie long: since build 24 the lines come out 0.052 ± 0.012 in longer; "
        in told
    )
    assert "look at the tape, the gauge, a new lot." in told
    assert "Lot B began with build 24." in told
    assert "Lot B comes out" in told
    assert "the level moved, too" in told
    assert "in a row" not in told


def test_a_step_down_comes_out_shorter():
    """Mirrored words."""
    values = lines(32, 12)
    values[23:] += 0.06 * INCH
    told = said(-values)
    assert "The last nine lie short: since build 24 the lines come out 0.052 ± 0.012 " in told
    assert "in shorter; look at" in told


def test_a_drift_is_told_over_a_hundred_builds():
    """And what creeps is looked at."""
    told = said(lines() + 0.0018 * INCH * np.arange(32))
    assert "The lines get longer from build to build, by 0.21 ± 0.08 in over a hundred" in told
    assert "stands out" not in told


def test_a_run_alone_is_a_reason_to_look_and_no_more():
    """Eight in a row, with how often chance alone shows as much."""
    values = np.array([0.3, -0.5, 0.9, -1.2, 0.2, -0.4, 1.1, -0.8, 0.6, -0.9, 0.7, -0.6, 0.2, -0.7])
    values = np.concatenate([values, [0.9, 0.2, 0.6, 0.3, 0.7, 0.1, 0.5, 0.4], [-0.8, -0.5]])
    told = sentences(studied(0.016 * INCH * values), INCHES)
    assert told[0].startswith("Nothing certain, but look: in about ")
    assert told[1] == "Eight in a row lie long, up to build 22."
    assert "That is provisional: there is something to look at first." in told


def test_few_are_provisional_and_very_few_say_nothing():
    """Twelve, and six."""
    told = said(lines(12))
    assert "Only twelve lines: the limits may still move" in told
    assert "That is provisional: the row is short." in told
    assert sentences(studied(lines(6)), INCHES) == (
        "Too few to tell: six lines; from eight on something can be said, from 20 on it holds "
        "better.",
    )


def test_lines_that_lie_off_on_average_are_aimed_again():
    """The other way, by as much; the capability counts it."""
    told = said(lines() + 0.03 * INCH)
    assert "On average they lie 0.03" in told
    assert "long: aimed that much shorter, more would land." in told


def test_coarse_readings_are_blamed_before_the_bench():
    """Where most of the scatter is the readings' own."""
    assert "read more finely before the bench is changed" in said(
        lines(), uncertainties=0.014 * INCH
    )
    assert "read more finely" not in said(lines(), uncertainties=0.004 * INCH)


def test_in_millimetres_it_is_said_in_millimetres():
    """Words and chart."""
    found = studied(lines())
    assert sentences(found, MILLIMETRES)[1].endswith("98 or more land within 1.6 mm.")
    drawn = control_chart(found, MILLIMETRES)
    assert drawn.unit == "mm"
    assert drawn.builds[3].value == pytest.approx(1e3 * found.series.values[3])


def test_the_chart_says_of_each_build_what_its_mark_says():
    """In the paper's units, with the verdict for those who cannot see it."""
    values = lines()
    values[30] += 0.13 * INCH
    found = studied(values)
    drawn = control_chart(found, INCHES)
    assert drawn.verdict == headline(found)
    assert drawn.builds[30].mark == "out"
    assert drawn.builds[30].words == "build 31: +0.116 in; past the limits"
    assert drawn.tolerance == pytest.approx((-0.0625, 0.0625))
    assert drawn.levels == ()


def test_along_a_moved_level_only_what_is_new_is_marked():
    """After a step its own run; along a drift none."""
    values = lines(32, 12)
    values[23:] += 0.06 * INCH
    found = studied(values)
    assert set(marks(found)[:23]) <= {"plain", "out"}
    assert "high" in marks(found)[23:]
    assert [(v.first, v.last) for v in control_chart(found, INCHES).levels] == [(0, 22), (23, 31)]
    sloped = studied(lines() + 0.0018 * INCH * np.arange(32))
    assert set(marks(sloped)) <= {"plain", "out"}
    (level,) = control_chart(sloped, INCHES).levels
    assert level.end > level.begin


def test_counts_are_words_up_to_twelve():
    """Then figures."""
    assert [counted(n) for n in (0, 8, 12, 13)] == ["no", "eight", "twelve", "13"]
