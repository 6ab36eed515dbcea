"""A study of 100 000 builds: the processor's time, what memory it takes, and the same bits."""

from __future__ import annotations

import resource
import sys
import time

import pytest

from sample_job import CABLE, TARN, job_of
from strandwright.planning.tolerance import of_job
from strandwright.planning.tolerance.of_job import study_of
from strandwright.planning.tolerance.run import run_study
from strandwright.planning.tolerance.runners.threads import Threads
from strandwright.planning.tolerance.state import progress_text

BUILDS = 100_000
#: Two cores for ten seconds; counted as the processor's time, for others may be at work [s]
ALLOWED = 20.0
#: Memory that ten times the builds may take more [MB]
FLAT = 20.0


def _highest() -> float:
    """Highest memory of this process so far [MB]."""
    size = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return size / (1024.0**2 if sys.platform == "darwin" else 1024.0)


@pytest.mark.parametrize("name", [CABLE, TARN])
def test_a_hundred_thousand_builds(name, monkeypatch):
    """They take less than two cores give in ten seconds, on one thread or on two."""
    monkeypatch.setattr(of_job, "_bow", lambda *_: (None, "left aside"))
    study = study_of(job_of(name), BUILDS, 1).study
    said: list[str] = []
    for workers in (1, 2):
        wall, spent = time.perf_counter(), time.process_time()
        said.append(progress_text(run_study(study, Threads(workers))))
        wall, spent = time.perf_counter() - wall, time.process_time() - spent
        sys.stdout.write(
            f"\n{name}, {workers} threads: {spent:.1f} s of the processor, {wall:.1f} s by the "
            f"clock, {1e6 * spent / BUILDS:.0f} us a build\n"
        )
        assert spent < ALLOWED
    assert said[0] == said[1]


def test_memory_is_flat(monkeypatch):
    """Ten times the builds take hardly more memory."""
    monkeypatch.setattr(of_job, "_bow", lambda *_: (None, "left aside"))
    few, many = (study_of(job_of(CABLE), builds, 1).study for builds in (40_000, 400_000))
    run_study(few, Threads(2))
    before = _highest()
    run_study(many, Threads(2))
    sys.stdout.write(f"\nmemory: {before:.0f} MB, and {_highest() - before:.1f} MB more\n")
    assert _highest() - before < FLAT
