"""The table of simulated builds: what landed, what was covered, by the plan and by the rule."""

from __future__ import annotations

import os
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from multiprocessing import get_context

from simulated_bench.cases import make_case
from simulated_bench.technician import GivenUpError, build_by_plan, build_by_rule
from simulated_bench.world import INCH
from strandwright.errors import StrandwrightError

#: A line has landed when its true length is this close to the one asked for [in]
LANDED = 1.0 / 16.0
#: The shorter lines, by which the program is judged [in]
SHORT = 65.0


@dataclass(frozen=True)
class Row:
    """One build.

    Attributes
    ----------
    seed : int
        Of the case and its truth.
    length : float
        Asked for [in]
    bench, order : str
        Kind of bench, order of work.
    off : float or None
        True length less the one asked for, by the plan [in]; None where it was given up.
    by_rule : float
        The same by the rule of thumb [in]
    proved : bool
        Whether the program's rule accepted it.
    finished_covered : bool
        Whether the stated range of the finished length holds the true one.
    readings_covered, readings : int
        Readings inside their expected range, and all of them.
    """

    seed: int
    length: float
    bench: str
    order: str
    off: float | None
    by_rule: float
    proved: bool
    finished_covered: bool
    readings_covered: int
    readings: int

    @property
    def landed(self) -> bool:
        """Whether the line landed by the plan."""
        return self.off is not None and abs(self.off) <= LANDED

    @property
    def rule_landed(self) -> bool:
        """Whether it landed by the rule of thumb."""
        return abs(self.by_rule) <= LANDED


def build_both(seed: int) -> Row:
    """Build the case of a seed by the plan and by the rule."""
    case = make_case(seed)
    by_rule = (build_by_rule(case) - case.length * INCH) / INCH
    given_up = Row(
        seed=seed,
        length=case.length,
        bench=case.bench.name,
        order=str(case.job.route.order),
        off=None,
        by_rule=float(by_rule),
        proved=False,
        finished_covered=False,
        readings_covered=0,
        readings=0,
    )
    try:
        built = build_by_plan(case)
    except (StrandwrightError, GivenUpError):
        return given_up
    inside = [abs(e.read - e.expected.value) <= e.expected.u95 for e in built.expectations]
    return replace(
        given_up,
        off=float((built.true - built.asked) / INCH),
        proved=built.accepted,
        finished_covered=bool(abs(built.true - built.stated.value) <= built.stated.u95),
        readings_covered=sum(map(bool, inside)),
        readings=len(inside),
    )


def build_many(seeds: Iterable[int]) -> list[Row]:
    """Build the cases of many seeds, on every core there is."""
    with ProcessPoolExecutor(os.cpu_count() or 1, get_context("spawn")) as pool:
        return list(pool.map(build_both, seeds))


def share(rows: Iterable[Row], attribute: str) -> float:
    """Give the share of builds of which something holds."""
    held = [bool(getattr(row, attribute)) for row in rows]
    return sum(held) / len(held) if held else float("nan")


def readings_share(rows: Iterable[Row]) -> float:
    """Give the share of readings inside the range that was told before they were read."""
    found = list(rows)
    return sum(r.readings_covered for r in found) / max(sum(r.readings for r in found), 1)


def _kinds(rows: Iterable[Row], attribute: str) -> list[str]:
    return sorted({getattr(row, attribute) for row in rows})


_SHARES = ("landed", "rule_landed", "proved", "finished_covered")


def as_markdown(rows: list[Row]) -> str:
    """Write the table."""
    groups = [
        ("to 65 in", [r for r in rows if r.length <= SHORT]),
        ("over 65 in", [r for r in rows if r.length > SHORT]),
        *((f"{b} bench", [r for r in rows if r.bench == b]) for b in _kinds(rows, "bench")),
        *((o, [r for r in rows if r.order == o]) for o in _kinds(rows, "order")),
        ("all", rows),
    ]
    lines = [
        "| lines | builds | landed | by the rule of thumb | proved | finished length covered |"
        " readings covered |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    for name, group in groups:
        if group:
            values = [share(group, attribute) for attribute in _SHARES]
            cells = [f"{100.0 * v:.0f} %" for v in (*values, readings_share(group))]
            lines.append(f"| {name} | {len(group)} | {' | '.join(cells)} |")
    return "\n".join(lines) + "\n"
