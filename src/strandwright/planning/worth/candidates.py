"""Candidates: every reading that could still be taken in a build, with what it tells and costs."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np

from strandwright.line.build import Settings, read_lengths
from strandwright.numerics.propagation import propagate
from strandwright.planning.guided import asked_readings
from strandwright.planning.hearing.known import heard_uncertainty
from strandwright.planning.readings.caliper import CALIPER
from strandwright.planning.readings.noise import read_noise
from strandwright.planning.readings.others import BARE
from strandwright.planning.unknowns import BY_EAR
from strandwright.planning.winding.plan import weighing_of
from strandwright.planning.worth.grounds import Evidence, Grounds, told_of
from strandwright.planning.worth.minutes import work
from strandwright.units import Dimension, parse
from strandwright.workshop.job import Job
from strandwright.workshop.parts import BuildMass, EarCheck

#: Known loads beside which an ear is checked are taken good to this [-]
_CHECKED_BY = 0.02


@dataclass(frozen=True, eq=False)
class Candidate:
    """A reading that could be taken.

    Attributes
    ----------
    key : str
        ``length``, ``again``, ``further``, ``diameter``, ``masses`` or ``ear``.
    title : str
        What to do, a verb first.
    stage : str
        The stage it is taken in; empty where it belongs to none.
    evidence : Evidence
        What it tells.
    time : float
        What it costs [s]
    asked : bool
        True where the route asks for it.
    """

    key: str
    title: str
    stage: str
    evidence: Evidence
    time: float
    asked: bool = False

    @property
    def at_proof(self) -> bool:
        """Whether it is taken when the proof is."""
        return self.stage == "proof"


def candidates(grounds: Grounds) -> list[Candidate]:
    """Give every reading that could be taken in what is left of a build.

    Parameters
    ----------
    grounds : Grounds
        What is known of the line.

    Returns
    -------
    list of Candidate
        In the order in which they would be taken.
    """
    found = [*_of_the_strand(grounds)]
    for key in asked_readings(grounds.prepared):
        stage = grounds.prepared.model.route.stage(key)
        length = grounds.lengths([key])
        asked = Candidate("length", f"read the length, {stage.title}", key, length,
                          work("reading"), asked=True)  # fmt: skip
        found += [asked, again(grounds, key)]
    return found


def _of_the_strand(grounds: Grounds) -> Iterator[Candidate]:
    """Give spools weighed, an ear checked, the bare diameter: each where it is not done yet."""
    job, build = grounds.prepared.job, grounds.prepared.job.build
    wound = bool(build.readings)
    if not build.masses and not wound:
        yield from _weighed(grounds)
    if job.bench.gauge == BY_EAR and not job.bench.ear_checks:
        yield from _ear_checked(grounds)
    measured = any(each.of == BARE for each in build.diameters)
    if not measured and all(reading.stage == BARE for reading in build.readings):
        yield bare_diameter(grounds)


def again(grounds: Grounds, key: str) -> Candidate:
    """Give a reading more in a stage: pulled up anew, the tape laid anew.

    Parameters
    ----------
    grounds : Grounds
        What is known of the line.
    key : str
        The stage.

    Returns
    -------
    Candidate
        The reading.
    """
    title = grounds.prepared.model.route.stage(key).title
    evidence = grounds.lengths([key])
    return Candidate("again", f"read once more, {title}", key, evidence, work("reading"))


def bare_diameter(grounds: Grounds) -> Candidate:
    """Give the diameter of the bare skein by caliper.

    Parameters
    ----------
    grounds : Grounds
        What is known of the line.

    Returns
    -------
    Candidate
        The reading.
    """
    slopes = grounds.spread.jacobian[[grounds.spread.index("bare")]]
    evidence = Evidence(slopes, np.array([CALIPER**2]))
    title = "measure the diameter of the bare skein"
    return Candidate("diameter", title, BARE, evidence, work("diameter"))


def _weighed(grounds: Grounds) -> Iterator[Candidate]:
    """Give all spools weighed: the strand's mass in the packing, and in the load where heard.

    Each spool tells of one strand: the program takes them one after the other, each as a reading
    of the logarithm of the packing.
    """
    prepared, known = grounds.prepared, grounds.known
    job = prepared.job
    runs = max(len(job.makeup.colours), 1)
    weighing = weighing_of(prepared, 0.5 * prepared.model.line.length)
    strand = weighing.relative**2
    packing = float(known.standard_uncertainty("packing") ** 2)
    rows: list[Evidence] = []
    if packing > strand:
        noise = (weighing.change_u * runs / _whole_mass(grounds)) ** 2
        # Of the strand's own variance all spools together leave what their scale does.
        left = packing - strand**2 / (strand + noise / runs)
        rows.append(told_of(known, "packing", math.sqrt(left)) or _nothing(grounds))
    if job.bench.gauge == BY_EAR:
        rows += _heard_after(grounds, _with_masses(job))
    if rows:
        evidence = _together(rows)
        title = "weigh the spools before and after"
        yield Candidate("masses", title, "", evidence, runs * work("weighing"))


def _whole_mass(grounds: Grounds) -> float:
    """Mass of the strands as wound, waxed [kg]."""
    prepared = grounds.prepared
    stock = prepared.strand.stock
    each = stock.linear_density * (1.0 + stock.wax) * prepared.model.line.length
    return each * prepared.job.makeup.strands


def _with_masses(job: Job) -> Job:
    """Give the job as if its spools had lost what they should."""
    count = max(len(job.makeup.colours), 1)
    each = parse(Dimension.MASS, "10 g", field="lost")
    masses = tuple(BuildMass(run=i, planned=each, lost=each) for i in range(count))
    build = job.build.model_copy(update={"masses": masses})
    return job.model_copy(update={"build": build})


def _ear_checked(grounds: Grounds) -> Iterator[Candidate]:
    """Give a load heard on this very line beside a known one."""
    job = grounds.prepared.job
    load = grounds.prepared.loads.measure
    true = parse(Dimension.FORCE, f"{load:.3f} N +- {2.0 * _CHECKED_BY * load:.3f} N", field="true")
    heard = parse(Dimension.FORCE, f"{load:.3f} N", field="heard")
    check = EarCheck(heard=heard, true=true, line=job.id)
    bench = job.bench.model_copy(update={"ear_checks": (*job.bench.ear_checks, check)})
    rows = _heard_after(grounds, job.model_copy(update={"bench": bench}))
    if rows:
        title = "check a heard load against a known one"
        yield Candidate("ear", title, "", _together(rows), work("ear_check"))


def _heard_after(grounds: Grounds, job: Job) -> list[Evidence]:
    """Give what becomes known of heard loads by a job that holds more."""
    prepared = grounds.prepared
    u = heard_uncertainty(job, prepared.strand, prepared.loads.measure, prepared.model.line.length)
    told = told_of(grounds.known, "gauge", max(u, 1e-4))
    return [] if told is None else [told]


def _nothing(grounds: Grounds) -> Evidence:
    return Evidence(np.zeros((0, len(grounds.known.names))), np.zeros(0))


def _together(rows: list[Evidence]) -> Evidence:
    return Evidence(
        np.concatenate([r.slopes for r in rows]), np.concatenate([r.variances for r in rows])
    )


def further_stop(grounds: Grounds, settings: Settings) -> Candidate | None:
    """Give a second stop on the way to the full count: midway between the first and the last.

    Parameters
    ----------
    grounds : Grounds
        What is known of the line.
    settings : Settings
        Post setting, turns, marks.

    Returns
    -------
    Candidate or None
        The reading; None where the route has no stop on the way, or no turn is between.
    """
    prepared = grounds.prepared
    route, turns = prepared.model.route, settings.turns
    half = next((s for s in route.stages if s.key == "half"), None)
    if half is None or turns <= 0.0:
        return None
    stop = float(np.round(turns * (1.0 + half.turns_share))) / 2.0
    if not half.turns_share * turns < stop < turns:
        return None
    stages = tuple(
        replace(s, turns_share=stop / turns) if s.key == "half" else s for s in route.stages
    )
    model = replace(prepared.model, route=replace(route, stages=stages))
    spread = propagate(
        lambda q: read_lengths(model, q, settings, ["half"]), grounds.spread.parameters
    )
    noise = read_noise(prepared, half.load, turns=stop) ** 2
    evidence = Evidence(spread.jacobian, np.array([noise]))
    said = f"{int(stop)} 1/2" if stop % 1.0 else f"{stop:.0f}"
    return Candidate("further", f"stop at {said} turns and read", "half", evidence,
                     work("reading"))  # fmt: skip
