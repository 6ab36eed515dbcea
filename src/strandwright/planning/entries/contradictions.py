"""Contradictions: entries that are sane each by itself and cannot both be meant."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from strandwright.errors import InputError, LimitError, SpecError
from strandwright.planning.brace_wish import asks_for_brace
from strandwright.planning.hearing.checks import is_odd, rule_of
from strandwright.planning.line_of_job import read_shorthand
from strandwright.planning.prepare import make_loads
from strandwright.planning.servings.on_the_bow import made_too_late
from strandwright.planning.strand_stock import known_strand
from strandwright.planning.written import Written
from strandwright.units import Dimension, parse
from strandwright.workshop.job import Job

#: A shorthand is rounded, and the new line may be a shade longer than the old one [m]
_SAME_LINE = parse(Dimension.LENGTH, "1/4 in", field="range").value
#: A string that braces a bow is shorter than it by so much, at any brace height and load [m]
_LEAST_SHORTER, _MOST_SHORTER = (
    parse(Dimension.LENGTH, text, field="range").value for text in ("1 in", "7 in")
)


def contradictions(job: Job) -> Iterator[InputError]:
    """Find entries that do not go together.

    Parameters
    ----------
    job : Job
        The job; each entry is in its own range.

    Yields
    ------
    InputError
        For each pair that contradicts itself, named at the entry to be mended.
    """
    yield from _half_given_servings(job)
    yield from _wound_twice(job)
    yield from _measured_over_the_stretch(job)
    yield from _nock_the_wrong_way_round(job)
    yield from _shorthand_of_another_line(job)
    yield from _string_of_another_bow(job)
    yield from made_too_late(job)
    yield from _proof_without_turns(job)
    yield from _checks_far_off(job)


def _checks_far_off(job: Job) -> Iterator[InputError]:
    """Find checks of the jig's ear that are further off than a heard load can be."""
    for number, check in enumerate(job.bench.ear_checks, start=1):
        if is_odd(check.heard, check.true):
            field = f"bench.ear_checks[{number}].heard"
            yield SpecError(field, check.heard.text, *rule_of(check.true))


def _half_given_servings(job: Job) -> Iterator[InputError]:
    """Find servings that have one edge of their own and not the other."""
    for number, serving in enumerate(job.line.servings, start=1):
        given, missing = ("start", "stop") if serving.stop is None else ("stop", "start")
        if (serving.start is None) != (serving.stop is None):
            yield SpecError(
                f"line.servings[{number}].{missing}",
                "nothing",
                f"must be given, because {given} is",
                f"add it, or take {given} out so that both come from the shorthand",
            )


def _wound_twice(job: Job) -> Iterator[InputError]:
    """Find two post settings for one skein."""
    planned, done = job.route.wound_at, job.build.wound_at
    if planned is not None and done is not None and planned.value != done.value:
        rule = f"must equal route.wound_at, {planned.text}, where both are given"
        yield SpecError("build.wound_at", done.text, rule, "take out the one that is not so")


def _measured_over_the_stretch(job: Job) -> Iterator[InputError]:
    """Find a measuring load that would stretch the line anew."""
    loads, to = make_loads(job, known_strand(job)), Written.on(job.paper)
    if loads.measure > loads.stretch:
        entered = job.route.measure or job.route.stretch
        field = "route.measure" if job.route.measure is not None else "route.stretch"
        side = f"the stretch load, {to.force(loads.stretch)}, or less"
        if field == "route.stretch":
            side = f"the measuring load, {to.force(loads.measure)}, or more"
        given = to.force(loads.measure) if entered is None else entered.text
        remedy = "measure at a lower load, or stretch at a higher one"
        yield LimitError(field, given, f"must be {side}", remedy)


def _nock_the_wrong_way_round(job: Job) -> Iterator[InputError]:
    """Find a nock that would not hold what snaps into it."""
    nock = job.bow.nock
    if nock is not None and nock.entry is not None and nock.entry.value > nock.seat.value:
        rule = f"must be bow.nock.seat, {nock.seat.text}, or less"
        yield SpecError("bow.nock.entry", nock.entry.text, rule, "swap the two, or measure again")


def _shorthand_of_another_line(job: Job) -> Iterator[InputError]:
    """Find shorthands whose overall length is not that of the line, nor of each other.

    Where every serving has edges of its own, the original's shorthand says nothing of the line.
    """
    own = all(s.start is not None and s.stop is not None for s in job.line.servings)
    known: list[tuple[str, str, Fraction]] = []
    if job.line.finished is not None:
        known.append(("line.finished", job.line.finished.text, job.line.finished.value))
    for field, text in (
        ("line.shorthand", job.line.shorthand),
        ("original.shorthand", job.original.shorthand),
    ):
        if not text or (own and field == "original.shorthand"):
            continue
        length = read_shorthand(text, field).length
        shown = text.split(":")[0].split(";")[0].strip()
        other = next((k for k in known if abs(k[2] - length) > _SAME_LINE), None)
        if other is not None:
            rule = f"must begin with a length within 1/4 in (6.4 mm) of {other[0]}, {other[1]}"
            yield SpecError(field, shown, rule, f"mend it or {other[0]}; they are one line")
        known.append((field, shown, length))


def _string_of_another_bow(job: Job) -> Iterator[InputError]:
    """Find strings that cannot be the bow's, where a brace height is asked for by the two."""
    long = job.bow.bow_length
    if long is None or not asks_for_brace(job):
        return
    read = [
        (f"original.readings[{number}].length", reading.length)
        for number, reading in enumerate(job.original.readings, start=1)
    ]
    label = job.original.label
    if label is not None and label.says == "string length":
        read.append(("original.label.length", label.length))
    for field, entered in read:
        if not _LEAST_SHORTER <= long.value - entered.value <= _MOST_SHORTER:
            yield SpecError(
                field,
                entered.text,
                f"must be 1 to 7 in shorter than bow.bow_length, {long.text}, to brace that bow",
                "measure both again; is it the bow's own string, and its nock-to-nock length?",
            )


def _proof_without_turns(job: Job) -> Iterator[InputError]:
    """Find a proof that was read before any turn was in, on a line that is to be twisted."""
    build = job.build
    meant = job.makeup.turns == 0.0 or (
        job.makeup.twist is not None and job.makeup.twist.value == 0
    )
    proofs = [(n, r) for n, r in enumerate(build.readings, start=1) if r.stage == "proof"]
    if meant or not proofs:
        return
    rule, remedy = "must be above 0 where the proof has been read", "give the turns that are in"
    if build.turns == 0.0:
        yield SpecError("build.turns", "0", rule, remedy)
    for number, reading in proofs:
        if reading.turns == 0.0:
            yield SpecError(f"build.readings[{number}].turns", "0", rule, remedy)
