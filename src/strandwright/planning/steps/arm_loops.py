"""The steps of each loop on its arm: mark it, serve it whole or by halves, serve its legs."""

from __future__ import annotations

import math

from strandwright.planning import cautions
from strandwright.planning.four_posts.arms import BEYOND
from strandwright.planning.four_posts.jig import NUDGE
from strandwright.planning.result import Step
from strandwright.planning.result.four_posts import ArmLoop, FourPosts
from strandwright.planning.steps.loops import pull_line, slides_at, thread_said
from strandwright.planning.steps.phrases import let_down_line, locked_at
from strandwright.planning.steps.spots import TOLD_FROM, both_said
from strandwright.planning.steps.words import Words, make_step
from strandwright.planning.written import FINEST_SETTING
from strandwright.units import INCH

#: Which half of the zero and of the far loop comes free when the skein is slid
_TAKE_TURNS = (("first", ("outer", "inner")), ("other", ("inner", "outer")))


def end_of(loop: ArmLoop) -> str:
    """Give the word for a loop's end that steps are told apart by.

    Parameters
    ----------
    loop : ArmLoop
        One of the two.

    Returns
    -------
    str
        ``zero`` or ``far``.
    """
    return "far" if loop.far else "zero"


def mark_step(words: Words, four: FourPosts, loop: ArmLoop) -> Step:
    """Word the marks of one loop.

    Parameters
    ----------
    words : Words
        The plan in words.
    four : FourPosts
        The loops on the arms.
    loop : ArmLoop
        The loop.

    Returns
    -------
    Step
        The step.
    """
    written = words.written
    between = written.fine(four.between_marks)
    check = f"along each long side it is {between} from mark to mark, the same on both sides"
    return make_step(
        "mark",
        f"Mark the loop: {loop.name}",
        both_said(words, loop.marks),
        TOLD_FROM[loop.marks[0].place],
        f"two marks, {written.fine(loop.served)} apart along the skein; closed and laid flat the "
        f"loop is {written.length(loop.size)} inside",
        check if loop.far else "",
        _peg_said(words, loop),
        f"both marks {written.fine(NUDGE)} off to one side make the tighter leg carry "
        f"{written.share(loop.uneven)} more before the twist: lay them anew",
        caution=cautions.AT_THE_LINE,
        id=f"mark-{end_of(loop)}",
    )


def _peg_said(words: Words, loop: ArmLoop) -> str:
    if loop.least_size is None:
        return ""
    step = INCH / FINEST_SETTING
    least = words.written.fine(step * math.ceil(loop.least_size / step - 1e-9))
    return f"the smallest loop that goes over the {loop.peg} is {least} laid flat"


def loop_servings(words: Words, four: FourPosts) -> list[Step]:
    """Word the serving of both loops: whole where they lie free, else by halves.

    Parameters
    ----------
    words : Words
        The plan in words.
    four : FourPosts
        The loops on the arms.

    Returns
    -------
    list of Step
        By halves the skein is slid between; none for bare loops.
    """
    if not four.slide:
        return [_serve(words, loop) for loop in four.loops if loop.thread]
    steps: list[Step] = []
    for turn, halves in _TAKE_TURNS:
        steps.append(_slide(words, four, turn))
        steps += [
            _serve(words, loop, half, turn)
            for loop, half in zip(four.loops, halves, strict=True)
            if loop.thread
        ]
    return steps


def _slide(words: Words, four: FourPosts, turn: str) -> Step:
    zero, far = (loop.name for loop in four.loops)
    first = turn == "first"
    outer, inner = ("outer", "inner") if first else ("inner", "outer")
    return make_step(
        "shift",
        "Slide half of each loop free" if first else "Slide the other halves free",
        words.at_least(four.slide) + ("" if first else ", the other way"),
        slides_at(words),
        "" if first else "from where the middles lie at the arms' middles",
        f"at {zero} from the {outer} post towards the {inner} one: there the {outer} half comes "
        f"free, at {far} the {inner} half",
        pull_line(words),
        caution=cautions.SLIDING,
        id=f"slide-{turn}",
    )


def _serve(words: Words, loop: ArmLoop, half: str = "", turn: str = "") -> Step:
    """Serve a loop, or the half of it that lies free."""
    written, parts = words.written, 2.0 if half else 1.0
    later = "-2" if turn == "other" else ""
    begins = f"the middle to {written.length(BEYOND)} past the {half} mark" if half else ""
    return make_step(
        "loop",
        f"Serve the {half} half: {loop.name}" if half else f"Serve the loop: {loop.name}",
        written.fine((loop.served + 2.0 * BEYOND) / parts),
        locked_at(words, words.plan.loads.serve),
        begins
        or f"begin and end {written.length(BEYOND)} past the marks: " + both_said(words, loop.ends),
        thread_said(words, loop.thread, loop.thread_length / parts, loop.wraps / parts),
        "leave the thread on: the other half goes on from there" if half and not later else "",
        caution=cautions.AT_THE_LINE,
        id=f"loop-{end_of(loop)}{later}",
    )


def legs_step(words: Words, loop: ArmLoop) -> Step:
    """Word the serving of both legs of a loop together.

    Parameters
    ----------
    words : Words
        The plan in words.
    loop : ArmLoop
        The loop.

    Returns
    -------
    Step
        The step.
    """
    written, legs = words.written, loop.legs
    if legs.serving:
        title, why = f"Serve both legs down: {loop.name}", f"this is the serving '{legs.serving}'"
    else:
        title = f"Bind both legs: {loop.name}"
        why = (
            f"only so that the loop stays closed; the serving '{legs.later}' goes on after the "
            "twist, to its own edges"
            if legs.later
            else "only so that the loop stays closed; no serving of this line runs down from it, "
            f"and about {written.length(16.0 * BEYOND)} down both legs is common practice"
        )
    return make_step(
        "legs",
        title,
        f"{written.fine(legs.start)} to {written.fine(legs.stop)}",
        f"from the outside of the outer post, {locked_at(words, words.plan.loads.serve)}",
        "over both legs together and what the loop's serving went past its marks",
        thread_said(words, legs.thread, legs.thread_length, legs.wraps),
        why,
        let_down_line() if loop.far else "",
        caution=cautions.AT_THE_LINE,
        id=f"legs-{end_of(loop)}",
    )
