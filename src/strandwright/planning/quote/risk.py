"""Risk: how likely a line misses its tolerance, and what that costs on the average.

The plan tells the chance that a line lands, with the readings that its route asks for and with what
the shop has learned. How the shop's finished lines came out stands beside it: the plan counts as a
number of builds, and

.. math:: p = \\frac{n_0 (1 - c) + k}{n_0 + n}

with c the plan's chance, k of n finished lines out of tolerance. A line that misses is turned to
length on the bow, or built again.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from strandwright.planning.result import Plan
from strandwright.planning.shop.outcome import Outcome
from strandwright.reference import practice

#: Chances are carried on to this step, so that money is reckoned with exact numbers [-]
_STEPS = 10_000


@dataclass(frozen=True)
class Risk:
    """Risk that one line must be corrected on the bow or built again.

    Attributes
    ----------
    job : str
        The line's job.
    by_plan : float
        Chance that it misses its tolerance by the plan alone [-]
    chance : float
        The same with what the shop's finished lines say [-]
    finished, missed : int
        Finished lines whose proof was read, and those of them out of tolerance [-]
    """

    job: str
    by_plan: float
    chance: float
    finished: int
    missed: int


def risk_of(plan: Plan, outcomes: Sequence[Outcome] = ()) -> Risk:
    """Tell how likely a line misses its tolerance.

    Parameters
    ----------
    plan : Plan
        The line.
    outcomes : sequence of Outcome
        How the shop's finished lines came out.

    Returns
    -------
    Risk
        The chances.
    """
    read = [o for o in outcomes if o.length is not None]
    missed = sum(1 for o in read if o.length is not None and abs(o.length) > o.tolerance)
    weight = practice("remake.plan_counts").value
    by_plan = 1.0 - plan.landing.chance
    chance = (weight * by_plan + missed) / (weight + len(read))
    return Risk(plan.job.id, by_plan, chance, len(read), missed)


def expected_cost(
    risks: Sequence[Risk], again: Mapping[str, Decimal], hourly_rate: Decimal
) -> Fraction:
    """Give what misses cost on the average, exactly.

    Parameters
    ----------
    risks : sequence of Risk
        One a line.
    again : mapping
        What it costs to build each again, material and work, by job.
    hourly_rate : Decimal
        What an hour costs.

    Returns
    -------
    Fraction
        Not rounded yet [money]
    """
    made = as_steps(practice("remake.made_again").value)
    hours = as_steps(practice("work.on_the_bow").value / 3600.0)
    turned = (1 - made) * hours * Fraction(hourly_rate)
    return sum(
        (as_steps(r.chance) * (made * Fraction(again[r.job]) + turned) for r in risks), Fraction(0)
    )


def as_steps(number: float) -> Fraction:
    """Give a measured number as an exact one that can be written down.

    Parameters
    ----------
    number : float
        A chance, a share, hours [-]

    Returns
    -------
    Fraction
        To four decimals [-]
    """
    return Fraction(round(number * _STEPS), _STEPS)
