"""The steps on swinging arms: swing them, mark and serve both loops, swing back, serve the legs."""

from __future__ import annotations

from strandwright.planning import cautions
from strandwright.planning.estimate import Estimate
from strandwright.planning.four_posts.jig import NUDGE
from strandwright.planning.result import Step
from strandwright.planning.result.four_posts import FourPosts, Swing
from strandwright.planning.steps.arm_loops import legs_step, loop_servings, mark_step
from strandwright.planning.steps.loops import hang_step, on_two_posts, slides_at
from strandwright.planning.steps.spots import spot_said
from strandwright.planning.steps.words import Words, make_step

#: Moments and movements of the beam smaller than these are none to a hand [N m, m]
_NO_MOMENT, _NO_WAY = 0.05, 1e-4


def closing_steps(words: Words) -> list[Step]:
    """Word how the loops are served and closed, on two posts or on four.

    Parameters
    ----------
    words : Words
        The plan in words.

    Returns
    -------
    list of Step
        In their order.
    """
    four = words.plan.four_posts
    if four is None:
        return on_two_posts(words)
    inner_out = [] if all(loop.legs.clear_of_inner for loop in four.loops) else [_posts_out()]
    return [
        _swing(words, four.swing),
        _tails(words, four),
        _pull_square(words, four.swing),
        *(mark_step(words, four, loop) for loop in four.loops),
        *loop_servings(words, four),
        _swing_back(words, four.swing),
        *inner_out,
        _level(words, four.swing),
        _pull_level(words, four),
        *(legs_step(words, loop) for loop in four.loops),
        hang_step(words),
    ]


def _swing(words: Words, swing: Swing) -> Step:
    written = words.written
    first = "let the skein down to that"
    if swing.let_in >= _NO_WAY:
        first += f", then let the beam in by {written.fine(swing.let_in)}"
    held = (
        f"Let the beam in first: held, the skein comes to {written.force(swing.held)}. "
        if swing.let_in >= _NO_WAY
        else ""
    )
    return make_step(
        "swing",
        "Swing the arms square",
        f"at {written.force(swing.load)}",
        first,
        "swing both arms, their outer posts to the same side, and pin them",
        *_beam_said(words, swing),
        caution=f"{held}{cautions.SWING}",
        id="swing",
    )


def _beam_said(words: Words, swing: Swing) -> list[str]:
    """Say what the beam has to do, and what load the skein comes to on the way."""
    written = words.written
    way = f"on the way it comes to {written.force(swing.apart)}, one arm after the other"
    if swing.together < swing.apart - 1.0:
        way += f"; {written.force(swing.together)} where both go at once"
    if abs(swing.let_in) < _NO_WAY:
        return [f"turning about their middles they keep the skein's length: the beam stays; {way}"]
    if swing.let_in > 0.0:
        said = [way]
    else:
        far = written.fine(-swing.let_in)
        said = [f"the skein goes slack as they swing: then take the beam out by {far}"]
    if abs(swing.moment) > _NO_MOMENT:
        turn = written.estimate(Estimate(abs(swing.moment), 0.0, "N m"))
        to = "back into line" if swing.moment > 0.0 else "on past square"
        said.append(f"pulled up, the skein turns each arm {to} with {turn}: trust the pins")
    return said


def _tails(words: Words, four: FourPosts) -> Step:
    tails = four.tails_at(four.loops[0])
    return make_step(
        "shift",
        "Slide the tails clear of the loops",
        spot_said(words, tails),
        slides_at(words),
        "slide the skein until tails and colour changes begin there or further, beyond the "
        "servings of both loops",
        caution=cautions.SLIDING,
        id="slide-tails",
    )


def _pull_square(words: Words, swing: Swing) -> Step:
    return make_step(
        "pull",
        "Pull up, the arms square",
        words.written.force(swing.serve_load),
        f"the arms should then stand {words.written.fine(swing.square)} outside to outside along "
        "the beam",
        "lock the pull",
        caution=cautions.RETENSION,
        id="pull-square",
        load=swing.serve_load,
    )


def _swing_back(words: Words, swing: Swing) -> Step:
    way = ""
    if abs(swing.let_in) >= _NO_WAY:
        far = words.written.fine(abs(swing.let_in))
        way = f"then the beam goes {'out' if swing.let_in > 0.0 else 'in'} again by {far}"
    return make_step(
        "swing",
        "Swing the arms back into line",
        f"at {words.written.force(swing.load)}",
        "let the skein down to that",
        "swing both arms into line and pin them",
        way,
        caution=cautions.SWING,
        id="swing-back",
    )


def _posts_out() -> Step:
    return make_step(
        "posts-out",
        "Take the inner posts out",
        "2 posts",
        "they stand between the legs, where these are served next; in line nothing lies on them",
        "where they do not come out, bind the loops only, hang them on the pins and serve the "
        "legs there",
        id="posts-out",
    )


def _level(words: Words, swing: Swing) -> Step:
    return make_step(
        "level",
        "Bring the loops' ends level",
        f"at {words.written.force(swing.load)}",
        "slide the skein until both marks of each loop stand side by side; loaded, it does not "
        "slide",
        "both loops come level together, for their middles are half a round apart",
        caution=cautions.SLIDING,
        id="level",
    )


def _pull_level(words: Words, four: FourPosts) -> Step:
    written = words.written
    throats = ", ".join(f"{loop.name} {written.fine(loop.legs.start)}" for loop in four.loops)
    return make_step(
        "pull",
        "Pull up, and read the ends",
        written.force(four.swing.serve_load),
        f"the marks then stand so far from the outside of the outer post: {throats}",
        f"more than {written.fine(NUDGE)} off, or not level: let down and slide again",
        "lock the pull",
        caution=cautions.RETENSION,
        id="pull-level",
        load=four.swing.serve_load,
    )
