"""Refusals: entries that can be read but cannot be meant, found before anything is computed.

The ranges are wide: they catch a slipped point, a unit mistaken for another and a zero where a
size belongs. What is merely unusual is left to the warnings of the plan.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cache

from strandwright.errors import (
    GeometryError,
    InputError,
    InputErrors,
    LimitError,
    SpecError,
)
from strandwright.line.standards import MEASURING_PIN_DIAMETER
from strandwright.planning.details.refusals import odd_details
from strandwright.planning.entries.contradictions import contradictions
from strandwright.planning.entries.named import Entry, entries_of
from strandwright.planning.entries.unseen import unseen_in
from strandwright.planning.four_posts.arms import unfit_arms
from strandwright.planning.loops import EndLoop, line_loops, original_loops
from strandwright.planning.makings.yoke import unfit_yoke
from strandwright.units import Dimension, Entered, format_length, parse
from strandwright.workshop.fields import Noun
from strandwright.workshop.job import Job


@dataclass(frozen=True)
class Range:
    """The values that an entry of a job may have.

    Attributes
    ----------
    low, high : str
        Lowest and highest value, both allowed, as somebody would type them.
    dimension : Dimension
        The kind of quantity.
    """

    low: str
    high: str
    dimension: Dimension

    def holds(self, entered: Entered) -> bool:
        """Say whether an entry is in the range.

        Parameters
        ----------
        entered : Entered
            The entry.

        Returns
        -------
        bool
            True in the range, ends included.
        """
        low, high = (_bound(self.dimension, end) for end in (self.low, self.high))
        return low <= entered.value <= high


@cache
def _bound(dimension: Dimension, text: str) -> Fraction:
    """Read one end of a range; most ends are shared."""
    return parse(dimension, text, field="range", signed=True).value


_SIZE = Range("0.5 mm", "4 in", Dimension.LENGTH)
_LINE = Range("6 in", "20 ft", Dimension.LENGTH)
_ON_BOW = Range("0 in", "20 ft", Dimension.LENGTH)
_LOAD = Range("1 lbf", "3000 lbf", Dimension.FORCE)
_SHARE = Range("0 %", "100 %", Dimension.RATIO)
_TIME = Range("0 s", "60 d", Dimension.DURATION)
_ROOM = Range("-40 degC", "60 degC", Dimension.TEMPERATURE)
_BEAM = Range("6 in", "60 ft", Dimension.LENGTH)

#: Widest +- of a length, as a share of it [-]
_WIDEST = Fraction(1, 4)

#: What is measured on a bow as it stands, wanted of it, or read before and after a trial.
_FIGURES = {
    "brace_height": Range("1 in", "20 in", Dimension.LENGTH),
    "axle_to_axle": _LINE,
    "draw_length": Range("5 in", "50 in", Dimension.LENGTH),
    "draw_weight": Range("1 lbf", "600 lbf", Dimension.FORCE),
}

#: The range of each entry, by its place in the job file without counts.
RANGES = {
    **{f"bow.{name}": held for name, held in _FIGURES.items()},
    **{
        f"bow.{which}.{name}": held
        for which in ("now", "wanted", "trials.before", "trials.after")
        for name, held in _FIGURES.items()
    },
    **{
        f"bow.{which}.centring": Range("-6 in", "6 in", Dimension.LENGTH)
        for which in ("now", "wanted", "trials.before", "trials.after")
    },
    "bow.bow_length": _LINE,
    "bow.rail": Range("1/8 in", "4 in", Dimension.LENGTH),
    "bow.draw_board.draw": _FIGURES["draw_length"],
    "bow.draw_board.force": Range("0 lbf", "600 lbf", Dimension.FORCE),
    "bow.arrow": Range("1 g", "200 g", Dimension.MASS),
    "bow.shot": Range("10 m/s", "200 m/s", Dimension.SPEED),
    "bow.let_off": _SHARE,
    "bow.stored_energy": Range("1 J", "1000 J", Dimension.ENERGY),
    "bow.efficiency": Range("5 %", "100 %", Dimension.RATIO),
    "bow.tracks.width": _SIZE,
    "bow.pegs.diameter": _SIZE,
    "bow.pegs.limb_width": _SIZE,
    "bow.pegs.limb_thickness": _SIZE,
    "bow.nock.seat": _SIZE,
    "bow.nock.entry": _SIZE,
    "bow.loads.resting": _LOAD,
    "bow.loads.highest": _LOAD,
    "bow.loads.release": _LOAD,
    "original.readings.length": _LINE,
    "original.readings.zero_post": _SIZE,
    "original.readings.far_post": _SIZE,
    "original.readings.load": Range("0.1 lbf", "3000 lbf", Dimension.FORCE),
    "original.readings.temperature": _ROOM,
    "original.label.length": _LINE,
    "original.bare_diameter": _SIZE,
    "original.served_diameter": _SIZE,
    "original.zero_loop": Range("1/4 in", "12 in", Dimension.LENGTH),
    "original.far_loop": Range("1/4 in", "12 in", Dimension.LENGTH),
    "line.finished": _LINE,
    "line.tolerance": Range("0.1 mm", "2 in", Dimension.LENGTH),
    "line.zero_end.size": Range("1/4 in", "12 in", Dimension.LENGTH),
    "line.far_end.size": Range("1/4 in", "12 in", Dimension.LENGTH),
    "line.servings.start": _ON_BOW,
    "line.servings.stop": _ON_BOW,
    "line.servings.tension": Range("0.2 lbf", "60 lbf", Dimension.FORCE),
    "line.servings.trial_diameter": Range("0.5 mm", "1/2 in", Dimension.LENGTH),
    "line.marks.at": _ON_BOW,
    "line.marks.mass": Range("0 g", "50 g", Dimension.MASS),
    "makeup.own_strand.linear_density": Range("0.01 g/m", "5 g/m", Dimension.LINEAR_DENSITY),
    "makeup.own_strand.weighed_length": Range("1 ft", "1000 m", Dimension.LENGTH),
    "makeup.own_strand.weighed_mass": Range("0.01 g", "2 kg", Dimension.MASS),
    "makeup.own_strand.break_load": Range("1 lbf", "1000 lbf", Dimension.FORCE),
    "makeup.own_strand.break_strain": Range("0.5 %", "40 %", Dimension.RATIO),
    "makeup.own_strand.stiffness": Range("50 N", "200 kN", Dimension.FORCE),
    "bench.zero_post": Range("1 mm", "4 in", Dimension.LENGTH),
    "bench.far_post": Range("1 mm", "4 in", Dimension.LENGTH),
    "bench.loop_pin": Range("1 mm", "4 in", Dimension.LENGTH),
    "bench.arms.between": Range("1/2 in", "24 in", Dimension.LENGTH),
    "bench.arms.pivot": _SHARE,
    "bench.arms.post": Range("1 mm", "4 in", Dimension.LENGTH),
    "bench.longest": _BEAM,
    "bench.shortest": Range("0 in", "60 ft", Dimension.LENGTH),
    "bench.post_stiffness": Range("0.5 N/mm", "1000000 N/mm", Dimension.STIFFNESS),
    "bench.drag": Range("0.1 lbf", "40 lbf", Dimension.FORCE),
    "bench.gauge_uncertainty": Range("0.01 %", "100 %", Dimension.RATIO),
    "bench.ear_checks.heard": _LOAD,
    "bench.ear_checks.true": _LOAD,
    "bench.rating": Range("1 lbf", "100000 lbf", Dimension.FORCE),
    "bench.temperature": _ROOM,
    "bench.bobbin": Range("1 ft", "1000 m", Dimension.LENGTH),
    "bench.tape_reads": Range("0.001 in", "1/2 in", Dimension.LENGTH),
    "bench.scale_reads": Range("0.1 mg", "100 g", Dimension.MASS),
    "route.wound_at": _BEAM,
    "route.equalise": _LOAD,
    "route.stretch": _LOAD,
    "route.stretch_dwell": _TIME,
    "route.settle": _LOAD,
    "route.serve": _LOAD,
    "route.measure": _LOAD,
    "route.rest": _TIME,
    "build.wound_at": _BEAM,
    "line.yoke.leg": Range("1 in", "40 in", Dimension.LENGTH),
    "line.yoke.span": Range("0.1 in", "12 in", Dimension.LENGTH),
    "line.yoke.strap.loop": _SIZE,
    "line.yoke.strap.friction": Range("0 %", "100 %", Dimension.RATIO),
    "build.legs.left": Range("1 in", "20 ft", Dimension.LENGTH),
    "build.legs.right": Range("1 in", "20 ft", Dimension.LENGTH),
    "build.legs.overall": _LINE,
    "build.legs.span": Range("0.1 in", "12 in", Dimension.LENGTH),
    "build.legs.load": _LOAD,
    "build.readings.length": _LINE,
    "build.readings.load": _LOAD,
    "build.readings.zero_pin": _SIZE,
    "build.readings.far_pin": _SIZE,
    "build.readings.rest": _TIME,
    "build.readings.temperature": _ROOM,
}


def refuse_impossible(job: Job, passed: Job | None = None) -> None:
    """Refuse a job with entries that cannot be meant, or that name what the job does not have.

    Parameters
    ----------
    job : Job
        The job.
    passed : Job or None
        One that was not refused and differs in places along the line alone; what is the same in
        both is not looked at again.

    Raises
    ------
    InputError
        For one such entry: field, value, rule and remedy.
    InputErrors
        For several.
    """
    found = _odd_entries(job, passed=passed)
    if not found:
        # Only among sane numbers does it tell anything that two of them do not go together.
        checks = (_names, contradictions)
        if passed is None:
            others = (_unknown_names, _uneven_pattern, odd_details, _tight_loops)
            others = (*others, unfit_arms, unfit_yoke)
            checks = (_off_the_beam, _names, *others, contradictions)
        found = [error for check in checks for error in check(job)]
    _raise(found)


def refuse_impossible_part(noun: Noun, where: str, passed: Noun | None = None) -> None:
    """Refuse a bench or a bow, before it is kept, with entries that cannot be meant.

    Parameters
    ----------
    noun : Noun
        The bench or the bow.
    where : str
        What it is in a job's file: ``bench``, ``bow``.
    passed : Noun or None
        What is kept already; what is the same there is not looked at again.

    Raises
    ------
    InputError
        For one such entry: field, value, rule and remedy.
    InputErrors
        For several.
    """
    _raise(_odd_entries(noun, f"{where}.", passed))


def _odd_entries(noun: Noun, place: str = "", passed: Noun | None = None) -> list[InputError]:
    """Find the entries that cannot be meant, each looked at by itself."""
    entries = list(entries_of(noun, place, passed))
    checks = (_out_of_range, _unfinite, _vague_lengths, unseen_in)
    return [error for check in checks for error in check(entries)]


def _raise(found: Sequence[InputError]) -> None:
    if len(found) == 1:
        raise found[0]
    if found:
        raise InputErrors(tuple(found))


@cache
def _unnumbered(field: str) -> str:
    """Take the numbers of a list's items out of a field's name: all have one range."""
    return re.sub(r"\[\d+\]", "", field)


def _out_of_range(entries: Sequence[Entry]) -> Iterator[InputError]:
    for field, value in entries:
        if not isinstance(value, Entered):
            continue
        allowed = RANGES.get(_unnumbered(field))
        if allowed is not None and not allowed.holds(value):
            rule = f"must lie between {allowed.low} and {allowed.high}"
            yield LimitError(field, value.text, rule, "check the number and its unit")


def _unfinite(entries: Sequence[Entry]) -> Iterator[InputError]:
    for field, value in entries:
        if isinstance(value, float) and not math.isfinite(value):
            yield SpecError(field, value, "must be a finite number", "write the number again")


def _vague_lengths(entries: Sequence[Entry]) -> Iterator[InputError]:
    """Find lengths whose +- is so wide that a slipped unit or point is likelier."""
    for field, value in entries:
        if not isinstance(value, Entered) or value.half_range is None:
            continue
        allowed = RANGES.get(_unnumbered(field))
        if (
            allowed is None
            or allowed.dimension is not Dimension.LENGTH
            or _bound(Dimension.LENGTH, allowed.low) <= 0
        ):
            # A position may be near 0, where a share of it says nothing.
            continue
        if value.half_range > _WIDEST * value.value:
            rule = "must have a +- of 25 % of the length at most"
            yield LimitError(field, value.text, rule, "check the +- and its unit")


def _off_the_beam(job: Job) -> Iterator[InputError]:
    """Find a post setting that the bench does not have."""
    bench = job.bench
    for field, posts in (
        ("route.wound_at", job.route.wound_at),
        ("build.wound_at", job.build.wound_at),
    ):
        if posts is None:
            continue
        if posts.value > bench.longest.value:
            rule = f"must be within the reach of the posts, {bench.longest.text}"
            yield LimitError(field, posts.text, rule, "mend it, or bench.longest")
        elif bench.shortest is not None and posts.value < bench.shortest.value:
            rule = f"must be what the posts can close to, {bench.shortest.text}, or more"
            yield LimitError(field, posts.text, rule, "mend it, or bench.shortest")


def _tight_loops(job: Job) -> Iterator[InputError]:
    """Find pins that do not leave room for the loops they are said to carry, legs and all.

    A pin that the original was read over matters only where the length asked for comes from
    that reading.
    """
    try:
        new, old = line_loops(job), original_loops(job)
    except InputError:
        return  # what keeps a loop from being made is told where the line is made
    small = [end for end in new if not end.closes(MEASURING_PIN_DIAMETER)]
    yield from (_too_small_to_measure(job, end) for end in small)
    found = [] if small else [(end, "bench.loop_pin", job.bench.loop_pin) for end in new]
    readings = job.original.readings if job.line.finished is None else ()
    for number, reading in enumerate(readings, start=1):
        place = f"original.readings[{number}]"
        last = ("zero_post", reading.zero_post)
        if reading.far_post is not None:
            last = ("far_post", reading.far_post)
        found.append((old[0], f"{place}.zero_post", reading.zero_post))
        found.append((old[1], f"{place}.{last[0]}", last[1]))
    told: set[str] = set()
    for end, field, pin in found:
        if pin is not None and field not in told and not end.closes(pin.si):
            told.add(field)
            yield end.refusal(field, pin.text)


def _too_small_to_measure(job: Job, end: EndLoop) -> GeometryError:
    """Say that a loop does not go over the pins a line is measured on."""
    pin = format_length(MEASURING_PIN_DIAMETER, system=job.paper.units)
    rule = f"must go over the measuring pin, {pin}, with room for its legs"
    remedy = "check the loop's inside length laid flat"
    return GeometryError(f"{end.place}.size", end.size, rule, remedy)


def _unknown_names(job: Job) -> Iterator[InputError]:
    """Find pegs and tracks that the bow does not list."""
    pegs = [peg.name for peg in job.bow.pegs]
    tracks = [track.name for track in job.bow.tracks]
    for which, end in (("zero_end", job.line.zero_end), ("far_end", job.line.far_end)):
        if end.peg is not None and end.peg not in pegs:
            yield _unknown(f"line.{which}.peg", end.peg, "bow.pegs", pegs)
    for number, serving in enumerate(job.line.servings, start=1):
        if serving.track is not None and serving.track not in tracks:
            yield _unknown(f"line.servings[{number}].track", serving.track, "bow.tracks", tracks)


def _names(job: Job) -> Iterator[InputError]:
    """Find names that say nothing, and names that two things of a kind share."""
    if not job.name.strip():
        yield SpecError("name", job.name, "must not be empty", "name the job")
    for field, nouns in (
        ("bow.tracks", job.bow.tracks),
        ("bow.pegs", job.bow.pegs),
        ("line.servings", job.line.servings),
        ("line.marks", job.line.marks),
        ("makeup.colours", job.makeup.colours),
    ):
        names = [noun.name.strip().casefold() for noun in nouns]
        for number, noun in enumerate(nouns):
            place = f"{field}[{number + 1}].name"
            if not names[number]:
                yield SpecError(place, noun.name, "must not be empty", "give it a name")
            elif names[number] in names[:number]:
                remedy = "give each a name of its own"
                yield SpecError(place, noun.name, "must not stand there twice", remedy)


def _unknown(field: str, name: str, table: str, known: list[str]) -> SpecError:
    remedy = f"choose {' or '.join(known)}, or add it to {table}" if known else f"add {table}"
    return SpecError(field, name, f"must be among the names in {table}", remedy)


def _uneven_pattern(job: Job) -> Iterator[InputError]:
    """Hold halves and thirds to colours that can be laid so."""
    makeup = job.makeup
    wanted = {"halves": 2, "thirds": 3}.get(makeup.pattern)
    if wanted is None or not makeup.colours:
        return
    counts = [run.strands for run in makeup.colours]
    if len(counts) != wanted or max(counts) - min(counts) > 1:
        yield SpecError(
            "makeup.pattern",
            f"{makeup.pattern}, colours {' + '.join(str(c) for c in counts)}",
            f"must have {wanted} colours whose strands differ by one at most",
            'change the strands of a colour, or set pattern = "free"',
        )
