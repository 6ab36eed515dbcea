"""Agreement: answers are weighed by what they owe each other, and a quarrel is told."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from strandwright.planning.take_off.agreement import agree


def test_one_answer_is_itself():
    """A single answer keeps its value and its uncertainty, and contradicts nothing."""
    found = agree(np.array([57.2]), np.array([[0.04]]))
    assert (found.value, found.u, found.chance) == (57.2, pytest.approx(0.2), 1.0)


def test_independent_answers_go_by_their_variances():
    """Answers that owe each other nothing have inverse variances for weights."""
    values, u = np.array([10.0, 10.1, 9.9]), np.array([0.1, 0.2, 0.4])
    found = agree(values, np.diag(u**2))
    weights = u**-2 / (u**-2).sum()
    assert found.value == pytest.approx(weights @ values)
    assert found.u == pytest.approx((u**-2).sum() ** -0.5)


def test_a_quarrel_widens_by_the_root_of_chi_square():
    """Two answers 10 standard deviations apart: chance by the chi-square tail, +- by Birge."""
    found = agree(np.array([0.0, 10.0]), np.diag([0.5, 0.5]))
    assert found.chance == pytest.approx(stats.chi2.sf(100.0, 1), rel=1e-6)
    assert found.is_questionable
    assert (found.value, found.u) == (pytest.approx(5.0), pytest.approx(0.5 * 10.0))


def test_correlated_answers_are_not_carried_outside():
    """A large error in common does not carry the answer past the surer of two."""
    c = np.array([[1.0, 1.9], [1.9, 4.0]])
    found = agree(np.array([0.0, 1.0]), c)
    assert found.value == 0.0
    assert found.u >= 1.0


def test_what_is_common_does_not_average_away():
    """Many readings of one tape are no surer than its scale."""
    c = np.full((9, 9), 0.04) + 0.01 * np.eye(9)
    assert agree(np.zeros(9), c).u == pytest.approx((0.04 + 0.01 / 9) ** 0.5)


@pytest.mark.parametrize("odd", [0, 1, 2, 3])
def test_the_odd_one_is_named(odd):
    """The answer that the others do not foresee is the furthest."""
    values = np.array([1.0, 1.1, 0.9, 1.0])
    values[odd] += 3.0
    assert agree(values, 0.01 * np.eye(4) + 0.005).furthest == odd


def test_least_variance_of_all_mixtures():
    """No other mixture of the answers has a smaller uncertainty."""
    rng = np.random.default_rng(4)
    for _ in range(20):
        root = rng.normal(size=(4, 4))
        c = root @ root.T + 0.05 * np.eye(4)
        mean = np.array([1.0, 1.0, 1.0, 1.0])
        u = agree(mean, c).u
        mixtures = rng.dirichlet(np.ones(4), size=2000)
        best = np.sqrt(np.einsum("ij,jk,ik->i", mixtures, c, mixtures).min())
        assert u <= best * (1.0 + 1e-9)
