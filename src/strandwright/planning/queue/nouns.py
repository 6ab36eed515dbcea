"""Nouns of the queue: tasks and who can do them, what is fixed, and the schedule that comes out.

Every time that is not a wait's length is in open minutes, as
:mod:`strandwright.planning.queue.hours` counts them: they stand still while the shop is closed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from strandwright.planning.queue.hours import Hours

#: A task by its job and its step.
Key = tuple[str, str]


@dataclass(frozen=True)
class Act:
    """One act inside a task.

    Attributes
    ----------
    step, title : str
        The step and what is done.
    minutes : int
        Time of hands [min]
    """

    step: str
    title: str
    minutes: int


@dataclass(frozen=True)
class Task:
    """One stretch of handwork on a line, with the waiting that it leaves behind.

    Attributes
    ----------
    job, step : str
        The job, and the step it begins with.
    acts : tuple of Act
        What is done by hand, one act after the other.
    hands : int
        Time of hands [min]
    stands : int
        How long the line then stands under load: bench, no hands [min]
    rests : int
        How long it rests after that before anything more is done to it [min]
    kinds : tuple of str
        Kinds of bench that can hold it; none where it needs no bench.
    stays : bool
        Whether the line stays on its bench until its next task: a skein that is not closed yet.
    splits : bool
        Whether it may be broken off at closing and taken up at the next opening.
    after : tuple
        Tasks of other jobs that go before, by job and step.
    """

    job: str
    step: str
    acts: tuple[Act, ...] = ()
    hands: int = 0
    stands: int = 0
    rests: int = 0
    kinds: tuple[str, ...] = ()
    stays: bool = False
    splits: bool = False
    after: tuple[Key, ...] = ()

    @property
    def key(self) -> Key:
        """Job and step."""
        return self.job, self.step

    @property
    def title(self) -> str:
        """What is done."""
        return ", ".join(dict.fromkeys(act.title for act in self.acts)) or self.step

    @property
    def short(self) -> str:
        """What is done, from its first act to its last."""
        titles = list(dict.fromkeys(act.title for act in self.acts)) or [self.step]
        return titles[0] if len(titles) == 1 else f"{titles[0]} … {titles[-1]}"

    def holds(self, step: str) -> bool:
        """Say whether a step is one of its acts.

        Parameters
        ----------
        step : str
            The step.

        Returns
        -------
        bool
            True when it is.
        """
        return step == self.step or any(act.step == step for act in self.acts)


@dataclass(frozen=True)
class Work:
    """Everything that is left to be done for one job.

    Attributes
    ----------
    job, name : str
        Its id and name.
    tasks : tuple of Task
        In their order.
    due : int or None
        When it is to be done; None where nobody asked [min]
    weight : int
        How much a minute late counts beside another job's [-]
    ready : int
        Not begun before this [min]
    lies_on : str
        Bench on which its skein lies already; empty where none does.
    """

    job: str
    name: str
    tasks: tuple[Task, ...]
    due: int | None = None
    weight: int = 1
    ready: int = 0
    lies_on: str = ""

    @property
    def hands(self) -> int:
        """Time of hands in all [min]."""
        return sum(task.hands for task in self.tasks)


@dataclass(frozen=True)
class QueueBench:
    """A bench.

    Attributes
    ----------
    name : str
        Its name.
    kind : str
        Benches of one kind stand in for each other.
    """

    name: str
    kind: str


@dataclass(frozen=True)
class Fixed:
    """What somebody has set, against what the solver would choose.

    Attributes
    ----------
    job, step : str
        The task; without a step, the first of the job that is left.
    start : int or None
        When it begins [min]
    before : str
        Another job whose first task this one's goes before; empty where none.
    """

    job: str
    step: str = ""
    start: int | None = None
    before: str = ""


@dataclass(frozen=True)
class Flag:
    """A thing that was fixed and cannot be.

    Attributes
    ----------
    fixed : Fixed
        It; the schedule leaves it out.
    why : str
        What stands against it.
    remedy : str
        What would do.
    """

    fixed: Fixed
    why: str
    remedy: str


@dataclass(frozen=True)
class Load:
    """A shop and everything that waits in it: what is solved.

    Attributes
    ----------
    hours : Hours
        When somebody is there.
    benches : tuple of QueueBench
        What lines are held by.
    hands : tuple of str
        Who works there; everybody does everything.
    works : tuple of Work
        What is to be done.
    fixed : tuple of Fixed
        What was set.
    now : int
        Nothing begins before this [min]
    """

    hours: Hours
    benches: tuple[QueueBench, ...]
    hands: tuple[str, ...]
    works: tuple[Work, ...]
    fixed: tuple[Fixed, ...] = ()
    now: int = 0


@dataclass(frozen=True)
class Placed:
    """A task in time.

    Attributes
    ----------
    task : Task
        It.
    start, stop : int
        Hands from when to when [min]
    down : int
        When it has stood under load long enough [min]
    free : int
        When its rest is over [min]
    bench, hand : str
        Where, and by whom; empty where none is needed.
    """

    task: Task
    start: int
    stop: int
    down: int
    free: int
    bench: str = ""
    hand: str = ""


Proof = Literal["proved", "bounded"]


@dataclass(frozen=True)
class Schedule:
    """When everything is done.

    Attributes
    ----------
    placed : tuple of Placed
        Every task, by its start.
    done : mapping
        When each job is done [min]
    late : mapping
        How late each job is that has a due date; 0 in time [min]
    lateness : int
        Minutes late, each counted by its job's weight [min]
    lateness_bound : int
        No schedule has less [min]
    flow : int
        From now to done, over all jobs [min]
    flow_bound : int
        No schedule that is no later has less [min]
    flags : tuple of Flag
        What was fixed and cannot be.
    """

    placed: tuple[Placed, ...]
    done: Mapping[str, int] = field(default_factory=dict[str, int])
    late: Mapping[str, int] = field(default_factory=dict[str, int])
    lateness: int = 0
    lateness_bound: int = 0
    flow: int = 0
    flow_bound: int = 0
    flags: tuple[Flag, ...] = ()

    @property
    def is_least_late(self) -> bool:
        """Whether it is proved that nothing is less late."""
        return self.lateness <= self.lateness_bound

    @property
    def is_best(self) -> bool:
        """Whether it is proved that nothing is less late, or as late and sooner done."""
        return self.is_least_late and self.flow <= self.flow_bound
