"""Timings: how long acts took in a finished build, by the moments at which its log was written.

What is written marks the end of an act, so that the time between two entries is that of the act
that the later one ends. Acts that were written down together share their time; where a line stood
or rested in between nothing is said of hands. Whether something else came between, a customer or
lunch, the times of one build alone cannot tell: see :mod:`strandwright.planning.quote.pauses`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from strandwright.planning.quote.operations import Operations, operations_of
from strandwright.planning.result import Plan, Step
from strandwright.reference import practice
from strandwright.workshop.events import Event, StoredEvent

#: A twist is over with this share of the turns planned first: readings may have asked for fewer [-]
_NEARLY = 0.8
#: What is read beside the route's own acts: its time belongs to none of them
_BESIDE = frozenset({"mass-read", "diameter-read", "strands-counted", "ear-checked"})
#: Events that may end an act
_ENDING = frozenset({"posts-set", "rounds-laid", "step-done", "length-read", "turned", "legs-read"})


@dataclass(frozen=True)
class Timing:
    """Time between two entries of a log.

    Attributes
    ----------
    acts : tuple of (str, float)
        Rows of practice of what was done in it, each with its amount [-]
    seconds : float
        How long it took, short dwells taken off [s]
    """

    acts: tuple[tuple[str, float], ...]
    seconds: float


def timings_of(plan: Plan, log: Iterable[StoredEvent]) -> tuple[Timing, ...]:
    """Read from the log of a build how long its acts took, up to its first proof.

    Parameters
    ----------
    plan : Plan
        The plan it was built by.
    log : iterable of StoredEvent
        Its events; those withdrawn, and what withdrew them, are left out.

    Returns
    -------
    tuple of Timing
        In their order.
    """
    events = [stored.event for stored in sorted(log, key=lambda s: s.seq)]
    gone = {getattr(e.body, "event", "") for e in events if e.type == "withdrawn"}
    clock = _Clock(plan)
    for event in events:
        if event.id not in gone:
            clock.take(event)
        if clock.is_proved:
            break
    return tuple(clock.found)


class _Clock:
    """Goes through a log event by event."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.steps: tuple[Step, ...] = plan.steps
        self.work: Operations = operations_of(plan)
        self.together = practice("minutes.together").value
        self.found: list[Timing] = []
        self.since: float | None = None
        self.done = -1
        self.laid: dict[int, int] = {}
        self.is_proved = False
        #: Small acts whose time belongs to what follows [s]
        self.ahead = 0.0
        #: Whether the last timing ended at ``since``, so that more may be added to it
        self.is_open = False

    def take(self, event: Event) -> None:
        """Let one event end its act, if it ends one."""
        now = event.moment.timestamp()
        if event.type == "started":
            self.since = now
        elif event.type in _BESIDE:
            self._go_on(now)
        elif event.type in _ENDING:
            place = self._ended(event)
            if place is None:
                # Rounds in between are part of the winding; anything else was done once more.
                if event.type != "rounds-laid":
                    self._go_on(now)
            elif self.since is not None:
                self._end(place, now)
                self.done = place
                self.since = now
            else:
                self.done, self.since = place, now

    def _go_on(self, now: float) -> None:
        self.since, self.ahead, self.is_open = now, 0.0, False

    def _ended(self, event: Event) -> int | None:
        """Find the step that an event ends, of those that are not behind yet."""
        body = event.body
        if event.type == "rounds-laid":
            run: int = getattr(body, "run", 0)
            self.laid[run] = self.laid.get(run, 0) + int(getattr(body, "halves", 0))
            if self.laid[run] < self.plan.winding.runs[run].strands:
                return None
        for place, step in enumerate(self.steps):
            if place > self.done and _ends(step, event.type, body):
                return place
        return None

    def _end(self, place: int, now: float) -> None:
        """Give the time since the last entry to the steps that lie behind it now."""
        assert self.since is not None
        covered = self.steps[self.done + 1 : place + 1]
        names = {step.id or step.key for step in covered}
        self.is_proved = any(step.key == "proof" for step in covered)
        acts = tuple((a.row, a.amount) for a in self.work.acts if a.step in names)
        seconds = now - self.since - sum(self.work.fixed.get(name, 0.0) for name in names)
        if names & self.work.waits:
            self._go_on(now)
        elif self.is_open and (seconds < self.together or (not acts and self._leans_back(covered))):
            last = self.found[-1]
            self.found[-1] = replace(last, acts=last.acts + acts, seconds=last.seconds + seconds)
        elif not acts:
            self.ahead += max(seconds, 0.0)
        elif self.ahead + seconds > self.together:
            self.found.append(Timing(acts, self.ahead + seconds))
            self.ahead, self.is_open = 0.0, True
        else:
            # Written down at once with what nothing is known of: it says nothing.
            self._go_on(now)

    def _leans_back(self, covered: tuple[Step, ...]) -> bool:
        """Say whether small acts are counted with what was done just before them."""
        rows = {row for row, _ in self.found[-1].acts}
        again = all(step.id.endswith("-2") for step in covered)
        winding = all(step.key in ("wind", "even", "shift") for step in covered)
        return again or (winding and "winding" in rows)


def _ends(step: Step, type: str, body: object) -> bool:
    """Say whether an event of this kind ends a step, as the app shows it done."""
    if type == "posts-set":
        return step.key == "posts"
    if type == "rounds-laid":
        return step.key == "wind" and step.run == getattr(body, "run", None)
    if type == "length-read":
        return step.key in ("read", "proof") and step.stage == getattr(body, "stage", "")
    if type == "turned":
        turns = float(getattr(body, "turns", 0.0))
        return step.key == "twist" and turns >= _NEARLY * (step.turns or 0.0)
    if type == "legs-read":
        return step.key == "match"
    return step.id == getattr(body, "step", None)
