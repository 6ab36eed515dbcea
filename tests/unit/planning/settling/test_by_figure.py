"""What a bow's figure does by the length of a line, from the model of the bow."""

from __future__ import annotations

import pytest

from bench_work import PLANNER
from strandwright.errors import SpecError
from strandwright.planning.examples import example
from strandwright.planning.settling.by_figure import figure_slope


def test_a_recurve_s_brace_falls_as_its_string_gets_longer():
    """By about what the string gains or more; the bows that agree tell how surely."""
    slope, u = figure_slope(PLANNER.plan(example("MERE-1")), "brace height")
    assert -3.0 < slope < -0.6
    assert 0.0 < u < 0.5 * abs(slope)


def test_a_figure_that_a_bow_has_not_is_refused():
    """A recurve has no axles: the remedy is to tell it, or to read the length."""
    with pytest.raises(SpecError, match="read the line's length") as refused:
        figure_slope(PLANNER.plan(example("MERE-1")), "axle to axle")
    assert "figure-on.per_length" == refused.value.field


def test_where_the_bow_is_not_known_the_figure_needs_its_slope():
    """Without weight or brace nothing can be worked out."""
    job = example("MERE-1")
    bare = job.model_copy(
        update={"bow": job.bow.model_copy(update={"draw_weight": None, "draw_length": None})}
    )
    with pytest.raises(SpecError, match="cannot be worked out"):
        figure_slope(PLANNER.plan(bare), "brace height")
