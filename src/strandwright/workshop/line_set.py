"""The set: all lines of one bow, named together; the jobs of the lines stay as they are."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Literal

import tomli_w
from pydantic import Field

from strandwright.errors import InputError, InputErrors, SpecError
from strandwright.workshop.fields import Mass, Noun
from strandwright.workshop.job import noun_from_table, tables_in

FORMAT = 1
#: More lines than any bow has, its spares counted in [-]
MOST_LINES = 10
JOB_ID = r"^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$"

Table = dict[str, Any]


class SetLine(Noun):
    """One line of a set."""

    job: str = Field(pattern=JOB_ID, description="id of the line's job")
    file: str = Field(
        default="",
        max_length=400,
        description="its job file, beside the set's; left out, the job is one that is kept",
    )


class SetPair(Noun):
    """Two lines that are to be alike: the cables of a matched pair."""

    one: str = Field(pattern=JOB_ID, description="id of a job of the set")
    other: str = Field(pattern=JOB_ID, description="id of its fellow's")


class LineSet(Noun):
    """A set: the lines of one bow, planned together."""

    format: Literal[1] = Field(default=FORMAT, description="version of this file format")
    id: str = Field(pattern=JOB_ID)
    name: str = Field(min_length=1, max_length=120)
    lines: tuple[SetLine, ...]
    pairs: tuple[SetPair, ...] = ()
    hands: Literal["one", "as each job says"] = Field(
        default="one", description="one: every line is to be twisted and served in one hand"
    )
    spool: Mass | None = Field(default=None, description="strand on a full spool")

    @property
    def jobs(self) -> tuple[str, ...]:
        """Ids of the jobs, as they were named."""
        return tuple(line.job for line in self.lines)


def set_from_table(table: Table) -> LineSet:
    """Read a set from its tables.

    Parameters
    ----------
    table : dict
        Tables and values.

    Returns
    -------
    LineSet
        The set.

    Raises
    ------
    InputError
        For one thing that cannot be used: field, value, rule, remedy.
    InputErrors
        For several of them.
    """
    found = noun_from_table(LineSet, table)
    errors = tuple(_contradictions(found))
    if errors:
        raise errors[0] if len(errors) == 1 else InputErrors(errors)
    return found


def read_set(text: str, *, source: str = "set") -> LineSet:
    """Read a set from the text of its TOML file.

    Parameters
    ----------
    text : str
        The file's text.
    source : str
        What to call the file in an error.

    Returns
    -------
    LineSet
        The set.

    Raises
    ------
    InputError
        For one thing that cannot be used.
    InputErrors
        For several of them.
    """
    return set_from_table(tables_in(text, source))


def set_table(line_set: LineSet) -> Table:
    """Give the tables of a set, as they are kept.

    Parameters
    ----------
    line_set : LineSet
        The set.

    Returns
    -------
    dict
        Plain values; those that are defaults are left out.
    """
    return line_set.model_dump(mode="json", exclude_defaults=True) | {"format": FORMAT}


def write_set(line_set: LineSet) -> str:
    """Write a set as the text of its TOML file; reading it back gives an equal set.

    Parameters
    ----------
    line_set : LineSet
        The set.

    Returns
    -------
    str
        TOML.
    """
    return tomli_w.dumps(set_table(line_set))


def set_schema() -> Table:
    """Give the JSON Schema (2020-12) of the set file.

    Returns
    -------
    dict
        The schema, for editors and other programs.
    """
    schema = LineSet.model_json_schema()
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def _contradictions(found: LineSet) -> Iterator[InputError]:
    """Find what the parts of a set make impossible for each other."""
    jobs = found.jobs
    if not 1 <= len(jobs) <= MOST_LINES:
        rule = f"must name 1 to {MOST_LINES} lines"
        yield SpecError("lines", f"{len(jobs)} lines", rule, "name the job of each line once")
    for n, job in enumerate(jobs, 1):
        if job in jobs[: n - 1]:
            remedy = "take one out; a second line like it is a job of its own"
            yield SpecError(f"lines[{n}].job", job, "must stand in the set once", remedy)
    paired: set[str] = set()
    for n, pair in enumerate(found.pairs, 1):
        for key, job in (("one", pair.one), ("other", pair.other)):
            field = f"pairs[{n}].{key}"
            if job not in jobs:
                rule = "must be a line of this set"
                yield SpecError(field, job, rule, f"choose from {', '.join(jobs)}")
            elif job in paired:
                yield SpecError(field, job, "must be of one pair only", "take one pair out")
            paired.add(job)
