"""Picture: a plan as the strip that is drawn of it, finished, at the measuring condition."""

from __future__ import annotations

import math
from dataclasses import dataclass

from strandwright.drawing.picture import (
    EyePicture,
    ForkPicture,
    MarkPicture,
    ServingPicture,
    SpanPicture,
    StripPicture,
)
from strandwright.planning.crossbow.middle import middle_of
from strandwright.planning.details.speckle import separator_pictures, with_flecks
from strandwright.planning.laid.cutting import colours_of
from strandwright.planning.laid.strip import LaidTwist, laid_eye, laid_strands
from strandwright.planning.line_of_job import serving_edges
from strandwright.planning.makings.yoke import is_halved
from strandwright.planning.readings.tape import paper_step
from strandwright.planning.result import Plan, ServingPlan
from strandwright.planning.winding.colours import lay_colours
from strandwright.planning.written import Written, as_set
from strandwright.planning.yoke.legs import halved

#: What a loop without a body serving beside it is drawn with.
_THREAD_COLOUR = "#3A3A3A"
#: Shorter bare stretches are where two servings touch.
_SHORTEST = 1e-5


def strip_picture(
    plan: Plan, *, title: str | None = None, subtitle: str | None = None
) -> StripPicture:
    """Give the strip of a planned line.

    Parameters
    ----------
    plan : Plan
        The plan.
    title, subtitle : str or None
        Above the line; None says them from the plan, empty leaves them out.

    Returns
    -------
    StripPicture
        The finished line on its measuring pins, zero end first.

    Notes
    -----
    Turns are drawn evenly over the body between the throats. Served stretches resist twist
    more than bare ones, so on a line that is served before it is twisted they hold fewer of
    them than the picture shows.
    """
    job, length = plan.job, plan.target.length.value
    runs = tuple((run.name, run.colour, run.strands) for run in plan.winding.runs)
    laid = plan.laid
    places = lay_colours(runs, job.makeup.pattern) if laid is None else laid_strands(laid)
    strands = with_flecks(places, job)
    return StripPicture(
        title=_title(plan) if title is None else title,
        subtitle=as_set(_subtitle(plan)) if subtitle is None else subtitle,
        length=length,
        zero_end_label=job.line.zero_end.name,
        far_end_label=job.line.far_end.name,
        spans=_spans(plan, length),
        strands=strands,
        threads=separator_pictures(strands, job),
        hand=plan.twist.hand,
        zero_eye=_eye(plan, is_far=False),
        far_eye=_eye(plan, is_far=True),
        marks=_marks(plan, length),
        units=job.paper.units,
        fraction=job.paper.fraction if job.paper.units == "in" else 10,
        fork=_fork(plan, length),
    )


def _marks(plan: Plan, length: float) -> tuple[MarkPicture, ...]:
    """Give the job's marks, and the middle of a crossbow's string with the rail's edges."""
    places = [(mark.position.value, mark.name, "mark") for mark in plan.marks]
    middle = middle_of(plan)
    if middle is not None:
        places += [
            (middle.zero_side.finished, "rail", "rail"),
            (middle.middle.finished, "middle", "rail"),
            (middle.far_side.finished, "rail", "rail"),
        ]
    return tuple(
        MarkPicture(min(max(place, 0.0), length), name, kind) for place, name, kind in places
    )


def _fork(plan: Plan, length: float) -> ForkPicture | None:
    """Give where the line parts, each leg with its own colours; the left one is drawn above."""
    told = plan.job.line.yoke
    if told is None or not is_halved(plan.job):
        return None
    legs = halved(plan)
    left, right = (lay_colours(leg.colours, "free") for leg in legs)
    return ForkPicture(length - told.leg.si, (left, right))


def _title(plan: Plan) -> str:
    runs = [run.name for run in plan.winding.runs]
    colours = " and ".join(runs if plan.laid is None else (c[0] for c in colours_of(plan.job)))
    return f"{plan.job.line.name}, {plan.job.bow.kind}, {colours}"


def _subtitle(plan: Plan) -> str:
    to = Written.on(plan.job.paper)
    return (
        f"finished {to.length(plan.target.length.value)} at"
        f" {to.force(plan.target.measuring_load)} over {to.length(plan.target.pin_diameter)} pins"
        f" \u00b7 {plan.winding.strands} strands \u00b7 {plan.twist.turns:g} turns,"
        f" {plan.twist.hand} \u00b7 chance to land within {to.length(plan.target.tolerance)}:"
        f" {to.chance(plan.landing.chance)}"
    )


def _spans(plan: Plan, length: float) -> tuple[SpanPicture, ...]:
    """Cut the body into served and bare spans, throat to throat."""
    first, last = plan.throats[0], length - plan.throats[1]
    whole, laid = _Twisted(plan, first, last, length), plan.laid
    twisted = whole if laid is None else LaidTwist(plan, laid, first, last)
    spans: list[SpanPicture] = []
    at = first
    names = (serving.name for serving in plan.job.line.servings)
    asked = dict(zip(names, serving_edges(plan.job, length), strict=True))

    def add(stop: float, serving: ServingPlan | None) -> None:
        nonlocal at
        for edge in twisted.breaks if serving is None else ():
            if at < edge - _SHORTEST and stop > edge + _SHORTEST:
                add(edge, None)
        if stop - at > _SHORTEST:
            turns = [twisted.turns(x) for x in (at, stop)]
            wide = twisted.bare(stop) if serving is None else serving.outside.value
            wrapped = None if serving is None else _serving(serving, Written.on(plan.job.paper))
            told = None if serving is None else _told(plan, serving, asked)
            spans.append(SpanPicture(at, stop, wide, turns[0], turns[1], wrapped, told))
            at = stop

    for serving in sorted(plan.servings, key=lambda s: s.start.value):
        add(min(serving.start.value, last), None)
        add(min(serving.stop.value, last), serving)
    add(last, None)
    return tuple(spans)


@dataclass(frozen=True)
class _Twisted:
    """Turns and bare diameter along a line; those of legs go on from the body's."""

    plan: Plan
    first: float
    last: float
    length: float

    @property
    def parting(self) -> float:
        """Where it parts in two legs; at its throat where it does not."""
        told = self.plan.job.line.yoke
        if told is None or not is_halved(self.plan.job):
            return self.last
        return self.length - told.leg.si

    @property
    def breaks(self) -> tuple[float, ...]:
        """Where a bare stretch changes."""
        return (self.parting,)

    def turns(self, at: float) -> float:
        """Turns between the zero end and there."""
        body = self.plan.twist.turns * min((at - self.first) / (self.parting - self.first), 1.0)
        if at <= self.parting or self.parting >= self.last:
            return body
        legs = halved(self.plan)[0].turns
        return body + legs * (at - self.parting) / (self.last - self.parting)

    def bare(self, stop: float) -> float:
        """Diameter of the bare bundle up to there."""
        whole = self.plan.bare_diameter.value
        return whole if stop <= self.parting + _SHORTEST else whole / 2**0.5


def _told(
    plan: Plan, serving: ServingPlan, asked: dict[str, tuple[float, float]]
) -> tuple[float, float]:
    """Give the places to letter: those asked for, where the serving lands within a step of them.

    A mark is laid to the step of the tape, so that the place it comes to is off by a part of one,
    and rounded once more it would read as another place than was asked for.
    """
    step = paper_step(plan.job)
    wanted, comes_to = asked[serving.name], (serving.start.value, serving.stop.value)
    near = all(abs(w - c) <= step for w, c in zip(wanted, comes_to, strict=True))
    return wanted if near else comes_to


def _serving(serving: ServingPlan, to: Written) -> ServingPicture:
    """Give a serving; its thread's diameter follows from its thickness as laid.

    A round thread of diameter d, flattened to one wrap's width p, is left with the height
    (pi/4) d^2 / p, which is how the picture goes back from the outside to the core.
    """
    pitch = 1.0 / serving.wraps_per_length
    height = 0.5 * max(serving.outside.value - serving.core.value, 1e-5)
    return ServingPicture(
        name=serving.name,
        thread_colour=serving.colour,
        thread_diameter=math.sqrt(4.0 / math.pi * height * pitch),
        wrap_pitch=pitch,
        hand=serving.hand,
        kind=serving.use,
        label=to.small_estimate(serving.outside),
    )


def _eye(plan: Plan, *, is_far: bool) -> EyePicture:
    """Give the loop at one end; each leg holds half of the strands."""
    line = plan.job.line
    end = line.far_end if is_far else line.zero_end
    throat = plan.throats[1 if is_far else 0]
    if plan.laid is not None and end.thread is None:
        return laid_eye(plan, plan.laid, is_far=is_far)
    beside = _beside(plan, throat, is_far)
    # Of a yoke each loop's bundle is half of the skein, and each of its sides half of that.
    part = 0.5 if is_far and is_halved(plan.job) else 1.0
    leg = plan.bare_diameter.value * (part / 2.0) ** 0.5
    if end.thread is None:
        most = max(plan.winding.runs, key=lambda run: run.strands)
        return EyePicture(throat, plan.target.pin_diameter, leg, most.colour, served=False)
    colour = _THREAD_COLOUR
    if beside is not None:
        colour = beside.colour
        leg = beside.core.value / 2**0.5 + beside.outside.value - beside.core.value
    return EyePicture(throat, plan.target.pin_diameter, leg, colour)


def _beside(plan: Plan, throat: float, is_far: bool) -> ServingPlan | None:
    """Find the serving that runs into a throat."""
    place = plan.target.length.value - throat if is_far else throat
    for serving in plan.servings:
        if serving.start.value - _SHORTEST <= place <= serving.stop.value + _SHORTEST:
            return serving
    return None
