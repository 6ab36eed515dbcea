"""Pictures of the laying: from a plan's ends and marks to what is drawn at each step."""

from __future__ import annotations

from strandwright.drawing.laying import (
    BundleEndPicture,
    PegsPicture,
    PlaceMark,
    bundle_end_svg,
    pegs_svg,
)
from strandwright.planning.result import Plan
from strandwright.planning.result.laid import LaidEnd, LaidIn
from strandwright.planning.written import Written, as_set

#: What is drawn of the body beside the married part, over the whole end [-]
_BESIDE = 0.06


def laying_pictures(plan: Plan, theme: str, prefix: str = "jig") -> dict[str, tuple[str, ...]]:
    """Draw what belongs to each step of laying in.

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
        SVG by the step's identity; empty for a line that is wound.
    """
    laid = plan.laid
    if laid is None:
        return {}
    to = Written.on(plan.job.paper)
    # The second loop is marked from its peg alone: its picture has no other marks.
    first = laid.ends[0]
    zero = bundle_end_svg(end_picture(laid, first, to), theme=theme, prefix=f"{prefix}-zero")
    pegs = pegs_svg(pegs_picture(plan, laid, to), theme=theme, prefix=f"{prefix}-pegs")
    return {"lay-zero": (zero,), "lay-far": (pegs,)}


def end_picture(laid: LaidIn, end: LaidEnd, to: Written) -> BundleEndPicture:
    """Give the picture of one end of the straight bundles.

    Parameters
    ----------
    laid : LaidIn
        How the line is laid in.
    end : LaidEnd
        Which end.
    to : Written
        How lengths are written.

    Returns
    -------
    BundleEndPicture
        To be drawn.
    """
    return BundleEndPicture(
        name=end.name,
        far=end.far,
        bundles=strand_colours(laid),
        step=laid.cut.step,
        loop=(end.tail, end.throat_on_bundle),
        reach=(1.0 + _BESIDE) * end.married_on_bundle,
        marks=(
            _mark(laid.cut.taper, f"{to.length(laid.cut.taper)}: all strands on"),
            _mark(end.tail, f"begin {to.length(end.tail)}", main=True),
            _mark(end.fold, f"middle {to.length(end.fold)}"),
            _mark(end.throat_on_bundle, f"closes {to.length(end.throat_on_bundle)}"),
            _mark(end.married_on_bundle, f"body from {to.length(end.married_on_bundle)}"),
        ),
    )


def pegs_picture(plan: Plan, laid: LaidIn, to: Written) -> PegsPicture:
    """Give the picture of the bundles on the first peg, with the second loop's marks.

    Parameters
    ----------
    plan : Plan
        The plan.
    laid : LaidIn
        How it is laid in.
    to : Written
        How lengths are written.

    Returns
    -------
    PegsPicture
        To be drawn.
    """
    first, second = laid.ends
    marks = laid.marks
    return PegsPicture(
        bundles=strand_colours(laid),
        pegs=plan.winding.posts_outside.value,
        throat=first.throat,
        married=first.married,
        reach=marks.begin.value + second.tail,
        marks=(
            _mark(marks.body_ends.value, f"married to {to.length(marks.body_ends.value)}"),
            _mark(marks.throat.value, f"closes {to.length(marks.throat.value)}"),
            _mark(marks.fold.value, f"middle {to.length(marks.fold.value)}"),
            _mark(marks.begin.value, f"begin {to.length(marks.begin.value)}", main=True),
        ),
    )


def _mark(at: float, words: str, *, main: bool = False) -> PlaceMark:
    return PlaceMark(at, as_set(words), main)


def strand_colours(laid: LaidIn) -> tuple[tuple[str, ...], ...]:
    """Give the colour of every strand of each bundle, the longest first.

    Parameters
    ----------
    laid : LaidIn
        How the line is laid in.

    Returns
    -------
    tuple of tuple of str
        ``#rrggbb``.
    """
    return tuple(
        tuple(share.colour for share in bundle.shares for _ in range(share.strands))
        for bundle in laid.cut.bundles
    )
