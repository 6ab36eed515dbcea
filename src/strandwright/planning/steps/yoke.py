"""The steps of a yoke of two legs: halve the skein, tie the fork, twist the legs, match them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from strandwright.line.yoke.matching import LEGS_MATCH
from strandwright.planning import cautions
from strandwright.planning.four_posts.arms import unused_arms
from strandwright.planning.result import LegsMatched, Step, YokePlan
from strandwright.planning.steps.loops import light_load, on_two_posts
from strandwright.planning.steps.phrases import let_down_line, locked_at, turning_lines
from strandwright.planning.steps.strap import strap_steps
from strandwright.planning.steps.words import Words, make_step
from strandwright.planning.yoke.cable import PlannedYoke
from strandwright.planning.yoke.matched import legs_load
from strandwright.planning.yoke.words import halves, other

#: Identity of the first and last steps that close the loops of a skein on two posts
_FIRST, _LAST = ("slide-out", "serve-loops"), "loops"
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
        return [*middle, *strap_steps(words, yoke, yoke.strap)]
    ids = [step.id or step.key for step in middle]
    first, last = min(ids.index(i) for i in _FIRST if i in ids), ids.index(_LAST)
    found = [*middle[:first], *_legs_made(words, yoke)]
    for step in middle[last + 1 :]:
        if step.key == "serve":
            found += [_match(words, yoke), _serve(words, yoke, step)]
        elif step.key == "twist":
            found.append(_body_twist(words, step))
        else:
            found.append(hung_by_legs(words, step))
    return found


def hung_by_legs(words: Words, step: Step) -> Step:
    """Say at a reading of a finished length how the legs hang.

    Parameters
    ----------
    words : Words
        The plan in words.
    step : Step
        Any step.

    Returns
    -------
    Step
        The same where no length of a line with two legs is read over pins.
    """
    yoke = words.plan.yoke
    is_read = step.key in ("read", "proof") and step.stage != "bare"
    if yoke is None or not yoke.legs or not is_read:
        return step
    hung = f"both leg loops on the one {words.plan.job.line.far_end.name} pin, side by side"
    return replace(step, lines=(hung, *step.lines))


def _body_twist(words: Words, step: Step) -> Step:
    """Turn the single end: turns put in at a leg's loop would stay in that leg."""
    line = words.plan.job.line
    old = turning_lines(line.far_end.name)
    kept = tuple(said for said in step.lines if said not in old)
    stay = (
        f"both leg loops stay on their one {line.far_end.name} pin: a turn at a leg's loop would "
        "go into that leg"
    )
    return replace(step, lines=(*kept, *turning_lines(line.zero_end.name), stay))


def _serve(words: Words, yoke: YokePlan, step: Step) -> Step:
    """Word the servings of a line that parts: the fork's first, those of the legs on each."""
    parting = words.plan.target.length.value - yoke.leg
    on_legs = tuple(f"{s.name}: " for s in words.plan.servings if s.start.value > parting - _SAME)
    fork = next(s.name for s in words.plan.servings if s.use == "throat")
    lines = [
        f"{line} for both, half of it on each leg" if line.startswith(on_legs) else line
        for line in step.lines
    ]
    tied = next(line for line in lines if line.startswith(f"{fork}: "))
    lines.remove(tied)
    rows = tuple(f"{s.name}: " for s in words.plan.servings)
    at = next((i for i, line in enumerate(lines) if line.startswith(rows)), len(lines))
    hung = f"both leg loops on the one {words.plan.job.line.far_end.name} pin"
    order = f"{fork} first, from the body down to the tie; then the tie comes out"
    return replace(step, lines=(hung, *lines[:at], order, tied, *lines[at:]))


def _legs_made(words: Words, yoke: YokePlan) -> list[Step]:
    """Word how a skein becomes a body and two legs."""
    zero, far = words.plan.loops
    loops = [(zero.name, zero), *((f"{leg.name} leg", far) for leg in yoke.legs)]
    far_end = words.plan.job.line.far_end.name
    closing = [_of_halves(step, far_end) for step in on_two_posts(words, loops)]
    return [_halve(words, yoke), *closing, _tie(words, yoke), _twist_legs(words, yoke)]


def _of_halves(step: Step, far_end: str) -> Step:
    """Say what the leg end asks, where two halves lie round one post."""
    own = f"at the {far_end} post " + {
        "slide-out": "mark the middle of either half",
        "serve-loops": "each leg's loop of its own half, one after the other",
        "loops": "bind either half by itself",
    }[step.id or step.key]
    at = len(step.lines)
    if step.key == "loops":
        at = 1 + next(i for i, line in enumerate(step.lines) if "bindings" in line)
    return replace(step, lines=(*step.lines[:at], own, *step.lines[at:]))


def _halve(words: Words, yoke: YokePlan) -> Step:
    far = words.plan.job.line.far_end.name
    return make_step(
        "halve",
        "Halve the skein at the leg end",
        f"{yoke.legs[0].strands} and {yoke.legs[1].strands} strands",
        f"let right down; at the {far} post part whole rounds, never a round's two strands",
        *(f"{leg.name} leg: {_colours(leg.colours)}" for leg in yoke.legs),
        "left and right as seen from behind the drawn bow: tag the left leg now",
        unused_arms(words.plan.job),
        id="halve",
    )


def _colours(colours: Sequence[tuple[str, str, int]]) -> str:
    return ", ".join(f"{strands} strands {name}" for name, _, strands in colours)


def _tie(words: Words, yoke: YokePlan) -> Step:
    return make_step(
        "tie",
        "Tie the fork",
        words.written.length(yoke.leg),
        "from the outside of the legs' pin, both leg loops on it, "
        + locked_at(words, light_load(words.plan)),
        "waste strand, tight round the whole body, where the legs part: it keeps the legs' turns "
        "out of the body, and stays until the fork is served",
        let_down_line(),
        caution=cautions.AT_THE_LINE,
        id="tie-fork",
    )


def _twist_legs(words: Words, yoke: YokePlan) -> Step:
    hand, reserve = words.plan.twist.hand, yoke.reserve
    room = ""
    if reserve is not None:
        apart = words.written.fine(reserve.apart)
        room = (
            f"moved from one leg into the other they set the legs about {apart} apart, either way: "
            "the reserve to right a lean with"
        )
    return make_step(
        "twist-legs",
        "Twist each leg on its own",
        f"{halves(yoke.legs[0].turns)} {hand}",
        "in either leg; first the left one, then the right",
        *turning_lines("the leg"),
        "hold the fork meanwhile: no turn goes past its tie",
        room,
        caution=cautions.TURNING,
        id="twist-legs",
    )


def _match(words: Words, yoke: YokePlan) -> Step:
    last = yoke.read[-1] if yoke.read else None
    plan = PlannedYoke.of(words.plan)
    load = legs_load(plan, "one by one")
    both = words.written.force(legs_load(plan, "together"))
    told = plan.job.line.yoke
    assert told is not None
    width = "its width" if told.span is None else f"its width, {words.written.length(told.span.si)}"
    return make_step(
        "match",
        "Match the legs" if last is None or last.matched else "Match the legs, and read again",
        f"at {words.written.force(load)} each" if last is None else _to_do(last),
        *(() if last is None else last.said),
        "hang the cable by the left leg alone, the right one loose beside it, and read outside to "
        "outside; then by the right one, at the same load",
        f"or both on two pins at the axle's place, {width} apart, at {both}: each leg from the tie",
        f"they match within {words.written.fine(_bound(last))} under load, before the fork is "
        "served: common practice, no source",
        f"half a turn in one leg sets them {words.written.small(yoke.half_turn_apart)} apart",
        let_down_line(),
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
