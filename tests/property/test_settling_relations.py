"""Settling relations: what must hold of every record of readings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from settling_lines import DAY, PRIOR, READING
from strandwright.statistics.settling import Moment, Steps, fit_settling, movement

#: Readings that grow as lines do: shots and days forward, a few tenths of a millimetre a step.
_STEPS = st.lists(
    st.tuples(
        st.integers(1, 300), st.floats(0.05, 20.0), st.floats(-2e-4, 6e-4, allow_subnormal=False)
    ),
    min_size=1,
    max_size=7,
)


def record(steps):
    """Give shots, time and readings that follow one another."""
    shots, days, read = (np.cumsum([step[k] for step in steps]) for k in range(3))
    return shots.astype(float), days * DAY, read


def fitted(shots, time, read, u=READING, prior=PRIOR, steps=None):
    """Fit a record."""
    return fit_settling(prior, shots, time, read, np.full(len(shots), u), steps).value


@given(_STEPS, st.randoms(use_true_random=False))
@settings(max_examples=25, deadline=None)
def test_the_order_of_the_readings_does_not_matter(steps, chance):
    """However they are written down, mode and draws are the same."""
    shots, time, read = record(steps)
    order = list(range(len(shots)))
    chance.shuffle(order)
    one, other = fitted(shots, time, read), fitted(shots[order], time[order], read[order])
    scale = np.sqrt(np.diagonal(one.mode.covariance))
    assert (other.mode.point - one.mode.point) / scale == pytest.approx(0.0, abs=1e-2)
    assert other.weight == pytest.approx(one.weight[order], abs=1e-3)


@given(_STEPS, st.floats(0.2, 5.0))
@settings(max_examples=25, deadline=None)
def test_a_scale_of_length_scales_the_answer(steps, factor):
    """All elongations times a factor, what was known with them: the same line in another unit."""
    shots, time, read = record(steps)
    scaled = replace(
        PRIOR,
        offset=PRIOR.offset * factor,
        offset_u=PRIOR.offset_u * factor,
        amplitude=PRIOR.amplitude * factor,
        creep=PRIOR.creep * factor,
        steady=PRIOR.steady * factor,
    )
    one = fitted(shots, time, read)
    other = fitted(shots, time, factor * read, u=factor * READING, prior=scaled)
    now = Moment(shots[-1], time[-1])
    then = now.later(500.0, 30 * DAY)
    ahead = [np.median(movement(s, now, then)) for s in (one, other)]
    assert ahead[1] == pytest.approx(factor * ahead[0], rel=1e-2)


@given(_STEPS, st.floats(0.01, 100.0))
@settings(max_examples=25, deadline=None)
def test_a_scale_of_time_changes_nothing(steps, factor):
    """Hours instead of seconds, start and steady creep with them."""
    shots, time, read = record(steps)
    other = replace(PRIOR, start=PRIOR.start * factor, steady=PRIOR.steady / factor)
    one, two = fitted(shots, time, read), fitted(shots, time * factor, read, prior=other)
    scale = np.sqrt(np.diagonal(one.mode.covariance))[:5]
    assert (two.mode.point - one.mode.point)[:5] / scale == pytest.approx(0.0, abs=1e-2)


@given(_STEPS, st.integers(0, 6), st.sampled_from([-3.0, -0.5, 0.5, 1.0, 2.5]))
@settings(max_examples=25, deadline=None)
def test_turns_put_in_do_not_change_the_curve(steps, place, turns):
    """Turned by any half turns at any place, and read as much shorter: the curve stays."""
    shots, time, read = record(steps)
    turned = turns * (np.arange(len(shots)) >= place)
    per_turn = -5.7e-4
    known = Steps(turned[:, None], turned[-1:], np.array([per_turn]), np.array([1e-8]))
    plain, with_turns = (
        fitted(shots, time, read),
        fitted(shots, time, read + per_turn * turned, steps=known),
    )
    scale = np.sqrt(np.diagonal(plain.mode.covariance))
    shift = (with_turns.mode.point[:6] - plain.mode.point) / scale
    assert shift == pytest.approx(0.0, abs=1e-2)


@given(_STEPS)
@settings(max_examples=25, deadline=None)
def test_a_line_on_its_bow_never_gets_shorter_by_itself(steps):
    """Whatever was read, every draw of what is to come lengthens."""
    settling = fitted(*record(steps))
    now = Moment(100.0, 5 * DAY)
    assert (movement(settling, now, now.later(200.0, 10 * DAY)) >= 0.0).all()
