"""Paces: how much longer or shorter than practice this shop takes at each kind of work."""

from __future__ import annotations

from collections.abc import Sequence
from weakref import WeakKeyDictionary

from strandwright.planning.desk.builds import Desk
from strandwright.planning.queue.tasks import SETTING
from strandwright.planning.quote.labour import NEWEST, timed_builds
from strandwright.planning.quote.pace import TimedBuild, pace_of
from strandwright.planning.result import Plan
from strandwright.planning.sets.tasks import tasks_of, time_of

_Read = tuple[tuple[str, ...], tuple[TimedBuild, ...]]
_read: WeakKeyDictionary[Desk, _Read] = WeakKeyDictionary()
#: Finer than this no pace is known; so the queue stays as it is while nothing was learned [-]
_FINE = 3


def shop_paces(desk: Desk, plans: Sequence[Plan]) -> dict[str, dict[str, float]]:
    """Give how much longer than practice each kind of work takes, by whose hands build each line.

    Parameters
    ----------
    desk : Desk
        The desk, with its finished builds.
    plans : sequence of Plan
        The lines.

    Returns
    -------
    dict
        By job and row of practice; 1 where nothing was learned [-]
    """
    rows = {plan.job.id: _rows(plan) for plan in plans}
    every = sorted({row for mine in rows.values() for row in mine})
    pace = pace_of(_timed(desk), every)
    found: dict[str, dict[str, float]] = {}
    by_hand: dict[str, dict[str, float]] = {}
    for plan in plans:
        builder = plan.job.builder.strip()
        if builder not in by_hand:
            times, _ = pace.minutes([(row, 1.0) for row in every], builder)
            by_hand[builder] = {
                row: round(time.value / time_of(row), _FINE)
                for row, time in zip(every, times, strict=True)
            }
        found[plan.job.id] = by_hand[builder]
    return found


def _rows(plan: Plan) -> frozenset[str]:
    return frozenset({SETTING, *(one.row for one in tasks_of(plan) if one.row)})


def _timed(desk: Desk) -> tuple[TimedBuild, ...]:
    """Times of the finished builds, read again only when another one was finished."""
    done = tuple(row.id for row in desk.store.listings("build", status="done", limit=NEWEST))
    if desk not in _read or _read[desk][0] != done:
        _read[desk] = done, timed_builds(desk.store, desk.planner)
    return _read[desk][1]
