"""Cautions, in plain words, for the step each belongs to."""

DEFER = (
    "The bow maker's manual, local rules and a qualified technician stand above this plan."
)
FIRST_LOAD = (
    "First load of a new skein: check strap, hooks and posts, cover it, stand off its axis and "
    "bring the load up slowly. Wait a minute, look it over from the side, and only then uncover "
    "the part you work on. Never lean over it."
)
AT_THE_LINE = (
    "Hands at a loaded line: lock the pull, look at hooks, pins and loops, eye protection on. "
    "Cover all but the part you work on; stand beside it, never over it nor in its line. No more "
    "load than told here."
)
TURNING = "Let it right down first: never turn a loaded line, nor lift a loop of it off its pin."
RETENSION = (
    "Under load again: cover the line, stand off its axis, keep hands and face out of its plane."
)
STRETCH = (
    "A line at this load can throw a hook or a post across the room: cover it, stay off its axis, "
    "keep others away for the whole time."
)
SLIDING = (
    "Hands at a skein that still pulls: the pull locked, hooks and posts looked at, eye protection "
    "on. Slide it by its straight sides, fingers clear of where it runs onto a post, and stand out "
    "of its line before it is pulled up again."
)
SWING = (
    "A skein under load can throw an arm round: swing at the low load told here, stand clear of "
    "the arms' way and off the beam's axis, hands off the posts, and pin each arm before you let "
    "go."
)
MARRIED = (
    "A married part holds by friction alone, and what is told of it compares, it does not prove: "
    "pull each one first at the bench, out of the line's way, look at both again after every pull, "
    "and do not draw a string whose tails have crept."
)
PRESS = (
    "Use a press made for this bow's limbs, eye protection on, face out of the limbs' path, and "
    "the maker's manual at hand. Inspect pegs, tracks and limbs before the new line goes on."
)
UNSTRING = (
    "String and unstring the bow with a stringer, face out of the limbs' path, and the maker's "
    "manual at hand. Inspect nocks and limbs before the new string goes on."
)
FIRST_DRAW = (
    "Draw it on a draw board first. Never let it go without an arrow; after a dry fire the bow "
    "goes to a qualified technician before it is drawn again."
)
CROSSBOW_PRESS = (
    "Uncocked, and no bolt in it. Use the press that the crossbow maker's manual names, eye "
    "protection on, face out of the limbs' path. Inspect pegs, tracks and limbs before the new "
    "line goes on."
)
CROSSBOW_UNSTRING = (
    "Uncocked, and no bolt in it. Take the string off as the crossbow maker's manual says, by the "
    "stringer made for it, face out of the limbs' path. Inspect nocks and limbs before the new "
    "string goes on."
)
FIRST_COCKING = (
    "Foot in the stirrup, nobody before it, fingers and thumb below the rail. Never pull the "
    "trigger without a bolt; after a dry fire the crossbow goes to a qualified technician before "
    "it is cocked again."
)
STRUNG = (
    "The bow is strung: lay it on a rest that holds the riser, limbs free, your face out of their "
    "path. Never draw it, nor let go of the string, with thread or tool on it. Where the bow "
    "maker's manual says otherwise, it is right."
)
UNKNOWN_RATING = (
    "The rating of strap, posts and beam is not known: this is a caution, not a pass. Use rated "
    "parts, or stay well under the weakest."
)


def at_the_change(kind: str, crossbow: str | None) -> tuple[str, str]:
    """Give what to heed when the old line comes off and when the new one is first drawn.

    Parameters
    ----------
    kind : str
        The bow's, as the job names it.
    crossbow : str or None
        Of a crossbow, whether it has wheels: ``recurve`` or ``compound``, None if not told.

    Returns
    -------
    (str, str)
        Off the bow, and at the first draw.
    """
    if kind == "crossbow":
        off = CROSSBOW_PRESS if crossbow == "compound" else CROSSBOW_UNSTRING
        return off, FIRST_COCKING
    return (UNSTRING if kind in ("recurve", "longbow") else PRESS), FIRST_DRAW
