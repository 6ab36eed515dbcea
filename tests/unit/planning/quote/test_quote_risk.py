"""Risk: the plan's chance and the shop's finished lines together, as money on the average."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest

from quoted_lines import quote_of, shop_terms
from sample_job import example_plan, plan_of
from strandwright.planning.quote.risk import Risk, expected_cost, risk_of
from strandwright.planning.shop.outcome import Outcome


def _outcome(length: float | None) -> Outcome:
    return Outcome(
        build="b", job="j", at="", bench="", fibre="", lot="", builder="", length=length,
        length_u=1e-4, tolerance=1.5e-3, turns=0.0, mass=None, mass_u=0.0, diameter=None,
    )  # fmt: skip


def test_without_builds_it_is_the_plan_s_own_chance():
    """What its landing leaves open."""
    plan = example_plan("crag-string")
    risk = risk_of(plan)
    assert risk.by_plan == risk.chance == 1.0 - plan.landing.chance


def test_finished_lines_stand_beside_the_plan_as_ten_would():
    """2 of 40 out of tolerance: (10 x 0.0005 + 2) / 50; an unread one is not counted."""
    plan = example_plan("crag-string")
    read = [_outcome(0.0)] * 38 + [_outcome(2e-3), _outcome(-2e-3), _outcome(None)]
    risk = risk_of(plan, read)
    assert (40, 2) == (risk.finished, risk.missed)
    assert (10.0 * (1.0 - plan.landing.chance) + 2.0) / 50.0 == pytest.approx(risk.chance)


def test_a_narrower_tolerance_is_a_greater_risk():
    """The same line within half and a quarter of it."""
    chances = [
        risk_of(plan_of("crag-string", {"line.tolerance": t})).chance
        for t in ("1/16 in", "1/32 in", "1/64 in")
    ]
    assert sorted(chances) == chances
    assert chances[-1] > 10.0 * chances[0]


def test_what_it_costs_worked_out_by_hand():
    """A tenth of lines, half of them built again for 100, half turned in an hour of 48.

    0.1 x (0.5 x 100 + 0.5 x 48) = 7.40
    """
    risk = Risk("A", 0.1, 0.1, 0, 0)
    assert Fraction("7.4") == expected_cost([risk], {"A": Decimal(100)}, Decimal(48))
    assert Fraction("14.8") == expected_cost([risk] * 2, {"A": Decimal(100)}, Decimal(48))


def test_a_shop_charges_it_or_not():
    """It is told either way, and only then a line of the bill."""
    outcomes = tuple([_outcome(2e-3)] * 3 + [_outcome(0.0)] * 7)
    free = quote_of(outcomes=outcomes)
    charged = quote_of(outcomes=outcomes, terms=shop_terms(remake_charged=True))
    assert free.remake_risk == charged.remake_risk > Decimal(5)
    assert "risk" not in [line.kind for line in free.lines]
    (line,) = [line for line in charged.lines if line.kind == "risk"]
    assert charged.remake_risk == line.amount
    assert free.subtotal + line.amount == charged.subtotal
    assert "15 %" == charged.jobs[0].misses
