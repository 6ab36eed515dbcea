"""The winding plan: passes, rounds and strands by colour, tails and what the spool loses."""

from __future__ import annotations

import math

import numpy as np

from strandwright.errors import LimitError
from strandwright.fibre.evenness import share_load, wound_lengths
from strandwright.line.build import Settings
from strandwright.line.model import LineModel
from strandwright.line.unknowns import Unknowns
from strandwright.line.winding import WoundSkein
from strandwright.numerics.propagation import Propagation
from strandwright.planning.estimate import Estimate
from strandwright.planning.line_of_job import si
from strandwright.planning.prepare import Prepared
from strandwright.planning.result import ColourRun, Winding
from strandwright.planning.servings.plan import estimate
from strandwright.planning.servings.tails import plan_tails
from strandwright.planning.strand_stock import DEFAULT_SCALE, WAX_SPREAD
from strandwright.planning.strength.margins import highest_pull
from strandwright.planning.winding.weighing import Weighing, weighing_advice
from strandwright.planning.written import Written
from strandwright.units import format_length
from strandwright.workshop.parts import ColourStrands


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
    to = Written.on(prepared.job.paper)
    tails = plan_tails(model, q, spread, _tail_ends(prepared), highest, to)
    skein = model.wound(q, settings.posts)
    natural = float(skein.natural_loop[0])
    approach = estimate(spread, "approach", "m")
    _check_beam(prepared, q, settings, natural)
    weighing = weighing_of(prepared, 0.5 * natural)
    runs = _runs(prepared, 0.5 * natural, tails.cut, weighing)
    passes = model.line.strand_count
    half_posts = 0.5 * (bench.zero_post + bench.far_post)
    return Winding(
        posts_outside=Estimate(settings.posts, 0.0, "m"),
        posts_centres=Estimate(settings.posts - half_posts, 0.0, "m"),
        after_winding=Estimate(settings.posts - approach.value, approach.u, "m"),
        drag=float(q["drag"][0]),
        load=estimate(spread, "winding_load", "N"),
        slack_passes=int(skein.slack_passes[0]),
        passes=passes,
        rounds=0.5 * passes,
        strands=passes,
        runs=runs,
        tail_hold=tails.hold,
        tail_cut=tails.cut,
        tail_place=tails.place,
        shift=tails.shift,
        tightest=tightest_strand(model, q, skein),
        weighing=weighing_advice(runs, weighing, to),
        warnings=tails.warnings,
    )


def tightest_strand(model: LineModel, q: Unknowns, skein: WoundSkein) -> float:
    """Tension of the tightest strand over the mean at the measuring load, as wound.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns at their means, arrays of shape (1,).
    skein : WoundSkein
        The skein just wound, arrays of shape (1,).

    Returns
    -------
    float
        Ratio before the skein is evened out; 1 where the posts do not give [-]
    """
    lengths = wound_lengths(0.5 * skein.natural_loop, skein.spread, model.line.strand_count)
    load = np.full_like(skein.spread, model.line.measuring_load)
    return float(share_load(lengths, q["stiffness"], load).greatest[0])


def _tail_ends(prepared: Prepared) -> list[bool]:
    """Where each colour's tails lie: False at the zero post, True at the far one."""
    laid = np.cumsum([0, *(c.strands for c in _colours(prepared))])
    return [bool(n % 2) for n in laid]


def weighing_of(prepared: Prepared, half_round: float) -> Weighing:
    """What is known when the spools are weighed.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    half_round : float
        Strand from post to post [m]

    Returns
    -------
    Weighing
        Strand and scale.
    """
    strand = prepared.strand
    density, stock = strand.datum("linear_density"), strand.stock
    waxed = stock.linear_density * (1.0 + stock.wax)
    relative = math.hypot(density.relative_uncertainty, WAX_SPREAD / (1.0 + stock.wax))
    step = si(prepared.job.bench.scale_reads, DEFAULT_SCALE)
    return Weighing(half_round * waxed, half_round, relative, step)


def _runs(
    prepared: Prepared, half_round: float, tail: float, weighing: Weighing
) -> tuple[ColourRun, ...]:
    """Colours in order: where each starts and ends, and what it takes from the spool."""
    ends = ("zero post", "far post")
    at, runs = 0, []
    for colour in _colours(prepared):
        stop = (at + colour.strands) % 2
        length = colour.strands * half_round + 2.0 * tail
        mass = length / half_round * weighing.strand_mass
        u = weighing.loss_u(mass)
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
                scale_finds_missing=weighing.finds(u),
            )
        )
        at = stop
    return tuple(runs)


def _check_beam(prepared: Prepared, q: Unknowns, settings: Settings, natural: float) -> None:
    """Refuse a beam that is too short or too long for what the line becomes on it."""
    model, units = prepared.model, prepared.job.paper.units
    line, twisted = model.line, model.route.stage("proof").highest_twisted
    skein, closed, measured = (
        float(model.strain(q, load * q["gauge"])[0])
        for load in (highest_pull(prepared)[1], max(twisted, line.measuring_load),
                     line.measuring_load)
    )  # fmt: skip
    stretched = float(model.posts(q).outside(natural * (1.0 + skein + q["bedding"][0]))[0])
    longest = max(settings.posts, stretched, line.length * (1.0 + closed - measured))
    if longest > model.bench.longest:
        raise LimitError(
            "bench.longest",
            format_length(model.bench.longest, system=units),
            f"must reach {format_length(longest, system=units)}, the stretched line",
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
