"""A picture turned end for end: the line lies the other way, and nothing else changes."""

from __future__ import annotations

import math
from dataclasses import replace

from strandwright.drawing.helix import hand_sign
from strandwright.drawing.picture import ForkPicture, StrandPicture, StripPicture


def turned_end_for_end(picture: StripPicture) -> StripPicture:
    """Lay a line the other way round, its far end becoming the zero end.

    The line turns half a round in the plane of the picture, so what faced the viewer still
    does.  A helix keeps its hand.

    Parameters
    ----------
    picture : StripPicture
        The line as it lies.

    Returns
    -------
    StripPicture
        The same line with servings, marks, contacts and readings mirrored, the ends swapped
        and the strands at the angles they have at the new zero end.

    Notes
    -----
    With L the length and N the sum of the turns counted at both ends, a position x goes to
    L - x, turns n to N - n, and a strand's angle phi (see :mod:`strandwright.drawing.helix`)
    to pi - phi -+ 2 pi N for Z and S: this keeps y = -rho cos(theta) and z = rho sin(theta)
    at every section.  Turning twice gives the first picture back.
    """
    length = picture.length
    total = 0.0
    if picture.spans:
        total = picture.spans[0].turns_at_start + picture.spans[-1].turns_at_stop
    spans = tuple(
        replace(
            span,
            start=length - span.stop,
            stop=length - span.start,
            written=span.written and (length - span.written[1], length - span.written[0]),
            turns_at_start=total - span.turns_at_stop,
            turns_at_stop=total - span.turns_at_start,
        )
        for span in reversed(picture.spans)
    )
    contacts = tuple(
        replace(contact, start=length - contact.stop, stop=length - contact.start)
        for contact in reversed(picture.contacts)
    )
    return replace(
        picture,
        zero_end_label=picture.far_end_label,
        far_end_label=picture.zero_end_label,
        zero_eye=picture.far_eye,
        far_eye=picture.zero_eye,
        spans=spans,
        contacts=contacts,
        marks=tuple(replace(m, position=length - m.position) for m in reversed(picture.marks)),
        readings=tuple(
            replace(r, position=length - r.position) for r in reversed(picture.readings)
        ),
        strands=tuple(_turned_strand(s, hand_sign(picture.hand), total) for s in picture.strands),
        fork=picture.fork and _turned_fork(picture.fork, length),
    )


def _turned_fork(fork: ForkPicture, length: float) -> ForkPicture:
    """Give a fork as it lies then: its upper leg is the lower one."""
    upper, lower = fork.legs
    return ForkPicture(length - fork.parting, (lower, upper), not fork.is_far)


def _turned_strand(strand: StrandPicture, sign: float, total: float) -> StrandPicture:
    """Give a strand's centre as seen from the other end."""
    radius = math.hypot(strand.x, strand.y)
    angle = math.pi - math.atan2(strand.x, strand.y) - sign * 2.0 * math.pi * total
    return replace(strand, x=radius * math.sin(angle), y=radius * math.cos(angle))
