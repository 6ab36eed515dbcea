"""Batches: many random draws cut into parts of one size, each with a stream of its own."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strandwright.errors import InputError

#: Draws of a batch: enough for arrays to pay, few enough to stay in the cache [-]
USUAL_SIZE = 4096


@dataclass(frozen=True)
class Batches:
    """Draws cut into batches whose numbers hang on seed and place alone.

    No stream is shared, so it does not matter who works out which batch, in what order, or
    how many at once.

    Attributes
    ----------
    draws : int
        How many in all, >= 1 [-]
    seed : int
        Of all streams, >= 0 [-]
    size : int
        Draws of a batch, the last may have fewer; >= 1 [-]
    """

    draws: int
    seed: int
    size: int = USUAL_SIZE

    def __post_init__(self) -> None:
        """Refuse what gives no draws or no streams."""
        for name, given, least in (
            ("draws", self.draws, 1),
            ("seed", self.seed, 0),
            ("size", self.size, 1),
        ):
            if given < least:
                raise InputError(
                    name, given, f"must be {least} at least", "give a whole number that is"
                )

    @property
    def count(self) -> int:
        """Number of batches [-]."""
        return -(-self.draws // self.size)

    def drawn_in(self, index: int) -> int:
        """Give the draws of one batch.

        Parameters
        ----------
        index : int
            Which batch, from 0 [-]

        Returns
        -------
        int
            Draws, the size of a batch or for the last one what is left [-]
        """
        self._refuse_outside(index)
        return min(self.size, self.draws - index * self.size)

    def stream(self, index: int) -> np.random.Generator:
        """Give the random numbers of one batch, from their beginning.

        Parameters
        ----------
        index : int
            Which batch, from 0 [-]

        Returns
        -------
        numpy.random.Generator
            The same for the same seed and index, whatever else was drawn.
        """
        self._refuse_outside(index)
        return np.random.default_rng(np.random.SeedSequence(self.seed, spawn_key=(index,)))

    def _refuse_outside(self, index: int) -> None:
        if not 0 <= index < self.count:
            raise InputError(
                "index", index, f"must be 0 to {self.count - 1}", "name a batch that there is"
            )
