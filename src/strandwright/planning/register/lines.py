"""Lines of the register: what stands of each line on a bow, read from listings alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, cast

from strandwright.planning.ports import Store
from strandwright.workshop.documents import Listing
from strandwright.workshop.service_state import Since, Status

#: More lines than any shop has on bows [-]
_ALL = 100_000
#: Identities that are looked up at once [-]
_AT_ONCE = 500
#: Lines that are looked at again.
WATCHED: tuple[Status, ...] = ("on a bow", "do not draw")


@dataclass(frozen=True)
class RegisterLine:
    """A line of the register.

    Attributes
    ----------
    build, job : str
        The line's build, and its job.
    name, customer, bow, line : str
        What they are called.
    kind : str
        Kind of the bow.
    status : str
        On a bow, not to be drawn, retired, or on none yet.
    fitted_at, last_at : str
        When it came onto its bow and when something happened to it last, UTC; may be empty.
    shots : int
        Shots so far [-]
    turns : float
        Turns in the line now: those it was locked with, and those put in on the bow [turn]
    hand : str
        Hand of the twist.
    readings : int
        Readings on its bow [-]
    looked, waxed : Since or None
        When it was looked over and waxed last.
    stop : str
        Why it must not be drawn; empty where nothing is seen.
    retired_at, why : str
        When it was taken off for good, and why.
    own_months : int or None
        After how many months this shop replaces it [-]
    own_shots : int or None
        After how many shots this shop replaces it [-]
    entries : int
        Entries in its log [-]
    """

    build: str
    job: str
    name: str
    customer: str
    bow: str
    line: str
    kind: str
    status: str
    fitted_at: str
    last_at: str
    shots: int
    turns: float
    hand: str
    readings: int
    looked: Since | None
    waxed: Since | None
    stop: str
    retired_at: str
    why: str
    own_months: int | None
    own_shots: int | None
    entries: int

    @property
    def fitted(self) -> datetime | None:
        """When it came onto its bow; None before."""
        return datetime.fromisoformat(self.fitted_at) if self.fitted_at else None

    @property
    def words(self) -> str:
        """What it is found by, in lower case."""
        names = (self.name, self.customer, self.bow, self.line, self.job, self.build)
        return " ".join(names).lower()


def watched_lines(store: Store, words: str = "") -> tuple[RegisterLine, ...]:
    """Give every line that is on a bow.

    Parameters
    ----------
    store : Store
        Where they are kept.
    words : str
        Only those in whose names each of these words stands.

    Returns
    -------
    tuple of RegisterLine
        What happened last first.
    """
    rows = [row for one in WATCHED for row in store.listings("service", status=one, limit=_ALL)]
    return _found(store, rows, words)


def retired_lines(store: Store, words: str = "", limit: int = _ALL) -> tuple[RegisterLine, ...]:
    """Give lines that are off for good: their rows of the register are closed.

    Parameters
    ----------
    store : Store
        Where they are kept.
    words : str
        Only those in whose names each of these words stands.
    limit : int
        How many [-]

    Returns
    -------
    tuple of RegisterLine
        The latest first.
    """
    many = limit if not words.strip() else _ALL
    return _found(store, store.listings("service", status="retired", limit=many), words)[:limit]


def _found(store: Store, rows: Sequence[Listing], words: str) -> tuple[RegisterLine, ...]:
    builds = _named(store, "build", {row.owner for row in rows})
    jobs = _named(store, "job", {build.owner for build in builds.values()})
    lines = [_line(row, builds.get(row.owner), jobs) for row in rows]
    sought = words.lower().split()
    return tuple(line for line in lines if all(word in line.words for word in sought))


def _named(store: Store, kind: str, ids: set[str]) -> dict[str, Listing]:
    asked = sorted(ids)
    parts = (asked[n : n + _AT_ONCE] for n in range(0, len(asked), _AT_ONCE))
    return {row.id: row for part in parts for row in store.named(kind, part)}


def _line(row: Listing, build: Listing | None, jobs: dict[str, Listing]) -> RegisterLine:
    kept = row.summary
    made: dict[str, Any] = {} if build is None else build.summary
    job = "" if build is None else build.owner
    about: dict[str, Any] = jobs[job].summary if job in jobs else {}
    return RegisterLine(
        build=row.owner,
        job=job,
        name=about.get("name") or job or row.owner,
        customer=about.get("customer", ""),
        bow=about.get("bow", ""),
        line=about.get("line", ""),
        kind=about.get("kind", ""),
        status=row.status,
        fitted_at=kept["fitted_at"],
        last_at=kept["last_at"],
        shots=kept["shots"],
        turns=max(float(made.get("turns") or 0.0) + kept["turns"], 0.0),
        hand=made.get("hand", ""),
        readings=kept["readings"],
        looked=_since(kept["looked"]),
        waxed=_since(kept["waxed"]),
        stop=kept["stop"],
        retired_at=kept["retired_at"],
        why=kept["why"],
        own_months=kept["own_months"],
        own_shots=kept["own_shots"],
        entries=kept["events"],
    )


def _since(told: object) -> Since | None:
    if told is None:
        return None
    given = cast(dict[str, Any], told)
    return Since(given["at"], given["shots"])
