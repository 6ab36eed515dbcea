"""Pairs: how two cables of a matched pair compare, and what makes them alike."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.planning.sets.certainty import pair_chance
from strandwright.planning.sets.result import Check, PairAnswer
from strandwright.planning.written import Written
from strandwright.reference import practice
from strandwright.workshop.line_set import LineSet

#: Lines are turned by half turns [turn]
_HALF = 0.5


def proved_length(plan: Plan) -> Estimate | None:
    """Give the finished length that a line was proved at.

    Parameters
    ----------
    plan : Plan
        The line, with the readings of its build.

    Returns
    -------
    Estimate or None
        At the measuring condition, its +- that of the reading by itself, gauge and scale of the
        tape left out; None before the proof was read [m]
    """
    landing = plan.landing
    if not landing.proved:
        return None
    reading = landing.grounds.tools.reading
    return Estimate(plan.target.length.value + landing.proof.error, reading, "m")


def pair_answers(
    line_set: LineSet, plans: Sequence[Plan], proved: Mapping[str, Estimate]
) -> tuple[PairAnswer, ...]:
    """Compare the pairs of a set whose lines are both planned.

    Parameters
    ----------
    line_set : LineSet
        The set.
    plans : sequence of Plan
        Its lines.
    proved : mapping
        Lengths that lines were proved at, by job [m]

    Returns
    -------
    tuple of PairAnswer
        In the order of their jobs' ids.
    """
    by_job = {plan.job.id: plan for plan in plans}
    pairs = sorted(tuple(sorted((pair.one, pair.other))) for pair in line_set.pairs)
    return tuple(
        _answer(by_job[one], by_job[other], proved)
        for one, other in pairs
        if one in by_job and other in by_job
    )


def _answer(one: Plan, other: Plan, proved: Mapping[str, Estimate]) -> PairAnswer:
    bound = practice("pair.match").value
    lengths = [proved.get(plan.job.id) for plan in (one, other)]
    read = [length for length in lengths if length is not None]
    is_read = len(read) == 2
    told = read if is_read else [plan.target.length for plan in (one, other)]
    difference = Estimate(told[0].value - told[1].value, _apart_u(one, other, read), "m")
    longer = one if difference.value >= 0.0 else other
    turns = abs(difference.value) / abs(longer.twist.next_turn.value)
    return PairAnswer(
        one=one.job.id,
        other=other.job.id,
        is_read=is_read,
        difference=difference,
        bound=bound,
        chance=None if is_read else pair_chance(one, other, bound),
        turns=_HALF * round(turns / _HALF),
        longer=longer.job.id,
        checks=_checks(one, other, difference, bound, is_read),
    )


def _apart_u(one: Plan, other: Plan, read: Sequence[Estimate]) -> float:
    """Standard uncertainty of how far two proved lines are apart [m].

    The gauge and the tape of one bench are wrong by the same in both readings.
    """
    if len(read) < 2:
        return 0.0
    if one.job.bench == other.job.bench:
        return math.hypot(*(length.u for length in read))
    return math.hypot(one.landing.proof_u, other.landing.proof_u)


def _checks(
    one: Plan, other: Plan, difference: Estimate, bound: float, is_read: bool
) -> tuple[Check, ...]:
    to, jobs = Written.on(one.job.paper), (one.job.id, other.job.id)
    apart = to.small(abs(difference.value))
    within = abs(difference.value) <= bound
    how = "as they were proved" if is_read else "as they are asked for"
    remedy = (
        "turn the longer one as told below, rest it and read it again"
        if is_read
        else "ask for one length in both jobs"
    )
    rows = [
        Check(
            "length of the pair",
            "agrees" if within else "differs",
            f"{apart} apart, {how}; within {to.small(bound)} is a match",
            "" if within else remedy,
            jobs,
        )
    ]
    for of, told, mend in (
        ("turns of the pair", [p.twist.turns for p in (one, other)],
         "wind both on one post setting, so that they take the same turns"),
        ("strands of the pair", [p.winding.strands for p in (one, other)],
         "give both the same strands, or they stretch apart as the bow is drawn"),
        ("load of the pair", [to.force(p.target.measuring_load) for p in (one, other)],
         "measure both at one load"),
    ):  # fmt: skip
        words = [f"{value:g}" if isinstance(value, float | int) else value for value in told]
        alike = words[0] == words[1]
        said = f"{words[0]} in both" if alike else (
            f"{words[0]} in {one.job.id}, {words[1]} in {other.job.id}"
        )
        verdict = "agrees" if alike else "differs"
        rows.append(Check(of, verdict, said, "" if alike else mend, jobs))
    return tuple(rows)
