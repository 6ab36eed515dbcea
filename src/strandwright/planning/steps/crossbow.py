"""The steps of a crossbow's string and of reinforced ends: lay strands in, mark the middle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from strandwright.planning import cautions
from strandwright.planning.crossbow.middle import Middle, middle_of
from strandwright.planning.details.held import prepared_line
from strandwright.planning.estimate import Estimate
from strandwright.planning.makings.reinforced import (
    Reinforcement,
    is_crossbow_string,
    reinforcements,
)
from strandwright.planning.result import Step
from strandwright.planning.steps.loops import light_load, pull_line
from strandwright.planning.steps.words import Words, make_step

#: Steps before which the pieces are cut: they begin to close the loops of a skein
_CLOSING = frozenset({"slide-out", "serve-loops", "swing"})
#: Steps before which they are laid in: the loops' middles lie free, or stay at their posts
_LAID_BEFORE = frozenset({"serve-loops", "slide-first", "loop-zero", "loop-far", "swing-back"})
_ALIKE = 1e-4


def with_crossbow(words: Words, middle: Sequence[Step]) -> list[Step]:
    """Put the steps of reinforced ends and of a middle mark among those of a line.

    Parameters
    ----------
    words : Words
        The plan in words.
    middle : sequence of Step
        From the first stretch to the last serving of a plain line.

    Returns
    -------
    list of Step
        The same for a plain line of another bow.
    """
    found: list[Step] = []
    marks = middle_of(words.plan)
    cut, laid = cut_step(words), lay_in_step(words)
    for step in middle:
        id = step.id or step.key
        if cut is not None and id in _CLOSING:
            found.append(cut)
            cut = None
        if laid is not None and id in _LAID_BEFORE:
            found.append(laid)
            laid = None
        if step.key == "serve" and marks is not None:
            # The middle is laid off again for the rail: the pull stays locked until then.
            *told, over = _marked(words, marks, step).lines
            found += [replace(step, lines=tuple(told)), rail_step(words, marks, over)]
        else:
            found.append(step)
    return found


def cut_step(words: Words) -> Step | None:
    """Word the cutting of what is laid in beside the loops.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    Step or None
        None where no end is reinforced.
    """
    written, laid = words.written, _laid(words)
    if not laid:
        return None
    rows = _by_end(
        laid,
        [
            f"{one.pieces} pieces, {written.length(one.shortest)} to "
            f"{written.length(one.longest)}, each {written.length(2.0 * one.step)} longer than the "
            "one before"
            for one in laid
        ],
    )
    return make_step(
        "cut-pieces",
        "Cut the strands for the loops",
        f"{sum(one.pieces for one in laid)} pieces",
        "away from the skein, let down meanwhile",
        f"{written.long(Estimate(sum(one.cut for one in laid), 0.0, 'm'))} of "
        f"{words.plan.job.makeup.strand} in all; wax each and mark its middle",
        *rows,
        id="cut-pieces",
    )


def lay_in_step(words: Words) -> Step | None:
    """Word what is laid in beside the loops.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    Step or None
        None where no end is reinforced.
    """
    written, laid = words.written, _laid(words)
    if not laid:
        return None
    light = written.force(light_load(words.plan))
    return make_step(
        "reinforce",
        "Lay in the strands at the loops",
        f"{sum(one.pieces for one in laid)} pieces",
        f"the skein let down to {light}, the pull locked",
        "lay each flat beside the strands, its middle at the loop's middle, half to each side",
        *_by_end(
            laid,
            [
                f"{one.pieces} pieces, their ends about {written.length(one.run)} down from where "
                "the loop closes"
                for one in laid
            ],
        ),
        "bind them at the loop's middle: its serving and the end serving hold them",
        pull_line(words) if words.plan.four_posts is not None else "",
        caution=cautions.AT_THE_LINE,
        id="reinforce",
    )


def _by_end(laid: Sequence[Reinforcement], said: Sequence[str]) -> list[str]:
    """Say it of each end by its name; once where both are alike."""
    if len(said) > 1 and len(set(said)) == 1:
        return [f"at either loop {said[0]}"]
    return [f"{one.name}: {each}" for one, each in zip(laid, said, strict=True)]


def _laid(words: Words) -> tuple[Reinforcement, ...]:
    line = prepared_line(words.plan).model.line
    return tuple(reinforcements(words.plan.job, line.zero, line.far))


def _marked(words: Words, marks: Middle, step: Step) -> Step:
    """Add the middle and the rail marks to where marks are laid."""
    written, line = words.written, words.plan.job.line
    off = ""
    if abs(marks.off_half) >= _ALIKE:
        end = line.far_end.name if marks.off_half > 0.0 else line.zero_end.name
        off = f" and {written.small(abs(marks.off_half))} towards {end}"
    middle = (
        f"mark the middle: half of what the tape reads{off}, foretold "
        f"{written.fine(marks.middle.now.value)}; the centre serving lies about that mark, "
        "whatever its edges are told as"
    )
    return replace(step, lines=(step.lines[0], middle, *step.lines[1:]))


def rail_step(words: Words, marks: Middle, over: str) -> Step:
    """Word the marks by which a cocked string is seen to lie even.

    Parameters
    ----------
    words : Words
        The plan in words.
    marks : Middle
        The middle of the string, and the rail.
    over : str
        What is done with the load when they are on.

    Returns
    -------
    Step
        To follow the centre serving, on which they stand.
    """
    return make_step(
        "rail",
        "Mark the rail's edges",
        f"{words.written.size(marks.half_rail.value)} to both sides",
        "the pull still locked: the middle mark lies under the centre serving, lay it off again",
        "from there, on the finished serving, by pen; no cut, no thread",
        over,
        caution=cautions.AT_THE_LINE,
        id="rail-marks",
    )


def cock_steps(words: Words) -> list[Step]:
    """Word the first cocking of a crossbow.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    list of Step
        One, to follow the fitting; none for the line of another bow, or a cable.
    """
    if not is_crossbow_string(words.plan.job):
        return []
    weight = words.plan.job.bow.draw_weight
    return [
        make_step(
            "cock",
            "Cock it the first time",
            "both rail marks alike",
            "before: the rail marks stand at the rail's edges",
            "both hooks of the cocking rope against the rail, both hands even"
            + (f"; it draws {words.written.force(weight.si)}" if weight is not None else ""),
            "cocked, the safety on, hands and face out of the string's way: as much of the rail "
            "mark to see on the left as on the right; if not, uncock "
            "and set the string right, never pull the serving along",
            "uncock as the crossbow maker's manual says: most want it shot off with a discharge "
            "bolt into a safe stop",
            caution=f"{cautions.FIRST_COCKING} {cautions.DEFER}",
            id="cock",
        )
    ]
