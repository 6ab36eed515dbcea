"""Next reading: the one reading beside those asked for that pays most where a build stands."""

from __future__ import annotations

from collections.abc import Iterator

from strandwright.planning.hearing.standing import can_hear
from strandwright.planning.readings.others import BARE
from strandwright.planning.result import Plan, ReadingWorth, Step
from strandwright.planning.worth.candidates import (
    Candidate,
    again,
    bare_diameter,
    candidates,
    further_stop,
)
from strandwright.planning.worth.grounds import WORTH_TELLING, Grounds
from strandwright.planning.worth.readings import worth_of
from strandwright.workshop.build_state import BuildState, Taken
from strandwright.workshop.happenings.bench import DiameterRead, LengthRead


def next_reading(plan: Plan, state: BuildState, step: Step) -> ReadingWorth | None:
    """Give the reading that is worth taking now beside what is asked for.

    Parameters
    ----------
    plan : Plan
        The plan as the readings have it.
    state : BuildState
        What stands at the jig.
    step : Step
        The next act.

    Returns
    -------
    ReadingWorth or None
        The one that saves most over what it costs; None where none pays.
    """
    if plan.landing.chance_first > 1.0 - WORTH_TELLING:
        return None
    grounds = plan.landing.grounds
    now = grounds.chances()
    found = [worth_of(grounds, each, now) for each in _at_hand(plan, state, step, grounds)]
    paying = [each for each in found if each.when == "now"]
    return max(paying, key=lambda each: each.saves - each.time, default=None)


def _at_hand(plan: Plan, state: BuildState, step: Step, grounds: Grounds) -> Iterator[Candidate]:
    """Give the readings that can be taken as the line stands and that are not asked for."""
    if not any(state.halves):
        yield from _of_kind(grounds, "masses", done=bool(state.masses))
    if can_hear(step):
        yield from _of_kind(grounds, "ear", done=bool(state.ear_checks))
    stands = _stands_at(state)
    measured = any(_is_bare(each) for each in state.diameters)
    if not measured and (stands == BARE or step.id == "read-bare"):
        yield bare_diameter(grounds)
    if stands and stands != "proof" and _read_once(state, stands):
        yield again(grounds, stands)
    if step.id == "twist-full" and stands == "half":
        stop = further_stop(grounds, plan.chosen.settings)
        if stop is not None:
            yield stop
    if stands == "proof" and step.key == "proof":
        yield again(grounds, stands)


def _of_kind(grounds: Grounds, key: str, *, done: bool) -> list[Candidate]:
    return [] if done else [each for each in candidates(grounds) if each.key == key]


def _is_bare(taken: Taken) -> bool:
    return isinstance(taken.reading, DiameterRead) and taken.reading.of == BARE


def _stands_at(state: BuildState) -> str:
    """Give the stage the line was last read in, while nothing was done to it since."""
    if not state.lengths:
        return ""
    last = state.lengths[-1]
    done = max((at for _, at in state.doings), default="")
    assert isinstance(last.reading, LengthRead)
    return last.reading.stage if last.at > done else ""


def _read_once(state: BuildState, stage: str) -> bool:
    """Whether a stage was read once and not again: one more is offered, and no third."""
    return sum(_stage_of(taken) == stage for taken in state.lengths) == 1


def _stage_of(taken: Taken) -> str:
    return taken.reading.stage if isinstance(taken.reading, LengthRead) else ""
