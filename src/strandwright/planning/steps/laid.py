"""The steps of a laid-in line: cut its bundles, lay in both loops, then twist as any other."""

from __future__ import annotations

from dataclasses import replace

from strandwright.planning import cautions
from strandwright.planning.laid.sections import MOST_TOLD
from strandwright.planning.result import ColourRun, Step
from strandwright.planning.result.laid import CutBundle, LaidEnd, LaidIn
from strandwright.planning.steps.orders import ORDERS
from strandwright.planning.steps.words import Words, make_step

#: Steps of a skein that has its loops still to be made
_OF_A_SKEIN = frozenset({"loops", "swing", "loop", "level", "legs"})
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
    middle = [s for s in ORDERS[words.plan.route.order](words) if s.key not in _OF_A_SKEIN]
    return [
        pegs_step(words, laid),
        *cut_steps(words, laid),
        wax_step(words, laid),
        lay_step(words, laid, first),
        marry_step(words, laid, first),
        untwist_step(words, laid),
        lay_step(words, laid, second),
        marry_step(words, laid, second),
        first_pull_step(words),
        *(_of_closed_loops(step) for step in middle),
    ]


def _of_closed_loops(step: Step) -> Step:
    """Reword what a bare skein on its posts would be told."""
    if step.id == "stretch-bare":
        return replace(step, title="Stretch the line before its turns")
    if step.id == "read-bare":
        lines = tuple(line.replace(" posts", " pins") for line in step.lines)
        return replace(step, lines=lines)
    return step


def pegs_step(words: Words, laid: LaidIn) -> Step:
    """Word the setting of the laying pegs.

    Parameters
    ----------
    words : Words
        The plan in words.
    laid : LaidIn
        How it is laid in.

    Returns
    -------
    Step
        The step.
    """
    to, winding = words.written, words.plan.winding
    pin = words.plan.stage("bare").pins[0]
    longer = winding.posts_outside.value - words.plan.target.length.value
    way = "longer" if longer > 0.0 else "shorter"
    return make_step(
        "posts",
        "Set the pegs",
        to.estimate(winding.posts_outside),
        f"outside to outside of {to.fine(pin)} pegs; between centres "
        + to.estimate(winding.posts_centres),
        f"the second loop is laid to fit them under the hand's pull: {to.length(abs(longer))} "
        f"{way} than the finished line, for what stretch, bedding-in and turns will do",
        f"zero end at the {laid.ends[0].name} peg",
    )


def cut_steps(words: Words, laid: LaidIn) -> list[Step]:
    """Word the cutting, a step for each bundle; for each colour where a bundle has several.

    Parameters
    ----------
    words : Words
        The plan in words.
    laid : LaidIn
        How it is laid in.

    Returns
    -------
    list of Step
        In their order, each with its run.
    """
    steps: list[Step] = []
    run = 0
    for bundle in laid.cut.bundles:
        first = 0
        for share in bundle.shares:
            lengths = bundle.lengths[first : first + share.strands]
            colours = len(bundle.shares) > 1
            title = f"Cut bundle {bundle.number}" + (f": {share.name}" if colours else "")
            steps.append(_cut_step(words, laid, bundle, run, title, lengths))
            first += share.strands
            run += 1
    return steps


def _cut_step(
    words: Words, laid: LaidIn, bundle: CutBundle, run: int, title: str, lengths: tuple[float, ...]
) -> Step:
    to, cut = words.written, laid.cut
    colour: ColourRun = words.plan.winding.runs[run]
    strands = "strand" if len(lengths) == 1 else "strands"
    if cut.board == "two nails":
        how = (
            f"all {to.length(lengths[0])}, from nail to nail; then draw each "
            f"{to.length(cut.step)} past the one before, so that the tails fade out",
        )
    elif len(lengths) == 1:
        how = (f"cut to {to.length(lengths[0])}",)
    else:
        each = ", ".join(to.length(length) for length in lengths)
        how = (
            f"the longest {to.length(lengths[0])}, each next "
            f"{to.length(2.0 * cut.step)} shorter, {to.length(cut.step)} at either end: {each}",
        )
    of = f" of bundle {bundle.number}'s {bundle.strands}" if len(lengths) < bundle.strands else ""
    return make_step(
        "wind",
        title,
        f"{len(lengths)} {strands}",
        f"{colour.name.split(', ')[-1]}{of}; each straight, none slack, by one drag",
        *how,
        f"spool loses {to.estimate(colour.mass)}",
        *_common(words, laid, run),
        id=f"wind-{run + 1}",
        run=run,
    )


def _common(words: Words, laid: LaidIn, run: int) -> tuple[str, ...]:
    """Say what common practice would cut, at the first bundle."""
    if run:
        return ()
    to = words.written
    told = "; ".join(f"{one.name}: {to.length(one.length)}" for one in laid.cut.sums)
    return (
        f"the longest needs {to.estimate(laid.cut.needed)}, what is over lies in the tails; "
        f"common practice: {told}",
    )


def wax_step(words: Words, laid: LaidIn) -> Step:
    """Word the waxing.

    Parameters
    ----------
    words : Words
        The plan in words.
    laid : LaidIn
        How it is laid in.

    Returns
    -------
    Step
        The step.
    """
    reach = max(end.married_on_bundle for end in laid.ends)
    return make_step(
        "wax",
        "Wax each bundle",
        f"{words.written.length(reach)} from either end",
        "the middles of its strands together, so that both tails fade out alike; wax until the "
        "strands stick, and mark both ends",
        f"where a loop begins: {words.written.length(laid.ends[0].tail)} from the longest "
        "strand's end, at either end",
    )


def lay_step(words: Words, laid: LaidIn, end: LaidEnd) -> Step:
    """Word the laying of a loop.

    Parameters
    ----------
    words : Words
        The plan in words.
    laid : LaidIn
        How it is laid in.
    end : LaidEnd
        Which end.

    Returns
    -------
    Step
        The step.
    """
    to, rope, which = words.written, laid.loop, "second" if end.far else "first"
    lines = [
        f"turn each bundle {laid.by_hand}, {to.rate(rope.by_hand)}, and lay them about each other "
        f"{laid.hand}: {to.rate(rope.lay)} of lay come of it, {_degrees(rope.angle)} to the axis, "
        f"{to.small(rope.diameter.value)} thick",
        f"lay {to.length(end.round)}, about {words.turns(end.turns)} turns of lay: it takes "
        f"{to.length(end.loop)} of bundle; its middle is {to.length(end.fold)} from the end",
        f"fold it in its middle: {to.length(end.size)} inside, laid flat",
    ]
    headline = f"begin {to.length(end.tail)} from the end"
    if end.far:
        marks = laid.marks
        headline = f"begin at {to.length(marks.begin.value)} from the first peg"
        lines[1:1] = [
            "from the outside of the first peg along the straight bundles, pulled by hand with "
            f"{to.force(words.plan.winding.load.value)}: the middle of the loop at "
            f"{to.estimate(marks.fold)}, it closes at {to.estimate(marks.throat)}, the married "
            f"part ends at {to.estimate(marks.body_ends)}",
            f"{_QUARTER} at the mark is {to.small(marks.quarter)} of string"
            + (f", about {words.turns(marks.turns)} turns" if marks.turns < 100.0 else ""),
        ]
    return make_step(
        "lay",
        f"Lay the {which} loop: {end.name}",
        headline,
        *lines,
        id="lay-far" if end.far else "lay-zero",
    )


def marry_step(words: Words, laid: LaidIn, end: LaidEnd) -> Step:
    """Word the laying in of the tails of an end.

    Parameters
    ----------
    words : Words
        The plan in words.
    laid : LaidIn
        How it is laid in.
    end : LaidEnd
        Which end.

    Returns
    -------
    Step
        The step.
    """
    to, rope, hold = words.written, laid.married, laid.hold
    longer = "" if hold.is_enough else ": too short, see the warning"
    needed = (
        f"friction by the lay alone holds {_times(hold.factor)} what a tail brings in; "
        f"{hold.wanted:g} times want {to.length(hold.needed)}{longer}"
        if hold.needed < 100.0
        else "friction does not hold it at any length"
    )
    where = (
        ["the loop hangs on its peg: the line now fits both pegs under the hand's pull"]
        if end.far
        else []
    )
    return make_step(
        "marry",
        f"Marry the tails in: {end.name}",
        to.length(end.married),
        f"each tail with its own bundle, waxed to one; then turn both {laid.by_hand}, "
        f"{to.rate(rope.by_hand)}, and lay {laid.hand} as before: {to.rate(rope.lay)} of lay",
        f"the tails fade out over the last {to.length(laid.cut.taper)}; keep their thin ends out "
        "of the loop, which they weaken",
        *where,
        needed,
        id="marry-far" if end.far else "marry-zero",
    )


def untwist_step(words: Words, laid: LaidIn) -> Step:
    """Word the untwisting of the bodies before the second loop.

    Parameters
    ----------
    words : Words
        The plan in words.
    laid : LaidIn
        How it is laid in.

    Returns
    -------
    Step
        The step.
    """
    first = laid.ends[0]
    return make_step(
        "untwist",
        "Untwist the bundles",
        "0 turns in the body",
        f"hang the {first.name} loop on its peg, part the bundles and let each turn out from the "
        "married part to its free end; stroke them straight",
        "or they lock as a cord and the second tails cannot be laid in; turns left in work "
        "against those of the string",
    )


def first_pull_step(words: Words) -> Step:
    """Word the first pull on the line.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    Step
        The step.
    """
    load = words.plan.loads.equalise
    return make_step(
        "even",
        "Pull it straight",
        words.written.force(load),
        "both loops on their pegs; bring the load up slowly, watch that no tail creeps in its "
        "married part, let down, pull again",
        caution=f"{cautions.FIRST_LOAD} {cautions.MARRIED}",
        load=load,
    )


def _times(factor: float) -> str:
    """Write a factor; what is far over the one wanted rests on its assumptions alone."""
    return f"more than {MOST_TOLD:g} times" if factor > MOST_TOLD else f"{factor:.1f} times"


def _degrees(angle: float) -> str:
    return f"{angle * 57.29577951308232:.0f}°"
