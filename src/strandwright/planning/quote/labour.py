"""Labour: how long hands are at a line, act by act, and how long it stands and rests by itself."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from strandwright.errors import InputError, InputErrors, SolveError
from strandwright.planning.estimate import Estimate
from strandwright.planning.planner import Planner
from strandwright.planning.ports import Store
from strandwright.planning.quote.operations import Operation, operations_of, title_of
from strandwright.planning.quote.pace import Pace, TimedBuild, pace_of
from strandwright.planning.quote.timings import timings_of
from strandwright.planning.result import Plan
from strandwright.planning.sets.tasks import uncounted
from strandwright.planning.sets.words import source_said
from strandwright.reference import practice
from strandwright.workshop.job import job_from_table

#: Builds that a pace is learned from, the newest: hands get faster, jigs are changed [-]
NEWEST = 60
#: Most bows are fitted with a press; these are not
_PLAIN_BOWS = frozenset({"recurve", "longbow"})


@dataclass(frozen=True)
class ActTime:
    """How long one kind of act takes over all lines that are quoted.

    Attributes
    ----------
    row, title : str
        Its row of practice, and what is done.
    amount : float
        How many times [-]
    time : Estimate
        Of hands [s]
    timed : int
        Times of this shop behind it; 0 where practice alone speaks [-]
    """

    row: str
    title: str
    amount: float
    time: Estimate
    timed: int


@dataclass(frozen=True)
class Labour:
    """How long lines take.

    Attributes
    ----------
    acts : tuple of ActTime
        Work of hands, in the order in which it comes first.
    hands : Estimate
        All of it: whoever is slow at one act is so at all, and the +- says so [s]
    by_job : dict of str to Estimate
        The same for each line by itself, by its job [s]
    stands : float
        Under stretches: a bench is taken, hands are free [s]
    rests : float
        Let down at rest: nothing is taken [s]
    builds : int
        Builds of this shop behind it [-]
    paused : int
        Times that were left out of it, for something else came between [-]
    uncounted : tuple of str
        Steps that nothing says the time of.
    source : str
        Where it comes from, in words.
    """

    acts: tuple[ActTime, ...]
    hands: Estimate
    by_job: dict[str, Estimate]
    stands: float
    rests: float
    builds: int
    paused: int
    uncounted: tuple[str, ...]
    source: str


def labour_of(plans: Sequence[Plan], builds: Sequence[TimedBuild] = ()) -> Labour:
    """Work out how long lines take.

    Parameters
    ----------
    plans : sequence of Plan
        The lines; each is built by itself, so that nothing is saved by order.
    builds : sequence of TimedBuild
        This shop's builds.

    Returns
    -------
    Labour
        The times.
    """
    each = [operations_of(plan) for plan in plans]
    rows = [act.row for work in each for act in work.acts]
    pace = pace_of(builds, rows)
    named = {plan.job.id: plan.job.builder.strip() for plan in plans}
    by_job: dict[str, Estimate] = {}
    for plan, work in zip(plans, each, strict=True):
        acts = [(act.row, act.amount) for act in work.acts]
        whole = pace.minutes(acts, named[plan.job.id])[1]
        by_job[plan.job.id] = _longer(whole, math.fsum(work.fixed.values()))
    every = [act for work in each for act in work.acts]
    fixed = math.fsum(seconds for work in each for seconds in work.fixed.values())
    builder = next(iter(named.values()), "") if len(set(named.values())) == 1 else ""
    together = pace.minutes([(act.row, act.amount) for act in every], builder)[1]
    hands = math.fsum(time.value for time in by_job.values())
    relative = together.u / together.value if together.value else 0.0
    return Labour(
        acts=_acts(pace, every, builder, hands - fixed, fixed),
        hands=Estimate(hands, relative * (hands - fixed), "s"),
        by_job=by_job,
        stands=math.fsum(work.stands for work in each),
        rests=math.fsum(work.rests for work in each),
        builds=pace.builds,
        paused=pace.paused,
        uncounted=tuple(dict.fromkeys(title for plan in plans for title in uncounted(plan))),
        source=_source(pace),
    )


def _longer(time: Estimate, seconds: float) -> Estimate:
    return Estimate(time.value + seconds, time.u, "s")


def _acts(
    pace: Pace, every: Sequence[Operation], builder: str, hands: float, fixed: float
) -> tuple[ActTime, ...]:
    """Add acts up by row; where several builders share the lines each row has its share."""
    times: list[tuple[str, float, Estimate]] = []
    for row in dict.fromkeys(act.row for act in every):
        amounts = [(row, act.amount) for act in every if act.row == row]
        times.append((row, math.fsum(a for _, a in amounts), pace.minutes(amounts, builder)[1]))
    whole = math.fsum(time.value for _, _, time in times)
    factor = hands / whole if whole else 1.0
    found = [
        ActTime(
            row, title_of(row, every), amount,
            Estimate(time.value * factor, time.u * factor, "s"), pace.timed.get(row, 0),
        )
        for row, amount, time in times
    ]  # fmt: skip
    if fixed > 0.0:
        found.append(ActTime("", "hold while turns settle", 1.0, Estimate(fixed, 0.0, "s"), 0))
    return tuple(found)


def _source(pace: Pace) -> str:
    row = practice("work.winding")
    if not pace.builds:
        return f"{source_said(row)}; this shop's own builds will correct it"
    builds = "1 build" if pace.builds == 1 else f"{pace.builds} builds"
    times = sum(pace.timed.values())
    return f"the logs of {builds} of this shop, {times} times, beside practice: {source_said(row)}"


def fitting_time(bow_kind: str) -> Estimate:
    """Give how long the lines of a bow take to fit and to set, by practice.

    Parameters
    ----------
    bow_kind : str
        Kind of bow.

    Returns
    -------
    Estimate
        Once for a bow [s]
    """
    row = practice(f"fitting.{'plain' if bow_kind in _PLAIN_BOWS else 'compound'}")
    return Estimate(row.value, row.standard_uncertainty, "s")


def timed_builds(
    store: Store, planner: Planner | None = None, newest: int = NEWEST
) -> tuple[TimedBuild, ...]:
    """Read the times of a shop's finished builds from its store.

    Parameters
    ----------
    store : Store
        Where they are kept.
    planner : Planner or None
        Plans their jobs anew, to know their steps; None makes one.
    newest : int
        How many to read, those finished last first [-]

    Returns
    -------
    tuple of TimedBuild
        Those locked, whose plan this program can still make.
    """
    planner = planner or Planner()
    found: list[TimedBuild] = []
    for row in store.listings("build", status="done", limit=newest):
        head, log = store.build(row.id), store.events(row.id)
        try:
            job = job_from_table(store.plan(head.plan_id).job)
            found.append(TimedBuild(job.builder.strip(), timings_of(planner.plan(job), log)))
        except (InputError, InputErrors, SolveError):
            # What this program can no longer plan has no steps to time.
            continue
    return tuple(found)
