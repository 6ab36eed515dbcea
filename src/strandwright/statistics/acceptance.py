"""Acceptance: whether a proving reading shows that a length is within its tolerance.

A reading is never exact, so a tolerance cannot be judged without its uncertainty. Where the
reading is four times finer than the tolerance the risk is small and may be shared; where it is
coarser, a guard band keeps the doubt out of the "accepted" side.

::

    error   -T-U      -T     -(T-U)      0      T-U      T      T+U
    guarded   reject | cannot decide |   accept   | cannot decide | reject
    U <= T/4         |cannot|           accept          |cannot|

References
----------
.. [1] JCGM 106:2012, The role of measurement uncertainty in conformity assessment, 7 and 8
   (simple acceptance, guarded acceptance; clause numbers from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError

#: Expanded uncertainty as a part of the tolerance up to which no guard band is needed [-].
FINE_ENOUGH = 0.25

#: Coverage factor of the expanded uncertainty, about 95 % for a normal error [-].
COVERAGE_FACTOR = 2.0


class Verdict(Enum):
    """What a proving reading says."""

    ACCEPT = "accept"
    REJECT = "reject"
    CANNOT_DECIDE = "cannot decide"


@dataclass(frozen=True)
class Judgement:
    """A verdict with the numbers it rests on.

    Attributes
    ----------
    verdict : Verdict
        Accept, reject, or cannot decide.
    error : float
        Reading less target, positive when the line reads long [m].
    tolerance : float
        Half-width T of the tolerance, > 0 [m].
    expanded_uncertainty : float
        U, twice the standard uncertainty of the reading, >= 0 [m].
    acceptance_limit : float
        Largest error of either sign that is accepted: T, or T - U with a guard band; 0 when
        the reading is too coarse to accept anything [m].
    rejection_limit : float
        Errors beyond it, of either sign, are rejected: T + U [m].
    chance_within : float
        Probability that the true error is within the tolerance, from this reading alone,
        0 to 1 [-].
    """

    verdict: Verdict
    error: float
    tolerance: float
    expanded_uncertainty: float
    acceptance_limit: float
    rejection_limit: float
    chance_within: float

    @property
    def is_guarded(self) -> bool:
        """Whether the reading is too coarse to judge by the tolerance itself."""
        return self.acceptance_limit < self.tolerance

    @property
    def can_accept(self) -> bool:
        """Whether a reading as coarse as this one could accept any line."""
        return self.acceptance_limit > 0.0

    def sentence(self) -> str:
        """Say the verdict in plain words; numbers are for the caller, in its own units.

        Returns
        -------
        str
            One sentence.
        """
        if not self.can_accept and self.verdict is Verdict.CANNOT_DECIDE:
            return (
                "This reading is too coarse to accept any line at this tolerance: "
                "read again with a finer tape, gauge or load."
            )
        return _SENTENCES[self.verdict, self.is_guarded]


_SENTENCES = {
    (Verdict.ACCEPT, False): "Within tolerance, and the reading is fine enough to say so.",
    (Verdict.ACCEPT, True): "Within tolerance, even allowing for the uncertainty of the reading.",
    (Verdict.REJECT, False): "Out of tolerance, by more than the uncertainty of the reading.",
    (Verdict.REJECT, True): "Out of tolerance, even allowing for the uncertainty of the reading.",
    (Verdict.CANNOT_DECIDE, False): (
        "Just over the tolerance, but by less than the uncertainty of the reading: "
        "correct the line or read again."
    ),
    (Verdict.CANNOT_DECIDE, True): (
        "Too close to the tolerance for this reading to decide: "
        "correct the line towards its target, or read again more finely."
    ),
}


def judge(error: float, standard_uncertainty: float, tolerance: float) -> Judgement:
    """Judge one reading against a symmetric tolerance.

    Accept when U <= T/4 and \\|error\\| <= T. Otherwise a guard band applies: accept within
    T - U, reject beyond T + U, and say "cannot decide" between.

    Parameters
    ----------
    error : float
        Reading less target, positive when the line reads long [m].
    standard_uncertainty : float
        Of the reading, every known effect included, >= 0 [m].
    tolerance : float
        Half-width T of the tolerance, > 0 [m].

    Returns
    -------
    Judgement
        The verdict and the limits it was reached by.

    Raises
    ------
    InputError
        If a value is not finite, the uncertainty negative or the tolerance not positive.

    Notes
    -----
    Any unit serves so long as all three share it. Nothing known of the line before the reading
    is used. A line at a guarded limit is out of tolerance with a chance of 2.3 % while U is below
    T/2, rising to 4.6 % (both sides) as U nears T.
    """
    _check(error, standard_uncertainty, tolerance)
    expanded = COVERAGE_FACTOR * standard_uncertainty
    fine = expanded <= FINE_ENOUGH * tolerance
    acceptance_limit = tolerance if fine else max(tolerance - expanded, 0.0)
    size = abs(error)
    if size <= acceptance_limit and acceptance_limit > 0.0:
        verdict = Verdict.ACCEPT
    elif size > tolerance + expanded:
        verdict = Verdict.REJECT
    else:
        verdict = Verdict.CANNOT_DECIDE
    return Judgement(
        verdict=verdict,
        error=error,
        tolerance=tolerance,
        expanded_uncertainty=expanded,
        acceptance_limit=acceptance_limit,
        rejection_limit=tolerance + expanded,
        chance_within=float(chance_within(error, standard_uncertainty, tolerance)),
    )


def chance_within(
    error_mean: ArrayLike, standard_uncertainty: ArrayLike, tolerance: ArrayLike
) -> NDArray[np.float64]:
    """Probability that a normally distributed error lies within a tolerance.

    Parameters
    ----------
    error_mean : array_like
        Expected error, any sign [m].
    standard_uncertainty : array_like
        Its standard deviation, >= 0; with 0 the answer is 1 or 0 [m].
    tolerance : array_like
        Half-width of the tolerance, >= 0 [m].

    Returns
    -------
    ndarray
        Probabilities, of the shape the three make together [-].

    Notes
    -----
    Absolute accuracy is that of the machine; meant for small arrays (one ``math.erf`` a value).
    """
    if (
        isinstance(error_mean, float)
        and isinstance(standard_uncertainty, float)
        and isinstance(tolerance, float)
    ):
        return np.asarray(_chance(error_mean, standard_uncertainty, tolerance))
    mean, deviation, limit = np.broadcast_arrays(
        np.asarray(error_mean, dtype=np.float64),
        np.asarray(standard_uncertainty, dtype=np.float64),
        np.asarray(tolerance, dtype=np.float64),
    )
    chances = [
        _chance(m, s, t)
        for m, s, t in zip(
            mean.ravel().tolist(), deviation.ravel().tolist(), limit.ravel().tolist(), strict=True
        )
    ]
    return np.array(chances, dtype=np.float64).reshape(mean.shape)


def _chance(mean: float, deviation: float, limit: float) -> float:
    """Probability of a single normal error to lie within plus and minus the limit."""
    if deviation == 0.0:
        return float(abs(mean) <= limit)
    scale = deviation * math.sqrt(2.0)
    return 0.5 * (math.erf((limit - mean) / scale) + math.erf((limit + mean) / scale))


def _check(error: float, standard_uncertainty: float, tolerance: float) -> None:
    """Refuse what cannot be judged."""
    if not math.isfinite(error):
        raise InputError("error", error, "must be a finite number", "read the length again")
    if not (math.isfinite(standard_uncertainty) and standard_uncertainty >= 0.0):
        raise InputError(
            "standard_uncertainty",
            standard_uncertainty,
            "must be finite and not negative",
            "give the uncertainty of the reading",
        )
    if not (math.isfinite(tolerance) and tolerance > 0.0):
        raise InputError(
            "tolerance", tolerance, "must be above 0", "give the half-width, e.g. 1/16 in"
        )
