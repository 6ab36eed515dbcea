"""Hold: what each piece laid in at an end bears, by friction from its free end and by its lag."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from strandwright.fibre.beside import LaidBeside, following_tension, gripped_tension
from strandwright.fibre.settling import bedding_progress
from strandwright.line.layout import throat_distance
from strandwright.line.parts import Serving
from strandwright.line.serving_geometry import (
    served_span,
    tail_length_to_hold,
    tension_after_twist,
)
from strandwright.line.unknowns import Unknowns
from strandwright.planning.estimate import Estimate
from strandwright.planning.makings.reinforced import piece_ends, reinforced_in
from strandwright.planning.prepare import Prepared, at_mean
from strandwright.planning.servings.tails import LEAST_TENSION, TAIL_SPREAD
from strandwright.planning.settings import wanted_turns


@dataclass(frozen=True)
class PieceHold:
    """How the pieces of one end bear when a strand of the line bears so much.

    Attributes
    ----------
    which : str
        ``zero_end`` or ``far_end``.
    at : float
        Tension of a strand of the line in the loop [N]
    follow : Estimate
        Tension of a piece that follows it there [N]
    hold : Estimate
        Served length in which friction brings that in; infinite where nothing grips [m]
    ends : tuple of float
        Where the pieces end, from the loop's throat, the shortest first [m]
    served : tuple of float
        How much of that lies under servings [m]
    carried : tuple of float
        What each bears at the throat [N]
    strands : Estimate
        Strands in both legs that the pieces stand for, over those of the line [-]
    """

    which: str
    at: float
    follow: Estimate
    hold: Estimate
    ends: tuple[float, ...]
    served: tuple[float, ...]
    carried: tuple[float, ...]
    strands: Estimate

    @property
    def short(self) -> int:
        """Pieces that end before their hold length [-]."""
        return sum(length < self.hold.value for length in self.served)


def piece_hold(prepared: Prepared, which: str, at: float) -> PieceHold | None:
    """Reckon what the pieces laid in at an end bear.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    which : str
        ``zero_end`` or ``far_end``.
    at : float
        Tension of a strand of the line in the loop, > 0 [N]

    Returns
    -------
    PieceHold or None
        None where nothing is laid in.

    Notes
    -----
    Pieces stretch like the line from the load under which the end serving grips them; before it
    the line was stretched, and they were not. Friction and wrap tension are common to all pieces:
    the +- is what they move all of them by, beside that of bedding-in.
    """
    extra = reinforced_in(prepared.job, which)
    if not extra:
        return None
    q, ends = at_mean(prepared.parameters), piece_ends(prepared.job, which)
    strands = prepared.model.laid_beside(q)
    spreads = prepared.parameters.standard_uncertainty
    follow = _following(at, strands)
    bedding = strands.bedding * (1.0 + min(spreads("bedding"), 1.0))
    slower = _following(at, replace(strands, bedding=bedding))
    grips = [
        (grip, run)
        for serving in prepared.model.line.servings
        if (run := _runs_over(prepared, which, serving)) is not None
        for grip in (_grip(prepared, q, serving, extra),)
    ]
    friction = math.hypot(TAIL_SPREAD, spreads("wrap_tension"))

    def carried(most: float, factor: float = 1.0) -> list[float]:
        held = (sum(g * _overlap(end, run) for g, run in grips) for end in ends)
        return [float(gripped_tension(most, factor, force)) for force in held]

    def many(loads: list[float]) -> float:
        return 2.0 * sum(loads) / (at * prepared.job.makeup.strands)

    value = many(loads := carried(follow))
    by_grip = 0.5 * (many(carried(follow, 1.0 + friction)) - many(carried(follow, 1.0 - friction)))
    by_lag = value - many(carried(slower))
    grip = max((g for g, _ in grips), default=0.0)
    length = follow / grip if grip > 0.0 else math.inf
    return PieceHold(
        which=which,
        at=at,
        follow=Estimate(follow, abs(follow - slower), "N"),
        hold=Estimate(length, length * friction if grip > 0.0 else 0.0, "m"),
        ends=ends,
        served=tuple(sum(_overlap(end, run) for _, run in grips) for end in ends),
        carried=tuple(loads),
        strands=Estimate(value, math.hypot(by_grip, by_lag), "1"),
    )


def lag_of(prepared: Prepared) -> float:
    """Strain by which pieces lag behind the line once both have bedded in.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.

    Returns
    -------
    float
        What the line had stretched and bedded in when they were gripped [-]
    """
    strands = prepared.model.laid_beside(at_mean(prepared.parameters))
    bedded = strands.bedding * bedding_progress(strands.bedded, strands.bedding_scale)
    return float((strands.strain(strands.gripped) + bedded)[0, 0])


def _following(at: float, strands: LaidBeside) -> float:
    return float(following_tension(np.full((1, 1), at), 0.0, strands)[0, 0])


def _runs_over(prepared: Prepared, which: str, serving: Serving) -> tuple[float, float] | None:
    """Where a serving lies from the throat of an end; None where it does not reach past it."""
    line = prepared.model.line
    loop = line.far if which == "far_end" else line.zero
    throat = throat_distance(loop, line.pin_diameter)
    start, stop = serving.start, serving.stop
    if which == "far_end":
        start, stop = line.length - stop, line.length - start
    first, last = max(start - throat, 0.0), stop - throat
    return (first, last) if last > first else None


def _overlap(end: float, run: tuple[float, float]) -> float:
    return max(min(end, run[1]) - run[0], 0.0)


def _grip(prepared: Prepared, q: Unknowns, serving: Serving, extra: int) -> float:
    """Friction on one strand over served length, among all strands that lie there [N/m]."""
    model, thread = prepared.model, serving.thread
    count = model.line.strand_count + extra
    more = math.sqrt(count / model.line.strand_count)
    core = float(model.core_diameter(q, served=True)[0]) * more
    flattening = min(float(q["flattening"][0]) * thread.flattening, 1.0)
    tension = float(q["wrap_tension"][0]) * thread.tension
    span = served_span(core, thread.diameter, flattening, tension)
    if model.route.served_before_twist:
        sign = 1.0 if serving.hand is model.line.hand else -1.0
        rate = sign * wanted_turns(prepared) / model.twisting_length
        stiffness = float(q["thread_stiffness"][0]) * thread.stiffness
        left = float(tension_after_twist(tension, stiffness, span, rate))
        least = LEAST_TENSION * thread.tension
        span = served_span(core, thread.diameter, flattening, max(left, least))
    width = core / math.sqrt(count)
    hold = tail_length_to_hold(span, 1.0, width, model.stock.friction, thread.friction)
    return 1.0 / float(hold)
