"""The steps that close loops on two posts: slide them onto the straight, serve, close, hang."""

from __future__ import annotations

import math
from collections.abc import Sequence

from strandwright.planning import cautions
from strandwright.planning.estimate import Estimate
from strandwright.planning.four_posts.arms import BEYOND, SWING_SHARE
from strandwright.planning.four_posts.jig import BINDING, TOOL
from strandwright.planning.line_of_job import si
from strandwright.planning.result import LoopPlan, Plan, Step
from strandwright.planning.steps.phrases import begins_at_throat, let_down_line, locked_at
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


def pulled_to(words: Words) -> str:
    """Say to what load the skein is pulled up to be served.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    str
        A line of a step.
    """
    return f"pull to {words.written.force(words.plan.loads.serve)} and lock the pull"


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
    return f"then {pulled_to(words)}"


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
    if not any(loop.thread for _, loop in told):
        return [_mark(words), _close(words, len(told), slid=False)]
    return [_slide_out(words), _serve(words, told), _close(words, len(told), slid=True)]


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
        "what lies at the outside of each post is the middle of a loop: mark it there",
        "then slide the skein so far: both middles come out onto the straight, one on either side",
        caution=cautions.SLIDING,
        id="slide-out",
    )


def _mark(words: Words) -> Step:
    """Mark where bare loops close: their middles stay at the outside of their posts."""
    return make_step(
        "serve-loops",
        "Mark the loops",
        _unlike(words, _throats(words)),
        pulled_to(words),
        "so far from the outside of its post, on both sides of the skein: there the loop closes",
        caution=cautions.AT_THE_LINE,
    )


def _serve(words: Words, loops: Sequence[tuple[str, LoopPlan]]) -> Step:
    written = words.written
    rows = [
        f"{name}: serve {written.length(loop.served_length)} with "
        + thread_said(words, loop.thread, loop.thread_length)
        if loop.thread
        else f"{name}: stays bare"
        for name, loop in loops
    ]
    served = (loop.served_length for _, loop in loops if loop.thread)
    return make_step(
        "serve-loops",
        f"Serve the {'three ' if len(loops) == 3 else ''}loops",
        " and ".join(dict.fromkeys(written.length(length) for length in served)),
        pulled_to(words),
        "each about its middle mark, half to either side",
        *rows,
        caution=cautions.AT_THE_LINE,
    )


def _close(words: Words, loops: int, *, slid: bool) -> Step:
    plan, written = words.plan, words.written
    line, throats = plan.job.line, _unlike(words, _throats(words))
    legs = line.yoke is not None and line.yoke.made == "halves"
    slide = (
        slides_at(words),
        f"slide the skein back until both ends of each loop stand side by side, {throats} from "
        "the outside of its post",
        pull_line(words),
    )
    inside = _unlike(words, [loop.size for loop in plan.loops])
    return make_step(
        "loops",
        "Close the loops",
        " and ".join(dict.fromkeys(written.length(place) for place in _throats(words))),
        *(slide if slid else (f"{locked_at(words, plan.loads.serve)}, from the marks on",)),
        f"bind both sides of each loop together, from there on over {written.length(BINDING)}: "
        f"{loops} bindings, {_bound_for(words)}",
        let_down_line(),
        f"laid flat, inside: {inside}",
        f"hang the loops on the {written.fine(plan.stage('half').pins[0])} pins"
        + (f", both leg loops on the one {line.far_end.name} pin" if legs else ""),
        caution=f"{cautions.SLIDING} {cautions.AT_THE_LINE}" if slid else cautions.AT_THE_LINE,
    )


def _throats(words: Words) -> list[float]:
    """Where both loops close, from the outside of their posts [m]."""
    stage = words.plan.stage("bare")
    return [stage.edges[0].value, stage.length.value - stage.edges[-1].value]


def _unlike(words: Words, lengths: Sequence[float]) -> str:
    """Write one length for both loops, or each with the loop's name."""
    said = [words.written.length(length) for length in lengths]
    if len(set(said)) == 1:
        return said[0]
    return ", ".join(f"{loop.name} {one}" for loop, one in zip(words.plan.loops, said, strict=True))


def _bound_for(words: Words) -> str:
    """Say what the bindings are for: most lines have a serving that goes on over them."""
    plan = words.plan
    over = any(begins_at_throat(plan, s.now_start, s.now_stop) for s in plan.servings)
    return "only to keep them closed" + ("; end servings go on over them" if over else "")


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
        "let down as it is, lift it off the posts",
        f"zero end on the {words.plan.job.line.zero_end.name} pin",
        id="hang",
    )
