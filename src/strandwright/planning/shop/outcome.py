"""Outcome: how one finished build came out, as it is charted over the builds of a shop."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any

from strandwright.planning.desk.advice import Advice
from strandwright.planning.shop.groups import groups_of, name_of
from strandwright.workshop.happenings.bench import DiameterRead, MassRead

Table = dict[str, Any]


@dataclass(frozen=True)
class Outcome:
    """How a build came out. What was not read is None.

    Attributes
    ----------
    build, job : str
        The build and its job.
    at : str
        When it was locked, UTC.
    bench, fibre, lot, builder : str
        What it was built on, of and by; empty where nobody said.
    length : float or None
        The last proof's length less the one asked for [m].
    length_u : float
        Standard uncertainty of that [m].
    tolerance : float
        What may be off either way [m].
    turns : float
        Turns at the end less those of the plan it began with [turn].
    mass : float or None
        What the spools lost over what they should have lost, less 1 [-].
    mass_u : float
        Standard uncertainty of that by the scale [-].
    diameter : float or None
        Diameter of the bare bundle over the one expected, less 1 [-].
    """

    build: str
    job: str
    at: str
    bench: str
    fibre: str
    lot: str
    builder: str
    length: float | None
    length_u: float
    tolerance: float
    turns: float
    mass: float | None
    mass_u: float
    diameter: float | None

    def table(self) -> Table:
        """Give it as plain values.

        Returns
        -------
        dict
            By the names of its fields.
        """
        return asdict(self)


def outcome_of(build: str, advice: Advice) -> Outcome:
    """Give how a locked build came out.

    Parameters
    ----------
    build : str
        The build.
    advice : Advice
        As it stands.

    Returns
    -------
    Outcome
        The outcome.
    """
    plan, first, state = advice.plan, advice.first, advice.state
    groups = groups_of(plan.job)
    names = {level: name_of(level, key) for level, key in groups.items()}
    landing = plan.landing
    mass, mass_u = _mass(advice)
    return Outcome(
        build=build,
        job=plan.job.id,
        at=state.ended_at,
        bench=names.get("bench", ""),
        fibre=names.get("fibre", ""),
        lot=names.get("lot", ""),
        builder=names.get("builder", ""),
        length=landing.proof.error if landing.proved else None,
        length_u=landing.proof_u,
        tolerance=landing.proof.tolerance,
        turns=state.turns - first.twist.turns,
        mass=mass,
        mass_u=mass_u,
        diameter=_diameter(advice),
    )


def outcome_from(table: Table) -> Outcome:
    """Read an outcome back from plain values.

    Parameters
    ----------
    table : dict
        As :meth:`Outcome.table` gives it.

    Returns
    -------
    Outcome
        The outcome.
    """
    return Outcome(**table)


def _mass(advice: Advice) -> tuple[float | None, float]:
    """Share by which all weighed spools together lost more than planned, and its scale's part."""
    runs = advice.first.winding.runs
    lost = {
        t.reading.run: t.reading.lost.si
        for t in advice.state.masses
        if isinstance(t.reading, MassRead) and t.reading.run < len(runs)
    }
    if not lost:
        return None, 0.0
    planned = math.fsum(runs[run].mass.value for run in lost)
    step = advice.plan.job.bench.scale_reads
    read = 1e-4 if step is None else step.si
    return math.fsum(lost.values()) / planned - 1.0, math.sqrt(len(lost) / 6.0) * read / planned


def _diameter(advice: Advice) -> float | None:
    """Share by which the bare bundle came out thicker than the first plan expected."""
    read = [
        t.reading.diameter.si
        for t in advice.state.diameters
        if isinstance(t.reading, DiameterRead) and t.reading.of == "bare"
    ]
    return read[-1] / advice.first.bare_diameter.value - 1.0 if read else None
