"""The winding plan of a line that is not wound: strands cut on a board, bundle by bundle."""

from __future__ import annotations

from strandwright.errors import LimitError
from strandwright.line.build import Settings
from strandwright.line.unknowns import Unknowns
from strandwright.numerics.propagation import Propagation
from strandwright.planning.estimate import Estimate
from strandwright.planning.laid.answer import Laying
from strandwright.planning.laid.cutting import colours_of, strand_mass
from strandwright.planning.laid.ends import Paths
from strandwright.planning.laid.ropes import Ropes
from strandwright.planning.prepare import Prepared
from strandwright.planning.result import ColourRun, Winding
from strandwright.planning.result.laid import CutBundle, CutList
from strandwright.planning.settings import Chosen
from strandwright.planning.winding.plan import weighing_of
from strandwright.planning.winding.weighing import Weighing, weighing_advice
from strandwright.planning.written import Written
from strandwright.units import format_length

#: Where the strands of a bundle lie from and to
BOARD = "board"


def plan_cutting(
    prepared: Prepared,
    q: Unknowns,
    chosen: Chosen,
    spread: Propagation,
    highest: float,
) -> Winding:
    """Lay out the cutting as a winding: a run is a colour of a bundle, strands cut one by one.

    Parameters
    ----------
    prepared : Prepared
        The job made ready, laid in.
    q : mapping
        Unknowns at their means, arrays of shape (1,).
    chosen : Chosen
        The settings.
    spread : Propagation
        The predicted build.
    highest : float
        Highest load the line will see, on the jig or on the bow [N]

    Returns
    -------
    Winding
        Pegs instead of posts, strands instead of rounds; no shift, no posts that give.

    Raises
    ------
    LimitError
        If the beam does not reach.
    """
    laying = Laying(Paths(Ropes(prepared), chosen))
    to = Written.on(prepared.job.paper)
    _check_beam(prepared, q, chosen.settings)
    posts, pin = chosen.settings.posts, prepared.model.bench.loop_pin
    strands = prepared.model.line.strand_count
    weighing = weighing_of(prepared, laying.cut.fibre / strands)
    runs = _runs(prepared, laying.cut, weighing)
    row = spread.index("winding_load")
    return Winding(
        posts_outside=Estimate(posts, 0.0, "m"),
        posts_centres=Estimate(posts - pin, 0.0, "m"),
        after_winding=Estimate(posts, 0.0, "m"),
        drag=float(q["drag"][0]),
        load=Estimate(float(spread.mean[row]), float(spread.second_order[row]), "N"),
        slack_passes=0,
        passes=strands,
        rounds=0.5 * strands,
        strands=strands,
        runs=runs,
        tail_hold=Estimate(0.0, 0.0, "m"),
        tail_cut=laying.tail,
        tail_place="laid in with the standing bundles",
        shift=0.0,
        weighing=weighing_advice(runs, weighing, to),
        warnings=laying.warnings(Estimate(highest, 0.0, "N"), to),
    )


def _runs(prepared: Prepared, cut: CutList, weighing: Weighing) -> tuple[ColourRun, ...]:
    """A colour's part of a bundle each: what it takes from its spool."""
    runs: list[ColourRun] = []
    plain = len(colours_of(prepared.job)) == 1
    for bundle in cut.bundles:
        first = 0
        for share in bundle.shares:
            length = sum(bundle.lengths[first : first + share.strands])
            first += share.strands
            mass = strand_mass(prepared, length).value
            u = weighing.loss_u(mass)
            runs.append(
                ColourRun(
                    name=_named(bundle, share.name, plain),
                    colour=share.colour,
                    strands=share.strands,
                    rounds=0.5 * share.strands,
                    starts_at=BOARD,
                    ends_at=BOARD,
                    thread_length=length,
                    mass=Estimate(mass, u, "kg"),
                    scale_finds_missing=weighing.finds(u),
                )
            )
    return tuple(runs)


def _named(bundle: CutBundle, colour: str, plain: bool) -> str:
    return f"bundle {bundle.number}" if plain else f"bundle {bundle.number}, {colour}"


def _check_beam(prepared: Prepared, q: Unknowns, settings: Settings) -> None:
    """Refuse a beam that is too short or too long for what the line becomes on it."""
    model, units = prepared.model, prepared.job.paper.units
    line, bench = model.line, model.bench
    load = max(prepared.loads.stretch, line.measuring_load)
    measured, pulled = (
        float(model.strain(q, at * q["gauge"])[0]) for at in (line.measuring_load, load)
    )
    # It is longest without turns, and bedded in, under the highest pull.
    bare = settings.posts * (1.0 + pulled + float(q["bedding"][0]))
    longest = max(settings.posts, bare, line.length * (1.0 + pulled - measured))
    if longest > bench.longest:
        raise LimitError(
            "bench.longest",
            format_length(bench.longest, system=units),
            f"must reach {format_length(longest, system=units)}, the stretched line",
            "use a longer beam or a closer route",
        )
    shortest = min(settings.posts, line.length)
    if shortest < bench.shortest:
        raise LimitError(
            "bench.shortest",
            format_length(bench.shortest, system=units),
            f"must come in to {format_length(shortest, system=units)}, the finished line",
            "move a post, or use another bench",
        )
