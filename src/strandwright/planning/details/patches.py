"""Patches: where a serving must lie for a string stop, a slide or rollers, and proposed edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from strandwright.planning.bow.touched import TouchedPart
from strandwright.planning.result import Plan
from strandwright.reference import practice


@dataclass(frozen=True)
class Patch:
    """A stretch that something on the riser touches, and what serves it.

    Attributes
    ----------
    on : str
        What touches it: string stop, slide or roller.
    use : str
        The use of a serving there: ``stop`` or ``track``.
    start, stop : float
        Where a serving should begin and end: what is touched from brace to full draw, with its
        margin and its doubt [m]
    served_by : str
        The serving that lies there; empty for none.
    short : float
        Length of it that is not served [m]
    """

    on: str
    use: str
    start: float
    stop: float
    served_by: str
    short: float


def wanted_edges(part: TouchedPart, length: float) -> tuple[float, float]:
    """Where a serving over a touched stretch should begin and end.

    Parameters
    ----------
    part : TouchedPart
        What is touched from brace to full draw.
    length : float
        Length of the line [m]

    Returns
    -------
    tuple of float
        Its edges on the finished line, margin and doubt included [m]
    """
    margin = practice("wheels.serving_margin").value
    low, high = part.start.value - margin - part.start.u95, part.stop.value + margin + part.stop.u95
    return max(low, 0.0), min(high, length)


def patches(plan: Plan, parts: Sequence[TouchedPart]) -> tuple[Patch, ...]:
    """Hold the patches of a line against what touches it on the riser.

    Parameters
    ----------
    plan : Plan
        The line.
    parts : sequence of TouchedPart
        What the bow touches of it.

    Returns
    -------
    tuple of Patch
        One for each stretch amid the line; what lies on a wheel belongs to the end servings.
    """
    return tuple(_patch(plan, part) for part in parts if is_on_riser(part))


def is_on_riser(part: TouchedPart) -> bool:
    """Tell whether a stretch is touched by what sits on the riser, and not by a wheel or tip.

    Parameters
    ----------
    part : TouchedPart
        The stretch.

    Returns
    -------
    bool
        True for a string stop, a slide or rollers.
    """
    return part.on in ("string stop", "slide", "roller")


def _patch(plan: Plan, part: TouchedPart) -> Patch:
    start, stop = wanted_edges(part, plan.target.length.value)
    served = [(max(s.start.value, start), min(s.stop.value, stop), s.name) for s in plan.servings]
    over = [(b - a, name) for a, b, name in served if b > a]
    most, name = max(over, default=(0.0, ""))
    covered = sum(length for length, _ in over)
    use = "stop" if part.on == "string stop" else "track"
    return Patch(part.on, use, start, stop, name if most > 0.0 else "", stop - start - covered)
