"""Winding order: the order in which a set's lines are wound with the least to be changed.

Exact: of all orders the one that costs least time, found by dynamic programming over which lines
are wound already and which was the last (Held and Karp's way to the shortest round).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from strandwright.planning.result import Plan
from strandwright.planning.sets.result import BenchOrder
from strandwright.planning.sets.words import source_said
from strandwright.planning.written import FINEST_SETTING
from strandwright.reference import practice
from strandwright.units import INCH

Spool = tuple[str, str, str, str]

#: Travel is compared to this [m], so that orders which move the posts alike tie
_FINE = 1e-5


@dataclass(frozen=True)
class Stop:
    """A line as it is wound: where the posts stand, which spools come first and last.

    Attributes
    ----------
    job : str
        Id of its job.
    posts : float
        Post setting, outside to outside [m]
    setting : int
        The same in steps of the shop's tape [-]
    first, last : tuple of str
        Fibre, lot and colour of the first and last spool.
    length : float
        Finished length [m]
    """

    job: str
    posts: float
    setting: int
    first: Spool
    last: Spool
    length: float


def setting_step(plan: Plan) -> float:
    """Step to which posts are set.

    Parameters
    ----------
    plan : Plan
        A line.

    Returns
    -------
    float
        Step [m]
    """
    paper = plan.job.paper
    return INCH / max(paper.fraction, FINEST_SETTING) if paper.units == "in" else 0.0005


def stop_of(plan: Plan) -> Stop:
    """Give a line as the order of winding sees it.

    Parameters
    ----------
    plan : Plan
        The line.

    Returns
    -------
    Stop
        The line.
    """
    makeup, posts = plan.job.makeup, plan.winding.posts_outside.value
    spools: list[Spool] = [
        (makeup.strand, makeup.lot.strip(), run.name, run.colour.upper())
        for run in plan.winding.runs
    ]
    setting = round(posts / setting_step(plan))
    return Stop(plan.job.id, posts, setting, spools[0], spools[-1], plan.target.length.value)


def winding_orders(plans: Sequence[Plan]) -> tuple[BenchOrder, ...]:
    """Find the order of winding on each bench of a set.

    Parameters
    ----------
    plans : sequence of Plan
        The lines.

    Returns
    -------
    tuple of BenchOrder
        By the bench's name; a line that is laid in by hand is not wound.
    """
    benches: dict[str, list[Stop]] = {}
    for plan in plans:
        if plan.laid is not None:
            continue
        benches.setdefault(plan.job.bench.name, []).append(stop_of(plan))
    return tuple(order_on(bench, stops) for bench, stops in sorted(benches.items()))


def order_on(bench: str, stops: Sequence[Stop]) -> BenchOrder:
    """Find the order of winding on one bench.

    Parameters
    ----------
    bench : str
        Its name.
    stops : sequence of Stop
        The lines, each of a job of its own.

    Returns
    -------
    BenchOrder
        The order, and what the costliest would have cost. Of orders that cost the same, the one
        that moves the posts less far, then the one with the longest line first.
    """
    stops = sorted(stops, key=lambda s: (-s.length, s.job))
    best = [stops[i] for i in _best_path(stops, 1)]
    worst = [stops[i] for i in _best_path(stops, -1)]
    (time, travel), (worst_time, worst_travel) = _cost(best), _cost(worst)
    groups: dict[int, list[str]] = {}
    for stop in best:
        groups.setdefault(stop.setting, []).append(stop.job)
    row = practice("work.set_posts")
    return BenchOrder(
        bench=bench,
        jobs=tuple(stop.job for stop in best),
        posts=tuple(stop.posts for stop in best),
        together=tuple(tuple(jobs) for jobs in groups.values() if len(jobs) > 1),
        moves=_moves(best),
        travel=travel,
        spool_changes=_changes(best),
        time=time,
        worst_moves=_moves(worst),
        worst_spool_changes=_changes(worst),
        worst_travel=worst_travel,
        saves=worst_time - time,
        source=source_said(row),
    )


def _moves(order: Sequence[Stop]) -> int:
    return sum(a.setting != b.setting for a, b in pairwise(order))


def _changes(order: Sequence[Stop]) -> int:
    return sum(a.last != b.first for a, b in pairwise(order))


def _cost(order: Sequence[Stop]) -> tuple[float, float]:
    """Time [s] and travel [m] of an order."""
    time = _moves(order) * practice("work.set_posts").value
    time += _changes(order) * practice("work.change_spool").value
    return time, sum(_travel(a, b) for a, b in pairwise(order))


def _travel(a: Stop, b: Stop) -> float:
    return 0.0 if a.setting == b.setting else abs(a.posts - b.posts)


def _best_path(stops: Sequence[Stop], sign: int) -> tuple[int, ...]:
    """Cheapest path through all stops (costliest for sign -1), ties by the order given.

    Costs are whole numbers, so that a tie is one.
    """
    set_posts, change = (
        round(practice(f"work.{name}").value) for name in ("set_posts", "change_spool")
    )

    def step(a: int, b: int) -> tuple[int, int]:
        one, other = stops[a], stops[b]
        time = set_posts * (one.setting != other.setting) + change * (one.last != other.first)
        return sign * time, sign * round(_travel(one, other) / _FINE)

    between = [[step(a, b) for b in range(len(stops))] for a in range(len(stops))]
    found = {(1 << i, i): ((0, 0), (i,)) for i in range(len(stops))}
    for _ in range(len(stops) - 1):
        ahead: dict[tuple[int, int], tuple[tuple[int, int], tuple[int, ...]]] = {}
        for (done, last), (cost, path) in found.items():
            for i in range(len(stops)):
                if done >> i & 1:
                    continue
                more = between[last][i]
                here = ((cost[0] + more[0], cost[1] + more[1]), (*path, i))
                key = (done | 1 << i, i)
                if key not in ahead or here < ahead[key]:
                    ahead[key] = here
        found = ahead
    return min(found.values())[1]
