"""The steps at the winding posts: set them, wind, even out, shift the skein."""

from __future__ import annotations

from dataclasses import replace

from strandwright.planning import cautions
from strandwright.planning.result import Step
from strandwright.planning.steps.words import Words, make_step

_TO_BE_SWUNG = (
    "what lies at the outside of an outer post now is the middle of a loop once the arms are "
    "swung: no tail there"
)


def posts_step(words: Words) -> Step:
    """Word the post setting.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    Step
        The step.
    """
    winding = words.plan.winding
    bench = words.plan.job.bench
    return make_step(
        "posts",
        "Set the posts",
        words.written.estimate(winding.posts_outside),
        "outside to outside, empty; between centres "
        + words.written.estimate(winding.posts_centres),
        f"zero end at the {words.plan.job.line.zero_end.name} post; {bench.name}",
    )


def wind_steps(words: Words) -> list[Step]:
    """Word the winding, a step for each colour.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    list of Step
        In their order.
    """
    winding = words.plan.winding
    steps: list[Step] = []
    for i, run in enumerate(winding.runs):
        rounds = words.turns(run.rounds)
        title = "Wind" if len(winding.runs) == 1 else f"Wind the {run.name}"
        tie = "tie off" if i == 0 else "start"
        steps.append(
            make_step(
                "wind",
                title,
                f"{rounds} rounds",
                f"{run.strands} strands, one a pass from post to post; {tie} at the "
                f"{run.starts_at}, ends at the {run.ends_at}; tails "
                f"{words.written.length(winding.tail_cut)}",
                f"drag about {words.written.force(winding.drag)} on the strand, the same all "
                "the way",
                f"spool loses {words.written.estimate(run.mass)}",
                id=f"wind-{i + 1}",
                run=i,
            )
        )
    last = steps[-1]
    stand = words.written.estimate(winding.after_winding)
    check = f"then the posts should stand {stand} outside to outside"
    slack = winding.slack_passes
    hang = f"the first {slack} strands will hang slack until evened out" if slack else ""
    steps[-1] = replace(last, lines=(*last.lines, check, *([hang] if hang else [])))
    return steps


def even_step(words: Words) -> Step:
    """Word the evening out of the strands.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    Step
        The step.
    """
    tightest = words.plan.winding.tightest
    uneven = f"until then the tightest strand carries {tightest:.1f} times its share"
    return make_step(
        "even",
        "Even out the strands",
        words.written.force(words.plan.loads.equalise),
        "rub end to end with a loop of waste strand, let down, pull again; strands lie side by "
        "side on the posts, not heaped",
        uneven if tightest > 1.05 else "",
        caution=f"{cautions.FIRST_LOAD} {cautions.AT_THE_LINE}",
        load=words.plan.loads.equalise,
    )


def shift_step(words: Words) -> Step:
    """Word the shifting of the skein round the posts.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    Step
        The step.
    """
    winding, four = words.plan.winding, words.plan.four_posts
    return make_step(
        "shift",
        "Shift the skein round the posts",
        words.written.length(winding.shift if four is None else four.tails_from_middle),
        f"until tails and colour changes will lie under: {winding.tail_place}",
        _TO_BE_SWUNG if four is not None else "",
        f"a tail holds from about {words.written.length(winding.tail_hold.value)} on, surely from "
        f"{words.written.length(winding.tail_hold.value + 2.0 * winding.tail_hold.u)}; leave "
        f"{words.written.length(winding.tail_cut)}; wax the bare strands",
    )
