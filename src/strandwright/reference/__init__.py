"""Reference: every built-in number, with its unit, source, kind and uncertainty."""

from strandwright.reference.load import (
    fibre,
    fibres,
    has_practice,
    practice,
    practice_table,
    strand,
    strands,
    thread,
    threads,
)
from strandwright.reference.values import Chemistry, Datum, Fibre, Kind, SteadyCreep, Strand, Thread

__all__ = [
    "Chemistry",
    "Datum",
    "Fibre",
    "Kind",
    "SteadyCreep",
    "Strand",
    "Thread",
    "fibre",
    "fibres",
    "has_practice",
    "practice",
    "practice_table",
    "strand",
    "strands",
    "thread",
    "threads",
]
