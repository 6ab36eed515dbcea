"""Certainty on a sheet: what makes the +-, the chance to land, loads against break, fits."""

from __future__ import annotations

from typing import Any

from strandwright.numerics.budget import Contribution
from strandwright.planning.result import Fit, LoadCheck, Plan
from strandwright.planning.shop.knowledge import shop_said
from strandwright.reference import practice
from strandwright.sheets.prose import prose, words
from strandwright.sheets.records import Pen, Record

Section = dict[str, Any]

_TOP = 4
_LEAST_SHARE = 0.01


def certainty_section(plan: Plan, pen: Pen) -> Section:
    """Give the budget with and without readings, and what would shrink it.

    Parameters
    ----------
    plan : Plan
        The plan.
    pen : Pen
        Writes the quantities.

    Returns
    -------
    dict
        Two budgets, each with its +- and chance, and the remedies.
    """
    landing = plan.landing
    return {
        "tolerance": pen.within(plan.target.tolerance),
        "original": _original(plan, pen),
        **({"heard": prose(f"{landing.heard}.")} if landing.heard else {}),
        **({"shop": prose(shop_said(plan.job))} if shop_said(plan.job) else {}),
        "blind": _budget(landing.budget, landing.blind.u, landing.chance_blind, pen),
        "guided": _budget(landing.guided_budget, landing.guided_u, landing.chance, pen),
        "remedies": [
            {
                "name": prose(remedy.name),
                "within": _half_range(remedy.u, pen),
                "chance": _chance(remedy.chance),
            }
            for remedy in landing.remedies[:3]
        ],
    }


def _original(plan: Plan, pen: Pen) -> list[Any]:
    """Say how far the length asked is itself known, where that is not exactly."""
    if plan.target.length.u <= 0.0:
        return []
    written = pen.written
    return prose(
        f"The length asked is itself known to ± {written.half_range(plan.target.length.u95)}: "
        f"{written.chance(plan.landing.chance_of_original)} within "
        f"{written.length(plan.target.tolerance)} of what the original was."
    )


def _budget(rows: tuple[Contribution, ...], u: float, chance: float, pen: Pen) -> Section:
    """Give one budget, its largest rows only."""
    top = [row for row in rows[:_TOP] if row.share >= _LEAST_SHARE]
    return {
        "within": _half_range(u, pen),
        "chance": _chance(chance),
        "rows": [
            {
                "label": words(row.label),
                "within": _half_range(row.standard_uncertainty, pen),
                "share": pen.share(row.share),
            }
            for row in top
        ],
    }


def _half_range(u: float, pen: Pen) -> Record:
    """Write a +- for itself: twice a standard uncertainty."""
    return pen.within(2.0 * u, "value") | {"u": 0.0}


def _chance(chance: float) -> Record:
    """Write a chance to two decimals, never as sure."""
    text = f"{chance:.2f}"
    shown = "over 0.99" if text == "1.00" else "under 0.01" if text == "0.00" else text
    return {"kind": "value", "text": shown, "si": chance, "unit": "1", "u": 0.0}


def strength_section(plan: Plan, pen: Pen) -> Section:
    """Give the loads against the derated break load, and the diameters against the bow.

    Parameters
    ----------
    plan : Plan
        The plan.
    pen : Pen
        Writes the quantities.

    Returns
    -------
    dict
        Break load, one row a load, one row a fit, mass.
    """
    return {
        "derated": pen.estimate(plan.strength.derated),
        "warn": pen.share(practice("safety.warn").value, "caution limit"),
        "refuse": pen.share(practice("safety.refuse").value, "caution limit"),
        "checks": [_check(check, pen) for check in plan.strength.checks],
        "fits": _fits(plan.fits, pen),
        "bare": pen.small(plan.bare_diameter),
        "mass": pen.estimate(plan.mass),
    }


def _check(check: LoadCheck, pen: Pen) -> Section:
    """Give one load."""
    return {
        "name": words(check.name),
        "load": pen.estimate(check.load),
        "share": pen.share_estimate(check.share),
        "verdict": check.verdict,
    }


def _fits(fits: tuple[Fit, ...], pen: Pen) -> list[Section]:
    """Give every diameter against its part of the bow; those that read alike share a row."""
    rows: list[Section] = []
    for fit in fits:
        row = _fit(fit, pen)
        for other in rows:
            if all(other[k] == row[k] for k in row if k != "what"):
                other["what"] = f"{other['what']}, {row['what']}"
                break
        else:
            rows.append(row)
    return rows


def _fit(fit: Fit, pen: Pen) -> Section:
    """Give one diameter against its part of the bow."""
    return {
        "what": words(fit.what),
        "against": words(fit.against),
        "size": pen.small(fit.size),
        "allowed": pen.size(fit.allowed),
        "verdict": fit.verdict,
        "sentence": prose(fit.sentence),
    }
