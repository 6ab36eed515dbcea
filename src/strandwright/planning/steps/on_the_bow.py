"""The steps after fitting, on the bow: read the brace height, serve, tie in nock and peep."""

from __future__ import annotations

from strandwright.planning import cautions
from strandwright.planning.brace_wish import brace_within, is_bent
from strandwright.planning.details.marks import tied_marks
from strandwright.planning.details.split import peep_split, split_said
from strandwright.planning.details.ties import tie_said
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan, Step
from strandwright.planning.servings.on_the_bow import brace_load, on_bow_lines
from strandwright.planning.steps.line import positive
from strandwright.planning.steps.words import Words, make_step

#: What is tied on the strung bow; anything else at a mark has its place and time elsewhere
_TIED = ("nocking point", "peep", "string loop")


def on_bow_steps(words: Words) -> list[Step]:
    """Word what is done on the bow once the line is fitted.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    list of Step
        To follow the fitting; none where nothing is done to the line there.
    """
    first = (brace_step(words), serve_step(words))
    return [*(step for step in first if step is not None), *tie_steps(words)]


def brace_step(words: Words) -> Step | None:
    """Word the reading of a recurve's or longbow's brace height.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    Step or None
        None for another line.
    """
    plan, job = words.plan, words.plan.job
    if not is_bent(job):
        return None
    wanted = job.bow.wanted.brace_height or job.bow.brace_height
    to = words.written
    if wanted is None:
        # Bows are looked for only where somebody asks what only they can tell.
        from strandwright.planning.bow.braces import usual_brace

        usual = usual_brace(job)
        headline, accept = f"{to.length(usual.low)} to {to.length(usual.high)}", ""
    else:
        headline, accept = to.fine(wanted.si), f"within {to.fine(brace_within(job))} it is right"
    return make_step(
        "brace",
        "Read the brace height",
        headline,
        "string it with a stringer, wait some minutes; from the grip's pivot square to the string",
        accept,
        _turn_said(plan, words),
        "unstring it to turn a loop, no more than 5 turns before the next reading (common "
        "practice); read again after the first shots",
        "write the turns it ends with on the tag",
        caution=cautions.UNSTRING,
        id="read-brace",
    )


def _turn_said(plan: Plan, words: Words) -> str:
    """Say what turns do to the brace height, by how much where the plan has asked the bow."""
    if plan.target.per_brace is None:
        one = words.written.small_estimate(positive(plan.twist.next_turn))
        return f"too low: turns in; too high: turns out; one is {one} of string"
    slope = 1.0 / plan.target.per_brace
    one = plan.twist.next_turn
    higher = Estimate(one.value * slope, abs(one.u * slope), "m")
    return f"too low: turns in; too high: turns out; one is {words.written.small_estimate(higher)}"


def serve_step(words: Words) -> Step | None:
    """Word the servings that are wound on the bow.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    Step or None
        None where all are made on the jig.
    """
    lines = on_bow_lines(words.plan)
    if not lines:
        return None
    load = brace_load(words.plan)
    return make_step(
        "serve",
        "Serve on the bow",
        f"braced, about {words.written.force(load.value)}",
        *lines,
        caution=cautions.STRUNG,
        id="serve-on-bow",
    )


def tie_steps(words: Words) -> list[Step]:
    """Word the tying in of nocking point, peep and string loop, a step for each.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    list of Step
        In order along the line; none where the line marks none of them.
    """
    plan = words.plan
    if plan.job.line.kind != "string" or plan.job.bow.kind == "crossbow":
        return []
    tied = [mark for mark in tied_marks(plan) if mark.kind in _TIED]
    off, _ = cautions.at_the_change(plan.job.bow.kind, plan.job.bow.crossbow)
    return [
        make_step(
            "tie-in",
            f"Tie in: {mark.name}",
            "at its mark",
            _parted(plan) if mark.kind == "peep" else "",
            tie_said(mark.kind, plan, words.written).split("; ")[0],
            "more of it, and where it lies at brace: Tying on the strung bow",
            caution=f"{off} {cautions.STRUNG}" if mark.kind == "peep" else cautions.STRUNG,
            id=f"tie-in-{number}",
        )
        for number, mark in enumerate(tied, start=1)
    ]


def _parted(plan: Plan) -> str:
    """Say where the strands part for a peep, which no hand does on a strung bow."""
    split = split_said(peep_split(plan.job))[0]
    return f"the string slack: part its strands there, {split}; set the peep in, then string it"
