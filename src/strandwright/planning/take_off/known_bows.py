"""Known bows: those of the jobs and those kept by themselves, each once, for a further line."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.ports import PAGE

Table = dict[str, Any]

#: Told of one line, or read with it on the bow: no further line begins with them.
_OF_ONE_LINE = ("loads", "now", "trials")


@dataclass(frozen=True)
class KnownBow:
    """A bow that a further line can be made for.

    Attributes
    ----------
    source : str
        Id of the newest job that holds it, or of the bow where it is kept by itself.
    of : str
        What that job, or the bow, is called.
    customer : str
        Of that job; empty where the bow is kept by itself.
    saved_at : str
        When it was changed last.
    table : dict
        The bow as a job file has it, without what is told of one line.
    jobs : tuple of str
        Ids of all jobs that hold the same bow, newest first.
    """

    source: str
    of: str
    customer: str
    saved_at: str
    table: Table
    jobs: tuple[str, ...]


def known_bows(desk: JobDesk, words: str = "", limit: int = PAGE) -> tuple[KnownBow, ...]:
    """Give the bows that are known, those of the latest jobs and those kept by themselves.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    words : str
        Only those in whose job or bow each of these words stands.
    limit : int
        How many jobs, and how many bows kept by themselves, are looked through [-]

    Returns
    -------
    tuple of KnownBow
        Newest change first; a bow that several jobs of a customer tell alike is there once.
    """
    store = desk.store
    bows = [row.id for row in store.listings("bow", status="in use", words=words, limit=limit)]
    jobs = [row.id for row in store.listings("job", words=words, limit=limit)]
    found = [
        KnownBow(d.id, str(d.table.get("name") or d.id), "", d.saved_at, dict(d.table), ())
        for d in store.documents("bow", bows)
    ]
    for d in store.documents("job", jobs):
        name, customer = str(d.table.get("name", "")), str(d.table.get("customer", ""))
        bow = dict(d.table.get("bow", {}))
        found.append(KnownBow(d.id, name, customer, d.saved_at, bow, (d.id,)))
    known: list[KnownBow] = []
    for bow in sorted(found, key=lambda one: one.saved_at, reverse=True):
        _take_in(known, bow)
    return tuple(known)


def _take_in(found: list[KnownBow], bow: KnownBow) -> None:
    """Add a bow, or the job that holds it to the same bow of a newer job."""
    table = {name: value for name, value in bow.table.items() if name not in _OF_ONE_LINE}
    for place, other in enumerate(found):
        if bow.jobs and (other.table, other.customer) == (table, bow.customer):
            found[place] = replace(other, jobs=(*other.jobs, *bow.jobs))
            return
    found.append(replace(bow, table=table))
