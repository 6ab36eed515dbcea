"""Course: the entries of a line's service as the fit takes them: moments, elongations, steps."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from strandwright.planning.conversion import ReadingCondition, convert_reading
from strandwright.planning.readings.tape import reading_uncertainty
from strandwright.planning.result import Plan
from strandwright.planning.unknowns import KELVIN_20
from strandwright.reference import practice
from strandwright.statistics.settling import Moment, Steps
from strandwright.units import Dimension, Entered, parse
from strandwright.workshop.parts import Original
from strandwright.workshop.service import (
    FigureOn,
    LengthOff,
    OffAndOn,
    OnBow,
    ServiceEntry,
    SetAsWanted,
    TurnsChanged,
)

Floats = NDArray[np.float64]
#: Gives the change of a figure by lengthening the line, and its standard uncertainty.
Slope = Callable[[str], tuple[float, float]]
_DAY = 86400.0


@dataclass(frozen=True)
class Read:
    """One reading as the fit takes it.

    Attributes
    ----------
    entry : ServiceEntry
        Where it was written.
    moment : Moment
        When, since the line came onto its bow.
    elongation : float
        Over the length asked for; of a figure, since its first reading [-]
    u : float
        Standard uncertainty by itself [-]
    steps : ndarray
        How much of each step it has in it [-]
    """

    entry: ServiceEntry
    moment: Moment
    elongation: float
    u: float
    steps: Floats


@dataclass(frozen=True)
class Course:
    """What the service of a line comes to.

    Attributes
    ----------
    began : datetime or None
        When it came onto its bow; None before.
    readings : tuple of Read
        In the order of their moments.
    steps : Steps
        What they also depend on.
    last : Moment
        The last moment of which anything was written.
    seen : Moment
        When its length was last read; of none, when it came on.
    turns : float
        Turns put in on the bow so far, taken out where negative [turn]
    aim : Moment or None
        Since when the bow is as it is wanted.
    aim_steps : ndarray or None
        What the line had in it of each step then [-]
    moments : tuple of Moment
        Of every entry, in order; the fitting before them.
    changes : tuple of (Moment, ndarray)
        From when on the line had how much of each step in it, the fitting first.
    of_figures : int
        How many of the last steps belong to figures of the bow [-]
    """

    began: datetime | None
    readings: tuple[Read, ...]
    steps: Steps
    last: Moment
    seen: Moment
    turns: float
    aim: Moment | None
    aim_steps: Floats | None
    moments: tuple[Moment, ...]
    changes: tuple[tuple[Moment, Floats], ...]
    of_figures: int


@dataclass
class _Walk:
    """Collects the course entry by entry."""

    plan: Plan
    slope: Slope
    began: datetime
    reseats: int
    figures: tuple[str, ...]
    turns: float = 0.0
    sat: int = 0
    firsts: dict[str, Entered] = field(default_factory=dict[str, Entered])
    found: list[Read] = field(default_factory=list[Read])
    last: Moment = field(default_factory=lambda: Moment(0.0, 0.0))
    aim: Moment | None = None
    aim_steps: Floats | None = None
    moments: list[Moment] = field(default_factory=lambda: [Moment(0.0, 0.0)])
    changes: list[tuple[Moment, Floats]] = field(default_factory=list[tuple[Moment, Floats]])

    def take(self, entry: ServiceEntry) -> None:
        """Let one entry act."""
        self.last = moment = moment_of(entry, self.began)
        self.moments.append(moment)
        match entry.body:
            case TurnsChanged():
                self.turns += entry.body.turns
                self.changes.append((moment, self._shares()))
            case OffAndOn():
                self.sat += 1
                self.changes.append((moment, self._shares()))
            case SetAsWanted():
                self.aim, self.aim_steps = moment, self._shares()
            case LengthOff():
                value, u = _length(self.plan, entry.body, self.plan.twist.turns + self.turns)
                self.found.append(Read(entry, moment, value, u, self._shares()))
            case FigureOn():
                self.found.append(self._figure(entry, entry.body, moment))
            case _:
                pass

    def _shares(self, figure: str = "", moved: float = 0.0) -> Floats:
        sat = [1.0 if place < self.sat else 0.0 for place in range(self.reseats)]
        own = [(1.0, moved) if name == figure else (0.0, 0.0) for name in self.figures]
        return np.array([self.turns, *sat, *(share for pair in own for share in pair)])

    def _figure(self, entry: ServiceEntry, body: FigureOn, moment: Moment) -> Read:
        length = self.plan.target.length.value
        first = self.firsts.setdefault(body.figure, body.read)
        per = body.per_length if body.per_length else self.slope(body.figure)[0]
        moved = (body.read.si - first.si) / (per * length)
        stated = body.read.standard_uncertainty
        u = practice("settling.bow_reading").value if stated is None else stated
        return Read(entry, moment, moved, u / abs(per * length), self._shares(body.figure, moved))

    def course(self) -> Course:
        """Give the course."""
        length = self.plan.target.length.value
        turn = self.plan.twist.next_turn
        doubt = practice("settling.turn_doubt").value * abs(turn.value)
        zero, seat = (practice(f"settling.{name}").value for name in ("bow_zero", "reseated"))
        slopes = [_slope_doubt(self.slope, self.found, name) for name in self.figures]
        of_figures = [u for doubt_of in slopes for u in (zero / length, doubt_of)]
        u = [math.hypot(turn.u, doubt) / length, *[seat / length] * self.reseats, *of_figures]
        mean = np.zeros(len(u))
        mean[0] = turn.value / length
        now = self._shares()
        at = np.array([read.steps for read in self.found]).reshape(len(self.found), len(u))
        seen = self.found[-1].moment if self.found else Moment(0.0, 0.0)
        return Course(
            self.began, tuple(self.found), Steps(at, now, mean, np.array(u)), self.last, seen,
            self.turns, self.aim, self.aim_steps, tuple(self.moments),
            ((Moment(0.0, 0.0), np.zeros(len(u))), *self.changes), 2 * len(self.figures),
        )  # fmt: skip


def course_of(plan: Plan, entries: Sequence[ServiceEntry], slope: Slope) -> Course:
    """Walk the entries of a line's service.

    Parameters
    ----------
    plan : Plan
        The finished line's.
    entries : sequence of ServiceEntry
        Those that count, in the order in which they happened.
    slope : callable
        Gives the change of a figure by lengthening the line, where an entry does not say it.

    Returns
    -------
    Course
        The course; nothing is read in one of which it is not written that it came onto its bow.

    Raises
    ------
    InputError
        If a reading cannot be carried to the measuring condition, or nothing says what a figure
        does by the line's length.
    """
    on = next((e for e in entries if isinstance(e.body, OnBow)), None)
    began = on.moment if on is not None else None
    read = {e.body.figure: None for e in entries if isinstance(e.body, FigureOn)}
    reseats = sum(isinstance(e.body, OffAndOn) for e in entries)
    walk = _Walk(plan, slope, began or datetime.min, reseats, tuple(read))
    for entry in entries if on is not None else ():
        walk.take(entry)
    course = walk.course()
    if began is not None:
        return course
    return replace(course, began=None)


def moment_of(entry: ServiceEntry, began: datetime) -> Moment:
    """Give the moment of an entry since the line came onto its bow.

    Parameters
    ----------
    entry : ServiceEntry
        The entry.
    began : datetime
        When the line came onto its bow.

    Returns
    -------
    Moment
        Shots and time.
    """
    return Moment(float(entry.shots), max((entry.moment - began).total_seconds(), 0.0))


def _length(plan: Plan, body: LengthOff, turns: float) -> tuple[float, float]:
    """Elongation and standard uncertainty of a length read off the bow."""
    target = plan.target
    length, u = body.length.si, reading_uncertainty(plan.job, body.length)
    load = target.measuring_load if body.load is None else body.load.si
    zero, far = (
        target.pin_diameter if pin is None else pin.si for pin in (body.zero_pin, body.far_pin)
    )
    warm = KELVIN_20 if body.temperature is None else body.temperature.si
    same = abs(load - target.measuring_load) < 1e-3 and zero == far == target.pin_diameter
    if not same or abs(warm - KELVIN_20) > 5.0:
        # The line itself is what was read; of the original only its layout is still needed.
        layout = Original(shorthand=plan.job.original.shorthand, turns=max(turns, 0.0))
        job = plan.job.model_copy(update={"original": layout})
        fields = ("length-off.load", "length-off.zero_pin", "length-off.far_pin")
        read = ReadingCondition(_newtons(load), zero, far, warm, fields)
        wanted = ReadingCondition(
            _newtons(target.measuring_load), target.pin_diameter, target.pin_diameter
        )
        found = convert_reading(job, body.length, read, wanted)
        length, u = found.length.value, max(found.shift.u, u)
    u = math.hypot(u, practice("settling.hang").value)
    return length / target.length.value - 1.0, u / target.length.value


def _newtons(load: float) -> Entered:
    return parse(Dimension.FORCE, f"{load:.6g} N", field="load")


def _slope_doubt(slope: Slope, found: Sequence[Read], figure: str) -> float:
    """Relative standard uncertainty of what a figure does by the line's length."""
    doubt = practice("settling.slope_doubt").value
    bodies = [r.entry.body for r in found if isinstance(r.entry.body, FigureOn)]
    if any(body.figure == figure and body.per_length is None for body in bodies):
        value, u = slope(figure)
        return math.hypot(doubt, u / abs(value))
    return doubt
