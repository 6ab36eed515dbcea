"""Model: the queue as starts, intervals and what they compete for, in the solver's own terms."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from strandwright.errors import SpecError
from strandwright.planning.queue.hours import Wait
from strandwright.planning.queue.nouns import Fixed, Key, Load, Task, Work

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


def solver_library() -> Any:
    """Give the solver's library.

    Returns
    -------
    module
        ``ortools.sat.python.cp_model``.

    Raises
    ------
    InputError
        If it is not installed.
    """
    try:
        from ortools.sat.python import cp_model
    except ImportError as error:
        rule = "needs a solver that is not installed"
        raise SpecError("queue", "no solver", rule, "install strandwright[shop]") from error
    return cp_model


@dataclass(frozen=True)
class Part:
    """A task in the model.

    Attributes
    ----------
    task : Task
        It.
    start, down, free : expression
        When it begins, when it has stood and when it has rested [min]
    """

    task: Task
    start: Any
    down: Any
    free: Any

    @property
    def stop(self) -> Any:
        """When the hands are done [min]."""
        return self.start + self.task.hands


@dataclass
class QueueModel:
    """The model of a load.

    Attributes
    ----------
    load : Load
        Shop and work.
    horizon : int
        Nothing ends after this [min]
    model : CpModel
        It.
    parts : dict
        Each task by its key.
    done, late : dict
        When each job is done, and how late each is that has a due date: expressions [min]
    """

    load: Load
    horizon: int
    model: cp_model.CpModel
    parts: dict[Key, Part] = field(default_factory=dict[Key, Part])
    done: dict[str, Any] = field(default_factory=dict[str, Any])
    late: dict[str, Any] = field(default_factory=dict[str, Any])

    @property
    def lateness(self) -> Any:
        """Minutes late, each counted by its job's weight [min]."""
        weights = {work.job: work.weight for work in self.load.works}
        return sum((weights[job] * late for job, late in self.late.items()), start=0)

    @property
    def flow(self) -> Any:
        """From now to done, over all jobs [min]."""
        return sum(self.done.values(), start=0) - self.load.now * len(self.done)

    def fix(self, fixed: Fixed) -> None:
        """Hold a task to what was set for it.

        Parameters
        ----------
        fixed : Fixed
            What was set; its tasks are in the load.
        """
        part = self.parts[key_of(self.load, fixed.job, fixed.step)]
        if fixed.start is not None:
            self.model.add(part.start == fixed.start)
        if fixed.before:
            self.model.add(part.stop <= self.parts[key_of(self.load, fixed.before)].start)

    def hint(self, starts: Mapping[Key, int]) -> None:
        """Tell the solver where to begin to look.

        Parameters
        ----------
        starts : mapping
            Beginnings by task [min]
        """
        self.model.clear_hints()
        for key, start in starts.items():
            self.model.add_hint(self.parts[key].start, start)


def key_of(load: Load, job: str, step: str = "") -> Key:
    """Give the task that is meant by a job and a step.

    Parameters
    ----------
    load : Load
        Shop and work.
    job, step : str
        The job and one of the steps that are left; without a step its first task is meant.

    Returns
    -------
    tuple of str
        The task's key.
    """
    tasks = next(work.tasks for work in load.works if work.job == job)
    return next(task.key for task in tasks if not step or task.holds(step))


def make_model(load: Load, horizon: int) -> QueueModel:
    """Put a load into the solver's terms.

    Parameters
    ----------
    load : Load
        Shop and work.
    horizon : int
        Nothing ends after this [min]

    Returns
    -------
    QueueModel
        The model, what was fixed included.
    """
    made = QueueModel(load, horizon, solver_library().CpModel())
    for work in load.works:
        for task in work.tasks:
            made.parts[task.key] = _part(made, work, task)
        _in_order(made, work)
        _judged(made, work)
    _after(made)
    _benches(made)
    _hands(made)
    for fixed in load.fixed:
        made.fix(fixed)
    return made


def _part(made: QueueModel, work: Work, task: Task) -> Part:
    """One task: its start may be any minute at which it can be begun."""
    early = max(made.load.now, work.ready)
    spans = [(early, made.horizon)]
    if not task.splits:
        spans = made.load.hours.whole(task.hands)
    start = made.model.new_int_var_from_domain(
        _domain((max(lo, early), min(hi, made.horizon)) for lo, hi in spans),
        f"{task.job}/{task.step}",
    )
    down = _waited(made, start + task.hands, task.stands, must_be_open=True)
    return Part(task, start, down, _waited(made, down, task.rests, must_be_open=False))


def _domain(spans: Any) -> Any:
    return solver_library().Domain.from_intervals([[a, b] for a, b in spans if a <= b])


def _waited(made: QueueModel, begun: Any, minutes: int, *, must_be_open: bool) -> Any:
    """When a wait by the clock is over, in open minutes.

    Wherever it ends in open hours it takes a certain number of them; where it ends while the shop
    is closed it is over at that closing. Each of these is one literal; the closings at the end of
    the very opening it begins in share one, for no earlier closing is behind its beginning.
    """
    if not minutes:
        return begun
    waits = [w for w in made.load.hours.waits(minutes) if w.first <= made.horizon]
    by: dict[tuple[int | None, int], list[Wait]] = {}
    for wait in waits:
        if wait.takes is not None or not must_be_open:
            by.setdefault((wait.takes, wait.until if wait.passes else 0), []).append(wait)
    model, chosen = made.model, []
    over = model.new_int_var(0, 2 * made.horizon, "")
    for (takes, _), here in by.items():
        literal = model.new_bool_var("")
        domain = _domain((w.first, w.last) for w in here)
        model.add_linear_expression_in_domain(begun, domain).only_enforce_if(literal)
        if takes is None:
            ends = solver_library().Domain.from_values([w.until for w in here])
            model.add_linear_expression_in_domain(over, ends).only_enforce_if(literal)
            model.add(over >= begun).only_enforce_if(literal)
        else:
            model.add(over == begun + takes).only_enforce_if(literal)
        chosen.append(literal)
    model.add_exactly_one(chosen)
    return over


def _in_order(made: QueueModel, work: Work) -> None:
    parts = [made.parts[task.key] for task in work.tasks]
    for one, other in pairwise(parts):
        made.model.add(other.start >= one.free)


def _after(made: QueueModel) -> None:
    for part in made.parts.values():
        for key in part.task.after:
            made.model.add(part.start >= made.parts[key].free)


def _judged(made: QueueModel, work: Work) -> None:
    if not work.tasks:
        return
    made.done[work.job] = done = made.parts[work.tasks[-1].key].free
    if work.due is not None:
        most = max(0, made.horizon * 2 - work.due)
        late = made.model.new_int_var(0, most, f"{work.job} late")
        made.model.add(late >= done - work.due)
        made.late[work.job] = late


@dataclass(frozen=True)
class _Stay:
    """A line on one bench from the first of some tasks to the end of the last."""

    parts: Sequence[Part]
    kinds: Sequence[str]
    lies_on: str


def _stays(made: QueueModel, work: Work) -> list[_Stay]:
    found: list[_Stay] = []
    here: list[Part] = []
    for n, task in enumerate(work.tasks):
        if not task.kinds:
            continue
        here.append(made.parts[task.key])
        if task.stays and n + 1 < len(work.tasks) and work.tasks[n + 1].kinds:
            continue
        kinds = [k for k in here[0].task.kinds if all(k in part.task.kinds for part in here)]
        found.append(_Stay(here, kinds, work.lies_on if not found else ""))
        here = []
    return found


def _benches(made: QueueModel) -> None:
    """Let no kind of bench hold more lines at a time than there are benches of it.

    Intervals that never overlap more than so many deep can be dealt to so many benches, in the
    order in which they begin, so which bench it is need not be asked here.
    """
    kinds: dict[str, list[Any]] = {bench.kind: [] for bench in made.load.benches}
    kind_of = {bench.name: bench.kind for bench in made.load.benches}
    for work in made.load.works:
        for stay in _stays(made, work):
            _hold(made, kinds, stay, kind_of)
    for kind, intervals in kinds.items():
        _share(made, intervals, sum(bench.kind == kind for bench in made.load.benches))


def _share(made: QueueModel, intervals: Sequence[Any], many: int) -> None:
    if many == 1:
        made.model.add_no_overlap(intervals)
    elif len(intervals) > many:
        made.model.add_cumulative(intervals, [1] * len(intervals), many)


def _hold(
    made: QueueModel, kinds: dict[str, list[Any]], stay: _Stay, kind_of: Mapping[str, str]
) -> None:
    model, first, last = made.model, stay.parts[0], stay.parts[-1]
    start: Any = first.start
    here = [kind for kind in stay.kinds if kind in kinds]
    if stay.lies_on in kind_of:
        start, here = made.load.now, [kind_of[stay.lies_on]]
    size = model.new_int_var(0, 2 * made.horizon, "")
    if len(here) == 1:
        kinds[here[0]].append(model.new_interval_var(start, size, last.down, ""))
        return
    chosen = []
    for kind in here:
        literal = model.new_bool_var("")
        held = model.new_optional_interval_var(start, size, last.down, literal, "")
        kinds[kind].append(held)
        chosen.append(literal)
    model.add_exactly_one(chosen)


def _hands(made: QueueModel) -> None:
    intervals = [
        made.model.new_fixed_size_interval_var(part.start, part.task.hands, "")
        for part in made.parts.values()
        if part.task.hands
    ]
    _share(made, intervals, len(made.load.hands))
