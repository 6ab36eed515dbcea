"""Watching: what a line does while it stands under a load, apart from what the bench does.

A strap gives more than a line does. Each look at the standing line gives its load and, where they
were read, the distance of the posts and the temperature; the line's length *at one load* is

.. math:: \\ell_i = P_i - \\bigl(L(F_i) - L(F)\\bigr) - (\\alpha_l - \\alpha_t)\\,L\\,(T_i - T_1)

with P the distance of the posts by the tape, L(F) the elastic line of the model, and the
expansions of line and tape. Settling is judged on that length, never on a load. Without the posts
only the sum of line and bench is left, and it is called so:

.. math:: s_i = -\\bigl(L(F_i) - L(F)\\bigr) - (\\alpha_l - \\alpha_b)\\,L\\,(T_i - T_1)
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from strandwright.fibre.settling import CREEP_START
from strandwright.planning.estimate import Estimate
from strandwright.planning.watching.parts import Floats, Look, Settled, Standing, Watch
from strandwright.statistics.log_time import LogTimeFit, fit_log_time

#: Asked ahead: what so much longer under load would give [s]
SOON = 600.0
#: What lies ahead may differ from log-time by this share of it: settling is not quite straight in
#: it. An estimate, no source; elements of minutes to hours at an invented bench bear it out [-]
LAW = 0.2
#: A load that rose by more than this many of its standard deviations was pulled up [-]
PULLED_UP = 3.0


def judge(looks: Sequence[Look], standing: Standing, ahead: float, limit: float) -> Watch:
    """Judge from the looks at a standing line whether it still moves.

    Parameters
    ----------
    looks : sequence of Look
        In order of time; one at the least.
    standing : Standing
        Line and bench, arrays in the order of the looks.
    ahead : float
        Time under load from the last look until the proof [s]
    limit : float
        Change of length that matters [m]

    Returns
    -------
    Watch
        Curve, rate, what is still to come, and the verdict.
    """
    used, joint = _used(looks)
    curve = _curve(looks, standing, used, joint=joint)
    times = np.array([looks[i].at for i in used])
    fit = fit_log_time(times, curve.lengths, curve.own, curve.common, start=CREEP_START)
    pulled = bool(_rises(looks))
    if fit is None:
        shown = curve.lengths - curve.lengths[0]
        spreads = np.sqrt(curve.own)
        few = Settled.FEW
        return Watch(tuple(looks), used, shown, spreads, None, few, joint, pulled_up=pulled)
    last = float(times[-1])
    to_come = _ahead(fit, last, ahead)
    room = fit.operator[1] @ curve.room
    return Watch(
        looks=tuple(looks),
        used=used,
        lengths=curve.lengths - fit.at(times[:1])[0][0],
        spreads=np.sqrt(curve.own),
        fit=fit,
        verdict=Settled.JOINT if joint else _verdict(to_come, limit),
        is_joint=joint,
        rate=Estimate(fit.slope, math.sqrt(fit.covariance[1, 1]), "m"),
        soon=_ahead(fit, last, SOON),
        to_come=to_come,
        limit=limit,
        bench_share=None if joint or pulled else _bench_share(looks, standing, used, fit),
        room_part=abs(float(room)),
        budget=_budget(curve, fit),
        pulled_up=pulled,
    )


def _ahead(fit: LogTimeFit, last: float, longer: float) -> Estimate:
    """What so much longer will bring, with what the law itself leaves open."""
    change, u = fit.change(last, last + longer)
    return Estimate(change, math.hypot(u, LAW * change), "m")


@dataclass(frozen=True, eq=False)
class _Curve:
    """Lengths at one load, their own variances, and the covariance of what they share."""

    lengths: Floats
    own: Floats
    common: Floats
    room: Floats
    causes: dict[str, Floats]


def _curve(
    looks: Sequence[Look], standing: Standing, used: tuple[int, ...], *, joint: bool
) -> _Curve:
    """Bring the looks to one load and one temperature."""
    rows = list(used)
    mine = [looks[i] for i in rows]
    over = standing.beam if joint else standing.tape
    expansion = (standing.line[0] - over[0]) * standing.length
    warmer, warmer_u, is_read = _warmth(mine, standing.room)
    posts = np.array([(0.0 if joint else look.posts or 0.0) for look in mine])
    lengths = posts - standing.stretch[rows] - expansion * warmer
    per_load = standing.per_load[rows]
    posts_u = np.array([0.0 if joint else look.posts_u for look in mine])
    loads_u = per_load * [look.own for look in mine]
    own = posts_u**2 + loads_u**2 + (expansion * warmer_u) ** 2
    shared = per_load * [look.common for look in mine]
    unsure = math.hypot(standing.line[1], over[1]) * standing.length * warmer
    room = np.zeros(len(rows)) if is_read else expansion * standing.room * _drift(mine)
    stretch = standing.stretch_covariance[np.ix_(rows, rows)]
    common = stretch + sum(np.outer(each, each) for each in (shared, unsure, room))
    causes = {
        "reading the posts": np.diag(posts_u**2),
        "reading the load": np.diag(loads_u**2) + np.outer(shared, shared),
        "how far the line stretches by load": stretch,
        "the temperature": np.diag((expansion * warmer_u) ** 2)
        + np.outer(unsure, unsure)
        + np.outer(room, room),
    }
    return _Curve(lengths, own, common, room, causes)


def _budget(curve: _Curve, fit: LogTimeFit) -> tuple[tuple[str, float], ...]:
    """What makes the rate's +-, largest first; the scatter as stated, before it is widened."""
    row = fit.operator[1]
    parts = {cause: float(row @ spread @ row) for cause, spread in curve.causes.items()}
    whole = sum(parts.values()) or 1.0
    shares = ((cause, part / whole) for cause, part in parts.items())
    return tuple(sorted(shares, key=lambda share: -share[1]))


def _used(looks: Sequence[Look]) -> tuple[tuple[int, ...], bool]:
    """Looks that count, and whether they tell line and bench together only.

    Those with posts, where two moments have them; else all since the load was last pulled up,
    for a single look at the posts tells no travel.
    """
    read = tuple(i for i, look in enumerate(looks) if look.posts is not None)
    if len({looks[i].at for i in read}) > 1:
        return read, False
    return tuple(range(max(_rises(looks), default=0), len(looks))), True


def _rises(looks: Sequence[Look]) -> list[int]:
    """Looks before which the load was pulled up."""
    return [
        i
        for i, (before, after) in enumerate(pairwise(looks), start=1)
        if math.log(after.load / before.load) > PULLED_UP * math.hypot(before.own, after.own)
    ]


def _warmth(looks: Sequence[Look], room: float) -> tuple[Floats, Floats, bool]:
    """Degrees since the first look with their own +-, and whether a change of them was read."""
    read = [(look.at, look.temperature) for look in looks if look.temperature is not None]
    if len(read) < 2:
        return np.zeros(len(looks)), np.zeros(len(looks)), False
    times, degrees = np.array(read).T
    all_degrees = np.interp([look.at for look in looks], times, degrees)
    spread = [room if look.temperature is None else look.temperature_u for look in looks]
    return all_degrees - all_degrees[0], np.array(spread), True


def _drift(looks: Sequence[Look]) -> Floats:
    """How a room would drift that looks like settling the most: from 0 at first to 1 at last."""
    logs = np.log10(1.0 + np.array([look.at for look in looks]) / CREEP_START)
    span = float(np.ptp(logs))
    return (logs - logs[0]) / span if span > 0.0 else np.zeros(len(logs))


def _verdict(to_come: Estimate, limit: float) -> Settled:
    if to_come.value + to_come.u95 <= limit:
        return Settled.SETTLED
    return Settled.MOVING if to_come.value - to_come.u95 > limit else Settled.UNSURE


def _bench_share(
    looks: Sequence[Look], standing: Standing, used: tuple[int, ...], fit: LogTimeFit
) -> Estimate | None:
    """Share of the load's fall that came of the posts coming together; None where none is sure.

    Both are laid over the same log-time as the length: so the shares of bench, line and warmth
    add up to the whole.
    """
    rows, row = list(used), fit.operator[1]
    travel = float(row @ [looks[i].posts or 0.0 for i in rows])
    travel_u = fit.widened * math.sqrt(sum((row * [looks[i].posts_u for i in rows]) ** 2))
    let_go = float(row @ standing.stretch[rows])
    own = standing.per_load[rows] * [looks[i].own for i in rows]
    shared = standing.per_load[rows] * [looks[i].common for i in rows]
    spread = np.diag(own**2) * fit.widened**2 + np.outer(shared, shared)
    spread = spread + standing.stretch_covariance[np.ix_(rows, rows)]
    let_go_u = math.sqrt(float(row @ spread @ row))
    if let_go > -2.0 * let_go_u:
        return None
    share = travel / let_go
    return Estimate(share, math.hypot(travel_u, share * let_go_u) / abs(let_go), "1")
