"""The steps of a yoke: halve the skein, make both legs, match them under load; or hang a strap."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from strandwright.line.yoke.matching import LEGS_MATCH
from strandwright.planning import cautions
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import LegsMatched, Step, StrapPlan, YokePlan
from strandwright.planning.steps.words import Words, make_step
from strandwright.planning.yoke.cable import PlannedYoke
from strandwright.planning.yoke.matched import legs_load
from strandwright.planning.yoke.words import halves, other

#: Steps that close the loops of a skein, on two posts or on four; of legs these are others
_CLOSING = ("loops", "swing", "loop", "level", "legs")
#: Places this near are one [m]
_SAME = 0.005


def with_yoke(words: Words, middle: Sequence[Step]) -> list[Step]:
    """Put the steps of a yoke among those of its line.

    Parameters
    ----------
    words : Words
        The plan in words.
    middle : sequence of Step
        From the first stretch to the last serving of a plain line.

    Returns
    -------
    list of Step
        The same where the line has no yoke.
    """
    yoke = words.plan.yoke
    if yoke is None:
        return list(middle)
    if yoke.strap is not None:
        return [*middle, strap_step(words, yoke, yoke.strap)]
    found: list[Step] = []
    closed = False
    for step in middle:
        if step.key in _CLOSING:
            if not closed:
                found += leg_steps(words, yoke)
            closed = True
            continue
        if step.key == "serve":
            found += [match_step(words, yoke), serve_step(words, yoke, step)]
            continue
        found.append(step)
    return found


def serve_step(words: Words, yoke: YokePlan, step: Step) -> Step:
    """Word the servings of a line that parts: the throat first, those of the legs on each.

    Parameters
    ----------
    words : Words
        The plan in words.
    yoke : YokePlan
        The yoke.
    step : Step
        The same of a plain line.

    Returns
    -------
    Step
        The step.
    """
    parting = words.plan.target.length.value - yoke.leg
    on_legs = [s.name for s in words.plan.servings if s.start.value > parting - _SAME]
    throat = next(s.name for s in words.plan.servings if s.use == "throat")
    lines = [
        f"{line} in all, on each leg" if line.startswith(tuple(f"{n}: " for n in on_legs)) else line
        for line in step.lines
    ]
    first = f"{throat} first, up to the tie, with the load on; then the tie comes out"
    return replace(step, lines=(lines[0], first, *lines[1:]))


def leg_steps(words: Words, yoke: YokePlan) -> list[Step]:
    """Word how a skein becomes a body and two legs.

    Parameters
    ----------
    words : Words
        The plan in words.
    yoke : YokePlan
        The yoke.

    Returns
    -------
    list of Step
        Halve it, close the loops, twist the legs, tie the fork.
    """
    return [
        halve_step(words, yoke),
        loops_step(words, yoke),
        legs_twist_step(words, yoke),
        tie_step(words, yoke),
    ]


def halve_step(words: Words, yoke: YokePlan) -> Step:
    """Word the halving of the skein.

    Parameters
    ----------
    words : Words
        The plan in words.
    yoke : YokePlan
        The yoke.

    Returns
    -------
    Step
        The step.
    """
    far = words.plan.job.line.far_end.name
    return make_step(
        "halve",
        "Halve the skein at the leg end",
        f"{yoke.legs[0].strands} and {yoke.legs[1].strands} strands",
        f"let it down; at the {far} post part whole rounds, never a round's two strands",
        *(f"{leg.name} leg: {_colours(leg.colours)}" for leg in yoke.legs),
        "left and right as seen from behind the drawn bow: tag the left leg now",
        id="halve",
    )


def _colours(colours: Sequence[tuple[str, str, int]]) -> str:
    return ", ".join(f"{strands} strands {name}" for name, _, strands in colours)


def loops_step(words: Words, yoke: YokePlan) -> Step:
    """Word the three loops of a yoke cable.

    Parameters
    ----------
    words : Words
        The plan in words.
    yoke : YokePlan
        The yoke.

    Returns
    -------
    Step
        The step.
    """
    zero, far = words.plan.loops
    written = words.written
    rows = [(zero.name, zero), *((f"{leg.name} leg", far) for leg in yoke.legs)]
    return make_step(
        "loops",
        "Serve and close the three loops",
        " and ".join(dict.fromkeys(written.length(loop.size) for loop in (zero, far))),
        "inside length of the closed loop laid flat; each leg's loop of its own half",
        *(
            f"{name}: serve {written.length(loop.served_length)} with {loop.thread}, "
            f"{written.long(Estimate(loop.thread_length, 0.0, 'm'))} of thread"
            if loop.thread
            else f"{name}: bare"
            for name, loop in rows
        ),
    )


def legs_twist_step(words: Words, yoke: YokePlan) -> Step:
    """Word the twist of each leg on its own.

    Parameters
    ----------
    words : Words
        The plan in words.
    yoke : YokePlan
        The yoke.

    Returns
    -------
    Step
        The step.
    """
    hand, reserve = words.plan.twist.hand, yoke.reserve
    room = ""
    if reserve is not None:
        apart = words.written.small(reserve.apart)
        room = f"moved over they set the legs {apart} apart either way: the reserve for lean"
    return make_step(
        "twist-legs",
        "Twist each leg on its own",
        f"{halves(yoke.legs[0].turns)} {hand}",
        "in either leg, by turning its loop; hold the skein where the legs part, so that none of "
        "them go on into the body",
        f"they part {words.written.length(yoke.leg)} from the outside of the leg's pin",
        room,
        id="twist-legs",
    )


def tie_step(words: Words, yoke: YokePlan) -> Step:
    """Word the tie that holds the fork until its throat is served.

    Parameters
    ----------
    words : Words
        The plan in words.
    yoke : YokePlan
        The yoke.

    Returns
    -------
    Step
        The step.
    """
    return make_step(
        "tie",
        "Tie the fork",
        words.written.length(yoke.leg),
        "from the outside of the leg's pin: waste strand, tight round the whole body, where the "
        "legs part; it holds the legs' turns in until the throat is served",
        id="tie-fork",
    )


def match_step(words: Words, yoke: YokePlan) -> Step:
    """Word the reading of both legs under load.

    Parameters
    ----------
    words : Words
        The plan in words.
    yoke : YokePlan
        The yoke, with what was read.

    Returns
    -------
    Step
        The step.
    """
    last = yoke.read[-1] if yoke.read else None
    plan = PlannedYoke.of(words.plan)
    load = legs_load(plan, "one by one")
    both = words.written.force(legs_load(plan, "together"))
    return make_step(
        "match",
        "Match the legs" if last is None or last.matched else "Match the legs, and read again",
        f"at {words.written.force(load)} each" if last is None else _to_do(last),
        *(() if last is None else last.said),
        "hang the cable by one leg, then by the other, at the same load, and read each outside to "
        f"outside; or both on two pins at {both}, each leg from the tie",
        f"they match within {words.written.fine(_bound(last))} under load, before the throat is "
        "served: common practice, no source",
        f"half a turn in one leg sets them {words.written.small(yoke.half_turn_apart)} apart",
        caution=cautions.RETENSION,
        done=yoke.matched,
        id="match-legs",
        load=load,
    )


def _bound(last: LegsMatched | None) -> float:
    return LEGS_MATCH if last is None else last.bound


def _to_do(last: LegsMatched) -> str:
    if last.matched:
        return "they match"
    if last.turns >= 0.25:
        return f"{halves(last.turns)} into the {last.longer} leg"
    return f"slide the tie towards the {other(last.longer)} leg"


def strap_step(words: Words, yoke: YokePlan, strap: StrapPlan) -> Step:
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
    Step
        The step.
    """
    written = words.written
    wind = f"this bench {strap.why_not}" if strap.why_not else ""
    if strap.posts is not None:
        wind = (
            f"posts {written.estimate(strap.posts)} outside to outside, "
            f"{words.turns(strap.strands / 2.0)} rounds, "
            f"{written.long(Estimate(strap.cut, 0.0, 'm'))} of strand"
            + (f"; this bench {strap.why_not}" if strap.why_not else "")
        )
    low, high = strap.turns_range
    loops = f"loops {written.length(strap.loop)}"
    return make_step(
        "strap",
        "Make the strap and hang it in the eye",
        f"{strap.strands} strands, {written.length(strap.length)}",
        "outside to outside, pulled straight at half the cable's load",
        wind,
        f"stretch it at {written.force(0.5 * words.plan.loads.stretch)}; {loops}"
        + (f", served with {strap.thread}" if strap.thread else ", bare"),
        f"{halves(strap.turns)} in it, from {low:.0f} to {high:.0f} by what it reads",
        "lead it through the served eye and lay its middle there: mark the middle",
        f"the cable alone is proved next; with its strap it comes to "
        f"{written.estimate(strap.overall)} overall, each side {written.length(yoke.leg)}",
        f"it stays where it lies until one side pulls {strap.ratio:.2f} times the other",
        caution=cautions.FIRST_LOAD,
        id="strap",
        load=0.5 * words.plan.loads.stretch,
    )
