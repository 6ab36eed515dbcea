"""Remedies: what would make a line land more surely, what each gains and what it costs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

from strandwright.planning.guided import asked_readings
from strandwright.planning.hearing.known import heard_uncertainty
from strandwright.planning.readings.noise import read_noise
from strandwright.planning.result import Remedy
from strandwright.planning.unknowns import BY_EAR
from strandwright.planning.worth.candidates import Candidate, candidates, further_stop
from strandwright.planning.worth.foreseen import other_ways, predicted
from strandwright.planning.worth.grounds import WORTH_TELLING, Chances, Grounds, narrowed
from strandwright.planning.worth.minutes import saved, work
from strandwright.reference import practice
from strandwright.units import Dimension, parse

#: Scale of a tape that was checked against a known rule: 1/64 in in 26 ft; estimate [-]
CHECKED_TAPE = 5.0e-5
#: What is gained of the +- alone must be so much of it to be told of [-]
_NARROWER = 0.1
#: Noise of a reading that falls by less than this is the same [-]
_SMALLEST = 0.01
#: A tape is read no finer than this, by the units of the paper.
_FINE_LOOKS = {"in": "1/64 in", "mm": "0.25 mm"}


@dataclass(frozen=True, eq=False)
class _Option:
    """One thing that could be done, and the chances it would give."""

    name: str
    then: Chances
    step_u: float
    time: float = 0.0
    once: str = ""


def find_remedies(grounds: Grounds, *, anew: bool) -> tuple[Remedy, ...]:
    """Say what would make the line land more surely.

    Parameters
    ----------
    grounds : Grounds
        What is known of the line.
    anew : bool
        Whether builds with another stretch, rest or jig are predicted too.

    Returns
    -------
    tuple of Remedy
        The greatest gain in chance first; what gains nothing is left out.
    """
    now = grounds.chances()
    options: list[_Option] = [
        *_of_the_readings(grounds),
        *_of_tape_and_load(grounds),
        *_beside(grounds),
    ]
    if anew and not grounds.prepared.job.build.readings:
        options += _built_otherwise(grounds, now)
    u = math.hypot(now.left, grounds.tools.step_u)
    found = [_remedy(grounds, now, option) for option in options]
    kept = [
        r
        for r in found
        if r.u < (1.0 - _NARROWER) * u or r.gain_first >= WORTH_TELLING or r.gain >= WORTH_TELLING
    ]
    return tuple(sorted(kept, key=lambda r: (-round(r.gain_first + r.gain, 3), r.u)))


def _remedy(grounds: Grounds, now: Chances, option: _Option) -> Remedy:
    gain_first, gain = option.then.first - now.first, option.then.after - now.after
    return Remedy(
        name=option.name,
        u=math.hypot(option.then.left, option.step_u),
        chance=option.then.after,
        chance_first=option.then.first,
        gain=gain,
        gain_first=gain_first,
        time=option.time,
        once=option.once,
        saves=saved(grounds.prepared, gain_first, gain),
    )


def _option(grounds: Grounds, name: str, time: float = 0.0, once: str = "") -> _Option:
    return _Option(name, grounds.chances(), grounds.tools.step_u, time, once)


def _of_the_readings(grounds: Grounds) -> Iterator[_Option]:
    """Give the same readings, taken with more care, and finer turns."""
    known, tools = grounds.known, grounds.tools
    count = len(asked_readings(grounds.prepared))
    if count:
        twice = grounds.knowing(known, replace(tools, reading=tools.reading / math.sqrt(2.0)))
        yield _option(twice, "read every length twice",
                      count * work("reading"))  # fmt: skip
    quarters = grounds.knowing(known, replace(tools, turn_step=0.25))
    yield _option(quarters, "put in the last turns by quarters", work("turning"))
    if count:
        finer = _read_finer(grounds)
        if finer is not None:
            yield _option(*finer, count * work("look"))


def _read_finer(grounds: Grounds) -> tuple[Grounds, str] | None:
    """Give the tape read to a finer step; None where it is read so by now."""
    prepared, tools = grounds.prepared, grounds.tools
    job, load = prepared.job, prepared.loads.measure
    step = _FINE_LOOKS[job.paper.units]
    reads = parse(Dimension.LENGTH, step, field="bench.tape_reads")
    bench = job.bench.model_copy(update={"tape_reads": reads})
    then = replace(prepared, job=job.model_copy(update={"bench": bench}))
    look, fine = read_noise(prepared, load), read_noise(then, load)
    if fine >= (1.0 - _SMALLEST) * look:
        return None
    noise = math.sqrt(tools.reading**2 - look**2 + fine**2)
    finer = grounds.knowing(grounds.known, replace(tools, reading=noise))
    return finer, f"read the tape to {step}"


def _of_tape_and_load(grounds: Grounds) -> Iterator[_Option]:
    """Give a better tape, a better gauge, the ear."""
    prepared, known, tools = grounds.prepared, grounds.known, grounds.tools
    job, load = prepared.job, prepared.loads.measure
    tape = known.standard_uncertainty("tape_scale")
    steel = practice("tape.scale_error").standard_uncertainty
    if job.bench.tape != "steel" and tape > 1.2 * steel:
        better = grounds.knowing(narrowed(known, "tape_scale", steel))
        yield _option(better, "measure with a steel tape", once="to buy, once")
    if tape > 2.0 * CHECKED_TAPE:
        checked = grounds.knowing(narrowed(known, "tape_scale", CHECKED_TAPE))
        yield _option(checked, "check the tape by a known rule",
                      once=f"{work('tape_check') / 60.0:.0f} min, once")  # fmt: skip
    gauge, cell = known.standard_uncertainty("gauge"), practice("gauge.load_cell").value
    if gauge > 1.2 * cell:
        noise = _with_gauge(grounds, "load cell")
        better = grounds.knowing(narrowed(known, "gauge", cell), replace(tools, reading=noise))
        yield _option(better, "put a load cell on the pull", once="to buy, once")
    if job.bench.gauge != BY_EAR:
        heard = heard_uncertainty(job, prepared.strand, load, prepared.model.line.length)
        if gauge >= 1.2 * heard:
            noise = _with_gauge(grounds, BY_EAR)
            by_ear = narrowed(known, "gauge", heard)
            count = len(asked_readings(prepared))
            yield _option(grounds.knowing(by_ear, replace(tools, reading=noise)),
                          "hear the load in the pluck", count * work("look"))  # fmt: skip


def _with_gauge(grounds: Grounds, gauge: str) -> float:
    """Standard uncertainty of one reading by itself with another gauge [m]."""
    return read_noise(grounds.prepared, grounds.prepared.loads.measure, gauge=gauge)


def _beside(grounds: Grounds) -> Iterator[_Option]:
    """Give readings that the route does not ask for."""
    for candidate in candidates(grounds):
        if not candidate.asked:
            then = with_candidate(grounds, candidate)
            yield _Option(candidate.title, then, grounds.tools.step_u, candidate.time)


def with_candidate(grounds: Grounds, candidate: Candidate) -> Chances:
    """Chances with one reading beside those that are asked for.

    Parameters
    ----------
    grounds : Grounds
        What is known of the line.
    candidate : Candidate
        The reading.

    Returns
    -------
    Chances
        At the first proof, and after correction.
    """
    if candidate.at_proof:
        return grounds.chances(at_proof=candidate.evidence)
    return grounds.chances(candidate.evidence)


def _built_otherwise(grounds: Grounds, now: Chances) -> Iterator[_Option]:
    """Give a further stop and other ways to build, each by two predictions of one kind."""
    plain, chosen = predicted(replace(grounds.prepared, parameters=grounds.known), grounds)
    base = plain.chances()

    def beside(then: Chances) -> Chances:
        return Chances(
            first=min(max(now.first + then.first - base.first, 0.0), 1.0),
            after=min(max(now.after + then.after - base.after, 0.0), 1.0),
            left=now.left * then.left / base.left,
        )

    stop = further_stop(plain, chosen.settings)
    if stop is not None:
        then = beside(with_candidate(plain, stop))
        yield _Option(stop.title, then, grounds.tools.step_u, stop.time)
    for way in other_ways(grounds, chosen):
        then = beside(way.grounds.chances())
        yield _Option(way.name, then, way.grounds.tools.step_u, way.time, way.once)
