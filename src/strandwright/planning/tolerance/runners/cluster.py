"""A Dask cluster by its address: the same batches on other computers, with the same numbers."""

from __future__ import annotations

import socket
from collections.abc import Iterator, Sequence
from concurrent.futures import CancelledError
from dataclasses import dataclass
from itertools import islice
from queue import Empty, SimpleQueue
from typing import Any
from urllib.parse import urlsplit

from strandwright.errors import SpecError
from strandwright.numerics.tally import Tally
from strandwright.planning.tolerance.study import STUDY_VERSION, Study

#: How long a scheduler may take to answer [s]
PATIENCE = 10.0
#: How often it is looked whether the scheduler is still there, while nothing comes [s]
_LOOK = 1.0
_FIELD = "--cluster"
_NO_SCHEDULER = "must be the address of a Dask scheduler that answers"
_REMEDY = "start 'dask scheduler' and 'dask worker' there, or leave it out to use this computer"


@dataclass(frozen=True)
class Cluster:
    """A Dask cluster.

    Attributes
    ----------
    address : str
        Of its scheduler, such as ``tcp://10.0.0.5:8786``.
    patience : float
        How long it may take to answer [s]
    """

    address: str
    patience: float = PATIENCE

    def run(self, study: Study, left: Sequence[int]) -> Iterator[tuple[int, Tally]]:
        """Work out batches, as :class:`~.port.Runner` says.

        Parameters
        ----------
        study : Study
            The study; it is sent to every worker once.
        left : sequence of int
            Which batches [-]

        Yields
        ------
        index : int
            A batch that is done [-]
        tally : Tally
            What it came to.

        Raises
        ------
        SpecError
            If Dask is not installed, nobody answers at the address, it has no worker, or its
            workers have another version of this program.
        """
        client = self._joined()
        try:
            self._refuse_unfit(client)
            yield from _worked_out(client, study, left)
        except (OSError, CancelledError) as error:
            rule = "must stay where it is, and was lost on the way"
            remedy = "start it again; with --state the same command goes on where it stood"
            raise SpecError(_FIELD, self.address, rule, remedy) from error
        finally:
            client.close()

    def _joined(self) -> Any:
        """Give a client of the scheduler."""
        try:
            from distributed import Client
        except ImportError as error:
            rule = "needs Dask, which is not installed"
            remedy = "install strandwright with its extra 'cluster', or leave it out"
            raise SpecError(_FIELD, self.address, rule, remedy) from error
        # Asked first without Dask: a client that fails to join can hold up the next one.
        address = _answering(self.address, self.patience)
        try:
            return Client(address, timeout=self.patience, set_as_default=False)
        except (OSError, ValueError, ImportError) as error:
            # A time that runs out is an OSError too.
            raise SpecError(_FIELD, self.address, _NO_SCHEDULER, _REMEDY) from error

    def _refuse_unfit(self, client: Any) -> None:
        if not client.nthreads():
            rule = "must be of a cluster with a worker at least"
            raise SpecError(_FIELD, self.address, rule, _REMEDY)
        try:
            versions = set(client.run(study_version).values())
        except (ImportError, AttributeError) as error:
            versions, cause = set[int](), error
        else:
            cause = None
        if versions != {STUDY_VERSION}:
            rule = "must be of a cluster whose workers have this version of strandwright"
            remedy = "install the same version on every worker"
            raise SpecError(_FIELD, self.address, rule, remedy) from cause


def _answering(address: str, patience: float) -> str:
    """Give the whole address of somebody who answers there, or refuse it."""
    whole = address if "://" in address else f"tcp://{address}"
    try:
        parts = urlsplit(whole)
        if parts.scheme not in ("tcp", "tls") or not parts.hostname or not parts.port:
            raise ValueError(address)
        socket.create_connection((parts.hostname, parts.port), patience).close()
    except (OSError, ValueError) as error:
        raise SpecError(_FIELD, address, _NO_SCHEDULER, _REMEDY) from error
    return whole


def _worked_out(client: Any, study: Study, left: Sequence[int]) -> Iterator[tuple[int, Tally]]:
    """Keep all workers busy with a few batches each, and give what is done as it comes."""
    sent = client.scatter(study, broadcast=True)
    most = 4 * sum(client.nthreads().values())
    waiting, running, done = iter(left), dict[Any, int](), SimpleQueue[Any]()

    def begin(count: int) -> None:
        for index in islice(waiting, count):
            future = client.submit(work_out, sent, index, pure=False)
            running[future.key] = index
            future.add_done_callback(done.put)

    begin(most)
    while running:
        future = _next(client, done)
        yield running.pop(future.key), future.result()
        begin(1)


def _next(client: Any, done: SimpleQueue[Any]) -> Any:
    """Wait for what is done first, but not for ever for a cluster that is no longer there."""
    while True:
        try:
            return done.get(timeout=_LOOK)
        except Empty:
            if client.status != "running":
                raise OSError("the scheduler is gone") from None


def study_version() -> int:
    """Give the version of studies that a worker knows.

    Returns
    -------
    int
        Its version [-]
    """
    return STUDY_VERSION


def work_out(study: Study, index: int) -> Tally:
    """Work out one batch where the study has been sent.

    Parameters
    ----------
    study : Study
        The study.
    index : int
        Which batch [-]

    Returns
    -------
    Tally
        What it came to.
    """
    return study.batch(index)
