"""Schedule: a set in time, one line standing or resting while another is worked on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import permutations

from strandwright.planning.result import Plan
from strandwright.planning.sets.result import Schedule, Span
from strandwright.planning.sets.tasks import Task, tasks_of
from strandwright.planning.sets.winding_order import setting_step
from strandwright.reference import practice

#: With more lines than this only one order of precedence is tried [-]
_MOST_TRIED = 4
#: Waiting that is not worth speaking of [s]
_LITTLE = 60.0
CAUTION = (
    "While one line stands under its stretch, work on another only well off its axis, with the "
    "stretched line covered; never lean or reach over it, and let no one else."
)


@dataclass
class _Line:
    """A line on its way through its tasks."""

    job: str
    bench: str
    setting: int
    tasks: tuple[Task, ...]
    done: int = 0
    free: float = 0.0


@dataclass
class _Shop:
    """When benches and hands are free, whose setting each bench has, whose skein stays on it."""

    hands: float = 0.0
    benches: dict[str, float] = field(default_factory=dict)
    settings: dict[str, int] = field(default_factory=dict)
    skeins: dict[str, str] = field(default_factory=dict)
    spans: list[Span] = field(default_factory=list)

    def start(self, line: _Line) -> float:
        """When a line's next task could begin, the posts set for it."""
        task = line.tasks[line.done]
        if task.kind == "rest":
            return line.free
        if self.skeins.get(line.bench, line.job) != line.job:
            return math.inf
        start = max(line.free, self.benches.get(line.bench, 0.0))
        needs_hands = task.kind == "work" or self.is_other(line)
        return max(start, self.hands) if needs_hands else start

    def is_other(self, line: _Line) -> bool:
        """Whether the posts stand for another length."""
        return self.settings.get(line.bench) != line.setting

    def take(self, line: _Line) -> None:
        """Let a line's next task be done as soon as it can."""
        task, start = line.tasks[line.done], self.start(line)
        if task.kind != "rest" and self.is_other(line):
            start = self._add(line, "posts", "set the posts", "work", start, _set_posts())
            self.settings[line.bench] = line.setting
        if task.step == "wind" and any(t.step == "loops" for t in line.tasks):
            self.skeins[line.bench] = line.job
        stop = self._add(line, task.step, task.title, task.kind, start, task.length)
        line.free, line.done = stop, line.done + 1
        if task.step == "loops":
            self.skeins.pop(line.bench, None)

    def _add(
        self, line: _Line, step: str, title: str, kind: str, start: float, length: float
    ) -> float:
        stop = start + length
        self.spans.append(Span(line.job, step, title, kind, line.bench, start, stop))
        if kind != "rest":
            self.benches[line.bench] = stop
        if kind == "work":
            self.hands = stop
        return stop


def make_schedule(plans: Sequence[Plan]) -> Schedule:
    """Lay the lines of a set out in time, on one pair of hands.

    Parameters
    ----------
    plans : sequence of Plan
        The lines, in the order in which they are wound.

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
    loops are closed; after that a line may be hung in and taken off as often as is needed.
    """
    lines = [_laid(plan) for plan in plans]
    one_by_one = _run(lines, [[k] for k in range(len(lines))])
    tried = permutations(range(len(lines))) if len(lines) <= _MOST_TRIED else [range(len(lines))]
    best = min((_run(lines, [list(order)]) for order in tried), key=_end, default=one_by_one)
    best = one_by_one if _end(one_by_one) <= _end(best) else best
    row = practice("work.reading")
    return Schedule(
        spans=tuple(sorted(best, key=lambda s: (s.start, s.stop, s.job))),
        total=_end(best),
        one_by_one=_end(one_by_one),
        hands=sum(s.stop - s.start for s in best if s.kind == "work"),
        said=tuple(said for _, said in _meanwhile(best)),
        caution=CAUTION if any(w.kind == "stretch" for w, _ in _meanwhile(best)) else "",
        source=f"dwells and rests by the plans; how long work takes: {row.kind}: {row.source}",
    )


def _laid(plan: Plan) -> tuple[str, str, int, tuple[Task, ...]]:
    setting = round(plan.winding.posts_outside.value / setting_step(plan))
    return plan.job.id, plan.job.bench.name, setting, tasks_of(plan)


def _run(
    laid: Sequence[tuple[str, str, int, tuple[Task, ...]]], batches: Sequence[Sequence[int]]
) -> list[Span]:
    """Work through batches one after the other; inside one, lines overlap by precedence."""
    shop = _Shop()
    for batch in batches:
        begun = max((s.stop for s in shop.spans), default=0.0)
        waiting = [_Line(*laid[k], free=begun) for k in batch]
        while waiting := [line for line in waiting if line.done < len(line.tasks)]:
            shop.take(min(waiting, key=shop.start))
    return shop.spans


def _end(spans: Sequence[Span]) -> float:
    return max((s.stop for s in spans), default=0.0)


def _set_posts() -> float:
    return practice("work.set_posts").value


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
            acts = "; ".join(f"{s.title}, {s.job}" for s in sorted(others, key=lambda s: s.start))
            does = "rests" if wait.kind == "rest" else "stands under its stretch"
            minutes = (wait.stop - wait.start) / 60.0
            said.append((wait, f"while {wait.job} {does} ({minutes:.0f} min): {acts}"))
    return said
