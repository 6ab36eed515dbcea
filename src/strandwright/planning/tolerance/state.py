"""How far a study has come: the batches that are done and what they came to, as JSON text."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass, field
from typing import Any

from strandwright.errors import SpecError
from strandwright.numerics.tally import Counted, Ruler, Tally
from strandwright.planning.tolerance.study import Study

WHAT, VERSION = "strandwright tolerance study", 1
_OTHER = "name another file, or take this one away to begin anew"


@dataclass(frozen=True)
class Progress:
    """How far a study has come.

    Attributes
    ----------
    identity : str
        Whose it is.
    of : int
        Batches in all [-]
    done : frozenset of int
        Batches that are in the tally [-]
    tally : Tally
        What they came to.
    """

    identity: str
    of: int
    done: frozenset[int] = frozenset()
    tally: Tally = field(default_factory=Tally)

    @classmethod
    def begun(cls, study: Study) -> Progress:
        """Begin a study.

        Parameters
        ----------
        study : Study
            The study.

        Returns
        -------
        Progress
            With nothing done.
        """
        return cls(study.identity, study.batches.count)

    @property
    def left(self) -> tuple[int, ...]:
        """Batches that are still to be done, in order [-]."""
        return tuple(index for index in range(self.of) if index not in self.done)

    def further(self, index: int, tally: Tally) -> Progress:
        """Add a batch.

        Parameters
        ----------
        index : int
            Which [-]
        tally : Tally
            What it came to.

        Returns
        -------
        Progress
            The same whatever the order of the batches; one that is in already counts once.
        """
        if index in self.done:
            return self
        return Progress(self.identity, self.of, self.done | {index}, self.tally.merged(tally))


def progress_text(progress: Progress) -> str:
    """Write how far a study has come.

    Parameters
    ----------
    progress : Progress
        How far.

    Returns
    -------
    str
        JSON, in ASCII; the same for the same batches.
    """
    tally = progress.tally
    data = {
        "what": WHAT,
        "version": VERSION,
        "study": progress.identity,
        "batches": progress.of,
        "done": sorted(progress.done),
        "counts": dict(tally.counts),
        "spreads": {name: _spread_data(tally.spreads[name]) for name in tally.spreads},
    }
    return _dumped({**data, "check": _check(data)}) + "\n"


def _dumped(data: dict[str, Any]) -> str:
    return json.dumps(data, sort_keys=True, allow_nan=False)


def _check(data: dict[str, Any]) -> str:
    """Sum over all the rest, by which a damage is told that leaves numbers that could be."""
    rest = {name: value for name, value in data.items() if name != "check"}
    return hashlib.sha256(_dumped(rest).encode()).hexdigest()[:16]


def _spread_data(counted: Counted) -> dict[str, Any]:
    ruler = counted.ruler
    return {
        "low": ruler.low,
        "high": ruler.high,
        "cells": ruler.cells,
        "filled": [[place, n] for place, n in enumerate(counted.cells) if n],
        "total": counted.total,
        "square": counted.square,
    }


def read_progress(text: str, study: Study, field: str, given: str) -> Progress:
    """Read how far a study has come.

    Parameters
    ----------
    text : str
        What :func:`progress_text` wrote.
    study : Study
        The study that is to go on.
    field : str
        Where the file was named, for an error.
    given : str
        Its name.

    Returns
    -------
    Progress
        As it was.

    Raises
    ------
    SpecError
        If it is no such text, is damaged, or is that of another study.
    """
    try:
        data = json.loads(text)
        if not isinstance(data, dict) or data.get("what") != WHAT:
            raise ValueError(WHAT)
    except (ValueError, RecursionError) as error:
        rule = "must be what an earlier run of a tolerance study kept"
        raise SpecError(field, given, rule, "name another file") from error
    if data.get("version") != VERSION or data.get("study") != study.identity:
        rule = "must be of this job as it stands, with as many builds and the same seed"
        raise SpecError(field, given, rule, _OTHER)
    try:
        if data.get("check") != _check(data):
            raise ValueError("check")
        return _read(data, study)
    except (LookupError, TypeError, ValueError, AttributeError) as error:
        raise SpecError(field, given, "must be whole, and is damaged", _OTHER) from error


def _read(data: dict[str, Any], study: Study) -> Progress:
    done = frozenset(_whole(index) for index in data["done"])
    counts = {str(name): _whole(n) for name, n in data["counts"].items()}
    spreads = {str(name): _read_spread(each) for name, each in data["spreads"].items()}
    drawn = sum(study.batches.drawn_in(index) for index in done)
    fine = counts.get("builds", 0) - counts.get("failed", 0)
    reached = counts.get("reached", 0)
    whole = all(
        spread.count == (reached if name.startswith("reached.") else fine)
        for name, spread in spreads.items()
    )
    if counts.get("builds", 0) != drawn or not whole:
        raise ValueError("counts")
    return Progress(study.identity, study.batches.count, done, Tally(counts, spreads))


def _read_spread(data: dict[str, Any]) -> Counted:
    ruler = Ruler(float(data["low"]), float(data["high"]), _whole(data["cells"]))
    if ruler.cells > 1_000_000:
        raise ValueError("cells")
    cells = [0] * (ruler.cells + 2)
    for place, n in data["filled"]:
        cells[_whole(place)] = _whole(n)
    total, square = data["total"], _whole(data["square"])
    if type(total) is not int:
        raise ValueError("total")
    return Counted(ruler, tuple(cells), total, square)


def _whole(value: Any) -> int:
    """Give a whole number, none below zero, and nothing else."""
    if type(value) is not int or value < 0:
        raise ValueError(repr(value))
    return value
