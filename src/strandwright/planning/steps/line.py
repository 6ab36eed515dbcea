"""The steps on the line: stretch, read, close the loops, serve, twist, settle."""

from __future__ import annotations

import math
from collections.abc import Sequence

from strandwright.line.parts import ServingKind
from strandwright.line.route import TWO_PULLS, Order
from strandwright.planning import cautions
from strandwright.planning.brace_wish import is_bent
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import ServingPlan, StagePlan, Step
from strandwright.planning.servings.on_the_bow import made_on_bow
from strandwright.planning.steps.marks import by_nock_said, mark_lines, trial_lines
from strandwright.planning.steps.phrases import (
    let_down_line,
    more_said,
    reach_said,
    rest_line,
    turning_lines,
)
from strandwright.planning.steps.words import Words, make_step


def stretch_step(words: Words, what: str, title: str, dwell: float) -> Step:
    """Word a stretch.

    Parameters
    ----------
    words : Words
        The plan in words.
    what : str
        What is stretched: ``bare`` or ``twisted``.
    title : str
        What is done.
    dwell : float
        How long [s]

    Returns
    -------
    Step
        The step.
    """
    plan = words.plan
    ten = 10.0 * (5.0 / 9.0 if plan.job.paper.units == "in" else 1.0)
    drift = Estimate(plan.load_per_kelvin.value * ten, plan.load_per_kelvin.u * ten, "N")
    degrees = "10 degF" if plan.job.paper.units == "in" else "10 K"
    return make_step(
        "stretch",
        title,
        f"{words.written.force(plan.loads.stretch)} for {words.written.duration(dwell)}",
        "pull up again as it settles; note the temperature",
        f"posts locked, {degrees} warmer is {words.either_way(drift)}",
        rest_line(words),
        caution=cautions.STRETCH,
        id=f"stretch-{what}",
        load=plan.loads.stretch,
        dwell=dwell,
    )


def read_step(words: Words, key: str) -> Step:
    """Word the reading of a length.

    Parameters
    ----------
    words : Words
        The plan in words.
    key : str
        The stage.

    Returns
    -------
    Step
        The step.
    """
    stage = words.plan.stage(key)
    lie = "posts" if key == "bare" else "pins"
    return make_step(
        "read",
        f"Read the length: {stage.title}",
        words.written.estimate(stage.length),
        f"at {words.written.force(stage.load)}, outside to outside of the "
        f"{words.written.fine(stage.pins[0])} {lie}",
        "" if not _first_pull_on_turns(words, key) else "pull it to that and no further: nothing "
        "has pulled these turns in yet, and the number counts on it",
        _buys(words, stage),
        "give the plan what it reads before going on: the turns follow from it",
        caution=cautions.RETENSION,
        done=_taken(words, key),
        id=f"read-{key}",
        stage=key,
        load=stage.load,
    )


def _taken(words: Words, key: str) -> bool:
    return any(reading.stage == key for reading in words.plan.job.build.readings)


def _first_pull_on_turns(words: Words, key: str) -> bool:
    """Whether this reading is the first load on the turns: they are settled only with all in.

    To settle them before would move it by some thousandths of an inch and sharpen nothing.
    """
    return key == "half" and words.plan.route.order is not Order.SERVE_THEN_TWIST


def _buys(words: Words, stage: StagePlan) -> str:
    if stage.buys < 0.0254 / 500.0:
        return "a check; it adds little to the earlier readings"
    taken = words.written.small(2.0 * stage.buys)
    return f"this reading takes {taken} off the ± of the finished length"


def serve_step(words: Words) -> Step:
    """Word the marks and servings.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    Step
        The step.
    """
    plan, written = words.plan, words.written
    stage, four = plan.stage("marking"), plan.four_posts
    already = frozenset[str]() if four is None else four.on_already
    already = already | made_on_bow(plan.job)
    served = [s for s in plan.servings if s.name not in already]
    rows = [
        f"{s.name}: {reach_said(words, s.now_start, s.now_stop)}{by_nock_said(plan, s)}; "
        f"{s.thread}, hand {s.hand}, "
        f"{written.long(Estimate(s.thread_length.value, 0.0, 'm'))} of thread"
        for s in served
    ]
    twisted_first = plan.route.order is not Order.SERVE_THEN_TWIST
    return make_step(
        "serve",
        "Mark and serve",
        f"at {written.force(stage.load)}",
        f"lock the pull at {written.force(stage.load)}; lay off from the outside of the "
        f"{written.fine(stage.pins[0])} pins, the line reading {written.estimate(stage.length)}",
        *trial_lines(words, served),
        *rows,
        *mark_lines(words),
        "" if twisted_first else _centre_later(words, served),
        rest_line(words) if twisted_first else let_down_line(),
        caution=cautions.AT_THE_LINE,
        stage="marking",
        load=stage.load,
    )


def _centre_later(words: Words, served: Sequence[ServingPlan]) -> str:
    """Say of a recurve's centre serving that the turns go in after it, by this order of work."""
    name = next((s.name for s in served if s.use == ServingKind.CENTRE), None)
    if name is None or not is_bent(words.plan.job):
        return ""
    return (
        f"the turns go in after {name}: wound on the strung bow, from the nocking point, it lies "
        "where it is wanted"
    )


def twist_step(words: Words, half: bool) -> Step:
    """Word the twist.

    Parameters
    ----------
    words : Words
        The plan in words.
    half : bool
        True for the turns before the reading part way.

    Returns
    -------
    Step
        The step.
    """
    twist = words.plan.twist
    if half:
        share = words.plan.stage("half").turns
        return make_step("twist", "Twist part way", f"{words.turns(share)} turns {twist.hand}",
                     f"of about {words.turns(twist.turns)} turns in all",
                     *turning_lines(words.plan.job.line.far_end.name),
                     caution=cautions.TURNING, id="twist-half", turns=share)  # fmt: skip
    return make_step(
        "twist",
        "Twist to the full count",
        f"{words.turns(twist.turns)} turns {twist.hand}",
        f"in all{more_said(words)}; between {math.floor(twist.turns_low)} and "
        f"{math.ceil(twist.turns_high)} may be needed",
        f"the next turn shortens it by {words.written.small_estimate(positive(twist.next_turn))}",
        *turning_lines(words.plan.job.line.far_end.name),
        caution=cautions.TURNING,
        id="twist-full",
        turns=twist.turns,
    )


def positive(estimate: Estimate) -> Estimate:
    """Turn an estimate's sign round: by how much it shortens instead of lengthens.

    Parameters
    ----------
    estimate : Estimate
        The estimate [its unit]

    Returns
    -------
    Estimate
        Of the other sign [its unit]
    """
    return Estimate(-estimate.value, estimate.u, estimate.unit)


def settle_step(words: Words, title: str, id: str) -> Step:
    """Word the short pull that settles turns.

    Parameters
    ----------
    words : Words
        The plan in words.
    title : str
        What is done.
    id : str
        Identity of the step.

    Returns
    -------
    Step
        The step.
    """
    load = words.plan.loads.settle
    return make_step(
        "stretch",
        title,
        f"{words.written.force(load)} for {words.written.duration(TWO_PULLS)}",
        rest_line(words),
        caution=cautions.STRETCH,
        id=id,
        load=load,
        dwell=TWO_PULLS,
    )
