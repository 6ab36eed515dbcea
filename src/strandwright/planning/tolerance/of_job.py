"""The study of a job: its plan turned into what many builds go by."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace

import numpy as np

from strandwright.errors import InputError, InputErrors
from strandwright.line.build import Settings, build_finished, read_lengths
from strandwright.numerics.batches import Batches
from strandwright.numerics.propagation import propagate
from strandwright.numerics.tally import Ruler
from strandwright.planning.forecast import INTERACTING
from strandwright.planning.guided import asked_readings
from strandwright.planning.plan_line import MODEL_VERSION, plan_line
from strandwright.planning.prepare import Prepared, prepare
from strandwright.planning.readings.noise import read_noise
from strandwright.planning.readings.part_way import with_part_way
from strandwright.planning.result import Plan
from strandwright.planning.settings import STEEPEST
from strandwright.planning.tolerance.bow_slopes import BowSlopes, bow_slopes
from strandwright.planning.tolerance.builds import Floats, LineBuilds
from strandwright.planning.tolerance.course import Course, ReadStage
from strandwright.planning.tolerance.study import STUDY_VERSION, Proving, Study
from strandwright.workshop.job import Job

#: The three turn counts span what so many standard uncertainties of the blind length ask for [-]
_SPAN = 2.5
#: Errors are counted apart up to so many of them [-]
_REACH = 8.0
#: And up to so many tolerances at least [-]
_TOLERANCES = 4.0


@dataclass(frozen=True)
class JobStudy:
    """The study of a job, beside the plan it goes by.

    Attributes
    ----------
    plan : Plan
        The plan before any reading of the build.
    study : Study
        The study.
    no_bow : str
        Why the bow cannot be asked; empty where it is.
    """

    plan: Plan
    study: Study
    no_bow: str


def study_of(job: Job, builds: int, seed: int) -> JobStudy:
    """Make the tolerance study of a job.

    Parameters
    ----------
    job : Job
        The job; readings of its own build are left aside.
    builds : int
        Builds to draw, >= 1 [-]
    seed : int
        Of all that is drawn, >= 0 [-]

    Returns
    -------
    JobStudy
        Ready to be worked out.

    Raises
    ------
    InputError
        If the job cannot be planned, or there is nothing to draw.
    """
    batches = Batches(builds, seed)
    job = job.model_copy(update={"build": job.build.model_copy(update={"readings": ()})})
    plan = plan_line(job)
    prepared = _prepared_as(plan)
    bow, no_bow = _bow(job, plan)
    target, landing = plan.target, plan.landing
    far = max(_REACH * landing.blind.u, _TOLERANCES * target.tolerance)
    study = Study(
        identity="",
        builds=LineBuilds(prepared.model, plan.chosen.settings, plan.parameters),
        course=course_of(prepared, plan),
        proving=Proving(
            "proof",
            landing.to_come,
            read_noise(prepared, prepared.loads.measure, turns=plan.twist.turns),
            landing.proof.acceptance_limit,
            landing.proof.rejection_limit,
        ),
        wanted=target.length.value,
        tolerance=target.tolerance,
        original_u=target.length.u,
        most_turns=plan.twist.most_turns,
        bow=bow,
        batches=batches,
        ruler=Ruler(-far, far),
    )
    return JobStudy(plan, replace(study, identity=_identity(plan, study)), no_bow)


def _prepared_as(plan: Plan) -> Prepared:
    """The job made ready as the plan had it, with all that it knows of the unknowns."""
    prepared = prepare(plan.job, plan.target.length.value, plan.parameters)
    prepared = replace(prepared, model=replace(prepared.model, route=plan.route), loads=plan.loads)
    return with_part_way(prepared, plan.chosen)


def _bow(job: Job, plan: Plan) -> tuple[BowSlopes | None, str]:
    try:
        return bow_slopes(job, plan), ""
    except (InputError, InputErrors) as error:
        return None, str(error)


def _identity(plan: Plan, study: Study) -> str:
    """Tell studies apart: by what was asked, and by every number that it goes by.

    So a study that another version or another computer works out otherwise is another one, even
    where the difference is a last bit.
    """
    batches, course = study.batches, study.course
    asked = (plan.id, MODEL_VERSION, STUDY_VERSION, batches.draws, batches.seed, batches.size)
    numbers = (course.stages, course.squares, course.turns, course.highest, course.step,
               study.proving, study.wanted, study.tolerance, study.original_u, study.ruler,
               plan.chosen.settings)  # fmt: skip
    digest = hashlib.sha256(repr((asked, numbers)).encode())
    for table in (course.mean, course.covariance, plan.parameters.mean, plan.parameters.factor):
        digest.update(np.ascontiguousarray(table).tobytes())
    if study.bow is not None:
        digest.update(repr((study.bow.line, study.bow.figures)).encode())
        digest.update(np.ascontiguousarray(study.bow.slopes).tobytes())
    return digest.hexdigest()[:16]


def course_of(prepared: Prepared, plan: Plan) -> Course:
    """Give what is expected of a build on the way, by the plan's own propagation.

    Parameters
    ----------
    prepared : Prepared
        The job made ready as the plan has it.
    plan : Plan
        Its plan.

    Returns
    -------
    Course
        At the plan's turns, and at two counts that take the length about as far either way as
        its uncertainty may.
    """
    settings, edges = plan.chosen.settings, prepared.model.layout.edges
    asked = asked_readings(prepared)
    squares = _squares(plan)
    mean, covariance = _expected(prepared, settings, asked, squares)
    stages: list[ReadStage] = []
    for key in asked:
        stage = prepared.model.route.stage(key)
        turns = stage.turns_share * settings.turns
        noise = read_noise(prepared, stage.load, turns=turns)
        stages.append(ReadStage(key, stage.turns_share, noise))
    highest = STEEPEST * float(edges[-1] - edges[0])
    return Course(tuple(stages), squares, mean, covariance, settings.turns, highest)


def _squares(plan: Plan) -> tuple[float, float, float]:
    turns = plan.chosen.settings.turns
    # The take-up grows by the square of the turns, so one more takes up 2 N + 1 parts.
    each = abs(plan.twist.next_turn.value) / (2.0 * turns + 1.0)
    span = _SPAN * max(plan.landing.blind.u, plan.target.tolerance) / each
    middle = turns**2
    if middle < 0.1 * span:
        return 0.0, 0.5 * span, span
    return max(middle - span, 0.0), middle, middle + span


def _expected(
    prepared: Prepared,
    settings: Settings,
    asked: tuple[str, ...],
    squares: tuple[float, ...],
) -> tuple[Floats, Floats]:
    """Mean and covariance of what is read, and of the finished length, at the three counts."""
    model, counts = prepared.model, [float(np.sqrt(square)) for square in squares]

    def lengths(q: dict[str, Floats]) -> dict[str, Floats]:
        found: dict[str, Floats] = {}
        for place, turns in enumerate(counts):
            at = replace(settings, turns=turns)
            for key, length in read_lengths(model, q, at, asked).items():
                found[f"{key}:{place}"] = length
            found[f"finished:{place}"] = build_finished(model, q, at)[0].length
        return found

    spread = propagate(lengths, prepared.parameters, interacting=INTERACTING)
    names = [f"{key}:{place}" for key in (*asked, "finished") for place in range(len(counts))]
    rows = [spread.index(name) for name in names]
    return spread.mean[rows], spread.covariance[np.ix_(rows, rows)]
