"""Outcomes of numerical methods: data first, an exception when asked for."""

import numpy as np
import pytest

from strandwright.errors import NotConverged, OutsideValidRange
from strandwright.numerics.outcome import Outcome, Reason


def outcome(reason: Reason, ok: list[bool], residual: list[float]) -> Outcome[np.ndarray]:
    """An outcome of so many cases."""
    return Outcome(np.ones(len(ok)), np.array(ok), reason, np.array(residual), 7)


def test_a_success_passes_itself_on() -> None:
    """A converged outcome does not raise and can be chained."""
    good = outcome(Reason.CONVERGED, [True, True], [0.0, 1e-13])
    assert good is good.raise_for_failure()


def test_an_unfinished_case_raises_with_its_evidence() -> None:
    """The error tells how many cases failed, the worst of their residuals and what to try."""
    bad = outcome(Reason.NOT_CONVERGED, [True, False, False], [5.0, 0.25, -0.5])
    with pytest.raises(NotConverged, match=r"the post setting \(2 of 3 cases\).*iterations") as e:
        bad.raise_for_failure("the post setting")
    assert (0.5, 7) == (e.value.residual, e.value.iterations)


@pytest.mark.parametrize("reason", [Reason.NO_BRACKET, Reason.NOT_FINITE])
def test_a_case_without_an_answer_is_outside_the_range(reason: Reason) -> None:
    """Where no answer exists, more iterations are not the remedy and the error says so."""
    with pytest.raises(OutsideValidRange) as e:
        outcome(reason, [False], [np.nan]).raise_for_failure()
    assert "iterations;" not in str(e.value)
    assert np.isnan(e.value.residual)


def test_every_reason_for_failure_says_what_to_try() -> None:
    """Each text holds a diagnosis and, after the semicolon, an act."""
    for reason in set(Reason) - {Reason.CONVERGED}:
        diagnosis, act = reason.value.split("; ", 1)
        assert diagnosis and act.endswith(".")
