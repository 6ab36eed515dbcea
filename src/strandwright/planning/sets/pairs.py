"""Pairs: how two cables of a matched pair compare, and what makes them alike."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.planning.sets.certainty import pair_chance
from strandwright.planning.sets.result import Check, PairAnswer
from strandwright.planning.written import Written, half_turns
from strandwright.reference import practice
from strandwright.workshop.line_set import LineSet

#: Lines are turned by half turns [turn]
_HALF = 0.5
#: Turns that differ by no more than this are the same number [turn]
_ROUNDING = 1e-6


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
    turns, strands, loads = (
        (value(one), value(other))
        for value in (
            lambda p: half_turns(p.twist.turns),
            lambda p: str(p.winding.strands),
            lambda p: to.force(p.target.measuring_load),
        )
    )
    # Turns go in by halves: half a turn apart is the step, not a difference.
    alike = abs(one.twist.turns - other.twist.turns) <= _HALF + _ROUNDING
    for of, told, agrees, mend in (
        ("turns of the pair", turns, alike,
         "wind both on one post setting, so that they take the same turns"),
        ("strands of the pair", strands, strands[0] == strands[1],
         "give both the same strands, or they stretch apart as the bow is drawn"),
        ("load of the pair", loads, loads[0] == loads[1], "measure both at one load"),
    ):  # fmt: skip
        said = f"{told[0]} in {one.job.id}, {told[1]} in {other.job.id}"
        said = f"{told[0]} in both" if told[0] == told[1] else said
        verdict = "agrees" if agrees else "differs"
        rows.append(Check(of, verdict, said, "" if agrees else mend, jobs))
    return tuple(rows)
