"""Set pictures: the strips of all lines of a set, drawn to one scale, one below the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from strandwright.drawing import draw_strip
from strandwright.planning.picture import strip_picture
from strandwright.planning.result import Plan

#: A strip cannot be narrower [px]
NARROWEST = 300.0
#: Steps in which the width of a strip is brought to the common scale [-]
_STEPS = 40


@dataclass(frozen=True)
class LinePicture:
    """The strip of one line.

    Attributes
    ----------
    job : str
        Id of its job.
    svg : str
        The drawing.
    width, height : float
        Of the drawing [px]
    indent : float
        Room to leave before it, so that the zero ends stand below each other [px]
    scale : float
        Horizontal scale, the same in every line of the set [px/m]
    """

    job: str
    svg: str
    width: float
    height: float
    indent: float
    scale: float


def set_pictures(plans: Sequence[Plan], width: float, theme: str) -> tuple[LinePicture, ...]:
    """Draw the lines of a set to one scale.

    Parameters
    ----------
    plans : sequence of Plan
        The lines.
    width : float
        Room for the longest; where the shortest would be too narrow to be drawn, all are drawn
        wider [px]
    theme : str
        ``light``, ``dark``, ``sun`` or ``print``.

    Returns
    -------
    tuple of LinePicture
        In the order of the lines.
    """
    if not plans:
        return ()
    lengths = [plan.target.length.value for plan in plans]
    scale = max(_scale(width, max(lengths)), _scale(NARROWEST, min(lengths)))
    drawn = [
        draw_strip(
            strip_picture(plan, title="", subtitle=""),
            width=_width(scale, length),
            theme=theme,
            prefix=f"set{n}",
        )
        for n, (plan, length) in enumerate(zip(plans, lengths, strict=True), 1)
    ]
    left = max(drawing.frame.left for drawing in drawn)
    return tuple(
        LinePicture(
            job=plan.job.id,
            svg=drawing.svg,
            width=drawing.frame.width,
            height=drawing.height,
            indent=left - drawing.frame.left,
            scale=drawing.frame.scale,
        )
        for plan, drawing in zip(plans, drawn, strict=True)
    )


def _sides(width: float) -> float:
    """Room a strip of that width leaves beside the line, as its frame does [px]."""
    return 2.0 * (min(max(width / 24.0, 18.0), 64.0) + 8.0)


def _scale(width: float, length: float) -> float:
    return (width - _sides(width)) / length


def _width(scale: float, length: float) -> float:
    """Width at which a line is drawn to a scale; the sides grow slowly with it, so this converges.

    Each step leaves a twelfth of what was wrong.
    """
    width = scale * length
    for _ in range(_STEPS):
        width = scale * length + _sides(width)
    return max(width, NARROWEST)
