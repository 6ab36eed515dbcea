"""Sections: a crossbow's string in rows, the same for screen, sheet and command."""

from __future__ import annotations

import math
from collections.abc import Iterator

from strandwright.line.parts import ServingKind
from strandwright.planning.crossbow.middle import Middle, middle_of
from strandwright.planning.details.held import prepared_line
from strandwright.planning.details.section import DetailSection, Row
from strandwright.planning.estimate import Estimate
from strandwright.planning.makings.reinforced import (
    Reinforcement,
    is_crossbow_string,
    is_reinforced,
    reinforcements,
)
from strandwright.planning.makings.reinforced_hold import PieceHold, lag_of, piece_hold
from strandwright.planning.result import Plan, ServingPlan
from strandwright.planning.strength.legs import loop_strands
from strandwright.planning.strength.places import moving_strands, tension_in_loop
from strandwright.planning.written import Written
from strandwright.reference import practice
from strandwright.units import INCH

#: Halves that differ by less are alike to any tape: 1/250 in [m]
_ALIKE = 1e-4
#: Edges are set to the tape's step: 1/16 in [m]
_STEP = INCH / 16.0
_WAX = (
    "wax on the centre serving: one source says never, for it softens and fouls the latch; one "
    "says it must, with paraffin, not beeswax; one says keep it lubricated. The maker's manual "
    "decides"
)
_THREAD = (
    "soft twisted nylon wears and gaps; a single filament keeps round but fails at once; serve "
    "hard-laid thread, very tight (found, each in one source)"
)
_OFF = (
    "a string whose mark lies off the rail's middle by so much has halves that differ by twice "
    "that; of two wheels out of time, or a prod that sits askew, it says the same: look there "
    "first, and never pull a serving along to centre it"
)
_FOUND = (
    "found: without reinforcement breaks occur at the loops, about half as many strands again "
    "moves the break to the middle; what loops and latch leave is rough"
)


def crossbow_sections(plan: Plan, to: Written) -> Iterator[DetailSection]:
    """Give the sections of a crossbow's string, and of ends that are reinforced.

    Parameters
    ----------
    plan : Plan
        The plan.
    to : Written
        The job's units.

    Yields
    ------
    DetailSection
        Middle and rail marks, where it breaks, what is laid in; none for a plain line.
    """
    middle = middle_of(plan)
    if middle is not None:
        rows = (*_marks(plan, middle, to), *_served(plan, middle, to), *_read(plan, to))
        yield DetailSection("rail", "Middle and rail marks", rows, (_OFF, _THREAD, _WAX))
    if plan.strength.places:
        notes = (*((_FOUND,) if middle is not None else ()), *_uneven(plan))
        yield DetailSection("breaks", "Where it breaks first", _breaks(plan, to), notes)
    line = prepared_line(plan).model.line
    laid = reinforcements(plan.job, line.zero, line.far)
    if laid:
        rows = tuple(row for one in laid for row in _laid_in(plan, one, to))
        note = "the strand's own length in the loop is reckoned with; cut them with some to spare"
        yield DetailSection("reinforced", "What is laid in at the ends", rows, (note,))


def _marks(plan: Plan, middle: Middle, to: Written) -> Iterator[Row]:
    line = plan.job.line
    off = middle.off_half
    half = "half of what the tape reads there"
    if abs(off) >= _ALIKE:
        end = line.far_end.name if off > 0.0 else line.zero_end.name
        half += f", and {to.small(abs(off))} towards {end}, for the ends are unlike"
    mark = middle.middle
    yield (
        "middle",
        f"mark at {to.estimate(mark.now)}",
        f"{half}; finished {to.fine(mark.finished)}, at brace {to.fine(mark.braced)} from each peg",
    )
    width = to.small_estimate(middle.half_rail)
    sides = ((line.zero_end.name, middle.zero_side), (line.far_end.name, middle.far_side))
    for name, side in sides:
        told = "where the rail's edge meets the braced string"
        yield (
            f"rail mark, {name}",
            f"mark at {to.estimate(side.now)}",
            f"{told}, {width} from the middle; finished {to.fine(side.finished)}",
        )
    if abs(middle.drift) >= _ALIKE:
        end = line.far_end.name if middle.drift > 0.0 else line.zero_end.name
        yield (
            "cocked",
            f"{to.small(abs(middle.drift))} off",
            f"at {to.force(middle.loads.drawn.value)} its middle lies nearer {end}: the halves "
            "stretch unlike",
        )


def _served(plan: Plan, middle: Middle, to: Written) -> Iterator[Row]:
    for serving in plan.servings:
        if serving.use != ServingKind.CENTRE.value:
            continue
        low = middle.middle.finished - serving.start.value
        high = serving.stop.value - middle.middle.finished
        said = "as far to both sides of the middle"
        if abs(low - high) > serving.start.u95 + serving.stop.u95 + _STEP:
            said = f"{to.fine(abs(low - high))} more to one side: centre it on the middle"
        yield serving.name, f"{to.fine(low)} and {to.fine(high)}", said
        yield _holds(plan, serving, to)
        top = serving.outside
        yield (
            "over the rail",
            f"{to.small_estimate(Estimate(0.5 * top.value, 0.5 * top.u, 'm'))} to its middle",
            f"{to.small_estimate(top)} to its top, where it lies on the rail unpressed",
        )


def _holds(plan: Plan, serving: ServingPlan, to: Written) -> Row:
    """Hold the serving's grip against a pull on one side of it alone."""
    weight = plan.job.bow.draw_weight
    name = f"{serving.name} holds"
    if weight is None:
        return name, to.estimate(serving.hold), "along the string, before it slides"
    pull, hold = 0.5 * weight.si, serving.hold
    if hold.value - hold.u95 >= pull:
        said = "more than half the draw weight, which hook or latch would pull with on one side"
    else:
        tighter = serving.tension_laid * pull / max(hold.value - hold.u95, 0.1 * hold.value)
        said = (
            f"half the draw weight, {to.force(pull)}, on one side alone may move it: serve at "
            f"{to.force(tighter)} of thread tension or longer, cock with both hooks, and look at "
            "the rail marks"
        )
    return name, to.estimate(hold), said


def _read(plan: Plan, to: Written) -> Iterator[Row]:
    """Say what a mark read off the rail's middle tells."""
    read = plan.job.bow.now.centring
    if read is None:
        return
    off, u = read.si, read.standard_uncertainty or 0.0
    if abs(off) <= practice("tuning.centring").value:
        yield "read on the bow", to.small(abs(off)), "within what is asked of it"
        return
    side = "right" if off > 0.0 else "left"
    longer = to.small_estimate(Estimate(2.0 * abs(off), 2.0 * u, "m"))
    other = "left" if off > 0.0 else "right"
    yield (
        "read on the bow",
        f"{to.small(abs(off))} to the {side}",
        f"the {other} half is longer by {longer}: where wheels or prod stand true, the middle is "
        f"marked and served anew {to.small(abs(off))} further {other}",
    )


def _breaks(plan: Plan, to: Written) -> tuple[Row, ...]:
    rows: list[Row] = []
    for place in plan.strength.places:
        times = ""
        if place.strands.value != 1.0:
            many = f"{place.strands.value:.2f}"
            if place.strands.u > 0.0:
                many += f" ± {place.strands.u95:.2f}"
            times = f"{many} times the strands, "
        said = f"{times}bends leave {to.share_estimate(place.keeps)}"
        rows.append((place.name, to.estimate(place.load), said))
    asked = is_crossbow_string(plan.job) or is_reinforced(plan.job)
    if asked and plan.strength.weakest == "loops":
        likely, sure = moving_strands(prepared_line(plan), plan.strength)
        found = round(practice("reinforced.found").value * plan.job.makeup.strands / 2.0) * 2
        rows.append(
            (
                "to move it",
                f"{likely} strands, surely {sure}",
                f"laid in at both loops bring the break to the middle; half of the line's, {found},"
                " was found to",
            )
        )
    return tuple(rows)


def _uneven(plan: Plan) -> Iterator[str]:
    """Say what legs of a loop do that differ by a strand."""
    count = plan.job.makeup.strands
    margin = 1.0 - loop_strands(plan.job).value
    if margin > 0.0 and plan.job.line.yoke is None:
        low, high = count // 2, count // 2 + 1
        thin = 100.0 * low / count
        yield (
            f"{count} strands are odd: each loop has legs of {low} and {high}, which carry "
            f"{thin:.0f} and {100.0 - thin:.0f} % by their stiffness; where the loop slides on its "
            f"pin both pull alike, and the thinner bears {50.0 / low:.1f} % more a strand: "
            f"{100.0 * margin:.1f} % are taken off, half of what that may cost"
        )


def _laid_in(plan: Plan, one: Reinforcement, to: Written) -> Iterator[Row]:
    whole = to.long(Estimate(one.cut, 0.0, "m"))
    yield (
        one.name,
        f"cut {one.pieces}, {to.length(one.shortest)} to {to.length(one.longest)}",
        f"each {to.size(2.0 * one.step)} longer than the one before; "
        f"{one.strands} strands more in both legs of the loop, {whole} in all",
    )
    is_far = one.which == "far_end"
    length, throat = plan.target.length.value, plan.throats[1 if is_far else 0]
    reach = throat + one.run + 0.5 * (one.pieces - 1) * one.step
    under = any(
        (s.start.value <= length - reach and is_far and s.stop.value > length - reach)
        or (s.stop.value >= reach and not is_far and s.start.value < reach)
        for s in plan.servings
        if s.use == "end"
    )
    said = (
        "they end under the end serving"
        if under
        else (
            "the end serving does not cover where they end: serve it longer, or lay them in shorter"
        )
    )
    yield f"{one.name} run", f"{to.length(one.run)} from the throat", said
    prepared = prepared_line(plan)
    hold = piece_hold(prepared, one.which, tension_in_loop(prepared, plan.strength))
    if hold is not None:
        mean = sum(hold.carried) / (len(hold.carried) * hold.at)
        yield f"{one.name} bears", f"{100.0 * mean:.0f} %", _bears(plan, hold, to)


def _bears(plan: Plan, hold: PieceHold, to: Written) -> str:
    """Say what a strand laid in bears beside one of the line, and what keeps it from more."""
    lag = 100.0 * lag_of(prepared_line(plan))
    most = 100.0 * hold.follow.value / hold.at
    said = (
        f"of what a strand of the line does, where the loop breaks; at most {most:.0f} %, for the "
        f"line was stretched by {lag:.2f} % more when they were gripped"
    )
    if math.isinf(hold.hold.value):
        return f"{said}; no serving grips them past the throat"
    said += f"; friction brings that in over {to.estimate(hold.hold)}"
    if hold.short:
        said += f", and {hold.short} of {len(hold.ends)} end before: lay them in longer"
    return said
