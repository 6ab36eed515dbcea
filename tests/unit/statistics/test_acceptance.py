"""Promises of the acceptance rule."""

import math

import numpy as np
import pytest
from scipy.stats import norm

from strandwright.errors import InputError
from strandwright.statistics.acceptance import Verdict, chance_within, judge

T = 1.6e-3


@pytest.mark.parametrize(
    ("error", "u", "verdict"),
    [
        # U = T/4: fine enough to use the tolerance itself
        (1.6e-3, 0.2e-3, Verdict.ACCEPT),
        (-1.6e-3, 0.2e-3, Verdict.ACCEPT),
        (1.7e-3, 0.2e-3, Verdict.CANNOT_DECIDE),
        (2.1e-3, 0.2e-3, Verdict.REJECT),
        # U = T/2: limits at T/2 and 3T/2
        (0.7e-3, 0.4e-3, Verdict.ACCEPT),
        (0.9e-3, 0.4e-3, Verdict.CANNOT_DECIDE),
        (-2.3e-3, 0.4e-3, Verdict.CANNOT_DECIDE),
        (-2.5e-3, 0.4e-3, Verdict.REJECT),
        # U >= T: nothing can be accepted, gross errors can still be rejected
        (0.0, 0.8e-3, Verdict.CANNOT_DECIDE),
        (0.0, 1.0e-3, Verdict.CANNOT_DECIDE),
        (4.0e-3, 1.0e-3, Verdict.REJECT),
        # an exact reading
        (1.5e-3, 0.0, Verdict.ACCEPT),
        (1.7e-3, 0.0, Verdict.REJECT),
    ],
)
def test_the_verdict_follows_the_limits(error, u, verdict):
    """Accept inside the acceptance limit, reject outside T + U, else cannot decide."""
    assert judge(error, u, T).verdict is verdict


def test_the_limits_are_reported():
    """The judgement carries the limits it was reached by."""
    guarded = judge(0.0, 0.4e-3, T)
    assert guarded.acceptance_limit == pytest.approx(0.8e-3)
    assert guarded.rejection_limit == pytest.approx(2.4e-3)
    assert guarded.is_guarded
    plain = judge(0.0, 0.1e-3, T)
    assert plain.acceptance_limit == T
    assert not plain.is_guarded
    assert not judge(0.0, 0.9e-3, T).can_accept


@pytest.mark.parametrize("u", np.linspace(0.0, 2e-3, 9).tolist())
@pytest.mark.parametrize("error", np.linspace(0.0, 5e-3, 11).tolist())
def test_the_rule_is_symmetric_and_blind_to_units(error, u):
    """Long and short are judged alike, and in any unit."""
    verdict = judge(error, u, T).verdict
    assert judge(-error, u, T).verdict is verdict
    assert judge(error * 1024.0, u * 1024.0, T * 1024.0).verdict is verdict


def test_guarded_acceptance_keeps_the_risk_small():
    """At a guarded limit the risk is the 2 u tail beyond the near side, and both at the worst."""
    for u in np.linspace(0.21e-3, 0.79e-3, 12).tolist():
        risk = 1.0 - judge(judge(0.0, u, T).acceptance_limit, u, T).chance_within
        far_side = norm.sf((2.0 * T - 2.0 * u) / u)
        assert risk == pytest.approx(norm.sf(2.0) + far_side, rel=1e-9)
        assert risk <= norm.sf(2.0) * (1.001 if u <= T / 4.0 else 2.0)


@pytest.mark.parametrize(
    ("error", "u", "words"),
    [
        (0.0, 0.1e-3, "fine enough"),
        (0.0, 0.4e-3, "even allowing"),
        (9e-3, 0.1e-3, "Out of tolerance"),
        (1.7e-3, 0.1e-3, "Just over"),
        (1.5e-3, 0.4e-3, "Too close"),
        (0.0, 1e-3, "too coarse"),
        (9e-3, 1e-3, "Out of tolerance"),
    ],
)
def test_every_verdict_has_a_sentence_without_numbers(error, u, words):
    """The sentence says what to do; the caller adds numbers in its own units."""
    sentence = judge(error, u, T).sentence()
    assert words in sentence
    assert not any(character.isdigit() for character in sentence)


def test_the_chance_is_the_normal_probability():
    """Against an independent normal distribution, broadcast over arrays."""
    mean = np.linspace(-4.0, 4.0, 9)[:, None]
    deviation = np.array([0.1, 0.7, 3.0])
    expected = norm.cdf(1.5, mean, deviation) - norm.cdf(-1.5, mean, deviation)
    assert chance_within(mean, deviation, 1.5) == pytest.approx(expected, abs=1e-14)
    assert chance_within(mean, deviation, 1.5).shape == (9, 3)


def test_the_chance_of_an_exact_error_is_yes_or_no():
    """Without uncertainty the probability is 1 inside and 0 outside."""
    assert chance_within([0.9, 1.0, 1.1], 0.0, 1.0).tolist() == [1.0, 1.0, 0.0]


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ((math.nan, 0.1, 1.0), "error"),
        ((0.0, -0.1, 1.0), "standard_uncertainty"),
        ((0.0, 0.1, 0.0), "tolerance"),
    ],
)
def test_what_cannot_be_judged_is_refused(values, field):
    """The error names the field."""
    with pytest.raises(InputError) as caught:
        judge(*values)
    assert caught.value.field == field
