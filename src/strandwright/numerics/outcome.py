"""The outcome of a numerical method: the answer, and how far it may be believed.

A failure is data first. A batch in which one case of three hundred has no answer is still
useful, so a method returns an :class:`Outcome` and the caller decides whether to raise.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Generic, Self, TypeVar

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import NotConverged, OutsideValidRange

T = TypeVar("T")


class Reason(Enum):
    """Why a method stopped, each with what to try next."""

    CONVERGED = "The tolerance was reached."
    NOT_CONVERGED = (
        "The tolerance was not reached in the iterations allowed; "
        "allow more iterations, start nearer, or loosen the tolerance."
    )
    NO_BRACKET = (
        "The function does not change sign between the bounds, so no root lies there; "
        "widen the bounds, or check the data that set them."
    )
    NOT_FINITE = (
        "The function gave a value that is not a finite number; "
        "check the inputs for gaps and for values outside the model's range."
    )
    SINGULAR = (
        "The linear system has no unique solution; "
        "hold one of the unknowns fixed, or add the reading that tells them apart."
    )


@dataclass(frozen=True)
class Outcome(Generic[T]):
    """The answer of a numerical method over a batch.

    Attributes
    ----------
    value : T
        The answer, batch axis first; the last state reached where ``ok`` is false
        [the unknown's unit].
    ok : ndarray of bool, shape (batch,)
        Where the answer may be used [-].
    reason : Reason
        Why the method stopped; over a batch, the reason of its worst case [-].
    residual : ndarray, shape (batch,)
        What is left of the equation at ``value`` [the equation's unit].
    iterations : int
        Iterations spent by the slowest case [-].
    """

    value: T
    ok: NDArray[np.bool_]
    reason: Reason
    residual: NDArray[np.float64]
    iterations: int

    def raise_for_failure(self, sought: str = "the solution") -> Self:
        """Raise unless every case of the batch converged.

        Parameters
        ----------
        sought : str
            What was being solved for, in the caller's words; opens the message.

        Returns
        -------
        Outcome
            This outcome, so that a call can be chained.

        Raises
        ------
        OutsideValidRange
            If no answer exists between the bounds, or the inputs are not finite.
        NotConverged
            If the iteration ended early.
        """
        if bool(np.all(self.ok)):
            return self
        failed = int(np.size(self.ok) - np.count_nonzero(self.ok))
        count = f" ({failed} of {np.size(self.ok)} cases)" if np.size(self.ok) > 1 else ""
        message = f"no answer for {sought}{count}: {self.reason.value}"
        outside = self.reason in (Reason.NO_BRACKET, Reason.NOT_FINITE)
        error = OutsideValidRange if outside else NotConverged
        raise error(message, self._worst_residual(), self.iterations)

    def _worst_residual(self) -> float:
        """Largest finite residual among the failed cases."""
        size = np.abs(np.where(self.ok, 0.0, self.residual))
        finite = size[np.isfinite(size)]
        return float(finite.max()) if finite.size else float("nan")
