"""The tape along the bottom of a strip: true to length, in the user's unit."""

from __future__ import annotations

import math
from functools import lru_cache

from strandwright.drawing.frame import Frame
from strandwright.drawing.graduation import graduation_for, position_text
from strandwright.drawing.lettering import text_width, wrap_text
from strandwright.drawing.picture import StripPicture
from strandwright.drawing.svg import lettering
from strandwright.drawing.tokens import TEXT_SIZE
from strandwright.units import System

TAPE_HEIGHT = 44.0
"""Height of the tape [px]."""

_END_WORDS = {"in": "inches", "mm": "millimetres"}


def tape_parts(frame: Frame, picture: StripPicture, y: float) -> list[str]:
    """Draw the tape.

    Parameters
    ----------
    frame : Frame
        Scales and colours.
    picture : StripPicture
        Gives length, unit and fraction.
    y : float
        Upper edge [px].

    Returns
    -------
    list of str
        SVG elements.
    """
    return [*_tape(frame, picture.length, picture.units, picture.fraction, y)]


# The tape stays as it is while an edge or a mark is dragged along it.
@lru_cache(maxsize=32)
def _tape(
    frame: Frame, length: float, units: System, fraction: int, y: float
) -> tuple[str, ...]:
    """Draw what `tape_parts` draws."""
    palette = frame.palette
    full = f"{position_text(length, units, fraction)} {units}"
    full_width = text_width(full, TEXT_SIZE, strong=True)
    widest = text_width(position_text(length, units, 1), TEXT_SIZE)
    steps = graduation_for(units, frame.scale, widest)
    edge = 12.0
    parts = [
        f'<rect x="{frame.left - edge:.1f}" y="{y:.1f}"'
        f' width="{frame.right - frame.left + 2.0 * edge:.1f}" height="{TAPE_HEIGHT:g}"'
        f' rx="4" fill="{palette.card}" stroke="{palette.hair}"/>'
    ]
    fine = _positions(length, steps.fine)
    each_middle = round(steps.middle / steps.fine)
    each_number = round(steps.numbered / steps.fine)
    ticks: dict[float, list[float]] = {8.0: [], 12.0: [], 18.0: [length]}
    for i, position in enumerate(fine):
        tall = 18.0 if i % each_number == 0 else 12.0 if i % each_middle == 0 else 8.0
        ticks[tall].append(position)
    parts += [_ticks(frame, positions, y, tall) for tall, positions in ticks.items() if positions]
    # The full length may run past the tape's end a little rather than hide its last number.
    full_right = min(frame.right + full_width / 2.0, frame.right + edge - 4.0)
    parts.append(lettering(full_right, y + 36.0, full, anchor="end", strong=True))
    for position in fine[::each_number]:
        text = position_text(position, units, 1)
        half = text_width(text, TEXT_SIZE) / 2.0
        if frame.x(position) + half + 12.0 < full_right - full_width:
            parts.append(lettering(frame.x(position), y + 36.0, text, anchor="middle"))
    return tuple(parts)


def tape_foot(frame: Frame, picture: StripPicture, y: float) -> tuple[list[str], float]:
    """Letter the ends' names and how the drawing is to be read, under the tape.

    Parameters
    ----------
    frame : Frame
        Scales and colours.
    picture : StripPicture
        Gives the names.
    y : float
        Top of the lane [px].

    Returns
    -------
    parts : list of str
        SVG elements.
    height : float
        Room taken [px].
    """
    soft = frame.palette.soft
    room = frame.width - 2.0 * frame.margin
    zero, far = f"zero end: {picture.zero_end_label}", f"far end: {picture.far_end_label}"
    times = f"{frame.exaggeration:.0f}" if frame.exaggeration >= 2 else f"{frame.exaggeration:.1f}"
    note = (
        f"{_END_WORDS[picture.units]} from the zero end, true to length;"
        f" thickness drawn {times} times"
    )
    zero_lines = wrap_text(zero, TEXT_SIZE, room / 2.0 - 8.0)
    far_lines = wrap_text(far, TEXT_SIZE, room / 2.0 - 8.0)
    taken = text_width(zero, TEXT_SIZE) + text_width(far, TEXT_SIZE)
    rows = max(len(zero_lines), len(far_lines))
    right = frame.width - frame.margin
    parts = [
        lettering(frame.margin, y + 14.0 + 18.0 * i, text, fill=soft)
        for i, text in enumerate(zero_lines)
    ]
    parts += [
        lettering(right, y + 14.0 + 18.0 * i, text, fill=soft, anchor="end")
        for i, text in enumerate(far_lines)
    ]
    side = max(text_width(zero, TEXT_SIZE), text_width(far, TEXT_SIZE))
    if rows == 1 and 2.0 * side + text_width(note, TEXT_SIZE) + 48.0 < room and taken > 0.0:
        parts.append(lettering(frame.width / 2.0, y + 14.0, note, fill=soft, anchor="middle"))
        return parts, 20.0
    lines = wrap_text(note, TEXT_SIZE, room)
    parts += [
        lettering(frame.margin, y + 14.0 + 18.0 * (rows + i), text, fill=soft)
        for i, text in enumerate(lines)
    ]
    return parts, 18.0 * (rows + len(lines)) + 2.0


def _positions(length: float, step: float) -> list[float]:
    """Give every whole step up to a length."""
    return [i * step for i in range(math.floor(length / step + 1e-9) + 1)]


def _ticks(frame: Frame, positions: list[float], y: float, tall: float) -> str:
    """Draw the ticks of one height as one path."""
    data = (f"M%.2f {y:.1f}v{tall:g}" * len(positions)) % tuple(map(frame.x, positions))
    weight = 1.2 if tall > 12.0 else 0.8
    colour = frame.palette.ink if tall > 8.0 else frame.palette.soft
    return f'<path fill="none" stroke="{colour}" stroke-width="{weight}" d="{data}"/>'
