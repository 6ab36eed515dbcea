"""Relations of control: shift, scale, reversed order, mirror."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from strandwright.statistics.control import (
    Series,
    Tolerance,
    capability,
    drift,
    ewma_chart,
    individuals_chart,
    rule_trips,
    step_change,
)

SEEDS = st.integers(0, 10_000)
COUNTS = st.integers(8, 60)
WAYS = st.sampled_from(["mean", "median"])
SHIFTS = st.floats(-100.0, 100.0)
SCALES = st.floats(0.01, 100.0)
FEW = settings(max_examples=40, deadline=None)


def made(seed: int, count: int) -> tuple[np.ndarray, np.ndarray]:
    """Give values and their uncertainties."""
    generator = np.random.default_rng(seed)
    return generator.standard_normal(count), generator.uniform(0.1, 1.0, count)


@FEW
@given(SEEDS, COUNTS, WAYS, st.booleans(), SHIFTS)
def test_a_shift_moves_centre_and_limits_alike(seed, count, by, standardised, shift) -> None:
    """And leaves scatter, scores and averages about the centre alone."""
    values, own = made(seed, count)
    charts = [
        individuals_chart(Series.of(v, uncertainties=own), by=by, standardised=standardised)
        for v in (values, values + shift)
    ]
    for name in ("centre", "low", "high"):
        assert getattr(charts[1], name) == pytest.approx(getattr(charts[0], name) + shift, abs=1e-9)
    assert charts[1].sigma == pytest.approx(charts[0].sigma, rel=1e-9)
    averages = [
        ewma_chart(Series.of(v), chart).averages
        for v, chart in zip((values, values + shift), charts, strict=True)
    ]
    assert averages[1] == pytest.approx(averages[0] + shift, abs=1e-9)


@FEW
@given(SEEDS, COUNTS, WAYS, st.booleans(), SCALES)
def test_a_scale_goes_through(seed, count, by, standardised, scale) -> None:
    """Centre and scatter are scaled; scores, chances and indices are not."""
    values, own = made(seed, count)
    charts = [
        individuals_chart(Series.of(s * values, uncertainties=s * own), by=by,
                          standardised=standardised)
        for s in (1.0, scale)
    ]  # fmt: skip
    assert charts[1].centre == pytest.approx(scale * charts[0].centre, rel=1e-9, abs=1e-12 * scale)
    assert charts[1].sigma == pytest.approx(scale * charts[0].sigma, rel=1e-9)
    assert charts[1].range_limits == pytest.approx(scale * charts[0].range_limits, rel=1e-9)
    assert charts[1].scores == pytest.approx(charts[0].scores, rel=1e-7, abs=1e-7)
    plain, scaled = (
        capability(s * values.mean(), s * values.std(ddof=1), count, Tolerance.about(0.0, 3.0 * s))
        for s in (1.0, scale)
    )
    for name in ("cp_limits", "cpk_limits", "cpm_limits", "share_limits"):
        assert getattr(scaled, name) == pytest.approx(getattr(plain, name), rel=1e-7)


@FEW
@given(SEEDS, COUNTS, WAYS, st.booleans())
def test_order_reversed_gives_the_same_limits(seed, count, by, standardised) -> None:
    """Centre and scatter of each value stay; a step begins as far from the other end."""
    values, own = made(seed, count)
    forth, back = (
        individuals_chart(Series.of(v, uncertainties=u), by=by, standardised=standardised)
        for v, u in ((values, own), (values[::-1], own[::-1]))
    )
    assert back.centre == pytest.approx(forth.centre, rel=1e-9, abs=1e-12)
    assert back.sigma[::-1] == pytest.approx(forth.sigma, rel=1e-9)
    step, mirrored = step_change(values), step_change(values[::-1])
    slope, fallen = drift(values), drift(values[::-1])
    assert step is not None and mirrored is not None and slope is not None and fallen is not None
    assert mirrored.index == count - step.index
    assert mirrored.size == pytest.approx(-step.size)
    assert fallen.slope == pytest.approx(-slope.slope)
    assert fallen.u == pytest.approx(slope.u)


@FEW
@given(SEEDS, COUNTS)
def test_a_mirror_turns_every_trip_to_the_other_side(seed, count) -> None:
    """The same rules at the same values."""
    values = 1.6 * made(seed, count)[0]
    there = {(t.rule, t.side, t.index, t.members) for t in rule_trips(values)}
    mirrored = {(t.rule, -t.side, t.index, t.members) for t in rule_trips(-values)}
    assert there == mirrored
