"""The steps at the winding posts: set them, wind, even out, shift the skein."""

from __future__ import annotations

from dataclasses import replace

from strandwright.line.route import Order
from strandwright.planning import cautions
from strandwright.planning.result import Step
from strandwright.planning.steps.phrases import rest_line
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
        steps.append(
            make_step(
                "wind",
                title,
                f"{rounds} rounds",
                f"{run.strands} strands, one a pass from post to post",
                f"{'tie off' if i == 0 else 'start'} at the {run.starts_at}, ends at the "
                f"{run.ends_at}; leave tails of {words.written.length(winding.tail_cut)}",
                f"drag about {words.written.force(winding.drag)} on the strand, the same all "
                "the way",
                f"spool loses {words.written.estimate(run.mass)}",
                id=f"wind-{i + 1}",
                run=i,
            )
        )
    steps[0] = replace(steps[0], lines=(*steps[0].lines, *_posts_come_in(words)))
    last = steps[-1]
    stand = words.written.estimate(winding.after_winding)
    check = f"all wound, the posts should stand {stand} outside to outside"
    steps[-1] = replace(last, lines=(*last.lines, check))
    return steps


def _posts_come_in(words: Words) -> list[str]:
    """Say what the pull of the skein does; the plan reckons with posts left as they come in."""
    winding = words.plan.winding
    slack = winding.slack_passes
    said = (
        ["the skein pulls the posts together: leave them so, the numbers count on it"]
        if len(winding.runs) == 1
        else [
            "the skein pulls the posts together: do not set them back before the next colour, "
            "the numbers count on it"
        ]
    )
    if slack:
        said.append(f"the first {slack} strands will hang slack until evened out")
    return said


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
    plan = words.plan
    tightest = plan.winding.tightest
    uneven = f"until they are even the tightest strand carries {tightest:.1f} times its share"
    read_next = plan.route.order is Order.TWIST_THEN_SERVE and plan.laid is None
    return make_step(
        "even",
        "Even out the strands",
        words.written.force(plan.loads.equalise),
        "before it: strands side by side on the posts, not heaped",
        "a minute covered; then lock it, uncover, and rub end to end with a loop of waste strand",
        "let down, pull up again for a minute",
        uneven if tightest > 1.05 else "",
        rest_line(words) if read_next else "",
        caution=f"{cautions.FIRST_LOAD} {cautions.AT_THE_LINE}",
        load=plan.loads.equalise,
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
    hold = winding.tail_hold
    buried = hold.value > 0.0
    return make_step(
        "shift",
        "Shift the skein round the posts",
        words.roughly(winding.shift) if four is None else words.at_least(four.tails_from_middle),
        "let down first; slide it until tails and colour changes will lie under: "
        f"{winding.tail_place}"
        if buried
        else "no serving buries the tails: tie them off",
        _TO_BE_SWUNG if four is not None else "",
        f"a tail of {words.at_least(hold.value + hold.u95)} or more under a serving holds: leave "
        f"{words.written.length(winding.tail_cut)}"
        if buried
        else "",
        "wax the bare strands",
    )
