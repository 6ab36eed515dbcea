"""The steps on swinging arms: swing them, serve each loop, swing back, serve both legs down."""

from __future__ import annotations

from strandwright.line.swung_loop import Place, Spot
from strandwright.planning import cautions
from strandwright.planning.arms import BEYOND
from strandwright.planning.estimate import Estimate
from strandwright.planning.four_posts import NUDGE, UNEVEN
from strandwright.planning.result import Step
from strandwright.planning.result.four_posts import ArmLoop, FourPosts, Swing
from strandwright.planning.steps.line import loops_step
from strandwright.planning.steps.words import Words, make_step

#: Moments and movements of the beam smaller than these are none to a hand [N m, m]
_NO_MOMENT, _NO_WAY = 0.05, 1e-4
#: From where a mark is told, by the part of the skein it lies on
_TOLD_FROM = {
    Place.SHORT: "",
    Place.POST: "round the post, along the skein, from where the short side meets it",
    Place.LONG: "from the outside of the arm's posts, along the long sides",
}
#: Marks that lie as far as this from each other's distance are told as one [m]
_SAME = 1e-4


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
        return [loops_step(words)]
    return [
        swing_step(words, four),
        *(loop_step(words, four, loop) for loop in four.loops),
        level_step(words, four),
        *(legs_step(words, four, loop) for loop in four.loops),
    ]


def end_of(loop: ArmLoop) -> str:
    """Give the word for a loop's end that steps are told apart by.

    Parameters
    ----------
    loop : ArmLoop
        One of the two.

    Returns
    -------
    str
        ``zero`` or ``far``.
    """
    return "far" if loop.far else "zero"


def swing_step(words: Words, four: FourPosts) -> Step:
    """Word the swing of both arms.

    Parameters
    ----------
    words : Words
        The plan in words.
    four : FourPosts
        The loops on the arms.

    Returns
    -------
    Step
        The step.
    """
    written, swing = words.written, four.swing
    tails = spot_said(words, four.tails_at(four.loops[0]))
    return make_step(
        "swing",
        "Swing the arms square",
        f"at {written.force(swing.load)}",
        "let the skein down to that, then swing both arms, their outer posts to the same side, and "
        "pin them",
        *_beam_said(words, swing),
        f"then pull to {written.force(swing.serve_load)}: the arms should stand "
        f"{written.fine(swing.square)} outside to outside along the beam",
        f"slide the skein until tails and colour changes begin {tails}, beyond the servings of "
        "both loops",
        caution=_caution(words, swing),
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
    far = written.fine(abs(swing.let_in))
    if swing.let_in > 0.0:
        said = [
            f"first let the beam in by {far}, for square they stand nearer; with the beam held it "
            f"would come to {written.force(swing.held)}",
            way,
        ]
    else:
        said = [f"the skein goes slack as they swing: then take the beam out by {far}"]
    if abs(swing.moment) > _NO_MOMENT:
        turn = written.estimate(Estimate(abs(swing.moment), 0.0, "N m"))
        to = "back into line" if swing.moment > 0.0 else "on past square"
        said.append(f"square, the skein turns each arm {to} with {turn}: trust the pins, no hand")
    return said


def _caution(words: Words, swing: Swing) -> str:
    """Say what can hurt; more of it where the beam must not be held."""
    if swing.let_in < _NO_WAY:
        return cautions.SWING
    return (
        f"Let the beam in first: held, the skein comes to {words.written.force(swing.held)}. "
        + cautions.SWING
    )


def loop_step(words: Words, four: FourPosts, loop: ArmLoop) -> Step:
    """Word the serving of one loop on its arm.

    Parameters
    ----------
    words : Words
        The plan in words.
    four : FourPosts
        The loops on the arms.
    loop : ArmLoop
        The loop.

    Returns
    -------
    Step
        The step.
    """
    written = words.written
    verb = "Serve" if loop.thread else "Mark"
    between = written.fine(four.between_marks)
    check = f"along each long side it is {between} from mark to mark, the same on both sides"
    return make_step(
        "loop",
        f"{verb} the loop: {loop.name}",
        marks_said(words, loop),
        f"the two marks, {written.fine(loop.served)} apart along the skein, at "
        f"{written.force(four.swing.serve_load)}; closed and laid flat it is "
        f"{written.length(loop.size)} inside",
        _TOLD_FROM[loop.marks[0].place],
        *_thread_said(words, loop),
        _peg_said(words, loop),
        check if loop.far else "",
        f"marks {written.fine(NUDGE)} off their middle make the legs {written.fine(2.0 * NUDGE)} "
        f"unequal: the tighter one carries {written.share(loop.uneven)} more before the twist; "
        f"{written.small(loop.off_allowed)} off is {written.share(UNEVEN)}",
        caution=cautions.RETENSION,
        id=f"loop-{end_of(loop)}",
    )


def _thread_said(words: Words, loop: ArmLoop) -> list[str]:
    written = words.written
    if not loop.thread:
        return ["bare: lay the marks only"]
    used = written.long(Estimate(loop.thread_length, 0.0, "m"))
    ends = both_said(words, loop.ends)
    said = [
        f"{loop.thread}, {loop.wraps:.0f} wraps, {used} of thread",
        f"begin and end {written.length(BEYOND)} past the marks: {ends}",
    ]
    if loop.slides:
        said.append(
            "what lies on a post cannot be wrapped: slide the skein along to serve one half, then "
            "the other"
        )
    return said


def _peg_said(words: Words, loop: ArmLoop) -> str:
    if loop.least_size is None:
        return ""
    least = words.written.small(loop.least_size)
    return f"the smallest loop that goes over the {loop.peg} is {least} laid flat"


def level_step(words: Words, four: FourPosts) -> Step:
    """Word the way back into line, until the ends of each loop's serving lie level.

    Parameters
    ----------
    words : Words
        The plan in words.
    four : FourPosts
        The loops on the arms.

    Returns
    -------
    Step
        The step.
    """
    written, swing = words.written, four.swing
    throats = [f"{loop.name} {written.fine(loop.legs.start)}" for loop in four.loops]
    out = ""
    if abs(swing.let_in) >= _NO_WAY:
        way = "out" if swing.let_in > 0.0 else "in"
        out = (
            f"with the arms in line the beam goes {way} again by {written.fine(abs(swing.let_in))}"
        )
    post = ""
    if not all(loop.legs.clear_of_inner for loop in four.loops):
        post = (
            "the inner posts stand between the legs, where these are served next: take them out; "
            "in line nothing lies on them. Where they do not come out, bind the loops only, hang "
            "them on the pins and serve the legs there"
        )
    return make_step(
        "level",
        "Swing the arms back, bring the loops' ends level",
        " and ".join(dict.fromkeys(written.fine(loop.legs.start) for loop in four.loops)),
        f"from the outside of the outer post, at {written.force(swing.serve_load)}: "
        f"{', '.join(throats)}",
        f"let down to {written.force(swing.load)}, swing both arms into line, pin them, and slide "
        "the skein until both marks of each loop stand side by side",
        "both loops come level together, for their middles are half a round apart",
        out,
        post,
        caution=cautions.SWING,
        id="level",
    )


def legs_step(words: Words, four: FourPosts, loop: ArmLoop) -> Step:
    """Word the serving of both legs of a loop together.

    Parameters
    ----------
    words : Words
        The plan in words.
    four : FourPosts
        The loops on the arms.
    loop : ArmLoop
        The loop.

    Returns
    -------
    Step
        The step.
    """
    written, legs = words.written, loop.legs
    used = written.long(Estimate(legs.thread_length, 0.0, "m"))
    thread = f"{legs.thread}, {legs.wraps:.0f} wraps, {used} of thread" if legs.thread else ""
    if legs.serving:
        title, why = f"Serve both legs down: {loop.name}", f"this is the serving '{legs.serving}'"
    else:
        title = f"Bind both legs: {loop.name}"
        why = (
            f"only so that the loop stays closed; the serving '{legs.later}' goes on after the "
            "twist, to its own edges"
            if legs.later
            else "only so that the loop stays closed; no serving of this line runs down from it, "
            f"and about {written.length(16.0 * BEYOND)} down both legs is common practice"
        )
    return make_step(
        "legs",
        title,
        f"{written.fine(legs.start)} to {written.fine(legs.stop)}",
        f"from the outside of the outer post, at {written.force(four.swing.serve_load)}, over both "
        "legs together and what the loop's serving went past its marks",
        thread,
        why,
        "then take it off and hang its loops on the pins" if loop.far else "",
        caution=cautions.RETENSION,
        id=f"legs-{end_of(loop)}",
    )


def marks_said(words: Words, loop: ArmLoop) -> str:
    """Say where the two marks of a loop lie.

    Parameters
    ----------
    words : Words
        The plan in words.
    loop : ArmLoop
        The loop.

    Returns
    -------
    str
        ``5/16 in past both posts``.
    """
    return both_said(words, loop.marks)


def both_said(words: Words, spots: tuple[Spot, Spot]) -> str:
    """Say where two spots lie, one to each hand of a loop's middle.

    Parameters
    ----------
    words : Words
        The plan in words.
    spots : tuple of Spot
        Towards the outer post and towards the inner one.

    Returns
    -------
    str
        As one where they lie alike.
    """
    outer, inner = spots
    if outer.place is inner.place and abs(outer.distance - inner.distance) < _SAME:
        far = words.written.fine(outer.distance)
        return {
            Place.SHORT: f"{far} to either hand of the arm's middle",
            Place.POST: f"{far} round both posts",
            Place.LONG: f"{far} past both posts",
        }[outer.place]
    return f"{spot_said(words, outer, 'outer')}, {spot_said(words, inner, 'inner')}"


def spot_said(words: Words, spot: Spot, post: str = "outer") -> str:
    """Say where one spot lies.

    Parameters
    ----------
    words : Words
        The plan in words.
    spot : Spot
        The spot.
    post : str
        ``outer`` or ``inner``: the post on that side of the loop's middle.

    Returns
    -------
    str
        ``2 1/4 in past the outer post``.
    """
    far = words.written.fine(spot.distance)
    return {
        Place.SHORT: f"{far} from the arm's middle towards the {post} post",
        Place.POST: f"{far} round the {post} post",
        Place.LONG: f"{far} past the {post} post",
    }[spot.place]
