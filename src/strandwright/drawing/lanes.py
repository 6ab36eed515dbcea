"""The lanes of a strip beside the line: names, marks, positions, contacts, flags."""

from __future__ import annotations

from collections.abc import Sequence

from strandwright.drawing.frame import Frame
from strandwright.drawing.graduation import position_text
from strandwright.drawing.labels import Placed, place_labels
from strandwright.drawing.lettering import fit_text, text_width
from strandwright.drawing.picture import FlagPicture, SpanPicture, StripPicture
from strandwright.drawing.svg import escaped, lettering
from strandwright.drawing.tokens import TEXT_SIZE

_ROW = 20.0


def names_lane(frame: Frame, picture: StripPicture) -> tuple[list[str], float]:
    """Letter the names of the servings above the line.

    Parameters
    ----------
    frame : Frame
        Scales and colours; rows count up from the line.
    picture : StripPicture
        What to letter.

    Returns
    -------
    parts : list of str
        SVG elements.
    height : float
        Room taken above the line's thickest body [px].
    """
    spans = [(span, span.served) for span in picture.spans if span.served is not None]
    if not spans:
        return [], 0.0
    room = (frame.width - 2.0 * frame.margin) / 2.0
    texts = [fit_text(served.name, TEXT_SIZE, room, strong=True) for _, served in spans]
    details = [fit_text(served.label, TEXT_SIZE, room) for _, served in spans]
    widths = [
        max(text_width(text, TEXT_SIZE, strong=True), text_width(detail, TEXT_SIZE))
        for text, detail in zip(texts, details, strict=True)
    ]
    anchors = [frame.x((span.start + span.stop) / 2.0) for span, _ in spans]
    placed = _place(frame, anchors, widths)
    row_height = 2.0 * _ROW if any(details) else _ROW
    top = frame.middle - frame.thickest / 2.0 - frame.aside - 12.0
    parts: list[str] = []
    for (span, _), spot, text, detail in zip(spans, placed, texts, details, strict=True):
        y = top - spot.row * (row_height + 4.0)
        if spot.row > 0:
            end = frame.middle - frame.thickness(span.diameter) / 2.0 - 4.0
            parts.append(_leader(frame, spot, end, top + 4.0, y + 5.0))
        if detail:
            parts.append(
                lettering(spot.middle, y, detail, anchor="middle", soft=frame.palette.soft)
            )
        above = y - 18.0 if detail else y
        parts.append(lettering(spot.middle, above, text, anchor="middle", strong=True))
    rows = max(spot.row for spot in placed) + 1
    return parts, rows * (row_height + 4.0) + 8.0


def marks_lane(frame: Frame, picture: StripPicture) -> tuple[list[str], float]:
    """Draw the marks as triangles under the line, their names below.

    Parameters
    ----------
    frame : Frame
        Scales and colours; rows count down from the line.
    picture : StripPicture
        What to draw.

    Returns
    -------
    parts : list of str
        SVG elements.
    height : float
        Room taken below the line's thickest body [px].
    """
    if not picture.marks:
        return [], 0.0
    room = (frame.width - 2.0 * frame.margin) / 2.0
    texts = [fit_text(mark.label, TEXT_SIZE, room) for mark in picture.marks]
    anchors = [frame.x(mark.position) for mark in picture.marks]
    placed = _place(frame, anchors, [text_width(text, TEXT_SIZE) for text in texts])
    base = frame.middle + frame.thickest / 2.0
    top = base + 31.0
    parts: list[str] = []
    for i, (spot, text, mark) in enumerate(zip(placed, texts, picture.marks, strict=True)):
        y = top + spot.row * _ROW
        leader = ""
        if spot.row > 0 or abs(spot.foot - spot.anchor) > 3.0:
            leader = _leader(frame, spot, base + 14.0, top - 9.0, y - 12.0)
        parts.append(
            f'<g data-mark="{i}" data-kind="{escaped(mark.kind)}">{leader}'
            f'<path d="M{spot.anchor:.2f} {base + 5.0:.2f}l5 9h-10z"/>'
            + lettering(spot.middle, y, text, anchor="middle")
            + "</g>"
        )
    return parts, 38.0 + max(spot.row for spot in placed) * _ROW


def positions_lane(frame: Frame, picture: StripPicture, y: float) -> tuple[list[str], float]:
    """Draw where servings start and stop: a dimension line each, the two numbers under it.

    Parameters
    ----------
    frame : Frame
        Scales and colours.
    picture : StripPicture
        What to draw.
    y : float
        Top of the lane [px].

    Returns
    -------
    parts : list of str
        SVG elements.
    height : float
        Room taken [px].
    """
    served = [span for span in picture.spans if span.served is not None]
    stretches = [(span.start, span.stop, _from_to(picture, span)) for span in served]
    places, rows = _stack(frame, stretches)
    parts: list[str] = []
    for (start, stop, _), (middle, row, text) in zip(stretches, places, strict=True):
        top = y + 8.0 + row * 38.0
        parts.append(
            f'<path fill="none" stroke="{frame.palette.soft}" stroke-width=".9"'
            f' d="M{frame.x(start):.2f} {top - 4.0:.1f}v8m0 -4H{frame.x(stop):.2f}m0 -4v8"/>'
            + lettering(middle, top + 19.0, text, anchor="middle")
        )
    return parts, rows * 38.0


def contacts_lane(frame: Frame, picture: StripPicture, y: float) -> tuple[list[str], float]:
    """Draw what the bow touches as bars with their labels under them.

    Parameters
    ----------
    frame : Frame
        Scales and colours.
    picture : StripPicture
        What to draw.
    y : float
        Top of the lane [px].

    Returns
    -------
    parts : list of str
        SVG elements.
    height : float
        Room taken [px].
    """
    if not picture.contacts:
        return [], 0.0
    colour = frame.palette.touch
    parts = [lettering(frame.margin, y + 14.0, "touched by the bow", fill=frame.palette.soft)]
    stretches = [(c.start, c.stop, c.label) for c in picture.contacts]
    places, rows = _stack(frame, stretches)
    for i, ((start, stop, _), (middle, row, text)) in enumerate(
        zip(stretches, places, strict=True)
    ):
        top = y + 26.0 + row * 42.0
        bar = max((stop - start) * frame.scale, 4.0)
        left = (frame.x(start) + frame.x(stop) - bar) / 2.0
        parts.append(
            f'<g data-contact="{i}"><rect x="{left:.2f}" y="{top:.1f}" width="{bar:.2f}"'
            f' height="8" rx="{min(4.0, bar / 2.0):.1f}" fill="{colour}"/>'
            + lettering(middle, top + 24.0, text, anchor="middle", fill=colour)
            + "</g>"
        )
    return parts, 26.0 + rows * 42.0


def flags_lane(
    frame: Frame, picture: StripPicture, tape_bottom: float, y: float
) -> tuple[list[str], float]:
    """Draw readings as flags under the tape.

    Parameters
    ----------
    frame : Frame
        Scales and colours.
    picture : StripPicture
        What to draw.
    tape_bottom : float
        Lower edge of the tape, where the leaders start [px].
    y : float
        Top of the lane [px].

    Returns
    -------
    parts : list of str
        SVG elements.
    height : float
        Room taken [px].
    """
    flags = picture.readings
    if not flags:
        return [], 0.0
    room = frame.right - frame.left + 24.0
    texts = [fit_text(flag.text, TEXT_SIZE, room - 32.0, strong=True) for flag in flags]
    details = [fit_text(flag.detail, TEXT_SIZE, room - 32.0) for flag in flags]
    widths = [
        32.0 + max(text_width(text, TEXT_SIZE, strong=True), text_width(detail, TEXT_SIZE))
        for text, detail in zip(texts, details, strict=True)
    ]
    placed = place_labels(
        [min(max(frame.x(flag.position), frame.left), frame.right) for flag in flags],
        widths,
        frame.left - 12.0,
        frame.right + 12.0,
        gap=14.0,
        foot_gap=24.0,
        inset=12.0,
    )
    tall = 62.0 if any(details) else 44.0
    leaders: list[str] = []
    cards: list[str] = []
    for flag, spot, text, detail in zip(flags, placed, texts, details, strict=True):
        top = y + spot.row * (tall + 12.0)
        stroke, weight = _flag_stroke(frame, flag)
        leaders.append(
            f'<path fill="none" stroke="{stroke}" stroke-width="{weight}" d="M{spot.anchor:.2f}'
            f' {tape_bottom:.1f}L{spot.foot:.2f} {y - 8.0:.1f}V{top:.1f}"/>'
        )
        cards.append(
            f'<rect x="{spot.left:.2f}" y="{top:.1f}" width="{spot.width:.2f}" height="{tall:g}"'
            f' rx="8" fill="{frame.palette.card}" stroke="{stroke}" stroke-width="{weight}"/>'
            + lettering(
                spot.left + 16.0,
                top + (26.0 if detail else tall / 2.0 + 5.0),
                text,
                strong=True,
                soft=frame.palette.soft,
            )
            + (
                lettering(spot.left + 16.0, top + 47.0, detail, soft=frame.palette.soft)
                if detail
                else ""
            )
        )
    rows = max(spot.row for spot in placed) + 1
    return leaders + cards, rows * (tall + 12.0) - 12.0


def _place(frame: Frame, anchors: Sequence[float], widths: Sequence[float]) -> list[Placed]:
    """Place plain labels over the drawing's whole width."""
    return place_labels(anchors, widths, frame.margin, frame.width - frame.margin)


def _stack(
    frame: Frame, stretches: Sequence[tuple[float, float, str]]
) -> tuple[list[tuple[float, int, str]], int]:
    """Give each stretch with its label a middle for the text and the first row free of others."""
    room = frame.width - 2.0 * frame.margin
    places: dict[int, tuple[float, int, str]] = {}
    ends: list[float] = []
    for i in sorted(range(len(stretches)), key=lambda i: stretches[i][:2]):
        start, stop = frame.x(stretches[i][0]), frame.x(stretches[i][1])
        text = fit_text(stretches[i][2], TEXT_SIZE, room)
        width = text_width(text, TEXT_SIZE)
        left = min(max((start + stop - width) / 2.0, frame.margin), frame.margin + room - width)
        first, last = min(left, start), max(left + width, stop)
        row = next((r for r, end in enumerate(ends) if first > end + 8.0), len(ends))
        ends[row : row + 1] = [last]
        places[i] = (left + width / 2.0, row, text)
    return [places[i] for i in range(len(stretches))], len(ends)


def _leader(frame: Frame, spot: Placed, start: float, bend: float, end: float) -> str:
    """Draw the line from a body to its label: aslant to the foot, then straight."""
    return (
        f'<path fill="none" stroke="{frame.palette.soft}" stroke-width=".9"'
        f' d="M{spot.anchor:.2f} {start:.1f}L{spot.foot:.2f} {bend:.1f}V{end:.1f}"/>'
    )


def _from_to(picture: StripPicture, span: SpanPicture) -> str:
    """Write where a span starts and stops."""
    start, stop = (position_text(x, picture.units, picture.fraction) for x in span.told)
    return f"{start} \u2013 {stop}"


def _flag_stroke(frame: Frame, flag: FlagPicture) -> tuple[str, str]:
    """Give a flag's outline: wax for the next act alone."""
    return (frame.palette.wax, "1.8") if flag.is_next else (frame.palette.soft, "1")
