"""Threads of this process: no start-up, nothing to send, and arrays that work side by side."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass

from strandwright.errors import InputError
from strandwright.numerics.tally import Tally
from strandwright.planning.tolerance.study import Study


def _every_core() -> int:
    return os.cpu_count() or 1


@dataclass(frozen=True)
class Threads:
    """Threads of this process.

    Attributes
    ----------
    workers : int
        How many; left out, one a core [-]
    """

    workers: int = 0

    def __post_init__(self) -> None:
        """Refuse fewer than none."""
        if self.workers < 0:
            raise InputError("workers", self.workers, "must be 1 at least", "leave it out")

    def run(self, study: Study, left: Sequence[int]) -> Iterator[tuple[int, Tally]]:
        """Work out batches, as :class:`~.port.Runner` says, few of them waiting at a time.

        Parameters
        ----------
        study : Study
            The study.
        left : sequence of int
            Which batches [-]

        Yields
        ------
        index : int
            A batch that is done [-]
        tally : Tally
            What it came to.
        """
        workers, waiting = self.workers or _every_core(), iter(left)
        running: dict[Future[Tally], int] = {}
        pool = ThreadPoolExecutor(workers, thread_name_prefix="tolerance")
        try:
            while True:
                for index in waiting:
                    running[pool.submit(study.batch, index)] = index
                    if len(running) >= 2 * workers:
                        break
                if not running:
                    return
                done, _ = wait(running, return_when=FIRST_COMPLETED)
                for future in done:
                    yield running.pop(future), future.result()
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
