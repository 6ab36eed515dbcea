"""Words: what a plan says of its yoke, as people read it."""

from __future__ import annotations

import math
from dataclasses import replace

from strandwright.planning.details.section import Row
from strandwright.planning.estimate import Estimate
from strandwright.planning.result.plan import Plan
from strandwright.planning.result.yoke import (
    Lean,
    LegsMatched,
    Reserve,
    StrapPlan,
    YokePlan,
    YokeTurns,
)
from strandwright.planning.written import Written
from strandwright.workshop.job import Paper

#: The rule by which a lean is righted, from the forces and not from a habit.
LEAN_RULE = (
    "turns go in opposite the lean: look at the rim on the side away from the cable, and where it "
    "leans towards the left leg, put a turn into the right one and take one out of the left"
)
#: What parts a matched pair of legs from one that is not.
MATCH_RULE = "legs match within 1/32 in under load: common practice, no source"


def halves(turns: float) -> str:
    """Write turns in halves with the word.

    Parameters
    ----------
    turns : float
        Turns, >= 0 [turn]

    Returns
    -------
    str
        ``3 1/2 turns``, ``1/2 turn``.
    """
    whole = int(turns + 0.25)
    half = "1/2" if turns - whole >= 0.25 else ""
    number = " ".join(x for x in (str(whole) if whole or not half else "", half) if x)
    return f"{number} {'turn' if 0.0 < turns <= 1.0 else 'turns'}"


def other(leg: str) -> str:
    """Give the other leg.

    Parameters
    ----------
    leg : str
        ``left`` or ``right``.

    Returns
    -------
    str
        The other of the two.
    """
    return "right" if leg == "left" else "left"


def change_said(change: Estimate, to: Written) -> str:
    """Say a change of the length with its sign in words.

    Parameters
    ----------
    change : Estimate
        The change [m]
    to : Written
        The job's units.

    Returns
    -------
    str
        ``0.009 ± 0.003 in shorter``.
    """
    way = "shorter" if change.value < 0.0 else "longer"
    return f"{to.small_estimate(replace(change, value=abs(change.value)))} {way}"


def match_said(found: LegsMatched, paper: Paper, half_apart: float) -> LegsMatched:
    """Say how two legs compare, and what makes them alike.

    Parameters
    ----------
    found : LegsMatched
        The comparison.
    paper : Paper
        Its units.
    half_apart : float
        About what half a turn into the longer leg takes off the difference [m]

    Returns
    -------
    LegsMatched
        The same, said.
    """
    to = Written.on(paper)
    size = abs(found.difference.value)
    if math.isnan(size):
        return replace(found, said=("read so, one of the legs would hang slack: read both again",))
    shown = to.small_estimate(replace(found.difference, value=size))
    bound = to.fine(found.bound)
    if found.matched:
        said = [f"they match: {shown} apart, within {bound}"]
        if size + found.difference.u95 > found.bound:
            said.append("by tape and load that is not certain: read both again where it matters")
        return replace(found, said=tuple(said))
    said = [f"the {found.longer} leg is {shown} longer, {bound} is allowed"]
    if math.isnan(found.turns):
        pass
    elif found.turns < 0.25:
        said.append(
            f"half a turn would take {to.small(half_apart)} off, more than they are apart: slide "
            "the fork's tie towards the shorter leg, and read again"
        )
    else:
        said += _turns_said(found)
    return replace(found, said=tuple(said))


def _turns_said(found: LegsMatched) -> list[str]:
    short, put = other(found.longer), halves(found.turns)
    said = [
        f"put {put} into the {found.longer} leg: the cable then comes out shorter by half of that "
        "difference, which the next reading takes in"
    ]
    if found.moved is not None and found.moved >= 0.5:
        said.append(
            f"or move {halves(found.moved)} over, into the {found.longer} and out of the {short} "
            "leg: the length stays but for the square of it"
        )
    return said


def made_rows(yoke: YokePlan, plan: Plan, to: Written) -> tuple[Row, ...]:
    """Give the rows of how the fork is made.

    Parameters
    ----------
    yoke : YokePlan
        The yoke.
    plan : Plan
        The plan.
    to : Written
        The job's units.

    Returns
    -------
    tuple of (str, str, str)
        Length over all, throat, legs and reserve, or the strap.
    """
    name = plan.job.line.far_end.name
    if yoke.strap is not None:
        return strap_rows(yoke.strap, yoke, to)
    rows: list[Row] = [
        ("overall, to either leg's loop", to.estimate(yoke.overall), "both legs on one pin"),
        ("leg, from the throat", to.length(yoke.leg), f"to the outside of the {name} pin"),
    ]
    if yoke.throat is not None:
        start, stop = (to.estimate(edge) for edge in yoke.throat)
        rows.append(("throat serving", f"{start} to {stop}", "finished, from the zero end"))
    for leg in yoke.legs:
        said = ", ".join(f"{strands} {colour}" for colour, _, strands in leg.colours)
        turns = f"{halves(leg.turns)} {plan.twist.hand}"
        rows.append((f"{leg.name} leg", f"{leg.strands} strands, {turns}", said))
    if yoke.reserve is not None:
        rows.append(reserve_row(yoke.reserve, to))
    rows.append(("half a turn in one leg", to.small(yoke.half_turn_apart), "sets them apart"))
    rows += [(f"read, {_hung(read)}", read.said[0], "; ".join(read.said[1:])) for read in yoke.read]
    return tuple(rows)


def _hung(read: LegsMatched) -> str:
    return "both at once" if read.together else "one by one"


def reserve_row(reserve: Reserve, to: Written) -> Row:
    """Give the row of the legs' reserve of turns.

    Parameters
    ----------
    reserve : Reserve
        The reserve.
    to : Written
        The job's units.

    Returns
    -------
    tuple of (str, str, str)
        Its row.
    """
    usual = to.fine(reserve.correction)
    return (
        "reserve for lean",
        f"{to.small(reserve.apart)} either way",
        f"all turns of one leg moved over; a usual correction of {usual} takes "
        f"{reserve.least:.1f} turns in each (memory)",
    )


def turn_rows(turns: YokeTurns, to: Written) -> tuple[Row, ...]:
    """Give the rows of what turns do.

    Parameters
    ----------
    turns : YokeTurns
        What they do.
    to : Written
        The job's units.

    Returns
    -------
    tuple of (str, str, str)
        A row for each place a turn may go.
    """
    rows: list[Row] = [
        ("a turn in one leg", change_said(turns.one_leg, to), ""),
        ("a turn in both legs", change_said(turns.both_legs, to), ""),
        ("a turn in the body", change_said(turns.body, to), ""),
    ]
    for number, length, moment in turns.moved:
        lean = f"side moment {to.estimate(moment)}" if turns.span > 0.0 else ""
        rows.append((f"{halves(number)} moved over", change_said(length, to), lean))
    return tuple(rows)


def lean_rows(lean: Lean, to: Written) -> tuple[Row, ...]:
    """Give the rows of what unlike legs do to the wheel.

    Parameters
    ----------
    lean : Lean
        The lean.
    to : Written
        The job's units.

    Returns
    -------
    tuple of (str, str, str)
        A row for each difference, and how the yoke stands on its axle.
    """
    rows: list[Row] = [
        (
            "on the axle",
            f"{to.small(lean.shorter)} shorter than on one pin",
            f"legs {math.degrees(lean.angle):.1f} degrees to either side over "
            f"{to.length(lean.span)}",
        )
    ]
    for (apart, tight, loose), moment in zip(lean.pulls, lean.moments, strict=True):
        pulls = f"the shorter leg pulls {to.force(tight)}, the longer {to.force(loose)}"
        rows.append((f"legs {to.fine(apart)} apart", to.estimate(moment), pulls))
    return tuple(rows)


def strap_rows(strap: StrapPlan, yoke: YokePlan, to: Written) -> tuple[Row, ...]:
    """Give the rows of a strap.

    Parameters
    ----------
    strap : StrapPlan
        The strap.
    yoke : YokePlan
        Its yoke.
    to : Written
        The job's units.

    Returns
    -------
    tuple of (str, str, str)
        How it is made, how long cable and strap are together, what friction holds.
    """
    low, high = strap.turns_range
    posts = "not planned" if strap.posts is None else to.estimate(strap.posts)
    bench = f"; this bench {strap.why_not}" if strap.why_not else ""
    thread = f", {strap.thread}" if strap.thread else ", bare"
    tight, loose = strap.shares
    return (
        ("strap", f"{strap.strands} strands, {to.length(strap.length)}",
         f"outside to outside, pulled straight at half the load; loops {to.length(strap.loop)}"
         f"{thread}"),
        ("strap, posts", posts, f"{to.long(Estimate(strap.cut, 0.0, 'm'))} of strand{bench}"),
        ("strap, turns", halves(strap.turns), f"from {low:.0f} to {high:.0f} once it is read"),
        ("cable and strap", to.estimate(strap.overall),
         f"overall, the strap in the eye; each side {to.length(yoke.leg)}"),
        ("before it slides", f"{strap.ratio:.2f} to 1",
         f"one side may pull so much over the other, {100.0 * tight:.0f} and {100.0 * loose:.0f} % "
         f"of the cable's load, at a friction of {strap.friction:.2g}"),
        *((("most side moment", to.estimate(Estimate(strap.most_moment, 0.0, "N m")),
            "until it slides; worked in use it comes to equal pulls and gives none"),)
          if strap.most_moment > 0.0 else ()),
    )  # fmt: skip
