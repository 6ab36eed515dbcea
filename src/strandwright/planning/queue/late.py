"""Late: why a job is late, link by link, and what would mend it, found by laying out anew."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta

from strandwright.errors import InputError
from strandwright.planning.queue.board import Board
from strandwright.planning.queue.course import begin
from strandwright.planning.queue.hours import DAY
from strandwright.planning.queue.laid_out import LaidOut, lay_out
from strandwright.planning.queue.nouns import Placed
from strandwright.planning.queue.when import day_said, end_said, long_said, moment_said

#: Links told, and jobs that are tried to be put back [-]
_MOST_LINKS, _MOST_BACK = 5, 3
#: Overtime that is tried [min]
_OVERTIME = 120
#: Effort of each layout anew, in the solver's own seconds [-]
_EFFORT = 0.3


@dataclass(frozen=True)
class Link:
    """One reason why a job is not done sooner.

    Attributes
    ----------
    kind : str
        ``fixed``, ``hands``, ``bench``, ``line`` (the task before it) or ``now``.
    job : str
        The job that stands in the way; empty where none does.
    said : str
        In words.
    """

    kind: str
    job: str
    said: str


@dataclass(frozen=True)
class Mend:
    """Something that could be done about it, and what then comes of it.

    Attributes
    ----------
    what : str
        What would be done.
    late : int
        How late the job then is [min]
    others : tuple of (str, int)
        Jobs that are later for it than without, and by how much [min]
    is_cure : bool
        Whether it is then in time.
    """

    what: str
    late: int
    others: tuple[tuple[str, int], ...]
    is_cure: bool


def why_late(laid: LaidOut, job: str) -> tuple[Link, ...]:
    """Give the chain that holds a job up, from its end back.

    Parameters
    ----------
    laid : LaidOut
        The schedule.
    job : str
        The job.

    Returns
    -------
    tuple of Link
        The last first; each is what ended last of everything that its task had to wait for.
    """
    at = max(
        (p for p in laid.schedule.placed if p.task.job == job), key=lambda p: p.free, default=None
    )
    links: list[Link] = []
    seen: set[tuple[str, str]] = set()
    while at is not None and len(links) < _MOST_LINKS and at.task.key not in seen:
        run = _run(laid, at)
        seen.update(p.task.key for p in run)
        links += _own(laid, run) if len(run) > 1 else []
        link, at = _held_by(laid, run[-1])
        links.append(link)
    return tuple(links)


def _run(laid: LaidOut, at: Placed) -> list[Placed]:
    """A task, and those of its own line before it that it had to wait for."""
    run = [at]
    while (found := _last_before(laid, run[-1])) and found[1] == "line":
        if found[2].task.job != at.task.job or _fixed_start(laid, run[-1]):
            break
        run.append(found[2])
    return run


def _own(laid: LaidOut, run: Sequence[Placed]) -> list[Link]:
    first, last = run[-1], run[0]
    hours, job = laid.load.hours, last.task.job
    took = long_said(last.free - first.start)
    said = (
        f"{job} takes {took} of open hours from {moment_said(hours, first.start)}, "
        f"{first.task.short}, to {end_said(hours, last.free)}: its work, and its waits"
    )
    return [Link("line", job, said)]


def _fixed_start(laid: LaidOut, p: Placed) -> bool:
    return any((f.job, f.step) == p.task.key and f.start is not None for f in laid.load.fixed)


def _last_before(laid: LaidOut, p: Placed) -> tuple[int, str, Placed] | None:
    """What ended last of everything that a task had to wait for."""
    return max(_before(laid, p), key=lambda one: one[0], default=None)


def _held_by(laid: LaidOut, p: Placed) -> tuple[Link, Placed | None]:
    hours = laid.load.hours
    what = f"{p.task.job}, {p.task.short}, begins {moment_said(hours, p.start)}"
    if _fixed_start(laid, p):
        return Link("fixed", p.task.job, f"{what}: it was set to begin then"), None
    found = _last_before(laid, p)
    if found is None or found[0] <= laid.load.now:
        return Link("now", p.task.job, f"{what}: nothing held it up before"), None
    ended, kind, other = found
    until, job = end_said(hours, ended), other.task.job
    reasons = {
        "line": f"{job} is not ready before {until}",
        "hands": f"{other.hand or 'hands'} at {job}, {other.task.short}, to {until}",
        "bench": f"{job} on {other.bench} to {until}",
        "fixed": f"it was set to go behind {job}",
    }
    return Link(kind, job, f"{what}: {reasons[kind]}{_gap(laid, ended, p)}"), other


def _gap(laid: LaidOut, ended: int, p: Placed) -> str:
    """Say what lies between the end of what held a task up and its beginning."""
    hours = laid.load.hours
    if p.start == ended:
        return "; the shop is closed then" if hours.begins(ended) > hours.ends(ended) else ""
    if begin(hours, p.task, ended) == p.start:
        return "; it does not fit before closing"
    return ""


def _before(laid: LaidOut, p: Placed) -> Iterator[tuple[int, str, Placed]]:
    """Everything a task had to wait for: when it was over, what it was, whose."""
    tasks = next(work.tasks for work in laid.load.works if work.job == p.task.job)
    place = {task.key: n for n, task in enumerate(tasks)}
    for other in laid.schedule.placed:
        if other is p or other.start > p.start:
            continue
        if other.task.job == p.task.job:
            if place[other.task.key] + 1 == place[p.task.key]:
                yield other.free, "line", other
            continue
        if other.task.key in p.task.after:
            yield other.free, "line", other
        if other.hand and other.hand == p.hand and other.stop <= p.start:
            yield other.stop, "hands", other
        if other.bench and other.bench == p.bench and other.down <= p.start:
            yield other.down, "bench", other
        for fixed in laid.load.fixed:
            if fixed.before == p.task.job and fixed.job == other.task.job and p.task is tasks[0]:
                yield other.stop, "fixed", other


def mends(laid: LaidOut, job: str) -> tuple[Mend, ...]:
    """Say what would make a late job less late, each laid out anew.

    Parameters
    ----------
    laid : LaidOut
        The schedule as it is.
    job : str
        The late job.

    Returns
    -------
    tuple of Mend
        Those that help, the best first: a cure, then the least harm to others.
    """
    late = laid.schedule.late.get(job, 0)
    found: list[Mend] = []
    for what, board in _ways(laid, job):
        try:
            anew = lay_out(board, _EFFORT, soonest=False)
        except InputError:
            continue
        left = anew.schedule.late.get(job, 0)
        if left >= late:
            continue
        others = tuple(
            (name, minutes - laid.schedule.late[name])
            for name, minutes in anew.schedule.late.items()
            if name != job and minutes > laid.schedule.late.get(name, 0)
        )
        found.append(Mend(what, left, others, left == 0))
    return tuple(sorted(found, key=lambda m: (not m.is_cure, sum(n for _, n in m.others), m.late)))


def _ways(laid: LaidOut, job: str) -> Iterator[tuple[str, Board]]:
    """What can be tried: dropping what was set, putting another job back, working longer."""
    board = laid.board
    for pin in board.pins:
        left = tuple(other for other in board.pins if other is not pin)
        yield f"unpin {pin.job}", replace(board, pins=left)
    for other in _in_the_way(laid, job):
        yield f"put {other} back behind {job}", _put_back(board, other, job)
    longer = _longer(laid, job)
    if longer is not None:
        yield longer


def _put_back(board: Board, other: str, job: str) -> Board:
    """Let another job begin when this one is done."""
    last = next(one.tasks[-1].key for one in board.waiting if one.job == job)
    waiting = tuple(
        replace(one, tasks=(replace(one.tasks[0], after=(last,)), *one.tasks[1:]))
        if one.job == other
        else one
        for one in board.waiting
    )
    return replace(board, waiting=waiting)


def _in_the_way(laid: LaidOut, job: str) -> list[str]:
    links = [link.job for link in why_late(laid, job) if link.kind in ("hands", "bench")]
    first = {p.task.job: p.start for p in reversed(laid.schedule.placed)}
    begun = [name for name in first if first[name] <= first[job]]
    names = [*links, *sorted(begun, key=lambda name: -first[name])]
    # What lies on a bench already cannot be put back.
    lies = [one.job for one in laid.board.waiting if one.lies_on]
    return [name for name in dict.fromkeys(names) if name not in (job, *lies)][:_MOST_BACK]


def _longer(laid: LaidOut, job: str) -> tuple[str, Board] | None:
    """Two hours more on the last day before it is due that is open at all."""
    board = laid.board
    due = next((one.due for one in board.waiting if one.job == job), None)
    if due is None:
        return None
    day = max(due, board.now.date())
    while day >= board.now.date():
        spans = () if day in board.week.closed else board.week.days[day.weekday()]
        end = max((b for _, b in spans), default=0)
        if end and end + _OVERTIME <= DAY:
            extra = {**board.week.extra}
            extra[day] = (*extra.get(day, ()), (end, end + _OVERTIME))
            what = f"work {long_said(_OVERTIME)} longer on {day_said(day)}"
            return what, replace(board, week=replace(board.week, extra=extra))
        day -= timedelta(days=1)
    return None
