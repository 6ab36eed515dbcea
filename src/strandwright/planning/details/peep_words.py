"""Words of a peep: its split, its turn with the +-, which way, and what brings it straight."""

from __future__ import annotations

from collections.abc import Iterator

from strandwright.planning.details.peep import PeepAnswer, PeepTurn, degrees_of, widest
from strandwright.planning.details.split import split_said
from strandwright.planning.details.straighten import (
    Remedy,
    sense_said,
    straight_within,
    straighten,
)
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.planning.written import Written
from strandwright.reference import practice

Row = tuple[str, str, str]

FRICTION = (
    "no friction between the strands is counted, which holds turns back: it is the most a peep "
    "turns, and a waxed line turns less"
)
STRUNG = (
    "half a turn goes in or out with the bow relaxed as its maker's manual has it: never twist a "
    "loaded string at its loop"
)


def peep_rows(
    answer: PeepAnswer, plan: Plan, to: Written
) -> tuple[tuple[Row, ...], tuple[str, ...]]:
    """Write what a peep does.

    Parameters
    ----------
    answer : PeepAnswer
        What it does.
    plan : Plan
        Its line.
    to : Written
        How quantities are written.

    Returns
    -------
    tuple of tuples
        Rows of name, answer and what else is to be known; notes.
    """
    split, *more = split_said(answer.split)
    rows: list[Row] = [("split", split, "; ".join(more)), *_unevenness(answer, plan)]
    if answer.loads is None:
        rows.append(("turn when drawn", "not known", "give bow.draw_weight, or bow.loads"))
        return tuple(rows), ()
    braced, drawn = to.estimate(answer.loads.braced), to.estimate(answer.loads.drawn)
    rows.append(("from brace to full draw", f"{braced} to {drawn}", answer.loads.source))
    rows += [(f"if {turn.hold.name}", *_turned(turn, plan)) for turn in answer.turns]
    most = widest(answer)
    if most is not None:
        rows += [*_ends(most, plan)]
        rows += _straightened(most, plan, to)
    return tuple(rows), (FRICTION, STRUNG)


def _unevenness(answer: PeepAnswer, plan: Plan) -> Iterator[Row]:
    """Say how much more the group wound last bears, as the posts' give leaves it."""
    apart, runs = plan.winding.tightest - 1.0, plan.winding.runs
    if not answer.split.by_colour or len(runs) < 2 or apart <= practice("evenness.tolerated").value:
        return
    yield (
        "as wound",
        f"{runs[-1].name} bears {100.0 * apart:.0f} % more than {runs[0].name}",
        "posts give while it is wound: burnish and even the skein out, or the peep leans and turns",
    )


def _turned(turn: PeepTurn, plan: Plan) -> tuple[str, str]:
    line = plan.job.line
    text = angle_text(turn.turn)
    if abs(turn.turn.value) <= turn.turn.u95:
        return text, "which way cannot be told"
    return text, sense_said(turn.turn.value, plan.twist.hand, line.zero_end.name, line.far_end.name)


def angle_text(turn: Estimate) -> str:
    """Write an angle without its sense.

    Parameters
    ----------
    turn : Estimate
        The angle [turn]

    Returns
    -------
    str
        ``12 ± 5°``, one decimal where it is small.
    """
    value, half = abs(degrees_of(turn.value)), degrees_of(turn.u95)
    digits = 1 if max(value, half) < 9.95 else 0
    text = f"{value:.{digits}f}"
    least = 10.0**-digits
    return f"{text}°" if turn.u == 0.0 else f"{text} ± {max(half, least):.{digits}f}°"


def _ends(turn: PeepTurn, plan: Plan) -> Iterator[Row]:
    line, hand = plan.job.line, plan.twist.hand
    ends = (line.zero_end.name, line.far_end.name)
    for name, by in zip(ends, (turn.by_zero_end, turn.by_far_end), strict=True):
        yield (
            f"half a turn in at {name}",
            f"turns it {angle_text(by)}",
            sense_said(by.value, hand, *ends),
        )


def _straightened(turn: PeepTurn, plan: Plan, to: Written) -> Iterator[Row]:
    """Say what brings it straight: as reckoned, and when it is seen a quarter round."""
    within, value = straight_within(), turn.turn.value
    label = "to bring it straight"
    if abs(value) + turn.turn.u95 <= within:
        near = f"within {degrees_of(within):.0f}° of straight, as near as it has to be"
        yield label, "nothing", near
    elif abs(value) <= turn.turn.u95:
        yield label, "draw it and look first", "how far it turns is not known well enough to act on"
    else:
        yield label, *_remedy_said(value, turn, plan, to)
    clockwise = 0.25 if plan.twist.hand == "Z" else -0.25
    seen_from = plan.job.line.zero_end.name
    for way, off in (("clockwise", clockwise), ("anticlockwise", -clockwise)):
        yield f"90° off, {way} from {seen_from}", *_remedy_said(off, turn, plan, to)


def _remedy_said(off: float, turn: PeepTurn, plan: Plan, to: Written) -> tuple[str, str]:
    effect = plan.twist.next_turn.value
    remedy = straighten(off, turn, plan.winding.strands, effect)
    ends = (plan.job.line.zero_end.name, plan.job.line.far_end.name)
    acts = [
        f"{'put in' if n > 0 else 'take out'} {_half_turns(abs(n))} at {name}"
        for n, name in zip((remedy.zero_end, remedy.far_end), ends, strict=True)
        if n != 0.0
    ]
    length = "length unchanged"
    if remedy.zero_end + remedy.far_end != 0.0:
        way = "shorter" if remedy.longer < 0.0 else "longer"
        length = f"{to.small(abs(remedy.longer))} {way}"
    said = f"leaves {abs(degrees_of(remedy.leaves)):.0f}°, {length}"
    return " and ".join(acts) or "nothing in half turns", said + _moved(remedy, plan)


def _moved(remedy: Remedy, plan: Plan) -> str:
    """Say which strands would do instead of turns."""
    if not remedy.strands:
        return ""
    strands = "1 strand" if remedy.strands == 1 else f"{remedy.strands} strands"
    return (
        f"; or take {strands} of each group over to the other, those beside the split on the side "
        f"it is to turn to: {360.0 / plan.winding.strands:.0f}° for each"
    )


def _half_turns(turns: float) -> str:
    if turns == 0.5:
        return "half a turn"
    whole, half = divmod(round(2.0 * turns), 2)
    return f"{whole}{' 1/2' if half else ''} turn{'s' if turns > 1.0 else ''}"
