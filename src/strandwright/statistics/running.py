"""Running estimate: many jointly normal states, each learning from readings one after another.

Every case of a batch has a mean and a covariance of its own, for it may have been read under
conditions of its own. The readings are straight in the states, so each step is exact.

References
----------
.. [1] R. E. Kalman, A new approach to linear filtering and prediction problems, Journal of Basic
   Engineering 82 (1960) 35-45 (cited from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Running:
    """What is known of each case.

    Attributes
    ----------
    mean : ndarray, shape (B, m)
        Expected states [unit of each].
    covariance : ndarray, shape (B, m, m)
        Of the states [product of units].
    """

    mean: Floats
    covariance: Floats

    @classmethod
    def begun(cls, mean: Floats, covariance: Floats, cases: int) -> Running:
        """Begin a batch of cases of which the same is known.

        Parameters
        ----------
        mean : ndarray, shape (m,)
            Expected states [unit of each].
        covariance : ndarray, shape (m, m)
            Of the states [product of units].
        cases : int
            How many, B [-]

        Returns
        -------
        Running
            Before any reading.
        """
        size = len(mean)
        return cls(
            np.broadcast_to(mean, (cases, size)),
            np.broadcast_to(covariance, (cases, size, size)),
        )

    def expected(self, rows: Floats) -> Floats:
        """Give the mean of what is straight in the states.

        Parameters
        ----------
        rows : ndarray, shape (B, m)
            Its slopes by the states [output unit per unit].

        Returns
        -------
        ndarray, shape (B,)
            Expected values [output unit].
        """
        return np.einsum("bm,bm->b", rows, self.mean)

    def learned(self, rows: Floats, read: Floats, variance: float) -> Running:
        """Learn from one reading of each case.

        Parameters
        ----------
        rows : ndarray, shape (B, m)
            Slopes of what is read by the states [output unit per unit].
        read : ndarray, shape (B,)
            The readings [output unit].
        variance : float
            Of a reading by itself, >= 0 [output unit squared].

        Returns
        -------
        Running
            What is known then; a reading of what is known exactly teaches nothing.
        """
        # Without BLAS, whose last bits may hang on how many threads it has.
        along = np.einsum("bmn,bn->bm", self.covariance, rows)
        total = np.einsum("bm,bm->b", rows, along) + variance
        gain = along / np.where(total > 0.0, total, np.inf)[:, None]
        mean = self.mean + gain * (read - self.expected(rows))[:, None]
        return Running(mean, self.covariance - gain[:, :, None] * along[:, None, :])
