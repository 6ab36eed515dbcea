"""A job's bow answered: all that is known of it in one place, numbers and words."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strandwright.errors import InputError, InputErrors
from strandwright.planning.bow.bolts import BoltTurn, bolt_turn
from strandwright.planning.bow.details import bow_details
from strandwright.planning.bow.guarding import Guarding, bare_parts, guarding
from strandwright.planning.bow.known import question
from strandwright.planning.bow.model import BowModel, model_bow
from strandwright.planning.bow.readings_only import (
    FromReadings,
    from_readings,
    goes_by_readings,
)
from strandwright.planning.bow.speed import BeyondCost, Speed, cost_beyond, string_speed
from strandwright.planning.bow.touched import (
    ServingCover,
    TouchedPart,
    covers,
    lane_of,
    touched_parts,
)
from strandwright.planning.bow.turning import Turning, turning
from strandwright.planning.details.section import DetailSection
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.workshop.job import Job


@dataclass(frozen=True)
class BowAnswers:
    """What a job's bow answers.

    Attributes
    ----------
    model : BowModel
        Bows that agree with what is known.
    line : str
        The bow's line that the job builds.
    figures : dict of str to Estimate
        Figures of the bow by name, over the family.
    tension : dict of str to (Estimate, Estimate)
        For each line its tension at brace, and the highest of a slow draw [N]
    parts : tuple of TouchedPart
        What the bow touches of the line.
    covers : tuple of ServingCover
        What its servings cover of that.
    beyond : dict of str to BeyondCost
        What it costs in speed that they cover more, by serving; empty for a cable.
    turning : Turning
        What turns do, and which bring the bow home.
    speed : Speed or None
        Arrow speed and what takes from it; None for a cable.
    guarding : Guarding or None
        What the cable guard bears and takes up; None without one.
    bolts : BoltTurn or None
        What a turn of the limb bolts does; None where there are none.
    bare : tuple of TouchedPart
        What the bow touches of the line that has no serving.
    details : tuple of DetailSection
        Patches, the peep by this bow's draw, marks of usual mass.
    """

    model: BowModel
    line: str
    figures: dict[str, Estimate]
    tension: dict[str, tuple[Estimate, Estimate]]
    parts: tuple[TouchedPart, ...]
    covers: tuple[ServingCover, ...]
    beyond: dict[str, BeyondCost]
    turning: Turning
    speed: Speed | None
    guarding: Guarding | None
    bolts: BoltTurn | None
    bare: tuple[TouchedPart, ...]
    details: tuple[DetailSection, ...] = ()


#: Figures that are shown, with their SI units.
_SHOWN = (
    ("brace_height", "m"),
    ("axle_to_axle", "m"),
    ("axle_to_axle_drawn", "m"),
    ("draw_length", "m"),
    ("peak", "N"),
    ("holding", "N"),
    ("let_off", "1"),
    ("stored_energy", "J"),
    ("string_angle", "rad"),
)


#: The same where nothing lets the force off.
_SHOWN_BENT = tuple(
    row
    for row in _SHOWN
    if row[0] in ("brace_height", "draw_length", "peak", "stored_energy", "string_angle")
)


#: Of a crossbow, whose draw is counted from its brace and whose latch holds all of it.
_SHOWN_FLAT = (
    ("brace_height", "m"),
    ("axle_to_axle", "m"),
    ("axle_to_axle_drawn", "m"),
    ("power_stroke", "m"),
    ("peak", "N"),
    ("last_force", "N"),
    ("stored_energy", "J"),
    ("string_angle", "rad"),
)
#: Of one without wheels, which pulls hardest at its latch.
_SHOWN_PROD = tuple(
    row for row in _SHOWN_FLAT if not row[0].startswith("axle") and row[0] != "last_force"
)


def answer_bow(job: Job, plan: Plan) -> BowAnswers:
    """Answer for a job's bow.

    Parameters
    ----------
    job : Job
        The job.
    plan : Plan
        Its line.

    Returns
    -------
    BowAnswers
        The first time takes some seconds; after that only what changed is worked out.

    Raises
    ------
    InputError
        If the bow is not known well enough, or no bow agrees with what is said of it.
    InputErrors
        For several figures left out.
    """
    model = model_bow(question(job, plan))
    parts = touched_parts(job, plan, model)
    read = model.family.figures
    wheels = bool(model.family.strung.bow.wheels)
    kinds = (_SHOWN_PROD, _SHOWN_FLAT) if model.crossbow else (_SHOWN_BENT, _SHOWN)
    shown = kinds[wheels]
    figures = {name: _estimate(getattr(read, name), unit) for name, unit in shown}
    tension: dict[str, tuple[Estimate, Estimate]] = {}
    covered = covers(plan, parts, crossbow=model.crossbow, wheels=wheels)
    drawn, rig = model.family.cycle.tension, model.family.strung.rig
    for index, name in enumerate(model.lines):
        own = drawn[:, :, rig.of_line == index].max(axis=2)
        tension[name] = (_estimate(own[:, 0], "N"), _estimate(own.max(axis=1), "N"))
    return BowAnswers(
        model,
        lane_of(job, model).line,
        figures,
        tension,
        parts,
        covered,
        cost_beyond(job, plan, model, covered),
        turning(job, plan, model),
        string_speed(job, plan, model),
        guarding(job, model),
        bolt_turn(job, model),
        bare_parts(plan, parts),
        bow_details(job, plan, model, parts),
    )


def answer_or_readings(job: Job, plan: Plan) -> BowAnswers | FromReadings:
    """Answer for a job's bow, by its readings alone where no bows can be asked.

    Parameters
    ----------
    job : Job
        The job.
    plan : Plan
        Its line.

    Returns
    -------
    BowAnswers or FromReadings
        The second where the kind of bow is not modelled, or too little is known of it and there
        are readings to go by.

    Raises
    ------
    InputError
        If neither can be: a figure is missing or out of reach and nothing was read.
    InputErrors
        For several.
    """
    try:
        model_bow(question(job, plan))
    except (InputError, InputErrors) as error:
        if not goes_by_readings(job, error):
            raise
        return from_readings(job, plan, error)
    return answer_bow(job, plan)


def _estimate(values: np.ndarray, unit: str) -> Estimate:
    return Estimate(float(values.mean()), float(values.std(ddof=1)), unit)
