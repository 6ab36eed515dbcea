"""Spots on a swung arm in words: from the arm's middle, round a post, past the posts."""

from __future__ import annotations

from strandwright.line.swung_loop import Place, Spot
from strandwright.planning.steps.words import Words

#: From where a mark is told, by the part of the skein it lies on
TOLD_FROM = {
    Place.SHORT: "",
    Place.POST: "round the post, along the skein, from where the short side meets it",
    Place.LONG: "from the outside of the arm's posts, along the long sides",
}
#: Marks that lie as far as this from each other's distance are told as one [m]
_SAME = 1e-4


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
        As one where they lie alike: ``5/16 in past both posts``.
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
