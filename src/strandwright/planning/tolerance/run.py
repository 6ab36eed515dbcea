"""Working a study out: the batches that are left, by a runner, kept as they come."""

from __future__ import annotations

from collections.abc import Callable

from strandwright.planning.tolerance.runners.port import Runner
from strandwright.planning.tolerance.state import Progress
from strandwright.planning.tolerance.study import Study


def run_study(
    study: Study,
    runner: Runner,
    begun: Progress | None = None,
    kept: Callable[[Progress], None] | None = None,
) -> Progress:
    """Work out the batches of a study that are left.

    Parameters
    ----------
    study : Study
        The study.
    runner : Runner
        Who works them out, wherever and in whatever order.
    begun : Progress or None
        How far it has come before; None begins anew.
    kept : callable or None
        Told after every batch how far it has come.

    Returns
    -------
    Progress
        With every batch done: the same numbers whatever the runner, and wherever it was
        interrupted.
    """
    progress = Progress.begun(study) if begun is None else begun
    for index, tally in runner.run(study, progress.left):
        progress = progress.further(index, tally)
        if kept is not None:
            kept(progress)
    return progress
