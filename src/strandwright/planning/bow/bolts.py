"""What one turn of the limb bolts does to a job's bow."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.sensitivity import Response, respond_to_bolts
from strandwright.errors import SpecError
from strandwright.planning.bow.known import BowQuestion
from strandwright.planning.bow.model import BowModel, model_bow
from strandwright.planning.estimate import Estimate
from strandwright.reference import practice
from strandwright.workshop.job import Job
from strandwright.workshop.riser import LimbBolts

Floats = NDArray[np.float64]
#: Figures in the job's words, in the mechanics' and their SI units; with wheels, and without.
_WITH_WHEELS = (
    ("brace_height", "brace_height", "m"),
    ("axle_to_axle", "axle_to_axle", "m"),
    ("draw_length", "draw_length", "m"),
    ("draw_weight", "peak", "N"),
    ("holding", "holding", "N"),
    ("timing", "timing", "rad"),
)
_BENT = (("brace_height", "brace_height", "m"), ("draw_weight", "peak", "N"))
#: Turns by which bolts that were set alike may seem to differ [-].
_ALIKE = 0.125


@dataclass(frozen=True)
class BoltTurn:
    """What one turn out of the limb bolts does.

    Attributes
    ----------
    figures : tuple of str
        Names of the rows.
    both, upper, lower : tuple of Estimate
        Change of each by one turn out of both bolts, of the upper, of the lower [SI]
    tilt : Estimate
        Angle that one turn lets a limb go by [rad]
    measured : bool
        Whether the job gives both thread and arm.
    bolts : LimbBolts or None
        What the job says of them.
    """

    figures: tuple[str, ...]
    both: tuple[Estimate, ...]
    upper: tuple[Estimate, ...]
    lower: tuple[Estimate, ...]
    tilt: Estimate
    measured: bool
    bolts: LimbBolts | None


def bolt_turn(job: Job, model: BowModel) -> BoltTurn | None:
    """Work out what one turn out of the limb bolts does to a job's bow.

    Parameters
    ----------
    job : Job
        The job.
    model : BowModel
        Its bow.

    Returns
    -------
    BoltTurn or None
        None for a bow that has none, so far as the job tells.

    Raises
    ------
    SpecError
        If a bow that has no such bolts is given some, or their turns do not go together.
    """
    bolts, kind = job.bow.limb_bolts, job.bow.kind
    wheels = bool(model.family.strung.bow.wheels)
    if bolts is None and not kind.endswith("-cam"):
        return None
    if kind in ("longbow", "crossbow"):
        rule = "has no limb bolts that turns are reckoned for"
        raise SpecError("bow.limb_bolts", kind, rule, "leave them out")
    _refuse_turns(bolts)
    tilt = _tilt(bolts)
    doubt = practice("wheels.coefficient_doubt").standard_uncertainty
    doubt = float(np.hypot(tilt.u / tilt.value, doubt))
    rows = _WITH_WHEELS if wheels else _BENT
    if wheels and len(model.family.strung.bow.wheels) != 2:
        rows = tuple(row for row in rows if row[0] != "timing")
    responses = _responses(model.question)

    def column(limbs: tuple[int, ...]) -> tuple[Estimate, ...]:
        found: list[Estimate] = []
        for _, name, unit in rows:
            own, farther = (getattr(r, name)[:, limbs].sum(axis=1) for r in responses)
            found.append(_change(own, farther, tilt, unit, doubt))
        return tuple(found)

    return BoltTurn(
        tuple(name for name, _, _ in rows),
        column((0, 1)),
        column((0,)),
        column((1,)),
        tilt,
        bolts is not None and bolts.thread is not None and bolts.arm is not None,
        bolts,
    )


def turns_out(bolts: LimbBolts | None) -> tuple[float | None, float | None]:
    """Tell how many turns the bolts are out.

    Parameters
    ----------
    bolts : LimbBolts or None
        What the job says of them.

    Returns
    -------
    upper, lower : float or None
        From the bottom; None where it is not said [-]
    """
    if bolts is None:
        return None, None
    if bolts.out is not None:
        return bolts.out, bolts.out
    return bolts.upper, bolts.lower


def uneven(bolts: LimbBolts | None) -> bool:
    """Tell whether the two bolts are out by different turns.

    Parameters
    ----------
    bolts : LimbBolts or None
        What the job says of them.

    Returns
    -------
    bool
        Only where both are said.
    """
    upper, lower = turns_out(bolts)
    return upper is not None and lower is not None and abs(upper - lower) > _ALIKE


def _refuse_turns(bolts: LimbBolts | None) -> None:
    if bolts is None:
        return
    for name in ("upper", "lower"):
        if bolts.out is not None and getattr(bolts, name) is not None:
            rule = "is said twice: out stands for both bolts"
            given = getattr(bolts, name)
            raise SpecError(f"bow.limb_bolts.{name}", given, rule, "leave out one of the two")
    for name in ("out", "upper", "lower"):
        given = getattr(bolts, name)
        if given is not None and bolts.most is not None and given > bolts.most:
            rule = f"must be at most the {bolts.most:g} turns out that the bow's maker allows"
            remedy = "turn both bolts in before the bow is drawn again"
            raise SpecError(f"bow.limb_bolts.{name}", given, rule, remedy)


def _tilt(bolts: LimbBolts | None) -> Estimate:
    pitch, arm = practice("bolts.pitch"), practice("bolts.arm")
    rise, rise_u = pitch.value, pitch.relative_uncertainty
    away, away_u = arm.value, arm.relative_uncertainty
    if bolts is not None and bolts.thread is not None:
        if not 300.0 <= bolts.thread.si <= 2000.0:
            rule = "must be 8 to 50 per in"
            raise SpecError("bow.limb_bolts.thread", bolts.thread.text, rule, "count it again")
        rise, rise_u = 1.0 / bolts.thread.si, 0.0
    if bolts is not None and bolts.arm is not None:
        if not 0.0127 <= bolts.arm.si <= 0.1524:
            rule = "must be 1/2 to 6 in"
            raise SpecError("bow.limb_bolts.arm", bolts.arm.text, rule, "measure it again")
        step = bolts.arm.standard_uncertainty or min(float(bolts.arm.step), 0.003)
        away, away_u = bolts.arm.si, step / bolts.arm.si
    tilt = rise / away
    return Estimate(tilt, tilt * float(np.hypot(rise_u, away_u)), "rad")


@lru_cache(maxsize=12)
def _responses(question: BowQuestion) -> tuple[Response, Response]:
    """What bolts do, and that once more for limbs that rock a standard uncertainty farther back.

    A limb turns about its pocket, and the link that stands for it about a pivot nearer the tip.
    """
    family = model_bow(question).family
    reach = practice("bolts.reach")
    behind = reach.value - 1.0 if family.strung.bow.wheels else 0.0
    far = behind + (reach.standard_uncertainty if behind else 0.0)
    return respond_to_bolts(family.cycle, behind), respond_to_bolts(family.cycle, far)


def _change(own: Floats, farther: Floats, tilt: Estimate, unit: str, doubt: float) -> Estimate:
    mean, spread = float(own.mean()), float(own.std(ddof=1))
    rocks = float(farther.mean()) - mean
    u = float(np.sqrt(spread**2 + rocks**2 + (doubt * mean) ** 2))
    return Estimate(tilt.value * mean, tilt.value * u, unit)
