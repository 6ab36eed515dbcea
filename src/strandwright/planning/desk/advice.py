"""Advice: what stands at the jig, what the readings taught, and the one next act.

::

    stored plan + log of events -> state -> job with its build so far -> plan again -> next act

The readings are taken one after the other. One that surprises is asked about and does not
count until somebody says that it stands; everything behind it is planned without it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from strandwright.errors import InputError, InputErrors, SolveError
from strandwright.planning.desk.acts import SETTLED, Act, accepted, next_act, steps_of_build
from strandwright.planning.estimate import Estimate
from strandwright.planning.hearing.checks import check_of
from strandwright.planning.planner import Planner
from strandwright.planning.readings.learning import what_moved
from strandwright.planning.readings.tape import reading_uncertainty
from strandwright.planning.result import Learned, Plan, ReadingWorth, Step
from strandwright.planning.worth.next_reading import next_reading
from strandwright.planning.written import Written, half_turns
from strandwright.units import Dimension, parse
from strandwright.workshop.build_state import BuildState, Taken
from strandwright.workshop.events import as_moment
from strandwright.workshop.happenings.bench import (
    DiameterRead,
    LegsRead,
    LengthRead,
    MassRead,
    Watched,
)
from strandwright.workshop.job import Job
from strandwright.workshop.makings import BuildLegs
from strandwright.workshop.parts import BuildDiameter, BuildMass, BuildReading
from strandwright.workshop.said import short

#: Steps that load the line, by the start of their names
LOADED = ("even", "stretch", "settle", "serve", "legs-read")
#: A longer rest than this is as good as this: recovery is long over [s]
LONGEST_REST = 30.0 * 86400.0
_NO_TURNS = "the turns stay as they were"


@dataclass(frozen=True)
class Said:
    """A reading, what was expected, and what it taught.

    Attributes
    ----------
    taken : Taken
        The reading with its event.
    expected : Estimate or None
        What the plan before it told [m]; None where nothing was told.
    counts : bool
        True when the plan rests on it.
    surprising : bool
        True when it is further off than its +- explains.
    sentences : tuple of str
        What it moved, in words.
    """

    taken: Taken
    expected: Estimate | None
    counts: bool
    surprising: bool
    sentences: tuple[str, ...] = ()


@dataclass(frozen=True)
class Question:
    """A surprising reading to be read again before it counts.

    Attributes
    ----------
    event : str
        The reading's event.
    stage : str
        Where it was read.
    said : str
        What is odd about it, and what to do.
    """

    event: str
    stage: str
    said: str


@dataclass(frozen=True)
class Advice:
    """What to do next at the jig, and why.

    Attributes
    ----------
    first : Plan
        The plan the build began with.
    plan : Plan
        The plan as the readings have it.
    state : BuildState
        What stands at the jig.
    steps : tuple of Step
        The route, each step done or not.
    act : Act or None
        The one next act; None when the build is over.
    readings : tuple of Said
        Every reading in order.
    question : Question or None
        The last reading, where it is to be read again before it counts.
    why : tuple of str
        What the last reading changed.
    rest_until : str
        When the rest before a reading is over, UTC; empty where there is none.
    worth_reading : ReadingWorth or None
        A reading that is not asked for and pays where the line stands; None where none does.
    """

    first: Plan
    plan: Plan
    state: BuildState
    steps: tuple[Step, ...]
    act: Act | None
    readings: tuple[Said, ...]
    question: Question | None
    why: tuple[str, ...]
    rest_until: str
    worth_reading: ReadingWorth | None

    @property
    def counted(self) -> tuple[Taken, ...]:
        """Length readings that count, in order."""
        return _counted(self.readings)


def _counted(said: Iterable[Said]) -> tuple[Taken, ...]:
    return tuple(s.taken for s in said if s.counts and isinstance(s.taken.reading, LengthRead))


def advise(first: Plan, state: BuildState, planner: Planner) -> Advice:
    """Give the advice for a build.

    Parameters
    ----------
    first : Plan
        The plan it began with.
    state : BuildState
        What stands, folded from its events.
    planner : Planner
        Plans again.

    Returns
    -------
    Advice
        The advice.

    Raises
    ------
    InputError
        If what was done cannot be planned on from: posts from which no turns reach the
        length, a diameter of no part of this line.
    """
    job = _begun(first, state)
    plan = first if job == first.job else planner.plan(job, first.target)
    said: list[Said] = [
        Said(t, _told(plan, t), True, False, _of_legs(plan, state, t)) for t in _others(state)
    ]
    why: tuple[str, ...] = ()
    question: Question | None = None
    for i, taken in enumerate(state.lengths):
        twice = _agrees(first.job, taken, state.lengths[:i])
        before, (then, reading) = plan, _with_reading(plan, state, taken, planner, twice)
        said.append(reading)
        if reading.counts:
            plan, question = then, None
            why = (*reading.sentences, *_changes(before, plan))
        else:
            question = _question(plan, reading)
    counted = _counted(said)
    if question is None and accepted(plan, state, counted):
        # What half a turn could still better is not asked of a line that is good as it is.
        why = (*said[-1].sentences, _NO_TURNS)
    steps = steps_of_build(plan, state, counted)
    act = None if state.is_over else next_act(plan, state, steps, counted)
    suggests = act is not None and question is None and not accepted(plan, state, counted)
    return Advice(
        first=first,
        plan=plan,
        state=state,
        steps=steps,
        act=act,
        readings=tuple(said),
        question=question,
        why=why,
        rest_until=_rest_until(plan, state),
        worth_reading=next_reading(plan, state, act.step) if act and suggests else None,
    )


def _begun(first: Plan, state: BuildState) -> Job:
    """Give the job with all that was done but the lengths read."""
    record = first.job.build
    changes: dict[str, object] = {}
    if state.posts is not None:
        changes["wound_at"] = state.posts
    if state.strands is not None:
        changes["strands"] = state.strands
    if state.diameters:
        changes["diameters"] = tuple(
            BuildDiameter(of=t.reading.of, diameter=t.reading.diameter)
            for t in state.diameters
            if isinstance(t.reading, DiameterRead)
        )
    if state.masses:
        changes["masses"] = tuple(
            _mass(first, t.reading) for t in state.masses if isinstance(t.reading, MassRead)
        )
    if state.legs:
        changes["legs"] = tuple(
            BuildLegs(**{name: getattr(t.reading, name) for name in BuildLegs.model_fields})
            for t in state.legs
        )
    job = _with_checks(first.job, state)
    if not changes:
        return job
    return job.model_copy(update={"build": record.model_copy(update=changes)})


def _with_checks(job: Job, state: BuildState) -> Job:
    """Give the job with what its ear was checked against at this build."""
    if not state.ear_checks:
        return job
    checks = tuple(check_of(job, seen) for seen in state.ear_checks)
    bench = job.bench.model_copy(update={"ear_checks": (*job.bench.ear_checks, *checks)})
    return job.model_copy(update={"bench": bench})


def _mass(first: Plan, read: MassRead) -> BuildMass:
    runs = first.winding.runs
    planned = runs[min(read.run, len(runs) - 1)].mass.value
    text = f"{1000.0 * planned:.6g} g"
    return BuildMass(
        run=read.run, lost=read.lost, planned=parse(Dimension.MASS, text, field="planned")
    )


def _others(state: BuildState) -> list[Taken]:
    return sorted((*state.diameters, *state.masses, *state.legs), key=lambda t: t.at)


def _of_legs(plan: Plan, state: BuildState, taken: Taken) -> tuple[str, ...]:
    """Say how both legs compared; nothing of any other reading."""
    if plan.yoke is None or taken not in state.legs:
        return ()
    return plan.yoke.read[state.legs.index(taken)].said


def _told(plan: Plan, taken: Taken) -> Estimate | None:
    """Give what a plan tells of a reading."""
    match taken.reading:
        case LengthRead():
            keys = {s.key for s in plan.stages}
            return plan.stage(taken.reading.stage).length if taken.reading.stage in keys else None
        case DiameterRead(of="bare"):
            return plan.bare_diameter
        case DiameterRead():
            found = [s for s in plan.servings if s.name == taken.reading.of]
            return found[0].outside if found else None
        case MassRead():
            runs = plan.winding.runs
            return runs[taken.reading.run].mass if taken.reading.run < len(runs) else None
        case Watched() | LegsRead():
            return None


def _agrees(job: Job, taken: Taken, before: Sequence[Taken]) -> bool:
    """Say whether the reading just before was of the same state and read the same."""
    if not before:
        return False
    one, two = before[-1].reading, taken.reading
    assert isinstance(one, LengthRead)
    assert isinstance(two, LengthRead)
    same = (one.stage, one.turns, one.load) == (two.stage, two.turns, two.load)
    apart = abs(one.length.si - two.length.si)
    return same and apart <= 3.0 * reading_uncertainty(job, two.length)


def _with_reading(
    plan: Plan, state: BuildState, taken: Taken, planner: Planner, twice: bool
) -> tuple[Plan, Said]:
    """Plan with one more reading; it does not count while it is in question.

    One that surprises stands when somebody is sure of it, or when it was read twice the same.
    """
    assert isinstance(taken.reading, LengthRead)
    expected = _told(plan, taken)
    record = plan.job.build
    reading = _as_build_reading(taken, state)
    record = record.model_copy(update={"readings": (*record.readings, reading)})
    try:
        then = planner.plan(plan.job.model_copy(update={"build": record}), plan.target)
    except (InputError, InputErrors, SolveError) as error:
        return plan, Said(taken, expected, False, True, (_without_place(error),))
    last = _last_learned(then, reading)
    if last.surprising and not (taken.reading.sure or twice):
        return plan, Said(taken, expected, False, True)
    moved = tuple(what_moved(plan.job, plan.parameters, then.parameters))
    return then, Said(taken, expected, True, last.surprising, moved)


def _without_place(error: InputError | InputErrors | SolveError) -> str:
    """Say what is wrong with a reading; who typed it at the jig knows no place in a job's file."""
    errors = error.errors if isinstance(error, InputErrors) else (error,)
    return "; ".join(
        f"it {e.rule}; {e.remedy}"
        if isinstance(e, InputError) and e.field.startswith("build.readings")
        else str(e)
        for e in errors
    )


def _last_learned(plan: Plan, reading: BuildReading) -> Learned:
    """Find the newest reading among what was learned: the last of its stage."""
    return [x for x in plan.learned if x.stage == reading.stage][-1]


def _as_build_reading(taken: Taken, state: BuildState) -> BuildReading:
    """Give a reading as the job file holds it, with the rest it had since the last stretch."""
    read = taken.reading
    assert isinstance(read, LengthRead)
    values = {name: getattr(read, name) for name in BuildReading.model_fields}
    if read.rest is None:
        last = last_pull(state, taken.at)
        if last is not None:
            rest = (datetime.fromisoformat(taken.at) - last).total_seconds()
            text = f"{min(max(rest, 1.0), LONGEST_REST):.0f} s"
            values["rest"] = parse(Dimension.DURATION, text, field="rest")
    return BuildReading(**values)


def last_pull(state: BuildState, before: str = "9999") -> datetime | None:
    """Give when the line was last let down from a load that stretches it.

    Evening out, stretching, settling and serving all do; so do turns put in after the stretch,
    for they are pulled in.

    Parameters
    ----------
    state : BuildState
        What stands at the jig.
    before : str
        Only before this moment, UTC.

    Returns
    -------
    datetime or None
        None where it was not loaded yet.
    """
    ends: list[str] = []
    settled = False
    for what, at in state.doings:
        settled = settled or what in SETTLED
        if at <= before and (what.startswith(LOADED) or (settled and what == "turned")):
            ends.append(at)
    return datetime.fromisoformat(max(ends)) if ends else None


def _rest_until(plan: Plan, state: BuildState) -> str:
    last = last_pull(state)
    return "" if last is None else as_moment(last + timedelta(seconds=plan.rest))


def _question(plan: Plan, said: Said) -> Question:
    read = said.taken.reading
    assert isinstance(read, LengthRead)
    to = Written.on(plan.job.paper)
    told = "" if said.expected is None else f", {to.estimate(said.expected)} was expected"
    if said.sentences:
        text = f"{short(read.length.text)} cannot be used: {said.sentences[0]}"
    else:
        text = (
            f"{read.length.text} is further off than its ± explains{told}: look at load, pins and "
            "turns and read it again. Read twice the same, it counts"
        )
    return Question(said.taken.event, read.stage, text)


def _changes(before: Plan, after: Plan) -> tuple[str, ...]:
    """Say what a reading changed of what is still to be done."""
    more = after.twist.turns - before.twist.turns
    if abs(more) < 0.25:
        return (_NO_TURNS,)
    return (f"{turns_text(abs(more))} {'more' if more > 0 else 'fewer'}",)


def turns_text(turns: float) -> str:
    """Write turns in halves with the word.

    Parameters
    ----------
    turns : float
        Turns, >= 0 [turn]

    Returns
    -------
    str
        Such as ``3 1/2 turns`` or ``1/2 turn``.
    """
    return f"{half_turns(turns)} {'turn' if turns <= 1.0 else 'turns'}"
