"""Acts: which steps of the route are done at the jig, and the one that comes next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from strandwright.errors import SpecError
from strandwright.line.route import TWO_PULLS
from strandwright.planning import cautions
from strandwright.planning.hearing.standing import can_hear
from strandwright.planning.result import Plan, Step
from strandwright.planning.watching.refusals import refuse_unmeant_watch
from strandwright.planning.written import Written
from strandwright.planning.yoke import refuse_unmeant_legs
from strandwright.statistics.acceptance import Verdict
from strandwright.workshop.build_state import BuildState, Taken
from strandwright.workshop.events import Event
from strandwright.workshop.happenings.bench import (
    EarChecked,
    LegsRead,
    LengthRead,
    MassRead,
    RoundsLaid,
    StepDone,
    Watched,
)

#: Steps after which turns are pulled in when they are put in
SETTLED = ("stretch-twisted", "settle")
#: Steps that are more than done: a reading or a count says whether they are
COUNTED = frozenset({"posts", "wind", "proof", "read", "twist", "tag", "match"})
#: Turns are put in by halves; closer than half of that is the same number [turn]
SAME_TURNS = 0.25


@dataclass(frozen=True)
class Act:
    """The one next act.

    Attributes
    ----------
    step : Step
        The step of the route, worded for where the line stands.
    may_lock : bool
        True when the line may be locked as it is though its proof does not accept it.
    """

    step: Step
    may_lock: bool = False


def proof_stands(plan: Plan, state: BuildState, counted: Sequence[Taken]) -> bool:
    """Say whether the last proof was read at the turns the line has now.

    Parameters
    ----------
    plan : Plan
        The plan as the readings have it.
    state : BuildState
        What stands at the jig.
    counted : sequence of Taken
        Length readings that count.

    Returns
    -------
    bool
        False before any proof, and after a turn put in or out since.
    """
    proofs = [
        t.reading
        for t in counted
        if isinstance(t.reading, LengthRead) and t.reading.stage == "proof"
    ]
    if not proofs or not plan.landing.proved:
        return False
    turns = proofs[-1].turns
    return turns is None or abs(turns - state.turns) < SAME_TURNS


def accepted(plan: Plan, state: BuildState, counted: Sequence[Taken]) -> bool:
    """Say whether the proof accepts the line as it stands.

    Parameters
    ----------
    plan : Plan
        The plan as the readings have it.
    state : BuildState
        What stands at the jig.
    counted : sequence of Taken
        Length readings that count.

    Returns
    -------
    bool
        True when it does.
    """
    stands = proof_stands(plan, state, counted)
    return stands and plan.landing.proof.verdict is Verdict.ACCEPT


def steps_of_build(
    plan: Plan, state: BuildState, counted: Sequence[Taken]
) -> tuple[Step, ...]:
    """Give the route's steps, each done or not.

    Parameters
    ----------
    plan : Plan
        The plan as the readings have it.
    state : BuildState
        What stands at the jig.
    counted : sequence of Taken
        Length readings that count.

    Returns
    -------
    tuple of Step
        In the route's order.
    """
    proved = accepted(plan, state, counted)
    read = {t.reading.stage for t in counted if isinstance(t.reading, LengthRead)}
    passed = _passed(plan, state, read)
    return tuple(
        replace(step, done=step.id in passed or _is_done(step, plan, state, read, proved))
        for step in plan.steps
    )


def _passed(plan: Plan, state: BuildState, read: set[str]) -> frozenset[str]:
    """Find the acts that what was recorded after them stands for: older logs know fewer steps.

    A stretch by the clock is not among them: the numbers after it rest on it. Turns that are
    settled part way are settled again once all of them are in. Nor is what somebody took back.
    The record ends when the line is locked; what is done on the bow comes later.
    """
    tag = next(i for i, s in enumerate(plan.steps) if s.key == "tag")
    recorded = [
        i
        for i, s in enumerate(plan.steps)
        if s.id in state.done or (s.key in ("read", "proof") and s.stage in read)
    ]
    last = len(plan.steps) if state.locked is not None else max(recorded, default=0)
    plain = (s for s in plan.steps[:last] if s.key not in COUNTED)
    acts = {s.id for s in plain if s.dwell is None or s.id == "settle-part"} - state.taken_back
    on_the_bow = plan.steps[tag + 1 :] if state.locked is not None else ()
    return frozenset(acts.union(s.id for s in on_the_bow))


def _is_done(step: Step, plan: Plan, state: BuildState, read: set[str], proved: bool) -> bool:
    if step.key == "posts":
        return state.posts is not None
    if step.key == "wind":
        assert step.run is not None
        return state.laid(step.run) >= plan.winding.runs[step.run].strands
    if step.key == "proof":
        return proved or state.locked is not None
    if step.key == "read":
        return step.stage in read
    if step.key == "twist":
        half = step.id == "twist-half"
        return (half and "half" in read) or _is_twisted(step, plan, state, proved)
    if step.key == "tag":
        return state.locked is not None
    if step.key == "match":
        return step.id in state.done or (plan.yoke is not None and plan.yoke.matched)
    return step.id in state.done


def _is_twisted(step: Step, plan: Plan, state: BuildState, proved: bool) -> bool:
    """Part of them counts once it is passed; the full count is met, or proved to be good."""
    assert step.turns is not None
    if step.id == "twist-half":
        return state.turned and state.turns > step.turns - SAME_TURNS
    settled = state.turned and abs(state.turns - plan.twist.turns) < SAME_TURNS
    return settled or proved or state.locked is not None


def next_act(
    plan: Plan, state: BuildState, steps: Sequence[Step], counted: Sequence[Taken]
) -> Act:
    """Give the one next act.

    Parameters
    ----------
    plan : Plan
        The plan as the readings have it.
    state : BuildState
        What stands at the jig.
    steps : sequence of Step
        The route, each step done or not.
    counted : sequence of Taken
        Length readings that count.

    Returns
    -------
    Act
        The first step that is not done, worded for where the line stands.
    """
    tag = next(s for s in steps if s.key == "tag")
    step = next((s for s in steps if not s.done), tag)
    if step.key == "twist" and state.turned:
        return Act(_more_turns(plan, state, step))
    if step.key == "proof" and proof_stands(plan, state, counted):
        said = plan.landing.proof.sentence()
        again = replace(step, title="Prove it again, or log it as it is", lines=(said, *step.lines))
        return Act(again, may_lock=True)
    return Act(step)


def _more_turns(plan: Plan, state: BuildState, step: Step) -> Step:
    """Word the twist for a line that has turns in it already."""
    assert step.turns is not None
    off = step.turns - state.turns
    title = "Twist on" if off > 0 else "Take turns out"
    lines = [f"{_halves(step.turns)} {plan.twist.hand} in all; {_halves(state.turns)} are in"]
    caution = step.caution
    pulled = [s for s in state.done if s in SETTLED]
    after: list[str] = []
    if pulled and off > 0:
        to = Written.on(plan.job.paper)
        load = to.force(plan.loads.settle if pulled[-1] == "settle" else plan.loads.stretch)
        after = [
            f"then pull to {load} for {to.duration(TWO_PULLS)}, so that they settle",
            f"let down and rest {to.duration(plan.rest)} before the length is read",
        ]
        caution = f"{cautions.TURNING} {cautions.STRETCH}"
    word = "more" if off > 0 else "out"
    return replace(
        step,
        title=title,
        headline=f"{_halves(abs(off))} {'turn' if abs(off) <= 1.0 else 'turns'} {word}",
        lines=(*lines, *step.lines[1:], *after),
        caution=caution,
    )


def _halves(turns: float) -> str:
    whole = int(turns + SAME_TURNS)
    if turns - whole < SAME_TURNS:
        return f"{whole}"
    return f"{whole} 1/2" if whole else "1/2"


def refuse_impossible_events(plan: Plan, state: BuildState, new: Sequence[Event]) -> None:
    """Refuse what no bench could have done to this line.

    Parameters
    ----------
    plan : Plan
        The plan the build began with.
    state : BuildState
        What would stand with the new events.
    new : sequence of Event
        What is to be recorded.

    Raises
    ------
    SpecError
        If an event names a colour, a step or a stage that the line has not, or a length is
        read before the posts are set.
    """
    runs, steps = len(plan.winding.runs), [s.id for s in plan.steps]
    stages = [s.key for s in plan.stages if s.reading]
    loaded = [s.id for s in plan.steps if can_hear(s)]
    for event in new:
        match event.body:
            case RoundsLaid(run=run) | MassRead(run=run) if run >= runs:
                rule = f"must be a colour of this line, 0 to {runs - 1}"
                remedy = "count from 0 in winding order"
                raise SpecError(f"{event.type}.run", str(run), rule, remedy)
            case StepDone(step=step) | EarChecked(step=step) if step not in steps:
                rule = f"must be a step of this route: {', '.join(steps)}"
                raise SpecError(f"{event.type}.step", step, rule, "choose one of these")
            case EarChecked(step=step) if step not in loaded:
                rule = f"must be a step at which the line is under load: {', '.join(loaded)}"
                raise SpecError("ear-checked.step", step, rule, "choose one of these")
            case Watched():
                refuse_unmeant_watch(plan, event.body)
            case LegsRead():
                refuse_unmeant_legs(plan, event.body)
            case LengthRead(stage=stage) if stage not in stages:
                rule = f"must be a stage of this route: {', '.join(stages)}"
                raise SpecError("length-read.stage", stage, rule, "choose one of these")
            case LengthRead() if state.posts is None:
                rule = "must come after the posts are set"
                raise SpecError("length-read", "no post setting", rule, "set the posts first")
            case _:
                pass
