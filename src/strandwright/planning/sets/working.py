"""Working: the tasks of several lines, worked through on their benches by one pair of hands."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

from strandwright.planning.sets.result import Span
from strandwright.planning.sets.tasks import Task, time_of

#: Row of practice for setting the posts, without ``work.``
SETTING = "set_posts"


@dataclass(frozen=True)
class LineWork:
    """What is to be done for one line.

    Attributes
    ----------
    job, bench : str
        Id of its job, name of its bench.
    setting : int
        Where the posts stand for it, in steps of the shop's tape [-]
    tasks : tuple of Task
        In their order.
    lies_there : bool
        Whether its skein lies on the posts of its bench already, set for it.
    """

    job: str
    bench: str
    setting: int
    tasks: tuple[Task, ...]
    lies_there: bool = False

    def scaled(self, factors: Mapping[str, float]) -> LineWork:
        """Give the same with some kinds of work taking longer or shorter.

        Parameters
        ----------
        factors : mapping
            How much longer, by row of practice [-]

        Returns
        -------
        LineWork
            The same tasks; waits are as long as they were.
        """
        longer = (replace(t, length=t.length * factors.get(t.row, 1.0)) for t in self.tasks)
        return replace(self, tasks=tuple(longer))


@dataclass
class _Line:
    """A line on its way through its tasks."""

    work: LineWork
    done: int = 0
    free: float = 0.0

    @property
    def task(self) -> Task | None:
        """What is next; None when all is done."""
        return self.work.tasks[self.done] if self.done < len(self.work.tasks) else None


@dataclass
class _Shop:
    """When benches and hands are free, whose setting each bench has, whose skein stays on it."""

    set_posts: float
    hands: float = 0.0
    benches: dict[str, float] = field(default_factory=dict)
    settings: dict[str, int] = field(default_factory=dict)
    skeins: dict[str, str] = field(default_factory=dict)
    spans: list[Span] = field(default_factory=list)

    def start(self, line: _Line, task: Task) -> float:
        """When a line's next task could begin, the posts set for it."""
        bench = line.work.bench
        if task.kind == "rest":
            return line.free
        if self.skeins.get(bench, line.work.job) != line.work.job:
            return math.inf
        start = max(line.free, self.benches.get(bench, 0.0))
        needs_hands = task.kind == "work" or self.is_other(line)
        return max(start, self.hands) if needs_hands else start

    def is_other(self, line: _Line) -> bool:
        """Whether the posts stand for another length."""
        return self.settings.get(line.work.bench) != line.work.setting

    def take(self, line: _Line, task: Task) -> None:
        """Let a line's next task be done as soon as it can."""
        start, bench = self.start(line, task), line.work.bench
        if task.kind != "rest" and self.is_other(line):
            posts = Task("posts", "set the posts", "work", self.set_posts)
            start = self._add(line, posts, start)
            self.settings[bench] = line.work.setting
        if task.step == "wind" and any(t.closes for t in line.work.tasks):
            self.skeins[bench] = line.work.job
        line.free, line.done = self._add(line, task, start), line.done + 1
        if task.closes:
            self.skeins.pop(bench, None)
        # What is pulled up stands: nobody else gets at the bench in between.
        if line.task is not None and line.task.step == task.step and task.kind == "work":
            self.take(line, line.task)

    def _add(self, line: _Line, task: Task, start: float) -> float:
        stop, work = start + task.length, line.work
        self.spans.append(Span(work.job, task.step, task.title, task.kind, work.bench, start, stop))
        if task.kind != "rest":
            self.benches[work.bench] = stop
        if task.kind == "work":
            self.hands = stop
        return stop


def work_through(
    lines: Sequence[LineWork],
    batches: Sequence[Sequence[int]],
    factors: Mapping[str, float] | None = None,
) -> list[Span]:
    """Work through batches one after the other; inside one, lines overlap by precedence.

    Parameters
    ----------
    lines : sequence of LineWork
        The lines.
    batches : sequence of sequence of int
        Which lines are worked on together, the ones that go before first [-]
    factors : mapping or None
        How much longer some kinds of work take, by row of practice [-]

    Returns
    -------
    list of Span
        All work and waiting, in the order in which it was taken up.
    """
    factors = factors or {}
    shop = _Shop(time_of(SETTING) * factors.get(SETTING, 1.0))
    for line in lines:
        # Two skeins never lie on one bench; of records that say so the first is believed.
        if line.lies_there and line.bench not in shop.skeins:
            shop.skeins[line.bench], shop.settings[line.bench] = line.job, line.setting
    for batch in batches:
        begun = end_of(shop.spans)
        waiting = [_Line(lines[k].scaled(factors), free=begun) for k in batch]
        while ahead := [(line, task) for line in waiting if (task := line.task) is not None]:
            shop.take(*min(ahead, key=lambda pair: shop.start(*pair)))
    return shop.spans


def end_of(spans: Sequence[Span]) -> float:
    """Give when all is done.

    Parameters
    ----------
    spans : sequence of Span
        Work and waiting.

    Returns
    -------
    float
        From the first act [s]
    """
    return max((s.stop for s in spans), default=0.0)


def hands_in(spans: Sequence[Span]) -> float:
    """Give how long hands are at work.

    Parameters
    ----------
    spans : sequence of Span
        Work and waiting.

    Returns
    -------
    float
        In all [s]
    """
    return math.fsum(s.stop - s.start for s in spans if s.kind == "work")
