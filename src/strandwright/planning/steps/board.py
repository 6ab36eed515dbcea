"""The steps at the board of a laid-in line: set its pegs, cut its bundles, wax them."""

from __future__ import annotations

from strandwright.planning.four_posts.arms import unused_arms
from strandwright.planning.result import ColourRun, Step
from strandwright.planning.result.laid import CutBundle, LaidIn
from strandwright.planning.steps.words import Words, make_step


def board_steps(words: Words, laid: LaidIn) -> list[Step]:
    """Word what is done before the first loop is laid.

    Parameters
    ----------
    words : Words
        The plan in words.
    laid : LaidIn
        How it is laid in.

    Returns
    -------
    list of Step
        In their order; each cut with its run.
    """
    return [_pegs(words, laid), *_cuts(words, laid), _wax(words, laid)]


def _pegs(words: Words, laid: LaidIn) -> Step:
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
        unused_arms(words.plan.job),
    )


def _cuts(words: Words, laid: LaidIn) -> list[Step]:
    """A step for each bundle; for each colour where a bundle has several."""
    steps: list[Step] = []
    run = 0
    for bundle in laid.cut.bundles:
        first = 0
        for share in bundle.shares:
            lengths = bundle.lengths[first : first + share.strands]
            colours = len(bundle.shares) > 1
            title = f"Cut bundle {bundle.number}" + (f": {share.name}" if colours else "")
            steps.append(_cut(words, laid, bundle, run, title, lengths))
            first += share.strands
            run += 1
    return steps


def _cut(
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
        *_sums(words, laid, run),
        id=f"wind-{run + 1}",
        run=run,
    )


def _sums(words: Words, laid: LaidIn, run: int) -> tuple[str, ...]:
    """Say what is needed, and what common practice would cut, at the first bundle."""
    if run:
        return ()
    to, cut = words.written, laid.cut
    told = "; ".join(f"{one.name}: {to.length(one.length)}" for one in cut.sums)
    return (
        f"the longest needs about {to.length(cut.needed.value)}, and what a steeper hand takes up "
        "beside; what is over lies in the tails",
        f"common practice: {told}",
    )


def _wax(words: Words, laid: LaidIn) -> Step:
    reach = max(end.married_on_bundle for end in laid.ends)
    first = laid.ends[0]
    return make_step(
        "wax",
        "Wax each bundle",
        f"{words.at_least(reach)} from either end",
        "the middles of its strands together, so that both tails fade out alike; wax until the "
        "strands stick",
        f"mark one end alone, for the {first.name} loop: {words.written.length(first.tail)} from "
        "the longest strand's end; the other loop is marked from its peg",
    )
