"""The steps of a laid-in line: lay in both loops, pull them in two stages, twist as any other."""

from __future__ import annotations

import math
from dataclasses import replace

from strandwright.line.route import Order
from strandwright.planning import cautions
from strandwright.planning.laid.sections import MOST_TOLD
from strandwright.planning.result import Step
from strandwright.planning.result.laid import LaidEnd, LaidIn
from strandwright.planning.steps.board import board_steps
from strandwright.planning.steps.loops import light_load
from strandwright.planning.steps.orders import ORDERS
from strandwright.planning.steps.phrases import let_down_line, more_said, rest_line
from strandwright.planning.steps.words import Words, make_step

#: Steps of a skein that has its loops still to be made, and the last of them
_OF_A_SKEIN, _LAST = frozenset({"slide-out", "serve-loops"}), "loops"
#: The move of the second loop's marks that is told
_QUARTER = "1/4 in"


def laid_in_steps(words: Words, laid: LaidIn) -> list[Step]:
    """Word the route of a laid-in line up to its last readings.

    Parameters
    ----------
    words : Words
        The plan in words.
    laid : LaidIn
        How it is laid in.

    Returns
    -------
    list of Step
        In their order.
    """
    first, second = laid.ends
    middle = ORDERS[words.plan.route.order](words)
    ids = [step.id or step.key for step in middle]
    begins, over = min(ids.index(i) for i in _OF_A_SKEIN if i in ids), ids.index(_LAST) + 1
    return [
        *board_steps(words, laid),
        _lay(words, laid, first),
        _marry(words, laid, first),
        _untwist(first),
        _lay(words, laid, second),
        _marry(words, laid, second),
        _look(words),
        _pull_straight(words),
        *(_of_closed_loops(words, laid, step) for step in (*middle[:begins], *middle[over:])),
    ]


def _of_closed_loops(words: Words, laid: LaidIn, step: Step) -> Step:
    """Reword what a bare skein on its posts, or an endless line, would be told."""
    if step.id == "stretch-bare":
        return replace(step, title="Stretch the line before its turns")
    if step.id == "read-bare":
        lines = tuple(line.replace(" posts", " pins") for line in step.lines)
        return replace(step, lines=lines)
    if step.id == "twist-full":
        return replace(step, lines=(*_turns_said(words, laid), *step.lines[1:]))
    return step


def _turns_said(words: Words, laid: LaidIn) -> tuple[str, ...]:
    twist, fewest = words.plan.twist, words.turns(laid.fewest)
    low = math.floor(twist.turns_low)
    most = max(math.ceil(twist.turns_high), math.ceil(laid.fewest))
    between = fewest if low < laid.fewest else f"{low}"
    return (
        f"in all{more_said(words)}; between {between} and {most} may be needed",
        f"fewer than {fewest} let the bundles gape (common practice, no source): where a reading "
        "asks for fewer, lay the second loop anew, its mark so much further out",
    )


def _lay(words: Words, laid: LaidIn, end: LaidEnd) -> Step:
    to, rope = words.written, laid.loop
    by_hand = (
        f"turn each bundle {laid.by_hand}, {to.rate(rope.by_hand)}, and lay them about each other "
        f"{laid.hand}: {to.rate(rope.lay)} of lay come of it, {_degrees(rope.angle)} to the axis, "
        f"{to.size(rope.diameter.value)} thick"
    )
    laid_on = (
        f"lay {to.length(end.round)}, about {words.turns(end.turns)} turns of lay: it takes "
        f"{to.length(end.loop)} of bundle"
    )
    fold = f"fold it in its middle: {to.length(end.size)} inside, laid flat"
    if not end.far:
        headline = f"begin {to.length(end.tail)} from the end"
        lines = [by_hand, f"{laid_on}; its middle is {to.length(end.fold)} from the end", fold]
    else:
        marks = laid.marks
        headline = f"begin {to.length(marks.begin.value)} from the first peg"
        lines = [
            "from the outside of the first peg along the straight bundles, pulled by hand with "
            f"{to.estimate(words.plan.winding.load)}: go by this mark alone, what is over lies in "
            "the tails",
            f"its middle is {to.length(marks.fold.value)} from the first peg, it closes at "
            f"{to.length(marks.throat.value)}",
            f"{_QUARTER} at the mark is {to.fine(marks.quarter)} of string"
            + (f", about {words.turns(marks.turns)} turns" if marks.turns < 100.0 else ""),
            by_hand,
            laid_on,
            fold,
        ]
    return make_step(
        "lay",
        f"Lay the {'second' if end.far else 'first'} loop: {end.name}",
        headline,
        *lines,
        id="lay-far" if end.far else "lay-zero",
    )


def _marry(words: Words, laid: LaidIn, end: LaidEnd) -> Step:
    to, rope, hold = words.written, laid.married, laid.hold
    longer = "" if hold.is_enough else ": too short, see the warning"
    needed = (
        f"friction by the lay alone holds {_times(hold.factor)} what a tail brings in; "
        f"{hold.wanted:g} times want {to.length(hold.needed)}{longer}"
        if hold.needed < 100.0
        else "friction does not hold it at any length"
    )
    return make_step(
        "marry",
        f"Marry the tails in: {end.name}",
        to.length(end.married),
        f"each tail with its own bundle, waxed to one; then turn both {laid.by_hand}, "
        f"{to.rate(rope.by_hand)}, and lay {laid.hand} as before: {to.rate(rope.lay)} of lay",
        "go on past that until the last tip is laid in",
        f"the tails fade out over their last {to.length(laid.cut.taper)}: cut none of them, and "
        "keep their thin ends out of the loop, which they weaken",
        "the loop hangs on its peg: the line now fits both pegs under the hand's pull"
        if end.far
        else "",
        needed,
        id="marry-far" if end.far else "marry-zero",
    )


def _untwist(first: LaidEnd) -> Step:
    return make_step(
        "untwist",
        "Untwist the bundles",
        "0 turns in the body",
        f"hang the {first.name} loop on its peg, part the bundles and let each turn out from the "
        "married part to its free end; stroke them straight",
        "or they lock as a cord and the second tails cannot be laid in; turns left in work "
        "against those of the string",
    )


def _look(words: Words) -> Step:
    load = light_load(words.plan)
    return make_step(
        "pull",
        "Pull it lightly, and look at both married parts",
        words.written.force(load),
        "both loops on their pegs; first mark where each tail's tips end",
        "bring the load up slowly, wait a minute",
        let_down_line(),
        "look at the marks: a tip that has crept, lay that end anew, no more load",
        caution=f"{cautions.FIRST_LOAD} {cautions.MARRIED}",
        id="first-pull",
        load=load,
    )


def _pull_straight(words: Words) -> Step:
    load = words.plan.loads.equalise
    # The reading comes next where the turns go in before any stretch.
    is_read_next = words.plan.route.order is Order.TWIST_THEN_SERVE
    return make_step(
        "even",
        "Pull it straight",
        words.written.force(load),
        "covered, a minute; let down, look at the tips' marks, and again",
        rest_line(words) if is_read_next else let_down_line(),
        caution=f"{cautions.FIRST_LOAD} {cautions.MARRIED}",
        load=load,
    )


def _times(factor: float) -> str:
    """Write a factor; what is far over the one wanted rests on its assumptions alone."""
    return f"more than {MOST_TOLD:g} times" if factor > MOST_TOLD else f"{factor:.1f} times"


def _degrees(angle: float) -> str:
    return f"{math.degrees(angle):.0f}°"
