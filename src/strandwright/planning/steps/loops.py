"""The steps that close loops on two posts: slide them onto the straight, serve, close, hang."""

from __future__ import annotations

import math
from collections.abc import Sequence

from strandwright.planning import cautions
from strandwright.planning.arms import BEYOND, SWING_SHARE
from strandwright.planning.estimate import Estimate
from strandwright.planning.four_posts import BINDING, TOOL
from strandwright.planning.line_of_job import si
from strandwright.planning.result import LoopPlan, Plan, Step
from strandwright.planning.steps.phrases import let_down_line, locked_at
from strandwright.planning.steps.words import Words, make_step


def light_load(plan: Plan) -> float:
    """Give the load at which a skein still slides round its posts by hand.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    float
        Load on the gauge [N]
    """
    return SWING_SHARE * plan.target.measuring_load


def slides_at(words: Words) -> str:
    """Say at what load to slide the skein.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    str
        A line of a step.
    """
    light = words.written.force(light_load(words.plan))
    return f"let down to {light}, no more: loaded, a skein does not slide round its posts"


def pull_line(words: Words) -> str:
    """Say that the skein is pulled up again to be served.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    str
        A line of a step.
    """
    return f"then pull to {words.written.force(words.plan.loads.serve)} and lock the pull"


def thread_said(words: Words, thread: str, length: float, wraps: float = 0.0) -> str:
    """Say what thread a serving takes.

    Parameters
    ----------
    words : Words
        The plan in words.
    thread : str
        Its name; empty where nothing is wound.
    length : float
        Thread used [m]
    wraps : float
        Wraps; 0 leaves them out [-]

    Returns
    -------
    str
        ``braid-018, 296 wraps, 6.0 ft of thread``.
    """
    if not thread:
        return ""
    counted = f", {wraps:.0f} wraps" if wraps else ""
    return f"{thread}{counted}, {words.written.long(Estimate(length, 0.0, 'm'))} of thread"


def on_two_posts(words: Words, loops: Sequence[tuple[str, LoopPlan]] = ()) -> list[Step]:
    """Word how loops are served and closed on two posts.

    Parameters
    ----------
    words : Words
        The plan in words.
    loops : sequence of (str, LoopPlan)
        Each loop with its name, where they are not just the line's two.

    Returns
    -------
    list of Step
        From the skein on its posts to the line on its pins; the last is the one that stands for
        all of them in a log.
    """
    told = list(loops) or [(loop.name, loop) for loop in words.plan.loops]
    served = any(loop.thread for _, loop in told)
    return [
        *([_slide_out(words)] if served else []),
        _serve(words, told),
        _close(words, len(told)),
    ]


def _slide_out(words: Words) -> Step:
    bench = words.plan.job.bench
    post = max(bench.zero_post.si, si(bench.far_post, bench.zero_post.si))
    longest = max(loop.served_length for loop in words.plan.loops)
    # From the outside of the post a quarter of the way round it, room for the tool, half a loop.
    far = 0.25 * math.pi * post + TOOL + BEYOND + 0.5 * longest
    return make_step(
        "shift",
        "Slide the loops onto the straight",
        words.at_least(far),
        slides_at(words),
        "what lies at the outside of each post is the middle of a loop: mark it there, then slide "
        "the skein so far; both come out, half a round apart",
        caution=cautions.RETENSION,
        id="slide-out",
    )


def _serve(words: Words, loops: Sequence[tuple[str, LoopPlan]]) -> Step:
    written = words.written
    served = any(loop.thread for _, loop in loops)
    rows = [
        f"{name}: serve {written.length(loop.served_length)} with "
        + thread_said(words, loop.thread, loop.thread_length)
        if loop.thread
        else f"{name}: bare, {written.length(loop.served_length)} between the marks"
        for name, loop in loops
    ]
    lengths = dict.fromkeys(written.length(loop.served_length) for _, loop in loops)
    return make_step(
        "serve-loops",
        f"{'Serve' if served else 'Mark'} the {'three ' if len(loops) == 3 else ''}loops",
        " and ".join(lengths),
        locked_at(words, words.plan.loads.serve) if served else "",
        "half of it to each side of the middle"
        + (" mark" if served else ", at the outside of its post"),
        *rows,
        caution=cautions.AT_THE_LINE if served else "",
    )


def _close(words: Words, loops: int) -> Step:
    plan, written = words.plan, words.written
    stage, line = plan.stage("bare"), plan.job.line
    first, last = stage.edges[0].value, stage.length.value - stage.edges[-1].value
    throats = dict.fromkeys(written.length(place) for place in (first, last))
    sizes = dict.fromkeys(written.length(loop.size) for loop in plan.loops)
    legs = line.yoke is not None and line.yoke.made == "halves"
    return make_step(
        "loops",
        "Close the loops",
        " and ".join(throats),
        slides_at(words),
        "slide the skein until both ends of each loop stand side by side: so far from the outside "
        f"of its post; laid flat it is {' and '.join(sizes)} inside",
        f"{locked_at(words, plan.loads.serve)}: bind both legs from there over "
        f"{written.length(BINDING)}, {loops} bindings; they only keep the loops closed, end "
        "servings go on over them",
        let_down_line(),
        f"hang the loops on the {written.fine(plan.stage('half').pins[0])} pins"
        + (f", both leg loops on the one {line.far_end.name} pin" if legs else ""),
        caution=f"{cautions.RETENSION} {cautions.AT_THE_LINE}",
    )


def hang_step(words: Words) -> Step:
    """Word the change from four posts to pins.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    Step
        The step.
    """
    return make_step(
        "hang",
        "Hang the loops on the pins",
        f"{words.written.fine(words.plan.stage('half').pins[0])} pins",
        "let right down, lift it off the posts",
        f"zero end on the {words.plan.job.line.zero_end.name} pin",
        id="hang",
    )
