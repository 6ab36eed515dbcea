"""The winding plan: passes, rounds and strands by colour, tails and what the spool loses."""

from __future__ import annotations

import math

import numpy as np

from strandwright.errors import LimitError
from strandwright.line.build import Settings
from strandwright.line.model import LineModel, Unknowns
from strandwright.line.parts import Serving, ServingKind
from strandwright.line.serving_geometry import ServedSpan, served_span, tail_length_to_hold
from strandwright.numerics.propagation import Propagation
from strandwright.planning.estimate import Estimate
from strandwright.planning.prepare import Prepared, si
from strandwright.planning.result import ColourRun, Winding
from strandwright.planning.servings_plan import estimate
from strandwright.units import INCH, format_length
from strandwright.workshop.parts import ColourStrands

#: Tails are left this many times as long as would just hold at the far end of its +-: serving
#: pressure fades as the core settles; estimate of good practice [-]
TAIL_MARGIN = 2.5
#: Spread of the holding length: friction and pressure known to about half [-]
TAIL_SPREAD = 0.4
#: Smallest step of a scale where the job names none: 0.1 g [kg]
DEFAULT_SCALE = 1.0e-4


def tail_serving(model: LineModel) -> int | None:
    """Give the serving that tails and colour changes belong under: the longest end serving.

    Parameters
    ----------
    model : LineModel
        The line.

    Returns
    -------
    int or None
        Its index; None where the line has no servings.
    """
    servings = model.line.servings
    if not servings:
        return None
    ends = [i for i, s in enumerate(servings) if s.kind is ServingKind.END]
    return max(ends or range(len(servings)), key=lambda i: servings[i].length)


def tail_to_hold(
    model: LineModel, q: Unknowns, span: ServedSpan, serving: Serving, highest: float
) -> Estimate:
    """Length of tail under a serving that just holds one strand at the highest load.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (1,).
    span : ServedSpan
        The serving.
    serving : Serving
        Its thread.
    highest : float
        Highest load the line will see, on the jig or on the bow [N]

    Returns
    -------
    Estimate
        Length [m]
    """
    top = highest / model.line.strand_count
    width = float(model.core_diameter(q, served=True)[0]) / math.sqrt(model.line.strand_count)
    hold = tail_length_to_hold(span, top, width, model.stock.friction, serving.thread.friction)
    value = float(np.ravel(hold)[0])
    return Estimate(value, TAIL_SPREAD * value, "m")


def _tails(
    model: LineModel, q: Unknowns, highest: float
) -> tuple[Estimate, float, str, float]:
    """Tail that holds, tail to cut, where it belongs, and the shift of the skein."""
    index = tail_serving(model)
    if index is None:
        return Estimate(0.0, 0.0, "m"), 12.0 * INCH, "no serving to bury them under: tie off", 0.0
    serving = model.line.servings[index]
    span = served_span(
        model.core_diameter(q, served=True),
        serving.thread.diameter,
        serving.thread.flattening,
        serving.thread.tension,
    )
    hold = tail_to_hold(model, q, span, serving, highest)
    cut = math.ceil(TAIL_MARGIN * (hold.value + hold.u95) / (0.5 * INCH)) * 0.5 * INCH
    if cut > serving.length:
        cut = serving.length
    near = serving.start < 0.5 * model.line.length
    loop = model.line.zero if near else model.line.far
    shift = 0.5 * loop.perimeter + 0.5 * max(serving.length - cut, 0.0)
    return hold, cut, serving.name, shift


def _colours(prepared: Prepared) -> tuple[ColourStrands, ...]:
    colours = prepared.job.makeup.colours
    if colours:
        return colours
    return (
        ColourStrands(name="all", colour="#8A8172", strands=prepared.job.makeup.strands),
    )


def plan_winding(
    prepared: Prepared, q: Unknowns, settings: Settings, spread: Propagation, highest: float
) -> Winding:
    """Lay out the winding.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    q : mapping
        Unknowns at their means, arrays of shape (1,).
    settings : Settings
        Post setting, turns, marks.
    spread : Propagation
        The predicted build.
    highest : float
        Highest load the line will see, on the jig or on the bow [N]

    Returns
    -------
    Winding
        The winding plan.

    Raises
    ------
    LimitError
        If the beam does not reach from the shortest to the longest the line becomes.
    """
    model = prepared.model
    bench = model.bench
    hold, cut, place, shift = _tails(model, q, highest)
    skein = model.wound(q, settings.posts)
    natural = float(skein.natural_loop[0])
    approach = estimate(spread, "approach", "m")
    _check_beam(prepared, q, settings, natural)
    runs = _runs(prepared, 0.5 * natural, cut)
    passes = model.line.strand_count
    return Winding(
        posts_outside=Estimate(settings.posts, 0.0, "m"),
        posts_centres=settings.posts - 0.5 * (bench.zero_post + bench.far_post),
        after_winding=Estimate(settings.posts - approach.value, approach.u, "m"),
        drag=float(q["drag"][0]),
        load=estimate(spread, "winding_load", "N"),
        slack_passes=int(skein.slack_passes[0]),
        passes=passes,
        rounds=0.5 * passes,
        strands=passes,
        runs=runs,
        tail_hold=hold,
        tail_cut=cut,
        tail_place=place,
        shift=shift,
    )


def _runs(prepared: Prepared, half_round: float, tail: float) -> tuple[ColourRun, ...]:
    """Colours in order: where each starts and ends, and what it takes from the spool."""
    stock = prepared.model.stock
    density = prepared.strand.datum("linear_density")
    step = si(prepared.job.bench.scale_reads, DEFAULT_SCALE)
    ends = ("zero post", "far post")
    at, runs = 0, []
    for colour in _colours(prepared):
        stop = (at + colour.strands) % 2
        length = colour.strands * half_round + 2.0 * tail
        strand_mass = half_round * stock.linear_density * (1.0 + stock.wax)
        mass = length * stock.linear_density * (1.0 + stock.wax)
        u = float(np.hypot(mass * density.relative_uncertainty, step / math.sqrt(6.0)))
        runs.append(
            ColourRun(
                name=colour.name,
                colour=colour.colour,
                strands=colour.strands,
                rounds=0.5 * colour.strands,
                starts_at=ends[at],
                ends_at=ends[stop],
                thread_length=length,
                mass=Estimate(mass, u, "kg"),
                scale_finds_missing=strand_mass > 2.0 * u,
            )
        )
        at = stop
    return tuple(runs)


def _check_beam(prepared: Prepared, q: Unknowns, settings: Settings, natural: float) -> None:
    """Refuse a beam that is too short or too long for what the line becomes on it."""
    model, units = prepared.model, prepared.job.paper.units
    strain = model.strain(q, max(s.highest_load for s in model.route.stages) * q["gauge"])
    stretched = float(model.posts(q).outside(natural * (1.0 + strain[0] + q["bedding"][0]))[0])
    longest = max(settings.posts, stretched)
    if longest > model.bench.longest:
        raise LimitError(
            "bench.longest",
            format_length(model.bench.longest, system=units),
            f"must reach {format_length(longest, system=units)}, the stretched skein",
            "use a longer beam or a closer route",
        )
    shortest = min(settings.posts, model.line.length)
    if shortest < model.bench.shortest:
        raise LimitError(
            "bench.shortest",
            format_length(model.bench.shortest, system=units),
            f"must come in to {format_length(shortest, system=units)}, the finished line",
            "move a post, or use another bench",
        )
