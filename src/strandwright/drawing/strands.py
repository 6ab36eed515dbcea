"""Bare strands seen close: tubes about helices, painted from the back to the front."""

from __future__ import annotations

import math

import numpy as np

from strandwright.drawing.helix import hand_sign, helix_point, packed_circle
from strandwright.drawing.picture import SpanPicture, StripPicture
from strandwright.drawing.svg import blend

_SLICES = 9
# Strands are followed a little round the back, where their sides still form the outline.
_BEHIND = math.pi / 5.0
_POINTS = 4
# Strands nearer the axis than this share of the bundle are hidden by those outside them.
_HIDDEN = 0.45


#: Paths by depth, height, colour and flecks of their strand.
_Pieces = dict[tuple[float, float, str, tuple[str, ...]], list[str]]


def strand_parts(
    picture: StripPicture,
    span: SpanPicture,
    origin: float,
    left: float,
    right: float,
    middle: float,
    scale: float,
) -> list[str]:
    """Draw the bare strands of one span.

    Parameters
    ----------
    picture : StripPicture
        Gives strands and hand.
    span : SpanPicture
        Gives place, diameter and turns.
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
    bundle = span.diameter * scale / 2.0
    rate = (span.turns_at_stop - span.turns_at_start) / ((span.stop - span.start) * scale)
    # A dark core shows between strands as a gap would.
    core = blend(picture.strands[0].colour, "#000000", 0.75)
    parts = [
        f'<rect x="{left:.2f}" y="{middle - 0.7 * bundle:.2f}" width="{right - left:.2f}"'
        f' height="{1.4 * bundle:.2f}" fill="{core}"/>'
    ]
    if rate * (right - left) < 1e-6:
        pieces = _level(picture, span, left, right, middle, bundle)
    else:
        pieces = _helices(picture, span, origin, left, right, middle, bundle, rate)
    _, _, strand_radius = packed_circle(picture.strands)
    wide = 2.0 * strand_radius * bundle
    for (_, height, own, flecks), data in sorted(pieces.items()):
        colour = _lit(own, height)
        path = f'<path fill="none" d="{"".join(data)}"'
        dark = blend(colour, "#000000", 0.55)
        parts.append(f'{path} stroke="{dark}" stroke-width="{wide:.2f}"/>')
        parts.append(f'{path} stroke="{colour}" stroke-width="{0.8 * wide:.2f}"/>')
        if wide > 3.0:
            light = blend(colour, "#FFFFFF", 0.22)
            parts.append(f'{path} stroke="{light}" stroke-width="{0.28 * wide:.2f}"/>')
        parts += _flecked(path, flecks, height, wide)
    return parts


def _flecked(path: str, flecks: tuple[str, ...], height: float, wide: float) -> list[str]:
    """Lay a speckled yarn's other colours on a strand as short dashes, in turn."""
    return [
        f'{path} stroke="{_lit(fleck, height)}" stroke-width="{0.5 * wide:.2f}"'
        f' stroke-dasharray="{0.5 * wide:.2f} {1.3 * wide:.2f}"'
        f' stroke-dashoffset="{0.9 * wide * k:.2f}"/>'
        for k, fleck in enumerate(flecks)
    ]


def _lit(colour: str, height: float) -> str:
    """Shade a colour as on a round bar lit from above, by its height in bundle radii."""
    if height > 0.0:
        shine = 0.16 * math.exp(-(((height - 0.42) / 0.3) ** 2))
        return blend(blend(colour, "#FFFFFF", shine), "#000000", 0.4 * height**4)
    return blend(colour, "#000000", 0.5 * abs(height) ** 2.5)


def _helices(
    picture: StripPicture,
    span: SpanPicture,
    origin: float,
    left: float,
    right: float,
    middle: float,
    bundle: float,
    rate: float,
) -> _Pieces:
    """Cut every helix into slices of equal angle, keyed by depth, height, colour."""
    radius, phi, strand_radius = packed_circle(picture.strands)
    sign = hand_sign(picture.hand)
    low = span.turns_at_start + (left - origin) * rate - 1.0
    high = span.turns_at_start + (right - origin) * rate + 1.0
    edges = np.linspace(-_BEHIND, math.pi + _BEHIND, _SLICES + 1)
    pieces: _Pieces = {}
    for rho, angle, strand in zip(radius.tolist(), phi.tolist(), picture.strands, strict=True):
        if rho + strand_radius < _HIDDEN:
            continue
        for first, last in zip(edges[:-1].tolist(), edges[1:].tolist(), strict=True):
            # An overlap of a few hundredths hides the joint between slices.
            theta = np.linspace(first, last + 0.04, _POINTS)
            along = sign * (theta - angle) / (2.0 * math.pi)
            rounds = np.arange(math.ceil(low - along[0]), math.floor(high - along[0]) + 1)
            turns = along[0] + rounds
            height, depth = helix_point(
                np.full(_POINTS, rho), np.full(_POINTS, angle), along, picture.hand
            )
            steps = np.diff(np.stack([along / rate, -height * bundle]), axis=1)
            shape = ("l%.2f %.2f" * (_POINTS - 1)) % tuple(steps.T.ravel().tolist())
            y = middle - float(height[0]) * bundle
            starts = (origin + (turns - span.turns_at_start) / rate).tolist()
            place = round(float(depth.mean()), 6), round(float(height.mean()), 6)
            key = (*place, strand.colour, strand.flecks)
            pieces.setdefault(key, []).append(
                (f"M%.2f {y:.2f}{shape}" * len(starts)) % tuple(starts)
            )
    return pieces


def _level(
    picture: StripPicture,
    span: SpanPicture,
    left: float,
    right: float,
    middle: float,
    bundle: float,
) -> _Pieces:
    """Lay strands without twist as level lines, keyed by depth, height, colour."""
    radius, phi, _ = packed_circle(picture.strands)
    turns = np.full(len(radius), span.turns_at_start)
    heights, depths = helix_point(radius, phi, turns, picture.hand)
    pieces: _Pieces = {}
    for height, depth, strand in zip(
        heights.tolist(), depths.tolist(), picture.strands, strict=True
    ):
        y = middle - height * bundle
        key = (round(depth, 6), round(height, 6), strand.colour, strand.flecks)
        pieces.setdefault(key, []).append(f"M{left:.2f} {y:.2f}H{right:.2f}")
    return pieces
