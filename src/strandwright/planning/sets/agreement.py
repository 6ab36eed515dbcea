"""Agreement: in what the lines of one bow are alike, and what to do where they are not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from strandwright.planning.result import Plan
from strandwright.planning.sets.bow_facts import bow_checks
from strandwright.planning.sets.result import Check
from strandwright.planning.written import Written
from strandwright.workshop.line_set import LineSet

Told = list[tuple[str, str]]


def checks_of(line_set: LineSet, plans: Sequence[Plan]) -> tuple[Check, ...]:
    """Hold the lines of a set against each other.

    Parameters
    ----------
    line_set : LineSet
        The set.
    plans : sequence of Plan
        Its lines.

    Returns
    -------
    tuple of Check
        Strings, hands, fibre, lot, measuring load, benches, facts of the bow; nothing for one line
        alone.
    """
    if len(plans) < 2:
        return ()
    return (
        *_strings(plans),
        *_hands(line_set, plans),
        *_fibre(plans),
        *_lots(plans),
        *_measured(plans),
        *_benches(plans),
        *bow_checks([plan.job for plan in plans]),
    )


def _compared(of: str, told: Told, remedy: str) -> Check:
    """Compare one word of each line with that of the others."""
    jobs, found = tuple(job for job, _ in told), dict.fromkeys(text for _, text in told)
    if len(found) == 1:
        return Check(of, "agrees", f"{next(iter(found))} in every line", "", jobs)
    said = "; ".join(
        f"{text} in {', '.join(job for job, other in told if other == text)}" for text in found
    )
    return Check(of, "differs", said, remedy, jobs)


def _strings(plans: Sequence[Plan]) -> Iterator[Check]:
    """A bow is strung with one string; another in its set is a spare, or is of another bow."""
    strings = tuple(plan.job.id for plan in plans if plan.job.line.kind == "string")
    if len(strings) > 1:
        said = f"{len(strings)} strings, {', '.join(strings)}, and a bow is strung with one"
        remedy = "where they are spares of each other, all is well; else take out what is not meant"
        yield Check("strings", "not said", said, remedy, strings)


def _hands(line_set: LineSet, plans: Sequence[Plan]) -> Iterator[Check]:
    """One hand of twist and of serving, unless the set says that each job decides."""
    twist: Told = [(plan.job.id, plan.twist.hand) for plan in plans]
    served: Told = [
        (plan.job.id, " and ".join(sorted({s.hand for s in plan.servings})))
        for plan in plans
        if plan.servings
    ]
    for of, told, field in (
        ("hand of twist", twist, "makeup.hand"), ("hand of serving", served, "line.servings.hand")
    ):  # fmt: skip
        remedy = f'give every job one {field}, or write hands = "as each job says" in the set'
        check = _compared(of, told, remedy) if told else None
        if check is None:
            continue
        if check.verdict == "differs" and line_set.hands != "one":
            yield Check(of, "agrees", f"{check.said}: as each job says", "", check.jobs)
        else:
            yield check


def _fibre(plans: Sequence[Plan]) -> Iterator[Check]:
    told: Told = [(plan.job.id, plan.job.makeup.strand) for plan in plans]
    remedy = (
        "build the lines of a bow of one fibre, or they settle and stretch apart; if it is meant, "
        "read the bow again after some shots"
    )
    yield _compared("fibre", told, remedy)


def _lots(plans: Sequence[Plan]) -> Iterator[Check]:
    told: Told = [(plan.job.id, plan.job.makeup.lot.strip()) for plan in plans]
    if not any(lot for _, lot in told):
        said, remedy = "no job says its lot", "write the spools' lot in makeup.lot of each job"
        yield Check("lot", "not said", said, remedy, tuple(job for job, _ in told))
        return
    named: Told = [(job, f"lot {lot}" if lot else "no lot said") for job, lot in told]
    yield _compared("lot", named, "wind every line from spools of one lot, and say it in each job")


def _measured(plans: Sequence[Plan]) -> Iterator[Check]:
    to = Written.on(plans[0].job.paper)
    told: Told = [
        (
            plan.job.id,
            f"{to.force(plan.target.measuring_load)} over "
            f"{to.length(plan.target.pin_diameter)} pins",
        )
        for plan in plans
    ]
    remedy = "give every job the same route.measure, or the lengths do not compare"
    yield _compared("measuring load", told, remedy)


def _benches(plans: Sequence[Plan]) -> Iterator[Check]:
    """One name for two benches hides which one was meant."""
    for name in sorted({plan.job.bench.name for plan in plans}):
        here = [plan.job for plan in plans if plan.job.bench.name == name]
        other = [job.id for job in here if job.bench != here[0].bench]
        if other:
            said = f"'{name}' is another bench in {', '.join(other)} than in {here[0].id}"
            remedy = "say the same of the bench in each job, or give the other its own name"
            yield Check("bench", "differs", said, remedy, tuple(job.id for job in here))
