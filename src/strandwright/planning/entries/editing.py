"""Editing: changes to a job by the names of its file, typed as text or dragged to a place."""

from __future__ import annotations

import copy
import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from strandwright.errors import InputError, InputErrors, SolveError, SpecError
from strandwright.planning.entries.default_units import with_unit
from strandwright.planning.line_of_job import held_to_runs, job_shorthand, serving_edges
from strandwright.planning.makings.yoke import is_halved
from strandwright.planning.readings.tape import paper_step
from strandwright.planning.take_off.target import find_target
from strandwright.units import Dimension, format_length, parse
from strandwright.workshop.job import Job, job_from_table

#: One part of a field's name: ``line``, ``servings[3]``.
_PART = re.compile(r"([a-z_]+)(?:\[([0-9]{1,3})\])?")
_EDGE = re.compile(r"line\.servings\[([0-9]{1,3})\]\.(?:start|stop)")
_MARK = re.compile(r"line\.marks\[([0-9]{1,3})\]\.at")

Table = dict[str, Any]


@dataclass(frozen=True)
class Change:
    """One change of a job.

    Attributes
    ----------
    field : str
        Name in the job file, places in lists from 1: ``line.servings[3].start``.
    value : object
        What it shall hold, as the job file writes it; None takes it out.
    at : float or None
        Instead of a value, a place from the zero end that it was dragged to [m]
    """

    field: str
    value: object = None
    at: float | None = None


def edited(job: Job, changes: Sequence[Change], length: float | None = None) -> Job:
    """Give a job with changes made to it.

    Parameters
    ----------
    job : Job
        The job.
    changes : sequence of Change
        Made together, in their order.
    length : float or None
        The job's finished length, where a plan of it has found it; None works it out [m]

    Returns
    -------
    Job
        The changed job. Where a serving's edge or the length is changed, every serving has
        edges of its own from then on; those that the shorthand measures from the far end still
        are.

    Raises
    ------
    InputError
        If a field is not known or a value cannot be used there.
    InputErrors
        For several of them.
    """
    changes = (*changes, *throat_follows(job, changes, length))
    fields = [change.field for change in changes]
    resized = "line.finished" in fields
    if resized or any(_EDGE.fullmatch(field) for field in fields):
        job = with_own_edges(job, length)
    table = tables_of(job)
    if resized:
        # The shorthand begins with the length that the line no longer has.
        table["line"].pop("shorthand", None)
    for change in changes:
        value = change.value if change.at is None else _placed(job, change.field, change.at, length)
        value = with_unit(change.field, value, job.paper.units)
        _put(table, change.field, value)
    _count_strands(table, fields)
    return job_from_table(table)


def throat_follows(
    job: Job, changes: Sequence[Change], length: float | None
) -> tuple[Change, ...]:
    """Move the throat's serving to where the legs of a yoke part now, as long as it was.

    Parameters
    ----------
    job : Job
        The job before the changes.
    changes : sequence of Change
        The changes; only one of a leg's length moves the throat.
    length : float or None
        The job's finished length, where it is known [m]

    Returns
    -------
    tuple of Change
        Further changes; none where the throat itself is changed too.
    """
    legs = [change.value for change in changes if change.field == "line.yoke.leg"]
    throats = [i for i, serving in enumerate(job.line.servings) if serving.use == "throat"]
    if not legs or not isinstance(legs[-1], str) or not is_halved(job) or len(throats) != 1:
        return ()
    place = f"line.servings[{throats[0] + 1}]"
    if any(change.field.startswith(place) for change in changes):
        return ()
    leg = parse(
        Dimension.LENGTH,
        str(with_unit("line.yoke.leg", legs[-1], job.paper.units)),
        field="line.yoke.leg",
    )
    length = _length_of(job) if length is None else length
    start, stop = serving_edges(job, length)[throats[0]]
    return (
        Change(f"{place}.start", _length_text(job, leg.si + stop - start).text),
        Change(f"{place}.stop", leg.text),
        Change(f"{place}.from_far_end", True),
    )


def tables_of(job: Job) -> Table:
    """Give a job as the tables of its file.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    dict
        Plain values, quantities as text; what is a default is left out.
    """
    return job.model_dump(mode="json", exclude_defaults=True) | {"format": job.format}


def with_own_edges(job: Job, length: float | None = None) -> Job:
    """Give a job whose servings have their edges written out, not by the shorthand.

    Parameters
    ----------
    job : Job
        The job.
    length : float or None
        Its finished length, where it is known; None works it out [m]

    Returns
    -------
    Job
        The same line to half a step of the shop's fraction.
    """
    if all(s.start is not None and s.stop is not None for s in job.line.servings):
        return job
    length = _length_of(job) if length is None else length
    shorthand = job_shorthand(job)
    waiting = iter(shorthand.runs if shorthand is not None else ())
    servings: list[object] = []
    edges, placed = serving_edges(job, length), held_to_runs(job, length)
    for number, (spec, ends) in enumerate(zip(job.line.servings, edges, strict=True)):
        if spec.start is not None and spec.stop is not None:
            servings.append(spec)
            continue
        by_nock = placed is not None and number == placed.number
        far = False if by_nock else next(waiting).from_far
        values = [length - x if far else x for x in ends]
        start, stop = (_length_text(job, max(x, 0.0)) for x in values)
        changes = {"start": start, "stop": stop, "from_far_end": far}
        servings.append(spec.model_copy(update=changes))
    line = job.line.model_copy(update={"servings": tuple(servings)})
    return job.model_copy(update={"line": line})


def _length_of(job: Job) -> float:
    """Give the finished length; only where the job does not say it is the original worked out."""
    said = job.line.finished
    return find_target(job).length.value if said is None else said.si


def snap(job: Job, metres: float) -> float:
    """Put a length on the shop's fraction.

    Parameters
    ----------
    job : Job
        The job.
    metres : float
        The length [m]

    Returns
    -------
    float
        The nearest multiple of the step [m]
    """
    step = paper_step(job)
    return round(metres / step) * step


def _length_text(job: Job, metres: float) -> Any:
    """Write a length on the shop's fraction, as the job file holds it."""
    text = format_length(snap(job, metres), system=job.paper.units, fraction=job.paper.fraction)
    return parse(Dimension.LENGTH, text, field="length")


def _placed(job: Job, field: str, at: float, length: float | None) -> str:
    """Write the place something was dragged to, measured the way its field is."""
    edge, mark = _EDGE.fullmatch(field), _MARK.fullmatch(field)
    from_far = False
    if edge:
        from_far = _item(job.line.servings, edge[1], field).from_far_end
    elif mark:
        from_far = _item(job.line.marks, mark[1], field).from_far_end
    elif field != "line.finished":
        raise SpecError(field, f"{at:g} m", "must be an edge, a mark or line.finished", "type it")
    if from_far:
        at = (_length_of(job) if length is None else length) - at
    return _length_text(job, max(at, 0.0)).text


def _item(items: Sequence[Any], number: str, field: str) -> Any:
    if not 1 <= int(number) <= len(items):
        rule = f"must be one of {len(items)}, counted from 1"
        raise SpecError(field, number, rule, "look at the line again")
    return items[int(number) - 1]


def at_change(
    error: InputError | InputErrors | SolveError, changes: Sequence[Change]
) -> InputError | InputErrors | SolveError:
    """Tell an error at the one field that was changed, where it speaks of another place.

    Parameters
    ----------
    error : InputError, InputErrors or SolveError
        What went wrong.
    changes : sequence of Change
        The changes.

    Returns
    -------
    InputError, InputErrors or SolveError
        The same error, perhaps seen from the changed field.
    """
    if len(changes) != 1 or not isinstance(error, InputError):
        return error
    if error.field.startswith(f"{changes[0].field}."):
        # A table that was put in as a whole is told at the very part.
        return error
    return error.at(changes[0].field)


def _put(table: Table, field: str, value: object) -> None:
    """Set, or with None take out, one field of the tables."""
    at: Any = table
    parts = field.split(".")
    for depth, part in enumerate(parts):
        found = _PART.fullmatch(part)
        if found is None:
            raise SpecError(field, part, "must be a name of the job file", "look at the job file")
        name, number = found[1], found[2]
        last = depth == len(parts) - 1
        if number is None:
            at = _into_table(at, name, value, last)
        else:
            at = _into_list(at, name, int(number), value, last, field)


def _into_table(at: Table, name: str, value: object, last: bool) -> Any:
    if not last:
        if not isinstance(at.get(name), dict):
            at[name] = {}
        return at[name]
    if value is None:
        at.pop(name, None)
    else:
        at[name] = copy.deepcopy(value)
    return None


def _into_list(at: Table, name: str, number: int, value: object, last: bool, field: str) -> Any:
    """Go to, set, add behind the last, or take out one item of a list."""
    items = at.setdefault(name, [])
    room = len(items) + (1 if last and value is not None else 0)
    if not isinstance(items, list) or not 1 <= number <= room:
        rule = f"must be a place in the list {name}, counted from 1"
        raise SpecError(field, str(number), rule, "look at the line again")
    if not last:
        return items[number - 1]
    if value is None:
        items.pop(number - 1)
    elif number > len(items):
        items.append(copy.deepcopy(value))
    else:
        items[number - 1] = copy.deepcopy(value)
    return None


def _count_strands(table: Table, fields: Sequence[str]) -> None:
    """Let the strand count follow its colours."""
    makeup = table.get("makeup")
    if "makeup.strands" in fields or not isinstance(makeup, dict):
        return
    if any(field.startswith("makeup.colours") for field in fields):
        given = [c.get("strands") for c in makeup.get("colours", ()) if isinstance(c, dict)]
        counts = [n for n in given if type(n) is int]
        if counts and len(counts) == len(given):
            makeup["strands"] = sum(counts)
