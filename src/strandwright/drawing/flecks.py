"""Flecks of speckled yarns, and single threads, on the seen half of a twisted bundle."""

from __future__ import annotations

import math
from dataclasses import replace

from strandwright.drawing.helix import hand_sign, surface_runs, top_crossings
from strandwright.drawing.picture import SpanPicture, StrandPicture, StripPicture

#: Stands for the surface of plain strands while the speckled ones are looked for.
_PLAIN = "#010203"
#: Angle from one row of flecks to the next round the bundle [rad]
_STEP = 0.45
_EASE = 0.3642


def fleck_rows(strands: tuple[StrandPicture, ...]) -> tuple[tuple[float, str], ...]:
    """Find where flecks lie on the bundle's surface.

    Parameters
    ----------
    strands : tuple of StrandPicture
        The packed strands.

    Returns
    -------
    tuple of (float, str)
        Angle without twist and colour of each row of flecks, the colours of a yarn in turn [rad]
    """
    kinds = list(dict.fromkeys(s.flecks for s in strands if s.flecks))
    rows: list[tuple[float, str]] = []
    for flecks in kinds:
        shown = tuple(
            replace(s, colour=flecks[0] if s.flecks == flecks else _PLAIN, flecks=())
            for s in strands
        )
        for run in surface_runs(shown)[0]:
            if run.colour == _PLAIN:
                continue
            count = max(round((run.stop - run.start) / _STEP), 1)
            step = (run.stop - run.start) / count
            rows += [(run.start + (k + 0.5) * step, flecks[k % len(flecks)]) for k in range(count)]
    return tuple(rows)


def surface_marks(
    picture: StripPicture,
    span: SpanPicture,
    left: float,
    right: float,
    middle: float,
    height: float,
) -> str:
    """Draw flecks and threads on one bare span.

    Parameters
    ----------
    picture : StripPicture
        Gives strands, threads and hand.
    span : SpanPicture
        Gives the turns.
    left, right : float
        Where it lies [px].
    middle : float
        Height of the axis, downwards [px].
    height : float
        Diameter as it is drawn [px].

    Returns
    -------
    str
        SVG elements; empty for plain strands without a thread.
    """
    fleck = max(height / 9.0, 0.8)
    rows = [
        (phi, f'stroke="{colour}" stroke-width="{fleck:.2f}" '
              f'stroke-dasharray="{fleck:.2f} {2.6 * fleck:.2f}"')
        for phi, colour in fleck_rows(picture.strands)
    ] + [
        (t.phi, f'data-thread="separator" stroke="{t.colour}" '
                f'stroke-width="{max(height / 11.0, 1.0):.2f}"')
        for t in picture.threads
    ]  # fmt: skip
    twist = span.turns_at_stop - span.turns_at_start
    lines: list[str] = []
    for phi, style in rows:
        data = (
            _round(span, phi, picture.hand, left, (right - left) / twist, middle, height)
            if twist > 1e-6
            else _level(span, phi, picture.hand, left, right, middle, height)
        )
        if data:
            lines.append(f'<path fill="none" {style} d="{data}"/>')
    return "".join(lines)


def _round(
    span: SpanPicture,
    phi: float,
    hand: str,
    left: float,
    pitch: float,
    middle: float,
    height: float,
) -> str:
    """Lead a line round with the twist, from the top of the picture to its foot."""
    half = hand_sign(hand) * pitch / 2.0
    near, far = _EASE * half, (1.0 - _EASE) * half
    turns = top_crossings(phi, span.turns_at_start, span.turns_at_stop, hand, 0.5)
    starts = (left + (turns - span.turns_at_start) * pitch).tolist()
    top = middle - height / 2.0
    shape = f"M%.2f {top:.2f}c{near:.2f} 0 {far:.2f} {height:.2f} {half:.2f} {height:.2f}"
    return (shape * len(starts)) % tuple(starts)


def _level(
    span: SpanPicture,
    phi: float,
    hand: str,
    left: float,
    right: float,
    middle: float,
    height: float,
) -> str:
    """Lead a line along a span without twist; nothing where it lies at the back."""
    angle = (phi + hand_sign(hand) * 2.0 * math.pi * span.turns_at_start) % (2.0 * math.pi)
    if not 0.0 < angle < math.pi:
        return ""
    y = middle - height / 2.0 * math.cos(angle)
    return f"M{left:.2f} {y:.2f}H{right:.2f}"
