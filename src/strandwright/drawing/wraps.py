"""Thread wraps seen close: flattened rounds of thread, their slope telling the hand."""

from __future__ import annotations

import math

from strandwright.drawing.helix import hand_sign
from strandwright.drawing.picture import ServingPicture, SpanPicture
from strandwright.drawing.svg import blend, is_dark

_EASE = 0.3642
_FINEST = 1.5


def wrap_parts(
    span: SpanPicture,
    serving: ServingPicture,
    origin: float,
    left: float,
    right: float,
    middle: float,
    scale: float,
) -> list[str]:
    """Draw the wraps of one served span.

    Parameters
    ----------
    span : SpanPicture
        Gives place and diameters.
    serving : ServingPicture
        Gives thread, pitch and hand.
    origin : float
        Where the span's start lies, seen or not [px].
    left, right : float
        The part to draw [px].
    middle : float
        Height of the axis, downwards [px].
    scale : float
        True scale [px/m].

    Returns
    -------
    list of str
        SVG elements in painting order.
    """
    pitch = serving.wrap_pitch * scale
    pitch *= math.ceil(_FINEST / pitch)
    height = span.diameter * scale
    crown = min((height - span.core_diameter * scale) / 2.0, pitch / 2.0) * 0.45
    top, tall = middle - height / 2.0 + crown, height - 2.0 * crown
    half = hand_sign(serving.hand) * pitch / 2.0
    first = origin + (math.floor((left - origin) / pitch) - 1) * pitch
    count = math.ceil((right - first) / pitch) + 1
    starts = tuple(first + i * pitch for i in range(count + 1))
    outline = (
        f"M{first:.3f} {top:.2f}" + f"q{pitch / 2.0:.3f} {-2.0 * crown:.3f} {pitch:.3f} 0" * count
    )
    outline += f"l{half:.3f} {tall:.2f}"
    outline += f"q{-pitch / 2.0:.3f} {2.0 * crown:.3f} {-pitch:.3f} 0" * count + "z"
    groove = (
        f"M%.2f {top:.2f}c{_EASE * half:.2f} 0 {(1.0 - _EASE) * half:.2f} {tall:.2f}"
        f" {half:.2f} {tall:.2f}"
    )
    grooves = (groove * len(starts)) % starts
    crests = (groove * len(starts)) % tuple(x + pitch / 2.0 for x in starts)
    colour = serving.thread_colour
    dark = blend(colour, "#000000", 0.6 if is_dark(colour) else 0.5)
    light = blend(colour, "#FFFFFF", 0.16)
    return [
        f'<path d="{outline}" fill="{colour}"/>',
        f'<path d="{crests}" fill="none" stroke="{light}" stroke-width="{0.34 * pitch:.2f}"/>',
        f'<path d="{grooves}" fill="none" stroke="{dark}" stroke-width="{0.16 * pitch:.2f}"/>',
    ]
