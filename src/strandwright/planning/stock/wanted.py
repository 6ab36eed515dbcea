"""What lines want from the shelf: their colours in whole rounds, and which spools give them."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from strandwright.planning.desk.jobs import JobDesk
from strandwright.planning.result import Plan
from strandwright.planning.sets.cutting import cut_list, strands_of
from strandwright.planning.stock.page import every_listing
from strandwright.planning.stock.spools import Demand, SpoolAtHand, SpoolChoice, choose_spools
from strandwright.planning.stock.words import feet
from strandwright.reference import practice
from strandwright.workshop.documents import Listing
from strandwright.workshop.wares import Ware

Table = dict[str, Any]
#: Fewer uses of its own than this say too little of the shortest length a shop uses [-]
_FEWEST_USES = 20


@dataclass(frozen=True)
class Wanted:
    """What one line wants of one ware.

    Attributes
    ----------
    demand : Demand
        In whole rounds.
    job : str
        The line.
    colour : str
        The colour's own name.
    ware : Ware
        The ware.
    lot : str
        Lot the job asks for; empty where it does not.
    """

    demand: Demand
    job: str
    colour: str
    ware: Ware
    lot: str


def wanted_by(plans: Sequence[Plan]) -> tuple[Wanted, ...]:
    """Give what lines want of strands and threads.

    Parameters
    ----------
    plans : sequence of Plan
        The lines, in the order of winding.

    Returns
    -------
    tuple of Wanted
        Colour by colour of each line, then its threads; what is cut or laid by hand, and thread,
        is not parted: it is one round.
    """
    return tuple(found for plan in plans for found in (*_strands(plan), *_threads(plan)))


def _strands(plan: Plan) -> Iterator[Wanted]:
    makeup = plan.job.makeup
    runs = {} if plan.laid is not None else {run.name: run for run in plan.winding.runs}
    for strand in strands_of(plan):
        if strand.length <= 0.0:
            continue
        name = strand.name.removesuffix(", strap")
        ware = Ware(kind="strand", name=makeup.strand, colour=strand.colour.upper())
        key = f"{plan.job.id} {strand.name}"
        run = runs.get(strand.name)
        if run is None:
            demand = Demand(key, ware.key, 1, strand.length)
        else:
            start = 2.0 * plan.winding.tail_cut
            # Two passes from post to post make a round; of an odd number half a round is spare.
            each = 2.0 * (run.thread_length - start) / run.strands
            demand = Demand(key, ware.key, math.ceil(run.strands / 2), each, start)
        yield Wanted(demand, plan.job.id, name, ware, makeup.lot.strip())


def _threads(plan: Plan) -> Iterator[Wanted]:
    for cut in cut_list([plan]).threads:
        if cut.length.value <= 0.0:
            continue
        ware = Ware(kind="thread", name=cut.thread, colour=cut.colour.upper())
        most = cut.length.value + cut.length.u95
        demand = Demand(f"{plan.job.id} thread {cut.thread} {cut.colour}", ware.key, 1, most)
        yield Wanted(demand, plan.job.id, "", ware, "")


def useful_length(rows: Iterable[Listing]) -> float:
    """Give the shortest length on a spool that is still of use.

    Parameters
    ----------
    rows : iterable of Listing
        Every spool.

    Returns
    -------
    float
        What nine of ten uses of strand in this shop took at least; what is told in the trade
        where it has fewer than twenty [m]
    """
    lengths = sorted(
        use["length"]
        for row in rows
        if (row.summary["ware"] or {}).get("kind") == "strand"
        for use in row.summary["uses"]
        if use["length"] > 0.0 and not use["why"]
    )
    if len(lengths) < _FEWEST_USES:
        return practice("stock.useful").value
    return lengths[len(lengths) // 10]


def spools_for(
    desk: JobDesk, jobs: Sequence[str], *, may_mix: bool = False
) -> tuple[tuple[Wanted, ...], SpoolChoice]:
    """Choose the spools that jobs are wound from.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    jobs : sequence of str
        The jobs, in the order of winding: the lines of a set.
    may_mix : bool
        Whether one colour may come from several lots where one does not suffice.

    Returns
    -------
    (tuple of Wanted, SpoolChoice)
        What they want, and where it comes from.

    Raises
    ------
    InputError
        If a job cannot be planned, or the solver is not installed.
    NotFound
        If there is no such job.
    """
    wanted = wanted_by([desk.plan(desk.job(id).job) for id in jobs])
    rows = [r for r in every_listing(desk.store, ("spool",)) if r.status == "at hand"]
    lots = {w.ware.key: w.lot for w in wanted if w.lot}
    here = [
        _at_hand(r, jobs) for r in rows if lots.get(r.summary["key"]) in (None, r.summary["lot"])
    ]
    keys = {w.ware.key for w in wanted}
    spools = [s for s in here if s.ware in keys]
    return wanted, choose_spools(
        [w.demand for w in wanted], spools, useful_length(rows), may_mix=may_mix
    )


def _at_hand(row: Listing, jobs: Sequence[str]) -> SpoolAtHand:
    """Give a spool with what is free, and what is promised to these very jobs."""
    own = sum(r["length"] for r in row.summary["reserved"] if r["job"] in jobs)
    sure = max(row.summary["left"] - 2.0 * row.summary["left_u"], 0.0)
    free = min(row.summary["free"] + own, sure)
    return SpoolAtHand(row.id, row.summary["key"], row.summary["lot"], free, row.summary["opened"])


def choice_data(desk: JobDesk, wanted: Sequence[Wanted], choice: SpoolChoice) -> Table:
    """Give a choice of spools as plain values.

    Parameters
    ----------
    desk : JobDesk
        The desk.
    wanted : sequence of Wanted
        What was wanted.
    choice : SpoolChoice
        Where it comes from.

    Returns
    -------
    dict
        ``lines`` with their ``pieces``, ``remnants``, ``goals`` with their bounds, ``said``.
    """
    rows = {r.id: r for r in every_listing(desk.store, ("spool",))}
    lines = []
    for one in wanted:
        pieces = [p for p in choice.pieces if p.demand == one.demand.name]
        missing = choice.missing.get(one.demand.name, 0)
        lines.append(
            {
                "job": one.job,
                "ware": one.ware.model_dump(mode="json", exclude_defaults=True),
                "label": one.ware.label,
                "name": one.colour,
                "rounds": one.demand.rounds,
                "missing": missing,
                "missing_text": feet(missing * one.demand.round_length) if missing else "",
                "pieces": [
                    {
                        "spool": p.spool,
                        "lot": rows[p.spool].summary["lot"],
                        "place": rows[p.spool].summary["place"],
                        "rounds": p.rounds,
                        "length_m": p.length,
                        "text": feet(p.length),
                    }
                    for p in pieces
                ],
            }
        )
    return {
        "lines": lines,
        "remnants": [
            {"spool": id, "lot": rows[id].summary["lot"], "left_m": left, "text": feet(left)}
            for id, left in choice.remnants.items()
        ],
        "goals": [
            {"name": g.name, "value": g.value, "bound": g.bound, "unit": g.unit}
            for g in choice.goals
        ],
        "proved": choice.is_proved,
        "said": _said(choice),
    }


def _said(choice: SpoolChoice) -> str:
    """Say how good the choice is."""
    if choice.missing:
        return "Not all of it is at hand from one lot: order what is missing, or mix lots."
    if choice.is_proved:
        return "All of it is at hand, and no other choice is better."
    open_goals = [g.name for g in choice.goals if g.bound < g.value]
    return f"All of it is at hand; a better choice may exist in: {', '.join(open_goals)}."
