"""The line's body on a strip: twisted fibre, servings and eyes, thickness exaggerated."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from strandwright.drawing.flecks import surface_marks
from strandwright.drawing.frame import Frame
from strandwright.drawing.helix import SurfaceRun, hand_sign, surface_runs, top_crossings
from strandwright.drawing.picture import (
    EyePicture,
    ForkPicture,
    ServingPicture,
    SpanPicture,
    StrandPicture,
    StripPicture,
)
from strandwright.drawing.svg import blend, escaped, is_black, is_dark

# A half wave of the cosine as one cubic: control points this share of the run from each end.
_EASE = 0.3642
# A leg's end lies this far off the axis, and its loop is so wide, over the thickest body's height.
_APART, _LEG = 0.66, 0.6


def body_parts(frame: Frame, picture: StripPicture) -> list[str]:
    """Draw the line from end to end.

    Parameters
    ----------
    frame : Frame
        Scales and colours.
    picture : StripPicture
        What to draw.

    Returns
    -------
    list of str
        SVG elements in painting order.
    """
    fork = picture.fork
    if fork is None:
        return _bodies(frame, picture, lambda _: True, eyes=(False, True))
    legs = [
        _leg(frame, picture, fork, strands, up)
        for strands, up in zip(fork.legs, (True, False), strict=True)
    ]
    return [*legs, *_bodies(frame, picture, lambda s: not fork.holds(s), (not fork.is_far,))]


def room_beside(thickest: float) -> float:
    """Room that the legs of a fork take beside the thickest body, on either side.

    Parameters
    ----------
    thickest : float
        Height of that body [px].

    Returns
    -------
    float
        Room [px].
    """
    return (_APART + 0.62 * _LEG - 0.5) * thickest + 2.0


def _leg(
    frame: Frame,
    picture: StripPicture,
    fork: ForkPicture,
    strands: tuple[StrandPicture, ...],
    up: bool,
) -> str:
    """Draw one leg: level, then sheared about the parting, which keeps it true along the tape."""
    name = "upper" if up else "lower"
    own = replace(frame, prefix=f"{frame.prefix}-{name}", thickest=_LEG * frame.thickest)
    inner = _bodies(
        own,
        replace(picture, strands=strands, threads=()),
        fork.holds,
        (fork.is_far,),
        shade=frame.prefix,
    )
    root = frame.x(fork.parting)
    run = (frame.right if fork.is_far else frame.left) - root
    slope = (-1.0 if up else 1.0) * _APART * frame.thickest / run
    return (
        f'<g data-leg="{name}" transform="matrix(1 {slope:.5f} 0 1 0 {-slope * root:.3f})">'
        f"{''.join(inner)}</g>"
    )


def _bodies(
    frame: Frame,
    picture: StripPicture,
    drawn: Callable[[SpanPicture], bool],
    eyes: Sequence[bool],
    shade: str = "",
) -> list[str]:
    """Draw the spans that are wanted, and the loops at the ends named."""
    runs, seams = surface_runs(picture.strands)
    parts: list[str] = []
    for eye, is_far in ((picture.zero_eye, False), (picture.far_eye, True)):
        if eye is not None and is_far in eyes:
            parts.append(_eye(frame, eye, is_far))
    wanted = [(i, span) for i, span in enumerate(picture.spans) if drawn(span)]
    for index, span in wanted:
        if span.served is None:
            parts.append(_bare(frame, picture, span, index, runs, seams))
    for index, span in wanted:
        if span.served is not None:
            parts.append(_served(frame, span, span.served, index))
    if shade:
        # The legs share the gradient of the whole picture.
        parts = [part.replace(f"#{frame.prefix}-shade", f"#{shade}-shade") for part in parts]
    return parts


def ribbon_shape(half_pitch: float, height: float, width: float) -> str:
    """Give the seen half of a band round a cylinder, relative to its upper first corner.

    Parameters
    ----------
    half_pitch : float
        Run along the line from the top edge to the bottom edge, negative for S [px].
    height : float
        Diameter of the cylinder [px].
    width : float
        Run along the line from the band's first edge to its second, signed [px].

    Returns
    -------
    str
        Relative path commands.
    """
    near, far = _EASE * half_pitch, (1.0 - _EASE) * half_pitch
    return (
        f"c{near:.2f} 0 {far:.2f} {height:.2f} {half_pitch:.2f} {height:.2f}h{width:.2f}"
        f"c{-near:.2f} 0 {-far:.2f} {-height:.2f} {-half_pitch:.2f} {-height:.2f}z"
    )


def _bare(
    frame: Frame,
    picture: StripPicture,
    span: SpanPicture,
    index: int,
    runs: Sequence[SurfaceRun],
    seams: Sequence[float],
) -> str:
    """Draw twisted fibre."""
    hand = picture.hand
    left, right = frame.x(span.start), frame.x(span.stop)
    height = frame.thickness(span.diameter)
    top = frame.middle - height / 2.0
    box = f'x="{left:.2f}" y="{top:.2f}" width="{right - left:.2f}" height="{height:.2f}"'
    clip = f"{frame.prefix}-bare{index}"
    twist = span.turns_at_stop - span.turns_at_start
    pitch = (right - left) / twist if twist > 1e-6 else math.inf
    base, others = _colour_shares(runs)
    if pitch < 3.0:
        # Bands thinner than a pixel would only shimmer.
        shares = [(run.stop - run.start, run.colour) for run in runs]
        base, inner = _mean_colour(shares), ""
    elif math.isinf(pitch):
        inner = _straight(frame, span, others, left, right, height, hand)
    else:
        inner = _ribbons(span, others, left, top, height, pitch, hand)
        if pitch / max(len(seams), 1) > 2.2:
            inner += _seams(span, seams, left, top, height, pitch, hand, base)
    if pitch >= 3.0:
        inner += surface_marks(picture, span, left, right, frame.middle, height)
    return (
        f'<clipPath id="{clip}"><rect {box}/></clipPath>'
        f'<g data-span="{index}"><g clip-path="url(#{clip})"><rect {box} fill="{base}"/>{inner}'
        f'<rect {box} fill="url(#{frame.prefix}-shade)"/></g>'
        f'<rect {box} fill="none" stroke="{frame.palette.edge}" stroke-opacity=".45"'
        ' stroke-width=".8"/></g>'
    )


def _colour_shares(
    runs: Sequence[SurfaceRun],
) -> tuple[str, dict[str, list[SurfaceRun]]]:
    """Split the runs into a ground colour, painted once, and the bands to lay on it."""
    bands: dict[str, list[SurfaceRun]] = {}
    for run in runs:
        bands.setdefault(run.colour, []).append(run)
    base = max(bands, key=lambda colour: sum(run.stop - run.start for run in bands[colour]))
    del bands[base]
    return base, bands


def _mean_colour(shares: list[tuple[float, str]]) -> str:
    """Mix colours by the angle they take."""
    total, mixed = shares[0]
    for angle, colour in shares[1:]:
        total += angle
        mixed = blend(mixed, colour, angle / total)
    return mixed


def _ribbons(
    span: SpanPicture,
    bands: dict[str, list[SurfaceRun]],
    left: float,
    top: float,
    height: float,
    pitch: float,
    hand: str,
) -> str:
    """Draw the bands of colour, one path for each colour."""
    sign = hand_sign(hand)
    paths: list[str] = []
    for colour, runs in bands.items():
        data: list[str] = []
        for run in runs:
            width = -sign * pitch * (run.stop - run.start) / (2.0 * math.pi)
            shape = ribbon_shape(sign * pitch / 2.0, height, width)
            turns = top_crossings(run.start, span.turns_at_start, span.turns_at_stop, hand, 1.5)
            starts = (left + (turns - span.turns_at_start) * pitch).tolist()
            data.append((f"M%.2f {top:.2f}{shape}" * len(starts)) % tuple(starts))
        paths.append(f'<path fill="{colour}" d="{"".join(data)}"/>')
    return "".join(paths)


def _seams(
    span: SpanPicture,
    seams: Sequence[float],
    left: float,
    top: float,
    height: float,
    pitch: float,
    hand: str,
    base: str,
) -> str:
    """Draw the lines between neighbouring strands."""
    half = hand_sign(hand) * pitch / 2.0
    near, far = _EASE * half, (1.0 - _EASE) * half
    shape = f"M%.2f {top:.2f}c{near:.2f} 0 {far:.2f} {height:.2f} {half:.2f} {height:.2f}"
    starts: list[float] = []
    for seam in seams:
        turns = top_crossings(seam, span.turns_at_start, span.turns_at_stop, hand, 0.5)
        starts += (left + (turns - span.turns_at_start) * pitch).tolist()
    stroke = "#fff" if is_black(base) else "#000"
    return (
        f'<path fill="none" stroke="{stroke}" stroke-opacity=".26" stroke-width=".7"'
        f' d="{(shape * len(starts)) % tuple(starts)}"/>'
    )


def _straight(
    frame: Frame,
    span: SpanPicture,
    bands: dict[str, list[SurfaceRun]],
    left: float,
    right: float,
    height: float,
    hand: str,
) -> str:
    """Draw the bands of a span without twist: level stripes."""
    turned = hand_sign(hand) * 2.0 * math.pi * span.turns_at_start
    rects: list[str] = []
    for colour, runs in bands.items():
        for run in runs:
            start = (run.start + turned) % (2.0 * math.pi)
            stop = start + run.stop - run.start
            for round_ in (0.0, 2.0 * math.pi):
                upper, lower = max(start - round_, 0.0), min(stop - round_, math.pi)
                if upper < lower:
                    y = frame.middle - height / 2.0 * math.cos(upper)
                    tall = height / 2.0 * (math.cos(upper) - math.cos(lower))
                    rects.append(
                        f'<rect x="{left:.2f}" y="{y:.2f}" width="{right - left:.2f}"'
                        f' height="{tall:.2f}" fill="{colour}"/>'
                    )
    return "".join(rects)


def _served(frame: Frame, span: SpanPicture, serving: ServingPicture, index: int) -> str:
    """Draw a wrapped body with its hand hinted by the slope of the wraps."""
    left, right = frame.x(span.start), frame.x(span.stop)
    height = frame.thickness(span.diameter)
    top = frame.middle - height / 2.0
    colour = serving.thread_colour
    count = max(int((right - left) / 4.0), 1)
    lean = hand_sign(serving.hand) * min(3.0, (right - left) / 4.0)
    step = (right - left - abs(lean)) / count
    first = left + max(-lean, 0.0)
    starts = [first + step * (i + 0.5) for i in range(count)]
    hatch = (f"M%.2f {top:.2f}l{lean:.2f} {height:.2f}" * count) % tuple(starts)
    light = is_dark(colour)
    box = f'x="{left:.2f}" y="{top:.2f}" width="{right - left:.2f}" height="{height:.2f}" rx="1.5"'
    collar = blend(colour, "#000000", 0.35)
    wide = min(3.2, (right - left) / 4.0)
    bars = "".join(
        f'<rect x="{x - wide / 2.0:.2f}" y="{top - 2.5:.2f}" width="{wide:.2f}"'
        f' height="{height + 5.0:.2f}" rx="{wide / 2.0:.2f}" fill="{collar}"'
        f' stroke="{frame.palette.edge}" stroke-opacity=".5" stroke-width=".6"/>'
        for x in (left + wide / 2.0, right - wide / 2.0)
    )
    return (
        f'<g data-span="{index}" data-kind="{escaped(serving.kind)}">'
        f'<rect {box} fill="{colour}"/><path fill="none" stroke="{"#fff" if light else "#000"}"'
        f' stroke-opacity="{".17" if light else ".24"}" stroke-width=".9" d="{hatch}"/>'
        f'<rect {box} fill="url(#{frame.prefix}-shade)" stroke="{frame.palette.edge}"'
        f' stroke-opacity=".55" stroke-width=".8"/>{bars}</g>'
    )


def _laid(data: str, eye: EyePicture, leg: float) -> str:
    """Draw the further bundles that are laid round a loop, each in its turn."""
    return "".join(
        f'<path d="{data}" fill="none" stroke="{colour}" stroke-width="{leg:.2f}"'
        f' stroke-dasharray="{0.9 * leg:.2f} {0.9 * leg * (len(eye.laid) - 1):.2f}"'
        f' stroke-dashoffset="{-0.9 * leg * k:.2f}"/>'
        for k, colour in enumerate(eye.laid)
        if k
    )


def _eye(frame: Frame, eye: EyePicture, is_far: bool) -> str:
    """Draw a loop as a tear-drop: its length true, its width only a likeness."""
    length = eye.throat * frame.scale
    leg = min(frame.thickness(eye.leg_thickness) * 0.5, length * 0.28)
    half = min(max(frame.thickest * 0.62, leg * 1.4), length * 1.1)
    tip, throat = leg / 2.0, length
    run = throat - tip
    sense, origin = (-1.0, frame.right) if is_far else (1.0, frame.left)

    def point(along: float, up: float) -> str:
        return f"{origin + sense * along:.2f} {frame.middle - up:.2f}"

    crown = tip + 0.44 * run
    data = f"M{point(throat, 0.0)}"
    for side in (1.0, -1.0):
        curves = (
            (throat - 0.24 * run, 0.34 * half, crown + 0.3 * run, half, crown, half),
            (tip + 0.12 * run, half, tip, 0.56 * half, tip, 0.0),
        )
        legs = "".join(
            f"C{point(a, side * b)} {point(c, side * d)} {point(e, side * f)}"
            for a, b, c, d, e, f in curves
        )
        data += legs if side > 0.0 else f"M{point(throat, 0.0)}{legs}"
    light = is_dark(eye.colour)
    outline = (
        f'<path d="{data}" fill="none" stroke="{frame.palette.edge}" stroke-opacity=".6"'
        f' stroke-width="{leg + 1.2:.2f}"/>'
    )
    fibre = f'<path d="{data}" fill="none" stroke="{eye.colour}" stroke-width="{leg:.2f}"/>'
    fibre += _laid(data, eye, leg)
    wraps = (
        f'<path d="{data}" fill="none" stroke="{"#fff" if light else "#000"}" stroke-width='
        f'"{leg:.2f}" stroke-opacity="{".2" if light else ".26"}" stroke-dasharray="1 2.4"/>'
    )
    name = "far" if is_far else "zero"
    return f'<g data-eye="{name}">{outline}{fibre}{wraps if eye.served else ""}</g>'
