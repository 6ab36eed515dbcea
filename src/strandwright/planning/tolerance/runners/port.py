"""The runner: what it promises, whoever does the work."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Protocol

from strandwright.numerics.tally import Tally
from strandwright.planning.tolerance.study import Study


class Runner(Protocol):
    """Works out batches of a study."""

    def run(self, study: Study, left: Sequence[int]) -> Iterator[tuple[int, Tally]]:
        """Work out batches; those that wait are given up when the iterator is closed.

        Parameters
        ----------
        study : Study
            The study.
        left : sequence of int
            Which batches [-]

        Yields
        ------
        index : int
            A batch that is done; in any order, each once [-]
        tally : Tally
            What it came to.
        """
        ...
