"""The steps of a floating yoke: make its strap, stretch it, hang it in the cable's served eye."""

from __future__ import annotations

from strandwright.planning import cautions
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Step, StrapPlan, YokePlan
from strandwright.planning.steps.phrases import let_down_line
from strandwright.planning.steps.words import Words, make_step
from strandwright.planning.yoke.words import halves


def strap_steps(words: Words, yoke: YokePlan, strap: StrapPlan) -> list[Step]:
    """Word how a strap is made and hung.

    Parameters
    ----------
    words : Words
        The plan in words.
    yoke : YokePlan
        The yoke.
    strap : StrapPlan
        Its strap.

    Returns
    -------
    list of Step
        In their order.
    """
    return [_make(words, strap), _stretch(words), _turn(strap), _hang(words, yoke, strap)]


def _make(words: Words, strap: StrapPlan) -> Step:
    written = words.written
    why_not = f"this bench {strap.why_not}" if strap.why_not else ""
    wind = ""
    if strap.posts is not None:
        wind = (
            f"posts {written.estimate(strap.posts)} outside to outside, "
            f"{words.turns(strap.strands / 2.0)} rounds, "
            f"{written.long(Estimate(strap.cut, 0.0, 'm'))} of strand"
        )
    thread = f", served with {strap.thread}" if strap.thread else ", bare"
    return make_step(
        "strap",
        "Make the strap",
        f"{strap.strands} strands, {written.length(strap.length)}",
        "outside to outside, pulled straight at half the cable's load",
        wind,
        why_not,
        f"loops {written.length(strap.loop)}{thread}",
        id="strap",
    )


def _stretch(words: Words) -> Step:
    load = 0.5 * words.plan.loads.stretch
    return make_step(
        "pull",
        "Stretch the strap",
        words.written.force(load),
        "half the cable's: each side of it carries half the cable's load",
        let_down_line(),
        caution=cautions.FIRST_LOAD,
        id="strap-stretch",
        load=load,
    )


def _turn(strap: StrapPlan) -> Step:
    low, high = strap.turns_range
    return make_step(
        "turn-strap",
        "Twist the strap",
        halves(strap.turns),
        f"from {low:.0f} to {high:.0f}, by what it reads",
        caution=cautions.TURNING,
        id="turn-strap",
    )


def _hang(words: Words, yoke: YokePlan, strap: StrapPlan) -> Step:
    written = words.written
    return make_step(
        "hang",
        "Hang the strap in the eye",
        f"each side {written.length(yoke.leg)}",
        "lead it through the served eye, lay its middle there and mark the middle",
        f"the cable alone is proved next; with its strap it comes to "
        f"{written.estimate(strap.overall)} overall",
        f"it stays where it lies until one side pulls {strap.ratio:.2f} times the other",
        id="hang-strap",
    )
