"""Ties: how what sits at a mark is tied on, with thread, cord and room for the nock."""

from __future__ import annotations

from strandwright.planning.details.marks import marks_of, nock_of
from strandwright.planning.result import Plan
from strandwright.planning.written import Written
from strandwright.reference import Datum, practice
from strandwright.workshop.parts import MarkKind

_UNSOURCED = "common practice, no source"


def tie_said(kind: MarkKind, plan: Plan, to: Written) -> str:
    """Say how one kind of thing is tied on.

    Parameters
    ----------
    kind : str
        What it is.
    plan : Plan
        The line.
    to : Written
        How quantities are written.

    Returns
    -------
    str
        One sentence, its source with it; empty for what is only marked.
    """
    if kind == "peep":
        return _peep(plan, to)
    if kind == "nocking point":
        gap = practice("tie.nock_clearance").value
        return (
            f"leave about {_small(gap, to)} between the nock and what is tied above and below it; "
            f"it closes at full draw, and a nock that is pinched there shoots badly ({_UNSOURCED})"
        )
    if kind == "string loop":
        cord, begin, thick = (practice(f"tie.loop.{k}") for k in ("cord", "begin", "diameter"))
        return (
            f"about {to.length(cord.value)} of cord for {to.length(0.0254)} of finished loop, or "
            f"begin from {to.length(begin.value)} and trim; cord {_range(thick, to)} thick; pull "
            f"it home before the first draw ({_UNSOURCED})"
        )
    if kind == "silencer":
        return (
            "a quarter to a third of the string from each end, or about "
            f"{to.length(6 * 0.0254)} from the wheels, both alike ({_UNSOURCED})"
        )
    if kind == "weight":
        return (
            "near a wheel, its place found by trial over a chronograph: an energy model cannot "
            f"tell its gain ({_UNSOURCED})"
        )
    return ""


def _peep(plan: Plan, to: Written) -> str:
    thread, wraps = practice("tie.peep.thread").value, practice("tie.peep.wraps")
    height = practice("tie.peep.height")
    said = (
        f"tie it in with about {to.length(thread)} of thread, {wraps.low:.0f} to {wraps.high:.0f} "
        f"wraps on each side; to begin from, about {to.length(height.value)} over the nock, "
        f"{_range(height, to)} ({_UNSOURCED})"
    )
    nock = nock_of(plan)
    low, high = height.low or 0.0, height.high or 0.0
    if nock is None:
        return said
    far = [abs(m.position.value - nock.position.value) for m in marks_of(plan, "peep")]
    odd = [d for d in far if not low <= d <= high]
    return f"{said}; here it is {to.length(odd[0])}: check the mark" if odd else said


def _range(row: Datum, to: Written) -> str:
    low, high = row.low or row.value, row.high or row.value
    write = to.small if high < 0.01 else to.length
    return f"{write(low)} to {write(high)}"


def _small(metres: float, to: Written) -> str:
    return to.small(metres)
