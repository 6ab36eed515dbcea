"""Somebody who works by the plan: does what it says, reads, plans again with the reading."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from simulated_bench.bench import Bench
from simulated_bench.cases import Case
from simulated_bench.world import INCH, LBF, Truth, draw_truth
from strandwright.planning.desk.acts import Act
from strandwright.planning.desk.advice_data import verdict_of
from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan, Step
from strandwright.store.memory import MemoryStore
from strandwright.units import Dimension, parse
from strandwright.workshop.events import as_moment, make_event
from strandwright.workshop.job import Job

#: After so many corrections at the proof the technician lets it be.
MOST_CORRECTIONS = 4
#: More acts than any build has; one that does not end is given up.
MOST_ACTS = 80


@dataclass(frozen=True)
class Expectation:
    """A reading beside what the plan before it said it would be.

    Attributes
    ----------
    stage : str
        Where it was read.
    expected : Estimate
        What the plan said [m]
    read : float
        What was read [m]
    """

    stage: str
    expected: Estimate
    read: float


@dataclass
class Build:
    """One build by the plan, and what came of it.

    Attributes
    ----------
    case, truth
        What was built, and in which world.
    asked : float
        Length asked for [m]
    true : float
        True length at the measuring condition [m]
    stated : Estimate
        What the program says of it at the end [m]
    accepted : bool
        Whether the program's rule accepted the last proof.
    corrections : int
        How often turns were changed at the proof.
    first_proof : float
        True length when the proof was first read, before any correction there [m]
    first_told : Estimate
        What the program said of it just before [m]
    expectations : list of Expectation
        Every reading.
    """

    case: Case
    truth: Truth
    asked: float
    true: float
    stated: Estimate
    accepted: bool
    corrections: int
    first_proof: float
    first_told: Estimate
    expectations: list[Expectation] = field(default_factory=list[Expectation])


class GivenUpError(Exception):
    """The build came to no end: no reading of it could be used."""


class Technician:
    """Does what the advice says, tells the desk what was done and read, and asks again."""

    def __init__(
        self,
        case: Case,
        *,
        desk: Desk | None = None,
        truth: Truth | None = None,
        first: int = 0,
    ) -> None:
        self.case = case
        self.job: Job = case.job
        self.truth = truth or draw_truth(case.seed, case.job.makeup.strand, case.bench)
        self.bench = Bench(self.truth, post=0.5 * INCH, loop_pin=0.25 * INCH)
        self.seen: list[Expectation] = []
        self.corrections = 0
        self.first_proof: float | None = None
        self.first_told: Estimate | None = None
        self._tries: dict[str, int] = {}
        self._made = first
        self._now = datetime(2026, 3, 2, 9, tzinfo=UTC)
        self.desk = desk or Desk(MemoryStore(), learns=False)
        self.desk.add_job(tables_of(case.job))
        self.posts = 0.0
        self.build = self._id()
        self.advice = self.desk.start(case.job.id, self.build, self._id(), at=as_moment(self._now))

    @property
    def plan(self) -> Plan:
        """The plan as the readings have it."""
        return self.advice.plan

    def stated(self) -> Estimate:
        """What the program says of the finished length at the turns that are really in."""
        plan = self.plan
        shift = (self.bench.counted - plan.twist.turns) * plan.twist.next_turn.value
        return Estimate(plan.landing.blind.value + shift, plan.landing.blind.u, "m")

    def work(self) -> None:
        """Go on until the line is locked or given up."""
        for _ in range(MOST_ACTS):
            if self.advice.act is None:
                return
            self._do(self.advice.act)
        self._tell("put-aside", why="no end of it")

    def work_until(self, step: str) -> None:
        """Go on until a step is the next."""
        for _ in range(MOST_ACTS):
            if self.advice.act is None or self.advice.act.step.id == step:
                return
            self._do(self.advice.act)

    def tell(self, type: str, **body: Any) -> None:
        """Tell the desk what was seen now."""
        self._tell(type, **body)

    def _do(self, act: Act) -> None:
        step = act.step
        match step.key:
            case "posts":
                posts = self.posts or self.plan.winding.posts_outside.value
                self.bench.set_posts(posts)
                self._tell("posts-set", outside=f"{posts / INCH:.5f} in")
            case "wind":
                assert step.run is not None
                if step.run == 0:
                    self.bench.wind(self.job.makeup.strands // 2)
                strands = self.plan.winding.runs[step.run].strands
                self._tell("rounds-laid", run=step.run, halves=strands)
            case "even":
                self.bench.equalise(self.plan.loads.equalise)
                self._tell("step-done", step=step.id)
            case "stretch":
                self._stretch(step)
            case "loops":
                line = self.job.line
                self.bench.close_loops(line.zero_end.size.si, line.far_end.size.si, served=True)
                self._tell("step-done", step=step.id)
            case "twist":
                self._twist(step)
            case "serve":
                spans = [(s.now_start, s.now_stop) for s in self.plan.servings]
                self.bench.serve(spans, self.plan.loads.serve)
                self._pass(900.0)
                self._tell("step-done", step=step.id)
            case "read" | "proof":
                self._read_or_lock(act)
            case "tag":
                self._lock()
            case _:
                self._tell("step-done", step=step.id)

    def _stretch(self, step: Step) -> None:
        if step.id in ("settle", "settle-part"):
            self._settle()
        else:
            assert step.load is not None
            self.bench.stretch(step.load, step.dwell or 0.0)
            self._pass(step.dwell or 0.0)
        self._tell("step-done", step=step.id)

    def _settle(self) -> None:
        """Pull a line whose turns were changed to the settling load, twice."""
        for _ in range(2):
            self.bench.stretch(self.plan.loads.settle, 60.0)
            self._pass(60.0)

    def _twist(self, step: Step) -> None:
        """Bring the count to what is advised, and settle turns that come after the stretch."""
        assert step.turns is not None
        self.bench.turn(step.turns - self.bench.counted)
        proved = any(s.taken.reading.stage == "proof" for s in self.advice.readings)  # pyright: ignore[reportAttributeAccessIssue]
        self.corrections += proved
        if {"stretch-twisted", "settle"} & set(self.advice.state.done):
            self._settle()
        self._tell("turned", turns=self.bench.counted)

    def _read_or_lock(self, act: Act) -> None:
        stage = act.step.stage
        if act.may_lock or self.corrections > MOST_CORRECTIONS:
            self._lock()
            return
        self._rest()
        if stage == "proof" and self.first_proof is None:
            self.first_proof = self.bench.true_length()
            self.first_told = self.stated()
        at = self.plan.stage(stage)
        expected = self._expected(stage)
        if stage == "bare":
            reading = self.bench.read_bare(at.load)
        else:
            reading = self.bench.read(at.load, at.pins[0])
        again = self._tries.get(f"{stage} {self.bench.counted}", 0)
        self._tries[f"{stage} {self.bench.counted}"] = again + 1
        if again == 0:
            length = parse(Dimension.LENGTH, reading.text, field="length")
            self.seen.append(Expectation(stage, expected, length.si))
        body = {"turns": self.bench.counted} if stage != "bare" else {}
        self._tell("length-read", stage=stage, length=reading.text, sure=again >= 2, **body)
        if again >= 4:
            self._tell("put-aside", why="no reading of it can be used")
            self._wind_anew()

    def _wind_anew(self) -> None:
        """Begin again where the advice says how wide; once, for a second skein is the last."""
        question = self.advice.question
        wide = re.search(r"posts (?:wider|closer): at (.+)$", question.said) if question else None
        if wide is None or self.posts:
            return
        self.posts = parse(Dimension.LENGTH, wide[1], field="posts").si
        self.bench = Bench(self.truth, post=0.5 * INCH, loop_pin=0.25 * INCH, skein=1)
        self.seen, self._tries = [], {}
        self.first_proof = self.first_told = None
        self.build = self._id()
        self.advice = self.desk.start(self.job.id, self.build, self._id(), at=as_moment(self._now))

    def _expected(self, stage: str) -> Estimate:
        """What the plan in hand expects to be read at the turns that are really in."""
        at = self.plan.stage(stage)
        shift = 0.0
        if stage != "bare":
            shift = (self.bench.counted - at.turns) * self.plan.twist.next_turn.value
        return Estimate(at.length.value + shift, at.length.u, "m")

    def _lock(self) -> None:
        self._tell("locked", turns=self.bench.counted, hand=self.plan.twist.hand)

    def _rest(self) -> None:
        """Rest as long as the advice wants."""
        until = self.advice.rest_until
        left = (datetime.fromisoformat(until) - self._now).total_seconds() if until else 0.0
        if left > 0.0:
            self.bench.rest(left)
            self._pass(left)

    def _pass(self, seconds: float) -> None:
        self._now += timedelta(seconds=seconds)

    def _tell(self, type: str, **body: Any) -> None:
        event = make_event(self._id(), type, body, at=as_moment(self._now))
        _, self.advice = self.desk.record(self.build, [event])

    def _id(self) -> str:
        self._made += 1
        return f"{self._made:032x}"


def build_by_plan(case: Case) -> Build:
    """Build a line by the advice and judge it."""
    worker = Technician(case)
    worker.work()
    return finish(worker)


def finish(worker: Technician) -> Build:
    """Judge what was built."""
    case = worker.case
    if worker.advice.state.put_aside is not None:
        raise GivenUpError(case.seed)
    stated = worker.stated()
    true = worker.bench.true_length()
    return Build(
        case=case,
        truth=worker.truth,
        asked=case.length * INCH,
        true=true,
        stated=stated,
        accepted=verdict_of(worker.advice) == "proved",
        corrections=worker.corrections,
        first_proof=true if worker.first_proof is None else worker.first_proof,
        first_told=worker.first_told or stated,
        expectations=worker.seen,
    )


#: Middle and spread, in the logarithm, of a pull that nobody measures [N, -]
UNKNOWN_PULL = (60.0 * LBF, 0.6)


def build_by_rule(case: Case) -> float:
    """Build by the rule of thumb and give the true length [m].

    Posts at the finished length and 1/4 in, stretch, then twist until the tape agrees at
    whatever the strap pulls.
    """
    truth = draw_truth(case.seed, case.job.makeup.strand, case.bench)
    bench = Bench(truth, post=0.5 * INCH, loop_pin=0.25 * INCH)
    asked = case.length * INCH
    bench.set_posts(asked + 0.25 * INCH)
    bench.wind(case.job.makeup.strands // 2)
    feel = truth["gauge"] if truth.bench.gauge != "none" else 1.0
    bench.equalise(200.0 * LBF / feel)
    bench.stretch(300.0 * LBF / feel, 1800.0)
    bench.rest(600.0)
    bench.close_loops(case.job.line.zero_end.size.si, case.job.line.far_end.size.si, served=True)
    middle, spread = UNKNOWN_PULL
    habit = middle * float(bench.random.lognormal(0.0, spread))
    bench.turn(round(0.5 * case.length))
    for _ in range(60):
        pull = min(habit * float(bench.random.lognormal(0.0, 0.15)), 300.0 * LBF)
        read = parse(Dimension.LENGTH, bench.read_at_a_true_load(pull).text, field="length").si
        over = read - asked
        if abs(over) < INCH / 64.0 or (over < 0.0 and bench.counted < 1.0):
            break
        if bench.counted > 1.2 * case.length:
            break
        bench.turn(float(max(min(round(over / (0.03 * INCH)), 4), -4) or (1 if over > 0 else -1)))
    return bench.true_length()
