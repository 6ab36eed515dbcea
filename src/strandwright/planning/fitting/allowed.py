"""Allowed: whether what is to be recorded of a fit can have happened, as it stands."""

from __future__ import annotations

from collections.abc import Sequence

from strandwright.errors import SpecError
from strandwright.reference.fitting import fitting_rows
from strandwright.workshop.events import Event, StoredEvent
from strandwright.workshop.fit_state import FitState
from strandwright.workshop.happenings.every import Withdrawn
from strandwright.workshop.happenings.fit import (
    FitBegun,
    FitEnded,
    FitMeasured,
    FitStepDone,
    FitTurned,
)


def refuse_impossible(
    log: Sequence[StoredEvent], before: FitState, events: Sequence[Event]
) -> None:
    """Refuse what cannot have happened in a fit.

    Parameters
    ----------
    log : sequence of StoredEvent
        What is recorded of it.
    before : FitState
        How it stands by that.
    events : sequence of Event
        What is to be recorded.

    Raises
    ------
    InputError
        Field, value, rule and remedy.
    """
    begun = before.begun
    for event in events:
        match event.body:
            case FitBegun():
                rule, remedy = "must be once in a fit", "begin another for other lines"
                raise SpecError("event.type", event.type, rule, remedy)
            case FitStepDone() as body:
                rows = () if begun is None else fitting_rows(begun.bow)
                if body.step not in {row.name for row in rows}:
                    rule = f"must be one of {', '.join(row.name for row in rows)}"
                    raise SpecError("fit-step-done.step", body.step, rule, "choose one of these")
                _still_open(before, event)
            case FitTurned() as body:
                builds = () if begun is None else tuple(line.build for line in begun.lines)
                if body.build not in builds:
                    rule = "must be the build of one of the lines of this fit"
                    raise SpecError("fit-turned.build", body.build, rule, "choose one of them")
                if body.turns == 0.0:
                    rule = "must be more or less than none"
                    raise SpecError("fit-turned.turns", "0", rule, "leave it out")
                if "seat" not in before.done:
                    rule = "must come after the lines are seated on the bow"
                    remedy = "say first that they are seated; turns before that belong to the build"
                    raise SpecError("fit-turned.turns", str(body.turns), rule, remedy)
                _still_open(before, event)
            case FitMeasured() as body:
                if not body.figures.model_fields_set - {"braced"}:
                    rule = "must hold a figure"
                    raise SpecError("fit-measured.figures", "none", rule, "write down one of them")
                _still_open(before, event)
            case FitEnded():
                _still_open(before, event)
            case Withdrawn() as body:
                _withdrawable(log, body.event)
            case _:
                pass


def _still_open(before: FitState, event: Event) -> None:
    if before.ended is not None:
        rule, remedy = "must be before a fit is ended, and this one is", "take its end back first"
        raise SpecError("event.type", event.type, rule, remedy)


def _withdrawable(log: Sequence[StoredEvent], id: str) -> None:
    found = next((stored.event for stored in log if stored.event.id == id), None)
    if found is None or isinstance(found.body, FitBegun | Withdrawn):
        rule = "must be an event of this fit that can be taken back"
        raise SpecError("withdrawn.event", id, rule, "choose one of its list")
