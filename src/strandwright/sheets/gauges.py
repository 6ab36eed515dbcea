"""True-size gauges of a sheet: edges to check a tape, pins, pegs, loops and served diameters."""

from __future__ import annotations

from typing import Any

from strandwright.planning.result import Plan
from strandwright.sheets.prose import words
from strandwright.sheets.records import Pen, Record, record
from strandwright.units import INCH

Section = dict[str, Any]

#: The bar that shows whether the printer kept the scale.
BAR = 6.0 * INCH
#: The edges that a shop tape is held against.
EDGE_INCHES = 10
EDGE_MILLIMETRES = 250
#: Larger circles would crowd the page; such a peg is measured with callipers.
_LARGEST_CIRCLE = 1.25 * INCH


def gauge_section(plan: Plan, pen: Pen) -> Section:
    """Give everything that is drawn at its true size; sizes stand in the records' ``si``.

    Parameters
    ----------
    plan : Plan
        The plan.
    pen : Pen
        Writes the quantities.

    Returns
    -------
    dict
        Bar, edges, circles, loops and gaps.
    """
    return {
        "bar": record("tolerance", "6.000 in", BAR, "m"),
        "bar_mm": record("tolerance", "152.4 mm", BAR, "m"),
        "inches": record("setting", f"{EDGE_INCHES} in", EDGE_INCHES * INCH, "m"),
        "millimetres": record("setting", f"{EDGE_MILLIMETRES} mm", EDGE_MILLIMETRES * 1e-3, "m"),
        "circles": _circles(plan, pen),
        "loops": _loops(plan, pen),
        "gaps": _gaps(plan, pen),
    }


def _circles(plan: Plan, pen: Pen) -> list[Section]:
    """Give pins, posts and pegs, each size once with everything it is for."""
    bench = plan.job.bench
    named: list[tuple[float, str]] = [(plan.target.pin_diameter, "measuring pin")]
    named.append((bench.zero_post.si, "post, zero end" if bench.far_post else "posts"))
    if bench.far_post is not None:
        named.append((bench.far_post.si, "post, far end"))
    if bench.loop_pin is not None:
        named.append((bench.loop_pin.si, "loop pin"))
    named += [(peg.diameter.si, peg.name) for peg in plan.job.bow.pegs]
    found: dict[float, list[str]] = {}
    for size, name in named:
        if size <= _LARGEST_CIRCLE:
            found.setdefault(round(size, 9), []).append(name)
    return [
        {"names": words(", ".join(dict.fromkeys(names))), "size": _fine(size, pen)}
        for size, names in sorted(found.items())
    ]


def _fine(size: float, pen: Pen) -> Record:
    """Write a size as a fraction where it is one on the tape, else in decimals."""
    steps = size / (INCH / 64.0)
    on_tape = abs(steps - round(steps)) < 1e-3 if pen.is_inches else True
    return pen.length(size) if on_tape and _is_written(size, pen) else pen.size(size)


def _is_written(size: float, pen: Pen) -> bool:
    """Tell whether the job's own fraction writes a size exactly."""
    step = INCH / pen.written.fraction if pen.is_inches else 1e-4
    return abs(size / step - round(size / step)) < 1e-3


def _loops(plan: Plan, pen: Pen) -> list[Section]:
    """Give both loops, closed and laid flat."""
    legs = [serving.outside.value for serving in plan.servings] or [plan.bare_diameter.value]
    ends = (plan.job.line.zero_end, plan.job.line.far_end)
    return [
        {"name": words(end.name), "size": _fine(end.size.si, pen), "leg": legs[index] / 2**0.5}
        for end, index in zip(ends, (0, -1), strict=True)
    ]


def _gaps(plan: Plan, pen: Pen) -> list[Section]:
    """Give the finished diameters as gaps that the line should just fill."""
    rows: list[Section] = [{"name": "bare bundle", "size": pen.small(plan.bare_diameter)}]
    found: dict[tuple[str, str], list[str]] = {}
    sizes: dict[tuple[str, str], Record] = {}
    for serving in plan.servings:
        size = pen.small(serving.outside)
        key = (serving.thread, size["text"])
        found.setdefault(key, []).append(serving.name)
        sizes[key] = size
    return rows + [
        {"name": words(", ".join(names)), "size": sizes[key]} for key, names in found.items()
    ]
