"""Refusals: what cannot have happened to a line on its bow is not written down."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import UTC, datetime, timedelta

from strandwright.errors import SpecError
from strandwright.planning.entries.refusals import RANGES
from strandwright.planning.result import Plan
from strandwright.planning.written import Written
from strandwright.units import Entered
from strandwright.workshop.service import (
    MOST_ENTRIES,
    FigureOn,
    LengthOff,
    LookedOver,
    OnBow,
    ReplaceBy,
    Retired,
    ServiceEntry,
    TakenBack,
    TurnsChanged,
    counting,
)

#: Gives the change of a figure by lengthening the line, and its standard uncertainty.
Slope = Callable[[str], tuple[float, float]]
#: How far a length may be from the one asked for: read at the measuring load, and at another
#: as a share of it [m, -]
_FAR, _FAR_AT_A_LOAD = 0.0254, 0.04
#: How far a figure of a bow may be from its first reading [m]
_FIGURE_FAR = 0.0762
_FIGURES = {"brace height": (0.05, 0.6), "axle to axle": (0.3, 2.0)}
#: Clocks of two computers may differ by this
_AHEAD = timedelta(hours=26)
_ANY_TIME = (LookedOver, ReplaceBy, Retired)


def refuse_impossible_entry(
    plan: Plan,
    turns: float,
    ended_at: str,
    written: Sequence[ServiceEntry],
    entry: ServiceEntry,
    now: datetime,
    slope: Slope,
) -> None:
    """Refuse an entry that cannot be meant.

    Parameters
    ----------
    plan : Plan
        The line's.
    turns : float
        Turns it was locked with, >= 0 [turn]
    ended_at : str
        When it was finished, UTC.
    written : sequence of ServiceEntry
        What was written before.
    entry : ServiceEntry
        What is to be written.
    now : datetime
        Now.
    slope : callable
        Says how a figure of the bow moves with the line; raises where nothing says it.

    Raises
    ------
    InputError
        Field, value, rule and remedy.
    """
    if len(written) >= MOST_ENTRIES:
        rule = f"must be one of {MOST_ENTRIES} at most"
        raise SpecError("service.entries", str(len(written)), rule, "begin a new line's record")
    count = counting(written)
    if isinstance(entry.body, TakenBack):
        _taken_back(count, entry.body)
        return
    _order(count, entry, ended_at, now)
    match entry.body:
        case LengthOff():
            _length(plan, entry.body)
        case FigureOn():
            _figure(count, entry.body, slope)
        case TurnsChanged():
            _turns(turns, count, entry.body)
        case LookedOver():
            _seen(entry.body)
        case ReplaceBy():
            if entry.body.months is None and entry.body.shots is None:
                rule = "must name months or shots"
                raise SpecError("replace-by.months", "nothing", rule, "write one of them")
        case _:
            pass


def _taken_back(count: Sequence[ServiceEntry], body: TakenBack) -> None:
    found = next((e for e in count if e.id == body.entry), None)
    if found is None:
        rule = "must be an entry of this line that still counts"
        raise SpecError("taken-back.entry", body.entry, rule, "choose one of the list")
    leaning = [e for e in count if not isinstance(e.body, (OnBow, *_ANY_TIME))]
    if isinstance(found.body, OnBow) and leaning:
        rule = "must not be taken back while later entries count from it"
        raise SpecError("taken-back.entry", "on-bow", rule, "take those back first")


def _order(
    count: Sequence[ServiceEntry], entry: ServiceEntry, ended_at: str, now: datetime
) -> None:
    """Moments and shots go forward together."""
    on = next((e for e in count if isinstance(e.body, OnBow)), None)
    off = next((e for e in count if isinstance(e.body, Retired)), None)
    if off is not None:
        rule = f"must not follow the line's end, written for {_said(off.at)}"
        raise SpecError("service.type", entry.type, rule, "take that entry back first")
    if entry.moment > now + _AHEAD:
        rule = "must not lie in the future"
        raise SpecError("service.at", entry.at, rule, "mend the day")
    if isinstance(entry.body, OnBow):
        if on is not None:
            rule = f"must be written once, and is, for {_said(on.at)}"
            raise SpecError("service.type", entry.type, rule, "take the first back")
        if entry.shots != 0:
            rule = "must be 0: shots count from here"
            raise SpecError("service.shots", str(entry.shots), rule, "leave it out")
        if ended_at and entry.moment < datetime.fromisoformat(ended_at) - _AHEAD:
            rule = f"must not lie before the line was finished, {_said(ended_at)}"
            raise SpecError("service.at", entry.at, rule, "mend the day")
    elif on is None:
        if not isinstance(entry.body, _ANY_TIME):
            rule = "must come after the line came onto its bow"
            raise SpecError("service.type", entry.type, rule, "write first when it was fitted")
    elif entry.moment < on.moment:
        rule = f"must not lie before the line came onto its bow, {_said(on.at)}"
        raise SpecError("service.at", entry.at, rule, "mend the day")
    _shots(count, entry)


def _said(at: str) -> str:
    """Write a moment as people do."""
    return f"{datetime.fromisoformat(at).astimezone(UTC):%Y-%m-%d %H:%M} UTC"


def _shots(count: Sequence[ServiceEntry], entry: ServiceEntry) -> None:
    before = max((e.shots for e in count if e.at < entry.at), default=0)
    after = min((e.shots for e in count if e.at > entry.at), default=None)
    if entry.shots < before:
        rule = f"must be {before} or more, for so many were counted before then"
        raise SpecError("service.shots", str(entry.shots), rule, "count from the day of fitting")
    if after is not None and entry.shots > after:
        rule = f"must be {after} or fewer, for so many were counted later"
        raise SpecError("service.shots", str(entry.shots), rule, "mend the shots or the day")


def _length(plan: Plan, body: LengthOff) -> None:
    for name in ("load", "zero_pin", "far_pin", "temperature"):
        given, allowed = getattr(body, name), RANGES.get(f"build.readings.{name}")
        if isinstance(given, Entered) and allowed is not None and not allowed.holds(given):
            rule = f"must lie between {allowed.low} and {allowed.high}"
            raise SpecError(f"length-off.{name}", given.text, rule, "check number and unit")
    target, to = plan.target.length.value, Written.on(plan.job.paper)
    plain = body.load is None and body.zero_pin is None and body.far_pin is None
    far = _FAR if plain else max(_FAR, _FAR_AT_A_LOAD * target)
    if abs(body.length.si - target) > far:
        rule = f"must lie within {to.length(far)} of the {to.fine(target)} asked for"
        raise SpecError("length-off.length", body.length.text, rule, "read it again")


def _figure(count: Sequence[ServiceEntry], body: FigureOn, slope: Slope) -> None:
    low, high = _FIGURES[body.figure]
    if not low <= body.read.si <= high:
        rule = f"must be the {body.figure} of a bow"
        raise SpecError("figure-on.read", body.read.text, rule, "check number and unit")
    same = (e.body for e in count if isinstance(e.body, FigureOn))
    first = next((b for b in same if b.figure == body.figure), None)
    if first is not None and abs(body.read.si - first.read.si) > _FIGURE_FAR:
        rule = f"must lie within 3 in of the first, {first.read.text}"
        raise SpecError("figure-on.read", body.read.text, rule, "read it again")
    if body.per_length is None:
        slope(body.figure)
    elif abs(body.per_length) < 0.05:
        rule = "must be 0.05 at least, either way: a figure that stands still tells nothing"
        raise SpecError("figure-on.per_length", str(body.per_length), rule, "read the length")


def _turns(turns: float, count: Sequence[ServiceEntry], body: TurnsChanged) -> None:
    given = body.turns
    if given == 0.0 or abs(2.0 * given - round(2.0 * given)) > 1e-9:
        rule = "must be half turns or whole ones, and not none"
        raise SpecError("turns-changed.turns", f"{given:g}", rule, "write such as 0.5 or -1")
    held = turns + sum(e.body.turns for e in count if isinstance(e.body, TurnsChanged))
    if held + given < 0.0:
        rule = f"must leave no fewer than none: the line holds {held:g}"
        raise SpecError("turns-changed.turns", f"{given:g}", rule, "mend the number or the sign")


def _seen(body: LookedOver) -> None:
    if not body.seen:
        rule = "must name what was seen"
        raise SpecError("looked-over.seen", "nothing", rule, "write nothing where none was found")
    if "nothing" in body.seen and len(body.seen) > 1:
        rule = "must not name wear and nothing in one"
        raise SpecError("looked-over.seen", "nothing", rule, "leave nothing out")
