"""Refusals: readings of both legs that no bench could have taken of this cable."""

from __future__ import annotations

import math

from strandwright.errors import SpecError
from strandwright.planning.result.plan import Plan
from strandwright.planning.written import Written
from strandwright.planning.yoke.cable import PlannedYoke
from strandwright.planning.yoke.matched import legs_matched
from strandwright.units import INCH
from strandwright.workshop.makings import BuildLegs

#: A length this far from what the plan tells is of something else [m]
_FAR = 2.0 * INCH


def refuse_unmeant_legs(plan: Plan, read: BuildLegs, field: str = "legs-read") -> None:
    """Refuse a reading of both legs that cannot be of this line.

    Parameters
    ----------
    plan : Plan
        The plan.
    read : BuildLegs
        The reading.
    field : str
        Where it was entered.

    Raises
    ------
    SpecError
        Of a line without such legs, of lengths far from the plan's, without what a reading
        together needs, or of legs that no turns bring together.
    """
    told = plan.job.line.yoke
    if told is None or told.made != "halves":
        rule = "must be of a line that parts in two legs of half its strands"
        raise SpecError(field, f"{read.left.text}, {read.right.text}", rule, "read its length")
    refuse_legs(plan, PlannedYoke.of(plan), read, field)


def refuse_legs(plan: Plan, yoke: PlannedYoke, read: BuildLegs, field: str) -> None:
    """Refuse a reading of both legs that cannot be of a cable with two legs.

    Parameters
    ----------
    plan : Plan
        The plan.
    yoke : PlannedYoke
        Its yoke.
    read : BuildLegs
        The reading.
    field : str
        Where it was entered.

    Raises
    ------
    SpecError
        Of lengths far from the plan's, without what a reading together needs, or of legs that no
        turns bring together.
    """
    together = read.hung == "together"
    if together and (read.span is None or read.span.si <= 0.0):
        given = "nothing" if read.span is None else read.span.text
        rule = "must be above 0 where both legs hang together: it parts their pulls"
        raise SpecError(f"{field}.span", given, rule, "give it, or hang the legs one by one")
    _refuse_far(plan, read, field, together)
    found = legs_matched(yoke, read)
    if math.isnan(found.difference.value) or (math.isnan(found.turns) and not found.matched):
        to = Written.on(plan.job.paper)
        apart = to.small(abs(read.left.si - read.right.si))
        longer = "left" if read.left.si > read.right.si else "right"
        rule = f"must not be {apart} longer than the other leg: more than its turns can take up"
        if together:
            rule = f"must not be {apart} longer than the other leg, which leaves one of them slack"
        remedy = f"read both again; if it stands, close the {longer} leg's loop anew, shorter"
        raise SpecError(f"{field}.{longer}", _text(read, longer), rule, remedy)


def _refuse_far(plan: Plan, read: BuildLegs, field: str, together: bool) -> None:
    told = plan.job.line.yoke
    assert told is not None
    to = Written.on(plan.job.paper)
    wanted = told.leg.si if together else plan.target.length.value
    what = "the leg from the throat" if together else "the whole cable"
    room = min(_FAR, 0.5 * told.leg.si)
    for name in ("left", "right"):
        given = read.left if name == "left" else read.right
        # Before the body is twisted the cable is longer by what those turns will take up.
        longest = wanted + room + (0.0 if together else max(plan.twist.take_up.value, 0.0))
        if not wanted - room <= given.si <= longest:
            rule = f"must be near {to.length(wanted)}, {what} outside to outside"
            raise SpecError(f"{field}.{name}", given.text, rule, "check the tape and what it is of")


def _text(read: BuildLegs, which: str) -> str:
    return read.left.text if which == "left" else read.right.text
