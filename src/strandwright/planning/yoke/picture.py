"""Picture: a plan's yoke on its axle, with what unlike legs do there."""

from __future__ import annotations

import re
from dataclasses import replace

from strandwright.drawing.yoke import YokePicture, yoke_svg
from strandwright.planning.result.plan import Plan
from strandwright.planning.result.yoke import YokePlan
from strandwright.planning.written import Written

#: Which of the differences that lean is told of is drawn: 1/16 in
_DRAWN = 1


def yoke_drawing(plan: Plan, theme: str, prefix: str = "yoke") -> str | None:
    """Draw the yoke of a plan on its axle.

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
    str or None
        SVG; None of a line without a yoke, or without the span of its axle.
    """
    picture = yoke_picture(plan)
    if picture is None:
        return None
    shown = replace(
        picture, span=_set(picture.span), about=_set(picture.about), lean=_set(picture.lean)
    )
    return yoke_svg(shown, theme=theme, prefix=prefix)


def _set(text: str) -> str:
    """Set fractions as the font does."""
    return re.sub(r"(?<=[0-9])/(?=[0-9])", "\u2044", text)


def yoke_picture(plan: Plan) -> YokePicture | None:
    """Give the picture of a plan's yoke.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    YokePicture or None
        None of a line without a yoke, or without the span of its axle.
    """
    yoke, told = plan.yoke, plan.job.line.yoke
    if yoke is None or told is None or told.span is None:
        return None
    to = Written.on(plan.job.paper)
    span = to.length(told.span.si)
    if yoke.strap is not None:
        return _of_strap(plan, yoke, span, to)
    assert yoke.lean is not None
    apart, tight, loose = yoke.lean.pulls[_DRAWN]
    moment = to.estimate(yoke.lean.moments[_DRAWN])
    return YokePicture(
        span=span,
        pulls=(to.force(tight), to.force(loose)),
        about=f"Left leg {to.fine(apart)} shorter, at {to.force(plan.target.measuring_load)} in "
        "the body; not to scale.",
        lean=f"Side moment {moment}: the rim away from the cable leans left. A turn into the right "
        "leg and one out of the left brings it back.",
        colours=_colours(plan, yoke),
    )


def _of_strap(plan: Plan, yoke: YokePlan, span: str, to: Written) -> YokePicture:
    strap = yoke.strap
    assert strap is not None
    tight, loose = (f"{100.0 * share:.0f} %" for share in strap.shares)
    colour = plan.winding.runs[0].colour
    return YokePicture(
        span=span,
        pulls=(tight, loose),
        about="As far as the eye's friction holds, of the load in the body; not to scale.",
        lean=f"One side may pull {strap.ratio:.2f} times the other before the strap slides.",
        colours=(colour, colour, colour),
        is_strap=True,
    )


def _colours(plan: Plan, yoke: YokePlan) -> tuple[str, str, str]:
    left, right = (max(leg.colours, key=lambda c: c[2])[1] for leg in yoke.legs)
    most = max(plan.winding.runs, key=lambda run: run.strands)
    return left, right, most.colour
