"""Pictures of the arms: from a plan's loops on swinging arms to what is drawn of each step."""

from __future__ import annotations

from strandwright.drawing.arms import ArmPicture, LegsPicture, arm_svg, legs_svg
from strandwright.line.swung_loop import Spot
from strandwright.planning.four_posts.arms import BEYOND
from strandwright.planning.laid.picture import laying_pictures
from strandwright.planning.result import Plan
from strandwright.planning.result.four_posts import ArmLoop, FourPosts
from strandwright.planning.written import Written, as_set

#: Colour of a skein whose job names none
_PLAIN = "#8A8172"


def arms_pictures(plan: Plan, theme: str, prefix: str = "jig") -> dict[str, tuple[str, ...]]:
    """Draw what belongs to each step on the swinging arms.

    Parameters
    ----------
    plan : Plan
        The plan.
    theme : str
        ``light``, ``dark``, ``sun`` or ``print``.
    prefix : str
        Put before every id, so that several pictures can share a page.

    Returns
    -------
    dict
        SVG by the step's identity; of a line that is laid in those of the laying; empty for one
        that is wound on two posts.
    """
    four = plan.four_posts
    if four is None:
        return laying_pictures(plan, theme, prefix)
    zero, far = four.loops
    square = [
        arm_svg(arm_picture(plan, four, loop), theme=theme, prefix=f"{prefix}-{end}")
        for loop, end in ((zero, "zero"), (far, "far"))
    ]
    level = [
        legs_svg(legs_picture(plan, four, loop), theme=theme, prefix=f"{prefix}-legs-{end}")
        for loop, end in ((zero, "zero"), (far, "far"))
    ]
    halves = ("", "-2") if four.slide else ("",)
    return {
        "swing": tuple(square),
        "mark-zero": (square[0],),
        "mark-far": (square[1],),
        **{f"loop-zero{half}": (square[0],) for half in halves if zero.thread},
        **{f"loop-far{half}": (square[1],) for half in halves if far.thread},
        "level": tuple(level),
        "legs-zero": (level[0],),
        "legs-far": (level[1],),
    }


def arm_picture(plan: Plan, four: FourPosts, loop: ArmLoop) -> ArmPicture:
    """Give the picture of one arm, swung square.

    Parameters
    ----------
    plan : Plan
        The plan.
    four : FourPosts
        Its loops on the arms.
    loop : ArmLoop
        The loop.

    Returns
    -------
    ArmPicture
        To be drawn.
    """
    to = Written.on(plan.job.paper)
    tails = four.tails_at(loop)
    return ArmPicture(
        name=loop.name,
        far=loop.far,
        between=four.arms.between,
        pivot=four.arms.pivot,
        posts=four.posts[loop.far],
        offset=four.offset,
        skein=_skein(plan),
        thread=loop.colour,
        mark=0.5 * loop.served,
        served=0.5 * loop.served + BEYOND if loop.thread else 0.0,
        words=(
            f"mark {_told(to, loop.marks[0], 'outer')}",
            f"mark {_told(to, loop.marks[1], 'inner')}",
            as_set(f"middle: {to.fine(0.5 * loop.served)} to each mark"),
        ),
        tails=four.tails_from_middle,
        tails_words=f"tails from {_told(to, tails, 'outer')} on",
    )


def _told(to: Written, spot: Spot, post: str) -> str:
    said = {
        "short side": "from the arm's middle",
        "post": f"round the {post} post",
        "long side": f"past the {post} post",
    }
    return as_set(f"{to.fine(spot.distance)} {said[spot.place.value]}")


def legs_picture(plan: Plan, four: FourPosts, loop: ArmLoop) -> LegsPicture:
    """Give the picture of one loop with its ends level.

    Parameters
    ----------
    plan : Plan
        The plan.
    four : FourPosts
        Its loops on the arms.
    loop : ArmLoop
        The loop.

    Returns
    -------
    LegsPicture
        To be drawn.
    """
    to, (outer, inner) = Written.on(plan.job.paper), four.posts[loop.far]
    return LegsPicture(
        name=loop.name,
        far=loop.far,
        post=outer,
        inner=(0.5 * outer + four.arms.between, inner),
        offset=four.offset,
        skein=_skein(plan),
        thread=loop.colour,
        legs_thread=loop.legs.colour,
        served=bool(loop.thread),
        start=loop.legs.start,
        stop=loop.legs.stop,
        words=(
            as_set(f"level {to.fine(loop.legs.start)}"),
            as_set(f"to {to.fine(loop.legs.stop)}"),
        ),
    )


def _skein(plan: Plan) -> str:
    runs = plan.winding.runs
    return runs[0].colour if runs else _PLAIN
