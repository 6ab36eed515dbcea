"""Fit state: how far lines are on their way onto a bow, folded from the events of the fit."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace

from strandwright.workshop.events import Event, StoredEvent
from strandwright.workshop.happenings.every import Noted, Withdrawn
from strandwright.workshop.happenings.fit import (
    FitBegun,
    FitEnded,
    FitMeasured,
    FitStepDone,
    FitTurned,
)


@dataclass(frozen=True)
class Measured:
    """What the bow measured.

    Attributes
    ----------
    event : str
        The event it came by.
    at : str
        When, UTC.
    body : FitMeasured
        The figures, and the shots since the lines went on.
    """

    event: str
    at: str
    body: FitMeasured


@dataclass(frozen=True)
class Turning:
    """Turns put into a line on the bow.

    Attributes
    ----------
    event : str
        The event they came by.
    at : str
        When, UTC.
    build : str
        The line's build.
    turns : float
        Put in; taken out where negative [turn]
    shots : int
        Since the lines went on [-]
    """

    event: str
    at: str
    build: str
    turns: float
    shots: int


@dataclass(frozen=True)
class FitState:
    """How far a fit is.

    Attributes
    ----------
    begun : FitBegun or None
        The lines and the bow; None before.
    begun_at : str
        When, UTC; empty before.
    done : dict
        Acts that were done, by name, with when, UTC.
    said : dict
        What was seen at them, by name.
    measured : tuple of Measured
        In order.
    turned : tuple of Turning
        In order.
    shots : int
        Shots counted last [-]
    ended : FitEnded or None
        Set when the walk is over.
    ended_at : str
        When, UTC; empty before.
    notes : tuple of str
        What is worth remembering.
    seq : int
        Place of the last event [-]
    """

    begun: FitBegun | None = None
    begun_at: str = ""
    done: dict[str, str] = field(default_factory=dict)
    said: dict[str, str] = field(default_factory=dict)
    measured: tuple[Measured, ...] = ()
    turned: tuple[Turning, ...] = ()
    shots: int = 0
    ended: FitEnded | None = None
    ended_at: str = ""
    notes: tuple[str, ...] = ()
    seq: int = 0

    def turns(self, build: str) -> float:
        """Give the running count of turns of one line since it went on.

        Parameters
        ----------
        build : str
            The line's build.

        Returns
        -------
        float
            Put in less those taken out [turn]
        """
        return sum(one.turns for one in self.turned if one.build == build)


def fold(log: Iterable[StoredEvent]) -> FitState:
    """Fold the events of a fit; what it does not know it passes over.

    Parameters
    ----------
    log : iterable of StoredEvent
        In their order.

    Returns
    -------
    FitState
        How far it is.
    """
    stored = list(log)
    gone = {s.event.body.event for s in stored if isinstance(s.event.body, Withdrawn)}
    state = FitState(seq=stored[-1].seq if stored else 0)
    for one in stored:
        if one.event.id not in gone:
            state = _with(state, one.event)
    return state


def _with(state: FitState, event: Event) -> FitState:
    match event.body:
        case FitBegun() as body if state.begun is None:
            return replace(state, begun=body, begun_at=event.at)
        case FitStepDone() as body:
            said = state.said | ({body.step: body.said} if body.said else {})
            return replace(state, done=state.done | {body.step: event.at}, said=said)
        case FitMeasured() as body:
            shots = max(state.shots, body.shots)
            found = (*state.measured, Measured(event.id, event.at, body))
            return replace(state, measured=found, shots=shots)
        case FitTurned() as body:
            one = Turning(event.id, event.at, body.build, body.turns, body.shots)
            shots = max(state.shots, body.shots)
            return replace(state, turned=(*state.turned, one), shots=shots)
        case FitEnded() as body:
            return replace(state, ended=body, ended_at=event.at)
        case Noted() as body:
            return replace(state, notes=(*state.notes, body.text))
        case _:
            return state
