"""A study on a Dask cluster on loopback: the same bits, and refusals that name the address."""

from __future__ import annotations

import socket
import sys
from typing import Any

import distributed
import pytest

from sample_job import RIDGE, job_of
from strandwright.errors import SpecError
from strandwright.planning.tolerance import of_job
from strandwright.planning.tolerance.of_job import study_of
from strandwright.planning.tolerance.run import run_study
from strandwright.planning.tolerance.runners import cluster as module
from strandwright.planning.tolerance.runners.cluster import Cluster
from strandwright.planning.tolerance.runners.threads import Threads
from strandwright.planning.tolerance.state import Progress, progress_text


def on_loopback(workers: int, processes: bool = False) -> Any:
    """Start a cluster on loopback alone, its workers in this process unless asked otherwise."""
    return distributed.LocalCluster(
        n_workers=workers,
        processes=processes,
        threads_per_worker=1,
        host="127.0.0.1",
        protocol="tcp://",
        dashboard_address="127.0.0.1:0",
        silence_logs=50,
    )


@pytest.fixture(scope="module")
def study():
    """A job's study in three batches, the last one smaller."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(of_job, "_bow", lambda *_: (None, "left aside"))
        return study_of(job_of(RIDGE), 2 * 4096 + 10, 3).study


@pytest.fixture(scope="module")
def whole(study) -> str:
    """What it comes to on threads."""
    return progress_text(run_study(study, Threads(2)))


@pytest.fixture(scope="module")
def in_threads():
    """Two workers in this process, reached over loopback."""
    with on_loopback(2) as running:
        yield running.scheduler_address


def test_a_cluster_gives_the_same_bits(study, whole, in_threads):
    """Sent to workers and brought back, every count is that of threads."""
    assert in_threads.startswith("tcp://127.0.0.1:")
    assert whole == progress_text(run_study(study, Cluster(in_threads)))


def test_a_study_begun_on_threads_is_finished_on_a_cluster(study, whole, in_threads):
    """What was done here is not done there again, and the bits are the same."""
    begun = Progress.begun(study)
    for index in (0, 2):
        begun = begun.further(index, study.batch(index))
    assert whole == progress_text(run_study(study, Cluster(in_threads), begun))


def test_workers_in_processes_of_their_own_give_the_same_bits(study, whole):
    """A worker with nothing of this process but what was sent gives the same."""
    with on_loopback(1, processes=True) as running:
        assert whole == progress_text(run_study(study, Cluster(running.scheduler_address)))


def test_stopping_leaves_the_cluster_alone(study, in_threads):
    """A study that is stopped takes back what waits, and the next one runs."""

    def stop(progress: Progress) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        run_study(study, Cluster(in_threads), kept=stop)
    begun = run_study(study, Cluster(in_threads))
    assert begun.of == len(begun.done)


def test_a_cluster_that_is_lost_is_named(study):
    """A scheduler that goes away in the middle ends the work with its address and a remedy."""
    running = on_loopback(1)
    with pytest.raises(SpecError, match="was lost on the way"):
        run_study(study, Cluster(running.scheduler_address), kept=lambda _: running.close())


def test_a_cluster_without_workers_is_refused(study):
    """A scheduler alone can do nothing, and is not waited for."""
    with (
        on_loopback(0) as running,
        pytest.raises(SpecError, match="must be of a cluster with a worker") as refused,
    ):
        run_study(study, Cluster(running.scheduler_address))
    assert "--cluster" == refused.value.field


def test_workers_of_another_version_are_refused(study, in_threads, monkeypatch):
    """Numbers of another version are never mixed in."""
    monkeypatch.setattr(module, "STUDY_VERSION", 99)
    monkeypatch.setattr(module, "study_version", older)
    with pytest.raises(SpecError, match="have this version of strandwright"):
        run_study(study, Cluster(in_threads))


def older() -> int:
    """Answer as a worker of an older version."""
    return 1


def test_an_address_where_nobody_answers_is_refused(study):
    """The address is named, and the remedy."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        address = f"tcp://127.0.0.1:{free.getsockname()[1]}"
    with pytest.raises(SpecError, match="must be the address of a Dask scheduler") as refused:
        run_study(study, Cluster(address, patience=1.0))
    assert address == refused.value.given


@pytest.mark.parametrize(
    "address", ["", "nowhere", "carrier-pigeon://loft:1", "tcp://", "127.0.0.1:x"]
)
def test_what_is_no_address_is_refused(study, address):
    """Text that is no address is refused the same way, at once."""
    with pytest.raises(SpecError, match="must be the address of a Dask scheduler"):
        run_study(study, Cluster(address, patience=1.0))


def test_without_dask_it_says_what_to_install(study, monkeypatch):
    """Dask is an extra; who lacks it is told so."""
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(SpecError, match="needs Dask, which is not installed"):
        run_study(study, Cluster("tcp://127.0.0.1:8786"))
