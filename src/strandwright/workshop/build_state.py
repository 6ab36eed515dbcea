"""Build state: what stands at the jig, folded from the events of a build."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import cast

from strandwright.units import Entered
from strandwright.workshop.events import Event, StoredEvent
from strandwright.workshop.happenings.bench import (
    DiameterRead,
    EarChecked,
    LegsRead,
    LengthRead,
    Locked,
    MassRead,
    PostsSet,
    PutAside,
    RoundsLaid,
    Started,
    StepDone,
    StrandsCounted,
    Turned,
    Watched,
)
from strandwright.workshop.happenings.every import Noted, Withdrawn


@dataclass(frozen=True)
class Taken:
    """A reading with the event it came by.

    Attributes
    ----------
    event : str
        The event's identity.
    at : str
        When it was read, UTC.
    reading : LengthRead, DiameterRead, MassRead, LegsRead or Watched
        What was read.
    """

    event: str
    at: str
    reading: LengthRead | DiameterRead | MassRead | LegsRead | Watched


@dataclass(frozen=True)
class BuildState:
    """What stands at the jig.

    Attributes
    ----------
    plan : str
        The plan it is built by.
    began_at : str
        When it began, UTC; empty before.
    posts : Entered or None
        Post setting, outside to outside [m]
    halves : tuple of int
        Half rounds laid of each colour in winding order [half round]
    done : dict
        Steps done, by identity, with the last event that says so.
    doings : tuple of (str, str)
        What was done to the line and when, UTC, in order: steps by identity, and ``turned``.
    lengths, diameters, masses : tuple of Taken
        Readings that count, in order.
    legs : tuple of Taken
        Both legs of a yoke as they were read, in order.
    watched : tuple of Taken
        What was read while the line stood under a load, in order.
    ear_checks : tuple of EarChecked
        Loads heard beside known ones, in order.
    strands : int or None
        Strands counted [-]
    turns : float
        Turns in the line [turn]
    turned : bool
        True when any were put in.
    locked : Locked or None
        Set when the line is proved and logged.
    put_aside : PutAside or None
        Set when the build was given up.
    notes : tuple of str
        What is worth remembering.
    ended_at : str
        When it was locked or put aside, UTC; empty before.
    seq : int
        Place of the last event [-]
    last_laid : str
        The last event of a round that counts; empty where none is.
    taken_back : frozenset of str
        Steps that were said to be done and taken back, by identity.
    """

    plan: str = ""
    began_at: str = ""
    posts: Entered | None = None
    halves: tuple[int, ...] = ()
    done: dict[str, Event] = field(default_factory=dict)
    doings: tuple[tuple[str, str], ...] = ()
    lengths: tuple[Taken, ...] = ()
    diameters: tuple[Taken, ...] = ()
    masses: tuple[Taken, ...] = ()
    legs: tuple[Taken, ...] = ()
    watched: tuple[Taken, ...] = ()
    ear_checks: tuple[EarChecked, ...] = ()
    strands: int | None = None
    turns: float = 0.0
    turned: bool = False
    locked: Locked | None = None
    put_aside: PutAside | None = None
    notes: tuple[str, ...] = ()
    ended_at: str = ""
    seq: int = 0
    last_laid: str = ""
    taken_back: frozenset[str] = frozenset()

    @property
    def is_over(self) -> bool:
        """Whether nothing more is to be done at the jig."""
        return self.locked is not None or self.put_aside is not None

    def laid(self, run: int) -> int:
        """Half rounds laid of one colour.

        Parameters
        ----------
        run : int
            The colour, from 0 in winding order [-]

        Returns
        -------
        int
            Half rounds [half round]
        """
        return self.halves[run] if run < len(self.halves) else 0


def fold(events: Iterable[StoredEvent]) -> BuildState:
    """Fold the log of a build to what stands now.

    Parameters
    ----------
    events : iterable of StoredEvent
        The whole log, in its order.

    Returns
    -------
    BuildState
        The state; an event that was withdrawn, wherever it stands, counts no more.
    """
    log = sorted(events, key=lambda e: e.seq)
    gone = {cast(Withdrawn, s.event.body).event for s in log if s.event.type == "withdrawn"}
    draft = _Draft()
    for stored in log:
        if stored.event.id not in gone:
            draft.take(stored.event)
        elif isinstance(stored.event.body, StepDone):
            draft.taken_back.add(stored.event.body.step)
    return draft.state(seq=log[-1].seq if log else 0)


class _Draft:
    """Collects a state event by event."""

    def __init__(self) -> None:
        self.values: dict[str, object] = {}
        self.halves: list[int] = []
        self.done: dict[str, Event] = {}
        self.doings: list[tuple[str, str]] = []
        self.lengths: list[Taken] = []
        self.diameters: list[Taken] = []
        self.masses: list[Taken] = []
        self.legs: list[Taken] = []
        self.watched: list[Taken] = []
        self.ear_checks: list[EarChecked] = []
        self.notes: list[str] = []
        self.taken_back: set[str] = set()

    def take(self, event: Event) -> None:
        """Let one event act."""
        match event.body:
            case Started():
                self.values |= {"plan": event.body.plan, "began_at": event.at}
            case PostsSet():
                self.values["posts"] = event.body.outside
            case RoundsLaid():
                self._lay(event.body)
                self.values["last_laid"] = event.id
            case StepDone():
                self.done[event.body.step] = event
                self.doings.append((event.body.step, event.at))
            case LengthRead():
                self.lengths.append(Taken(event.id, event.at, self._with_turns(event.body)))
            case DiameterRead():
                self.diameters.append(Taken(event.id, event.at, event.body))
            case MassRead():
                self.masses.append(Taken(event.id, event.at, event.body))
            case LegsRead():
                self.legs.append(Taken(event.id, event.at, event.body))
                self.doings.append(("legs-read", event.at))
            case Watched():
                self.watched.append(Taken(event.id, event.at, event.body))
            case EarChecked():
                self.ear_checks.append(event.body)
            case StrandsCounted():
                self.values["strands"] = event.body.strands
            case Turned():
                self.values |= {"turns": event.body.turns, "turned": True}
                self.doings.append(("turned", event.at))
            case Locked():
                self.values |= {"locked": event.body, "ended_at": event.at}
            case PutAside():
                self.values |= {"put_aside": event.body, "ended_at": event.at}
            case Noted():
                self.notes.append(event.body.text)
            case _:
                pass

    def _with_turns(self, reading: LengthRead) -> LengthRead:
        """Give a reading the turns that were in the line, where it does not say them."""
        if reading.turns is not None or "turns" not in self.values:
            return reading
        return reading.model_copy(update={"turns": self.values["turns"]})

    def _lay(self, laid: RoundsLaid) -> None:
        self.halves += [0] * (laid.run + 1 - len(self.halves))
        self.halves[laid.run] += laid.halves

    def state(self, seq: int) -> BuildState:
        """Give the state."""
        return BuildState(
            halves=tuple(self.halves),
            done=self.done,
            doings=tuple(self.doings),
            lengths=tuple(self.lengths),
            diameters=tuple(self.diameters),
            masses=tuple(self.masses),
            legs=tuple(self.legs),
            watched=tuple(self.watched),
            ear_checks=tuple(self.ear_checks),
            notes=tuple(self.notes),
            taken_back=frozenset(self.taken_back),
            seq=seq,
            **self.values,  # pyright: ignore[reportArgumentType]
        )
