"""Bow facts: what the jobs of one bow say of it, held against each other."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from strandwright.planning.sets.result import Check
from strandwright.units import Entered
from strandwright.workshop.job import Job
from strandwright.workshop.parts import Bow

#: Facts of a bow that are one whatever line is built for it.
_FACTS = (
    "kind", "name", "crossbow", "rail", "draw_weight", "bow_length", "axle_to_axle",
    "brace_height", "draw_length", "let_off", "stored_energy", "tiller_top", "tiller_bottom",
    "nock_height", "peep_height", "old_or_wooden", "year", "limbs", "takes_low_stretch",
    "cables", "upper_wheel",
)  # fmt: skip
#: How the parts of a bow are spoken of
_OF_PARTS = {"tracks": "width of the track '{}'", "pegs": "diameter of the peg '{}'"}
#: Readings of one fact that differ by no more than this share are one [-]
_ROUNDING = 1e-6


def bow_checks(jobs: Sequence[Job]) -> Iterator[Check]:
    """Hold the facts of the bow against each other, job by job.

    Parameters
    ----------
    jobs : sequence of Job
        Of one bow.

    Yields
    ------
    Check
        One for all facts where they agree; one for each that does not.
    """
    wrong = [check for name, told in _told(jobs) for check in _differing(name, told)]
    if wrong or len(jobs) < 2:
        yield from wrong
        return
    said = "what the jobs say of the bow agrees"
    yield Check("facts of the bow", "agrees", said, "", tuple(job.id for job in jobs))


def _told(jobs: Iterable[Job]) -> Iterator[tuple[str, list[tuple[str, object]]]]:
    """Give every fact with what each job says of it; what is not said is left out."""
    jobs = tuple(jobs)
    for name in _FACTS:
        found = [(job.id, getattr(job.bow, name)) for job in jobs if _is_said(job.bow, name)]
        yield name, found
    for kind, value in (("tracks", "width"), ("pegs", "diameter")):
        parts: dict[str, list[tuple[str, object]]] = {}
        for job in jobs:
            for part in getattr(job.bow, kind):
                parts.setdefault(part.name, []).append((job.id, getattr(part, value)))
        for part, found in sorted(parts.items()):
            yield f"{kind}, {part}", found


def _is_said(bow: Bow, name: str) -> bool:
    value = getattr(bow, name)
    return name in bow.model_fields_set and value is not None and value != ""


def _differing(name: str, told: Sequence[tuple[str, object]]) -> Iterator[Check]:
    if not any(_differ(a, b) for _, a in told for _, b in told):
        return
    texts: dict[str, list[str]] = {}
    for job, value in told:
        texts.setdefault(_text(value), []).append(job)
    said = "; ".join(f"{text} ({', '.join(jobs)})" for text, jobs in texts.items())
    key, _, part = name.partition(", ")
    words = key.removeprefix("bow_").replace("_", " ")
    of = _OF_PARTS[key].format(part) if part else f"{words} of the bow"
    remedy = f"look at the bow, and say the same in bow.{key} of each job"
    yield Check(of, "differs", said, remedy, tuple(job for job, _ in told))


def _differ(one: object, other: object) -> bool:
    """Whether two readings of one fact contradict each other, their own +- allowed for."""
    if isinstance(one, Entered) and isinstance(other, Entered):
        spread = 2.0 * sum(e.standard_uncertainty or 0.0 for e in (one, other))
        return abs(one.si - other.si) > max(spread, _ROUNDING * abs(one.si))
    return one != other


def _text(value: object) -> str:
    if isinstance(value, Entered):
        return value.text
    return (
        {True: "yes", False: "no"}.get(value, str(value)) if isinstance(value, bool) else str(value)
    )
