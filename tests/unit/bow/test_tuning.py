"""Turns that bring a bow home: learned as a Gaussian is, and chosen as by looking at them all."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from strandwright.bow.tuning import Aim, Coefficients, Trial, bring_home, coefficients, learn
from strandwright.errors import SpecError

FIGURES, LINES = ("brace", "draw"), ("string", "cable")


def known(doubt: float = 0.1) -> Coefficients:
    """Coefficients of an invented family of fifty bows."""
    rng = np.random.default_rng(3)
    middle = np.array([[2.0e-4, 3.0e-4], [-5.0e-4, 9.0e-4]])
    response = middle * (1.0 + 0.2 * rng.standard_normal((50, 2, 2)))
    return coefficients(FIGURES, LINES, response, doubt, "invented")


def test_a_familys_mean_and_spread() -> None:
    """The mean is the family's, and the doubt comes on top of its spread."""
    sure, doubtful = known(0.0), known(0.3)
    np.testing.assert_allclose(sure.mean, doubtful.mean)
    grown = np.sqrt(sure.uncertainty**2 + (0.3 * sure.mean) ** 2)
    np.testing.assert_allclose(doubtful.uncertainty, grown)


def test_an_effect_is_a_sum_over_lines() -> None:
    """Turns in two lines add up, and their variance is that of the sum."""
    at = known()
    turns = np.array([[2.0, -1.5]])
    mean, variance = at.effect(turns)
    np.testing.assert_allclose(mean[0], at.mean @ turns[0])
    for k in range(2):
        own = at.covariance[2 * k : 2 * k + 2, 2 * k : 2 * k + 2]
        assert variance[0, k] == pytest.approx(turns[0] @ own @ turns[0])


def test_a_trial_teaches_as_precisions_add() -> None:
    """Against the information form: inverse covariances add, weighted means too."""
    before = known()
    trial = Trial((("cable", 2.0),), (("brace", 9.0e-4, 1.0e-4), ("draw", 1.5e-3, 2.0e-4)))
    after = learn(before, [trial])
    row = np.zeros((2, 4))
    row[0, 1] = row[1, 3] = 2.0
    weight = np.diag([1e8, 2.5e7])
    prior = np.linalg.inv(before.covariance)
    information = prior + row.T @ weight @ row
    mean = prior @ before.mean.ravel() + row.T @ weight @ np.array([9.0e-4, 1.5e-3])
    np.testing.assert_allclose(after.covariance, np.linalg.inv(information), rtol=1e-6)
    np.testing.assert_allclose(after.mean.ravel(), np.linalg.solve(information, mean), rtol=1e-6)
    assert np.all(after.uncertainty[:, 1] < before.uncertainty[:, 1])
    assert "1 trial on this bow" in after.source


def test_trials_one_by_one_or_together() -> None:
    """The order and the bundling of trials do not matter."""
    trials = [
        Trial((("string", 3.0),), (("draw", -1.4e-3, 1e-4),)),
        Trial((("string", 1.0), ("cable", -2.0)), (("brace", -5e-4, 1e-4),)),
    ]
    together = learn(known(), trials)
    apart = learn(learn(known(), trials[1:]), trials[:1])
    np.testing.assert_allclose(together.mean, apart.mean, rtol=1e-9)
    np.testing.assert_allclose(together.covariance, apart.covariance, rtol=1e-6, atol=1e-16)


@pytest.mark.parametrize("step", [0.5, 1.0])
def test_the_best_of_all_turns(step: float) -> None:
    """No other turns within the limits are expected to miss by less and cost no more work."""
    at = known()
    aims = [Aim("brace", 0.170, 2e-4, 0.1712, 1.5e-3), Aim("draw", 0.730, 2e-4, 0.727, 1.5e-3)]
    home = bring_home(at, aims, [(-6.0, 6.0), (-6.0, 6.0)], step)
    assert all(float(t / step).is_integer() for t in home.turns)

    def loss(turns: tuple[float, ...]) -> float:
        mean, variance = at.effect(np.array([turns]))
        total = 0.01 * sum(abs(t) for t in turns) + 0.05 * sum(t != 0 for t in turns)
        for k, aim in enumerate(aims):
            off = aim.now + mean[0, k] - aim.wanted
            total += (off**2 + variance[0, k] + aim.now_u**2) / aim.within**2
        return total

    each = np.arange(-6.0, 6.0 + step, step)
    best = min(itertools.product(each, each), key=loss)
    assert loss(home.turns) == pytest.approx(loss(best))


def test_a_bow_at_home_is_left_alone() -> None:
    """Where every figure is as wanted no turn is put in, and none is at its limit."""
    aims = [Aim("brace", 0.17, 1e-4, 0.17, 1.5e-3), Aim("draw", 0.73, 1e-4, 0.73, 1.5e-3)]
    home = bring_home(known(), aims, [(-6.0, 6.0), (-6.0, 6.0)])
    assert home.turns == (0.0, 0.0)
    assert home.at_limit == (False, False)
    assert min(home.chance) > 0.99


def test_a_limit_that_binds_is_told() -> None:
    """A bow that wants more turns than a line may take says so, with the chance it leaves."""
    aims = [Aim("draw", 0.740, 1e-4, 0.730, 1.0e-3)]
    home = bring_home(known(), aims, [(-2.0, 2.0), (-1.0, 1.0)])
    assert home.turns == (2.0, -1.0)
    assert home.at_limit == (True, True)
    assert home.chance[0] < 0.05


@pytest.mark.parametrize(
    ("aims", "limits", "field"),
    [
        ([], [(-1, 1), (-1, 1)], "aims"),
        ([Aim("lean", 0.0, 0.1, 0.0, 1.0)], [(-1, 1), (-1, 1)], "figure"),
        ([Aim("draw", 0.0, 0.1, 0.0, 0.0)], [(-1, 1), (-1, 1)], "draw.within"),
        ([Aim("draw", 0.0, 0.1, 0.0, 1.0)], [(1, 2), (-1, 1)], "limits"),
    ],
)
def test_what_cannot_be_asked(
    aims: list[Aim], limits: list[tuple[float, float]], field: str
) -> None:
    """Nothing aimed at, an unknown figure, no tolerance, limits without rest: told by name."""
    with pytest.raises(SpecError) as told:
        bring_home(known(), aims, limits)
    assert told.value.field == field


def test_a_trial_of_another_bow_is_refused() -> None:
    """A line or a figure that is not there, or a change without a +-."""
    for turns, change, field in (
        ((("buss", 1.0),), ("draw", 1e-3, 1e-4), "line"),
        ((("cable", 1.0),), ("lean", 1e-3, 1e-4), "figure"),
        ((("cable", 1.0),), ("draw", 1e-3, 0.0), "change of draw"),
    ):
        with pytest.raises(SpecError) as told:
            learn(known(), [Trial(turns, (change,))])
        assert told.value.field == field
