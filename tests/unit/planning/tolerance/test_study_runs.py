"""Running a study: the same bits whoever works, in whatever order, and however often stopped."""

from __future__ import annotations

import json
import random
import threading
from dataclasses import replace
from typing import cast

import pytest
from straight_bench import StraightBench, straight_study

from strandwright.errors import InputError, SpecError
from strandwright.numerics.tally import Tally
from strandwright.planning.tolerance.run import run_study
from strandwright.planning.tolerance.runners.threads import Threads
from strandwright.planning.tolerance.state import (
    Progress,
    _check,
    progress_text,
    read_progress,
)
from strandwright.planning.tolerance.study import Study

BENCH = StraightBench(3e-3, 0.4e-3)


@pytest.fixture(scope="module")
def study():
    """Twelve small batches, the last one smaller."""
    return straight_study(BENCH, 0.3e-3, builds=1150, size=100)


@pytest.fixture(scope="module")
def whole(study) -> str:
    """What it comes to, one batch after another."""
    return progress_text(run_study(study, Threads(1)))


class Shuffled:
    """A runner that hands the batches over in an order of its own."""

    def __init__(self, seed: int) -> None:
        self.seed = seed

    def run(self, study, left):
        """Work all batches out, then give them in some order."""
        done = [(index, study.batch(index)) for index in left]
        random.Random(self.seed).shuffle(done)
        yield from done


@pytest.mark.parametrize("workers", [2, 3, 7])
def test_workers_do_not_show(study, whole, workers):
    """However many threads, the same bits."""
    assert whole == progress_text(run_study(study, Threads(workers)))


@pytest.mark.parametrize("seed", range(4))
def test_the_order_does_not_show(study, whole, seed):
    """In whatever order batches come, the same bits."""
    assert whole == progress_text(run_study(study, Shuffled(seed)))


def test_another_seed_shows(study, whole):
    """Another seed gives other numbers."""
    other = straight_study(BENCH, 0.3e-3, builds=1150, size=100, seed=2)
    assert json.loads(whole)["counts"] != json.loads(
        progress_text(run_study(other, Threads(1)))
    )["counts"]  # fmt: skip


@pytest.mark.parametrize("stopped_after", [0, 1, 5, 11])
def test_a_stopped_study_goes_on(study, whole, stopped_after):
    """Stopped after some batches, written, read and gone on with, it comes to the same bits."""
    kept: list[str] = [progress_text(Progress.begun(study))]

    def stop(progress: Progress) -> None:
        if len(progress.done) > stopped_after:
            raise KeyboardInterrupt
        kept.append(progress_text(progress))

    with pytest.raises(KeyboardInterrupt):
        run_study(study, Shuffled(9), kept=stop)
    begun = read_progress(kept[-1], study, "--state", "study.json")
    assert stopped_after == len(begun.done)
    worked: list[int] = []

    class Seen(Threads):
        def run(self, study, left):
            worked.extend(left)
            return super().run(study, left)

    assert whole == progress_text(run_study(study, Seen(2), begun))
    assert sorted({*range(12)} - begun.done) == worked


def test_a_finished_study_is_not_worked_again(study, whole):
    """With every batch done nothing is left to a runner."""
    begun = read_progress(whole, study, "--state", "study.json")
    assert () == begun.left
    assert whole == progress_text(run_study(study, Threads(2), begun))


def test_a_batch_counts_once(study):
    """A batch that comes a second time changes nothing."""
    once = Progress.begun(study).further(3, study.batch(3))
    assert once == once.further(3, study.batch(3))


def test_threads_end_with_the_work(study):
    """Whether it ends or is stopped, no thread is left running."""

    def stop(progress: Progress) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run_study(study, Threads(3), kept=stop)
    assert not [t for t in threading.enumerate() if t.name.startswith("tolerance")]


def test_few_batches_wait_at_a_time(study):
    """Memory stays flat: no more batches are under way than twice the workers."""
    begun, most = [], []
    lock = threading.Lock()

    class Watched:
        def batch(self, index):
            with lock:
                begun.append(index)
            return Tally({"builds": 1})

    taken, watched = 0, cast(Study, Watched())
    for _ in Threads(2).run(watched, range(200)):
        taken += 1
        with lock:
            most.append(len(begun) - taken)
    assert 200 == taken
    assert max(most) <= 4


def test_fewer_workers_than_none_are_refused():
    """A count of workers is a count."""
    with pytest.raises(InputError, match="must be 1 at least"):
        Threads(-1)


def test_the_state_of_another_study_is_refused(study, whole):
    """Another job, seed or number of builds is another study."""
    for other in (
        straight_study(BENCH, 0.3e-3, builds=1150, size=100, seed=2),
        replace(study, identity="another"),
    ):
        with pytest.raises(SpecError, match="must be of this job as it stands"):
            read_progress(whole, other, "--state", "study.json")


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"what": "a job"}', "nonsense", "[" * 10_000])
def test_what_is_no_state_is_refused(study, text):
    """Any other file is named as such, and nothing else happens."""
    with pytest.raises(SpecError, match="must be what an earlier run of a tolerance study kept"):
        read_progress(text, study, "--state", "study.json")


DAMAGES = {
    "a batch that is not there": lambda d: d["done"].append(77),
    "a batch left out": lambda d: d["done"].pop(),
    "a count below zero": lambda d: d["counts"].update({"blind.within": -1}),
    "a count that is none": lambda d: d["counts"].update({"blind.within": 1.5}),
    "a true for a count": lambda d: d["counts"].update({"builds": True}),
    "a cell that is not there": lambda d: d["spreads"]["turns"]["filled"].append([10**9, 1]),
    "values too many": lambda d: d["spreads"]["turns"]["filled"].append([0, 5]),
    "no sum": lambda d: d["spreads"]["turns"].pop("total"),
    "a sum of text": lambda d: d["spreads"]["turns"].update(total="5"),
    "cells without end": lambda d: d["spreads"]["turns"].update(cells=10**12),
    "a ruler of no length": lambda d: d["spreads"]["turns"].update(low=1.0, high=1.0),
    "no counts": lambda d: d.update(counts=[]),
    "no spreads": lambda d: d.update(spreads=None),
}


@pytest.mark.parametrize("checked", [False, True])
@pytest.mark.parametrize("damage", DAMAGES.values(), ids=DAMAGES)
def test_a_damaged_state_is_refused(study, whole, damage, checked):
    """What cannot be right is refused, so that it never goes into a result."""
    data = json.loads(whole)
    damage(data)
    if checked:
        data["check"] = _check(data)
    with pytest.raises(SpecError, match="must be whole, and is damaged"):
        read_progress(json.dumps(data), study, "--state", "study.json")


def test_a_number_changed_is_refused(study, whole):
    """A digit that flips and leaves a number that could be is told by the check."""
    data = json.loads(whole)
    data["counts"]["blind.within"] += 1
    with pytest.raises(SpecError, match="is damaged"):
        read_progress(json.dumps(data), study, "--state", "study.json")
