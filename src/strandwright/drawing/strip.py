"""The strip: a whole line to horizontal scale over a tape, as SVG."""

from __future__ import annotations

import zlib
from dataclasses import dataclass, replace

from strandwright.drawing.bodies import body_parts, room_beside
from strandwright.drawing.frame import Frame
from strandwright.drawing.graduation import position_text
from strandwright.drawing.lanes import (
    contacts_lane,
    flags_lane,
    marks_lane,
    names_lane,
    positions_lane,
)
from strandwright.drawing.lettering import wrap_text
from strandwright.drawing.picture import StripPicture
from strandwright.drawing.svg import document, lettering, prefix_or_fail, shade_definition
from strandwright.drawing.tape import TAPE_HEIGHT, tape_foot, tape_parts
from strandwright.drawing.tokens import TEXT_SIZE, TITLE_SIZE, palette_of
from strandwright.errors import GeometryError

_NARROWEST = 300.0


@dataclass(frozen=True)
class StripDrawing:
    """A strip with where things lie on it, for a screen that lets them be taken hold of.

    Attributes
    ----------
    svg : str
        The drawing.
    frame : Frame
        Its scales.
    height : float
        Of the drawing [px]
    tape_top : float
        Upper edge of the tape [px]
    """

    svg: str
    frame: Frame
    height: float
    tape_top: float


def strip_svg(
    picture: StripPicture, *, width: float = 1600.0, theme: str = "light", prefix: str = "strip"
) -> str:
    """Draw a line on its strip.

    Parameters
    ----------
    picture : StripPicture
        What to draw.
    width : float
        Of the drawing, >= 300; about 720 suits a sheet across A4, 390 a telephone [px].
    theme : str
        ``light``, ``dark`` or ``print``; the last lays no ground.
    prefix : str
        Put before every id, so that several pictures can share a page.

    Returns
    -------
    str
        An SVG document; the same picture always gives the same text.

    Raises
    ------
    GeometryError
        If the width is under 300 px.
    SpecError
        If theme or prefix cannot be used.
    """
    return draw_strip(picture, width=width, theme=theme, prefix=prefix).svg


def draw_strip(
    picture: StripPicture, *, width: float = 1600.0, theme: str = "light", prefix: str = "strip"
) -> StripDrawing:
    """Draw a line on its strip, and say where things lie on it.

    Parameters
    ----------
    picture : StripPicture
        What to draw.
    width : float
        Of the drawing, >= 300 [px].
    theme : str
        ``light``, ``dark`` or ``print``.
    prefix : str
        Put before every id.

    Returns
    -------
    StripDrawing
        The drawing as :func:`strip_svg` gives it, with its frame.

    Raises
    ------
    GeometryError
        If the width is under 300 px.
    SpecError
        If theme or prefix cannot be used.
    """
    frame = _frame_or_fail(picture, width, theme, prefix)
    heading, y = _heading(frame, picture)
    # Lanes above the line grow upwards; their height must be known before the axis is placed.
    _, above = names_lane(frame, picture)
    frame = replace(frame, middle=y + above + frame.thickest / 2.0 + frame.aside + 4.0)
    names, _ = names_lane(frame, picture)
    marks, height = marks_lane(frame, picture)
    y = frame.middle + frame.thickest / 2.0 + frame.aside + max(height, 8.0)
    positions, height = positions_lane(frame, picture, y)
    y += height + 6.0
    contacts, height = contacts_lane(frame, picture, y)
    y += height + 10.0
    tape, tape_top = tape_parts(frame, picture, y), y
    y += TAPE_HEIGHT
    # Flags hang from the tape; the small print below them so that no leader crosses it.
    flags, height = flags_lane(frame, picture, y, y + 24.0)
    y += 24.0 + height + 10.0 if flags else 8.0
    foot, height = tape_foot(frame, picture, y)
    y += height + 0.5 * frame.margin
    parts = [
        f"<defs>{shade_definition(frame.prefix)}</defs>",
        *heading,
        *names,
        *body_parts(frame, picture),
        *marks,
        *positions,
        *contacts,
        *tape,
        *flags,
        *foot,
    ]
    svg = document(
        width,
        y,
        parts,
        palette=frame.palette,
        prefix=frame.prefix,
        name=picture.title or "A line on its strip",
        description=_in_words(picture),
    )
    return StripDrawing(svg, frame, y, tape_top)


def contacts_strip(
    picture: StripPicture, *, width: float = 1600.0, theme: str = "light", prefix: str = "contacts"
) -> StripDrawing:
    """Draw only what the bow touches, to the scale of the line's own strip.

    Parameters
    ----------
    picture : StripPicture
        The line, with what the bow touches of it.
    width : float
        Of the drawing, >= 300; the same as the strip's, so that the two lie over each other [px].
    theme : str
        ``light``, ``dark``, ``sun`` or ``print``.
    prefix : str
        Put before every id.

    Returns
    -------
    StripDrawing
        The lane :func:`draw_strip` has between line and tape, alone.

    Raises
    ------
    GeometryError
        If the width is under 300 px.
    SpecError
        If theme or prefix cannot be used.
    """
    frame = _frame_or_fail(picture, width, theme, prefix)
    parts, height = contacts_lane(frame, picture, 0.0)
    height = max(height, 1.0)
    said = " ".join(_touched_in_words(picture))
    svg = document(
        width,
        height,
        parts,
        palette=frame.palette,
        prefix=frame.prefix,
        name="What the bow touches of the line",
        description=said,
    )
    return StripDrawing(svg, frame, height, height)


def notebook_svg(picture: StripPicture) -> str:
    """Draw a strip for a notebook's output cell.

    Parameters
    ----------
    picture : StripPicture
        What to draw.

    Returns
    -------
    str
        As :func:`strip_svg` draws it, 1100 px wide, with ids of its own for every picture.
    """
    return strip_svg(picture, width=1100.0, prefix=f"line{zlib.crc32(repr(picture).encode()):08x}")


def _frame_or_fail(picture: StripPicture, width: float, theme: str, prefix: str) -> Frame:
    """Choose the scales for a width that is wide enough."""
    if not width >= _NARROWEST:
        raise GeometryError(
            "width", width, f"a strip needs {_NARROWEST:.0f} px or more", "give it more room"
        )
    return _frame(picture, width, theme, prefix_or_fail(prefix))


def _frame(picture: StripPicture, width: float, theme: str, prefix: str) -> Frame:
    """Choose the scales for a width."""
    margin = min(max(width / 24.0, 18.0), 64.0)
    left = margin + 8.0
    right = width - left
    scale = (right - left) / picture.length
    thickest = min(max(width / 48.0, 14.0), 30.0)
    diameter = max((span.diameter for span in picture.spans), default=0.003)
    return Frame(
        width=width,
        margin=margin,
        left=left,
        right=right,
        scale=scale,
        thickness_scale=thickest / diameter,
        thickest=thickest,
        middle=0.0,
        palette=palette_of(theme),
        prefix=prefix,
        aside=0.0 if picture.fork is None else room_beside(thickest),
    )


def _heading(frame: Frame, picture: StripPicture) -> tuple[list[str], float]:
    """Letter title and subtitle; give the height they end at."""
    room = frame.width - 2.0 * frame.margin
    y = 0.5 * frame.margin
    parts: list[str] = []
    for line in wrap_text(picture.title, TITLE_SIZE, room, strong=True):
        y += 26.0
        parts.append(lettering(frame.margin, y, line, size=TITLE_SIZE, strong=True))
    for line in wrap_text(picture.subtitle, TEXT_SIZE, room):
        y += 20.0
        parts.append(lettering(frame.margin, y + 3.0, line, fill=frame.palette.soft))
    return parts, y + 0.55 * frame.margin


def _in_words(picture: StripPicture) -> str:
    """Say what the strip shows to those who cannot see it."""

    def at(position: float) -> str:
        return _place(position, picture)

    said = [f"{at(picture.length)} long, {len(picture.strands)} strands, {picture.hand} twist."]
    said += [
        f"{span.served.name}: {at(span.told[0])} to {at(span.told[1])}, {span.served.hand} wraps."
        for span in picture.spans
        if span.served is not None
    ]
    if picture.fork is not None:
        said.append(f"It parts in two legs at {at(picture.fork.parting)}.")
    said += [f"{mark.label} at {at(mark.position)}." for mark in picture.marks]
    said += _touched_in_words(picture)
    said += [f"{flag.text}. {flag.detail}" for flag in picture.readings]
    return " ".join(said)


def _touched_in_words(picture: StripPicture) -> list[str]:
    return [
        f"{c.label} touches {_place(c.start, picture)} to {_place(c.stop, picture)}."
        for c in picture.contacts
    ]


def _place(position: float, picture: StripPicture) -> str:
    return f"{position_text(position, picture.units, picture.fraction)} {picture.units}"
