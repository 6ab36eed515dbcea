"""The chance of several lines at once, against that of one, of none shared, of all shared."""

from __future__ import annotations

import math

import numpy as np
import pytest

from strandwright.errors import InputError
from strandwright.statistics.joint_chance import MOST, chance_jointly
from strandwright.statistics.preposterior import chance_by_steps


def apart(moved, left):
    """Give the covariance of lines that share nothing."""
    return np.diag(np.square([*moved, *left]))


@pytest.mark.parametrize("moved", [0.0, 0.2, 0.8, 2.0])
@pytest.mark.parametrize("left", [0.1, 0.5])
@pytest.mark.parametrize("step", [0.0, 0.4, 0.9])
def test_one_line_is_the_chance_of_one_line(moved, left, step):
    """For one line it is the integral that is exact."""
    alone = chance_by_steps(0.1, moved, left, 0.5, step)
    if step == 0.0:
        alone = math.erf(0.5 / left / math.sqrt(2.0))
    joint = chance_jointly([0.1], apart([moved], [left]), [0.5], [step])
    assert alone == pytest.approx(joint, abs=1e-3)


def test_lines_that_share_nothing_give_the_product():
    """Three lines, each with numbers of its own."""
    rows = [(0.1, 1.0, 0.3, 0.5, 0.4), (0.0, 0.4, 0.2, 0.3, 0.5), (-0.2, 0.1, 0.4, 0.6, 0.3)]
    singles = [chance_by_steps(*row) for row in rows]
    error, moved, left, tolerance, step = np.array(rows).T
    joint = chance_jointly(error, apart(moved, left), tolerance, step)
    assert math.prod(singles) == pytest.approx(joint, abs=1e-3)


def test_lines_that_share_everything_stand_or_fall_together():
    """Then the set is as sure as one of its lines."""
    covariance = np.zeros((6, 6))
    covariance[3:, 3:] = 0.3**2
    joint = chance_jointly([0.0] * 3, covariance, [0.5] * 3, [0.0] * 3)
    assert math.erf(0.5 / 0.3 / math.sqrt(2.0)) == pytest.approx(joint, abs=1e-3)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_it_agrees_with_many_drawn_lines(seed):
    """Lines that go together in every way, against a hundred thousand draws."""
    random = np.random.default_rng(seed)
    roots = 0.3 * random.normal(size=(6, 5))
    drawn = random.normal(size=(400_000, 5)) @ roots.T
    moved = drawn[:, :3] + 0.1
    rest = moved - 0.35 * np.round(moved / 0.35)
    share = float((np.abs(rest + drawn[:, 3:]) <= 0.5).all(axis=1).mean())
    joint = chance_jointly([0.1] * 3, roots @ roots.T, [0.5] * 3, [0.35] * 3)
    assert share == pytest.approx(joint, abs=4e-3)


def test_the_same_input_gives_the_same_chance():
    """Nothing is drawn by chance."""
    covariance = apart([0.3] * 2, [0.2] * 2)
    first, second = (chance_jointly([0.0] * 2, covariance, [0.4] * 2, [0.1] * 2) for _ in "ab")
    assert first == second


@pytest.mark.parametrize(
    ("count", "shape", "field"), [(0, (0, 0), "lines"), (MOST + 1, (26, 26), "lines"),
                                  (2, (2, 2), "covariance")]
)  # fmt: skip
def test_what_cannot_be_reckoned_is_refused(count, shape, field):
    """With what it would need."""
    with pytest.raises(InputError) as caught:
        chance_jointly([0.0] * count, np.zeros(shape), [1.0] * count, [0.0] * count)
    assert field == caught.value.field
