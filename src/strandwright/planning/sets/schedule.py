"""Schedule: a set in time, one line standing or resting while another is worked on."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from itertools import permutations

from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.planning.sets.result import Schedule, Span
from strandwright.planning.sets.tasks import is_begun, tasks_of, uncounted
from strandwright.planning.sets.winding_order import setting_step
from strandwright.planning.sets.words import source_said
from strandwright.planning.sets.working import SETTING, LineWork, end_of, hands_in, work_through
from strandwright.reference import practice

Batches = Sequence[Sequence[int]]

#: With more lines than this only one order of precedence is tried [-]
_MOST_TRIED = 4
#: Waiting that is not worth speaking of [s]
_LITTLE = 60.0
CAUTION = (
    "While one line stands under its stretch, work on another only well off its axis, with the "
    "stretched line covered; never lean or reach over it, and let no one else."
)


def make_schedule(
    plans: Sequence[Plan], done: Mapping[str, Collection[str]] | None = None
) -> Schedule:
    """Lay the lines of a set out in time, on one pair of hands.

    Parameters
    ----------
    plans : sequence of Plan
        The lines, in the order in which they are wound.
    done : mapping or None
        Ids of the steps that are behind, by job, of lines that are on the jig.

    Returns
    -------
    Schedule
        The shortest that was found.

    Notes
    -----
    Every task begins as soon as its line, its bench and where needed the hands are free; of those
    that could begin first, that of the line which goes before. Up to four lines every order of
    precedence is tried, and each line built to its end before the next; the shortest is taken. It
    is not proved to be the shortest there is. A skein stays on its posts from the winding until its
    last loop is closed; after that a line may be hung in and taken off as often as is needed.
    """
    lines = [_work_of(plan, (done or {}).get(plan.job.id, ())) for plan in plans]
    each = [[k] for k in range(len(lines))]
    one_by_one = end_of(work_through(lines, each))
    tried = permutations(range(len(lines))) if len(lines) <= _MOST_TRIED else [range(len(lines))]
    ways = [each, *([list(order)] for order in tried)]
    batches = min(ways, key=lambda way: end_of(work_through(lines, way)))
    best = work_through(lines, batches)
    waits, (total, hands) = _meanwhile(best), _spreads(lines, batches)
    row = practice("work.reading")
    return Schedule(
        spans=tuple(sorted(best, key=lambda s: (s.start, s.stop, s.job))),
        total=Estimate(end_of(best), total, "s"),
        one_by_one=one_by_one,
        hands=Estimate(hands_in(best), hands, "s"),
        said=tuple(said for _, said in waits),
        caution=CAUTION if any(wait.kind == "stretch" for wait, _ in waits) else "",
        source=f"dwells and rests are the plans'; how long work takes is {source_said(row)}",
        uncounted=tuple(dict.fromkeys(title for plan in plans for title in uncounted(plan))),
    )


def _work_of(plan: Plan, done: Collection[str]) -> LineWork:
    setting = round(plan.winding.posts_outside.value / setting_step(plan))
    tasks = tasks_of(plan, done)
    # Begun and not yet closed, it lies on its posts and no other goes there.
    lies_there = is_begun(plan, done) and any(task.closes for task in tasks)
    return LineWork(plan.job.id, plan.job.bench.name, setting, tasks, lies_there)


def _spreads(lines: Sequence[LineWork], batches: Batches) -> tuple[float, float]:
    """Standard uncertainty of the whole time and of the hands', each kind of work doubted once.

    Whoever is slow at a kind of work is so in every line. Each is tried longer and shorter by its
    own spread, in the same order of precedence.
    """
    rows = {SETTING, *(task.row for line in lines for task in line.tasks if task.row)}
    total, hands = 0.0, 0.0
    for row in sorted(rows):
        u = practice(f"work.{row}").relative_uncertainty
        longer, shorter = (work_through(lines, batches, {row: k}) for k in (1.0 + u, 1.0 - u))
        total = math.hypot(total, 0.5 * (end_of(longer) - end_of(shorter)))
        hands = math.hypot(hands, 0.5 * (hands_in(longer) - hands_in(shorter)))
    return total, hands


def _meanwhile(spans: Sequence[Span]) -> list[tuple[Span, str]]:
    """Give each wait of a line during which another is worked on, and what is done then."""
    said: list[tuple[Span, str]] = []
    for wait in sorted(spans, key=lambda s: (s.start, s.job)):
        if wait.kind == "work":
            continue
        others = [
            s
            for s in spans
            if s.job != wait.job
            and s.kind == "work"
            and s.step != "posts"
            and min(s.stop, wait.stop) - max(s.start, wait.start) >= _LITTLE
        ]
        if others:
            acts: dict[str, list[str]] = {}
            for act in sorted(others, key=lambda s: s.start):
                acts.setdefault(act.job, []).append(act.title)
            does = "rests" if wait.kind == "rest" else "stands under its stretch"
            minutes = (wait.stop - wait.start) / 60.0
            done = "; ".join(f"on {job}, {', '.join(titles)}" for job, titles in acts.items())
            said.append((wait, f"while {wait.job} {does} ({minutes:.0f} min): {done}"))
    return said
