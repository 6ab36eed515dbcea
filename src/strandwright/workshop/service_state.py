"""Service state: how a line stands on its bow, folded from what was written of it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from strandwright.workshop.events import StoredEvent
from strandwright.workshop.service import (
    DryFired,
    FigureOn,
    LengthOff,
    LookedOver,
    OnBow,
    ReplaceBy,
    Retired,
    ServiceEntry,
    TurnsChanged,
    Waxed,
    counting,
    entry_of,
)

Status = Literal["on a bow", "do not draw", "retired", "not on a bow"]


@dataclass(frozen=True)
class Since:
    """When something was done to a line last.

    Attributes
    ----------
    at : str
        When, UTC.
    shots : int
        Shots until then [-]
    """

    at: str
    shots: int


@dataclass(frozen=True)
class ServiceState:
    """How a line stands on its bow.

    Attributes
    ----------
    fitted_at : str
        When it came onto its bow, UTC; empty before.
    last_at : str
        When something happened to it last, UTC; empty where nothing did.
    shots : int
        Shots so far [-]
    turns : float
        Turns put in on the bow, less those taken out [turn]
    readings : int
        Readings of its length, or of a figure that moves with it [-]
    read : Since or None
        The last of them.
    looked, waxed : Since or None
        When it was looked over, and waxed; None where it never was.
    stop : str
        Why it must not be drawn as it is; empty where nothing is seen.
    retired : Retired or None
        Set when it is off for good.
    retired_at : str
        When, UTC; empty before.
    replace_by : ReplaceBy or None
        When this shop replaces it, where that is said.
    """

    fitted_at: str
    last_at: str
    shots: int
    turns: float
    readings: int
    read: Since | None
    looked: Since | None
    waxed: Since | None
    stop: str
    retired: Retired | None
    retired_at: str
    replace_by: ReplaceBy | None

    @property
    def status(self) -> Status:
        """What it is, in the word that a list is filtered by."""
        if self.retired is not None:
            return "retired"
        if self.stop:
            return "do not draw"
        return "on a bow" if self.fitted_at else "not on a bow"


def fold(events: Iterable[StoredEvent]) -> ServiceState:
    """Fold the log of a line's service to how it stands.

    Parameters
    ----------
    events : iterable of StoredEvent
        All of it, in order.

    Returns
    -------
    ServiceState
        Entries that were taken back are left out.
    """
    return state_of(counting(entry_of(stored.event) for stored in events))


def state_of(entries: tuple[ServiceEntry, ...]) -> ServiceState:
    """Give how a line stands from the entries that count.

    Parameters
    ----------
    entries : tuple of ServiceEntry
        In the order in which they happened.

    Returns
    -------
    ServiceState
        How it stands.
    """
    fitted = next((e.at for e in entries if isinstance(e.body, OnBow)), "")
    reads = [e for e in entries if isinstance(e.body, LengthOff | FigureOn)]
    off = _last(entries, Retired)
    own = _last(entries, ReplaceBy)
    return ServiceState(
        fitted_at=fitted,
        last_at=entries[-1].at if entries else "",
        shots=max((e.shots for e in entries), default=0),
        turns=sum(e.body.turns for e in entries if isinstance(e.body, TurnsChanged)),
        readings=len(reads),
        read=Since(reads[-1].at, reads[-1].shots) if reads else None,
        looked=_since(_last(entries, LookedOver)),
        waxed=_since(_last(entries, Waxed)),
        stop=stop_of(entries),
        retired=off.body if off is not None and isinstance(off.body, Retired) else None,
        retired_at="" if off is None else off.at,
        replace_by=own.body if own is not None and isinstance(own.body, ReplaceBy) else None,
    )


def stop_of(entries: Iterable[ServiceEntry]) -> str:
    """Say why a line must not be drawn as it is; a cut strand does not heal.

    Parameters
    ----------
    entries : iterable of ServiceEntry
        Those that count, in the order in which they happened.

    Returns
    -------
    str
        What was seen last; empty where nothing was.
    """
    why, cut = "", False
    for entry in entries:
        if isinstance(entry.body, LookedOver):
            cut = cut or "cut strand" in entry.body.seen
            apart = "separated serving" in entry.body.seen
            why = "a serving has come apart" if apart else ""
        elif isinstance(entry.body, DryFired):
            why = "the bow was dry-fired and nobody has looked the line over since"
    return "a strand is cut" if cut else why


def _last(entries: Iterable[ServiceEntry], body: type[object]) -> ServiceEntry | None:
    found = None
    for entry in entries:
        if isinstance(entry.body, body):
            found = entry
    return found


def _since(entry: ServiceEntry | None) -> Since | None:
    return None if entry is None else Since(entry.at, entry.shots)
