"""Offered: what a quote holds, gathered as plain tables of its nouns."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta
from decimal import Decimal
from typing import Any

from strandwright.planning.estimate import Estimate
from strandwright.planning.plan_line import MODEL_VERSION
from strandwright.planning.quote.bill import Bill, BillLine
from strandwright.planning.quote.charging import measured
from strandwright.planning.quote.labour import Labour
from strandwright.planning.quote.materials import Material, materials_of
from strandwright.planning.quote.request import QuoteRequest
from strandwright.planning.quote.risk import Risk
from strandwright.planning.result import Plan
from strandwright.planning.sets.words import uncounted_said
from strandwright.planning.written import Written
from strandwright.units import Dimension, Entered, parse
from strandwright.workshop.exact import stripped
from strandwright.workshop.wares import Ware

Table = dict[str, Any]


def offered(
    request: QuoteRequest, labour: Labour, risks: Sequence[Risk], bill: Bill, risk: Decimal
) -> Table:
    """Put an offer together.

    Parameters
    ----------
    request : QuoteRequest
        What it is made of.
    labour : Labour
        How long its lines take.
    risks : sequence of Risk
        How likely each misses its tolerance.
    bill : Bill
        What they cost.
    risk : Decimal
        What misses cost on the average.

    Returns
    -------
    dict
        The fields of a :class:`~strandwright.workshop.quote.Quote`.
    """
    terms, first = request.terms, request.plans[0].job
    holds = terms.holds_days
    until = None if holds is None else request.made_on + timedelta(days=holds)
    chances = {one.job: one.chance for one in risks}
    return {
        "id": request.id,
        "order": request.order,
        "made_on": request.made_on.isoformat(),
        "holds_until": None if until is None else until.isoformat(),
        "due": None if request.due is None else request.due.isoformat(),
        "paper": first.paper,
        "shop": terms.name,
        "address": terms.address,
        "customer": request.customer or first.customer,
        "bow": request.bow or ", ".join(word for word in (first.bow.name, first.bow.kind) if word),
        "jobs": tuple(_job(plan, labour, chances[plan.job.id]) for plan in request.plans),
        "wares": _wares(request),
        "remake_risk": risk,
        "warranty_days": terms.warranty_days,
        "notes": tuple(said for said in (uncounted_said(labour.uncounted),) if said),
        **_work(labour),
        **_money(bill),
    }


def _work(labour: Labour) -> Table:
    acts = tuple(
        {
            "title": act.title,
            "amount": stripped(measured(act.amount)),
            "time": _duration(act.time),
            "timed": act.timed,
        }
        for act in labour.acts
    )
    return {
        "acts": acts,
        "hands": _duration(labour.hands),
        "stands": _duration(Estimate(labour.stands, 0.0, "s")),
        "rests": _duration(Estimate(labour.rests, 0.0, "s")),
        "work_source": labour.source,
    }


def _money(bill: Bill) -> Table:
    return {
        "currency": bill.currency.code,
        "decimals": bill.currency.decimals,
        "lines": tuple(_line(line) for line in bill.lines),
        "discounts": tuple(_line(line) for line in bill.discounts),
        "subtotal": bill.subtotal,
        "taxes": tuple(
            {"name": t.name, "rate": t.rate, "base": t.base, "amount": t.amount} for t in bill.taxes
        ),
        "prices_include_tax": bill.prices_include_tax,
        "total": bill.total,
        "deposit": bill.deposit,
    }


def _job(plan: Plan, labour: Labour, misses: float) -> Table:
    job = plan.job
    to = Written.on(job.paper)
    finished = plan.target.length
    return {
        "job": job.id,
        "name": job.name,
        "line": job.line.name,
        "plan": plan.id,
        "model_version": MODEL_VERSION,
        "finished": _entered(Dimension.LENGTH, to.length(finished.value)),
        "strand": Ware(kind="strand", name=job.makeup.strand).label,
        "strands": job.makeup.strands,
        "hands": _duration(labour.by_job[job.id]),
        "misses": to.chance(misses),
    }


def _wares(request: QuoteRequest) -> tuple[Table, ...]:
    """Give what each line takes; parts that no job names are kept for the first one."""
    found = [
        _ware(material, plan.job.id)
        for plan in request.plans
        for material in materials_of([plan], request.terms)
    ]
    by_hand = materials_of([], request.terms, request.parts)
    return (*found, *(_ware(material, request.plans[0].job.id) for material in by_hand))


def _ware(material: Material, job: str) -> Table:
    want, length, mass = material.want, material.length, material.mass
    return {
        "job": job,
        "ware": want.ware,
        "colour_name": want.colour_name,
        "lot": want.lot,
        "length": None
        if length is None
        else _entered(Dimension.LENGTH, _text(length, 1.0, "m", 3)),
        "mass": None if mass is None else _entered(Dimension.MASS, _text(mass, 1e-3, "g", 3)),
        "count": material.count or None,
    }


def _line(line: BillLine) -> Table:
    return {
        "kind": line.kind,
        "title": line.title,
        "quantity": line.quantity,
        "unit": line.unit,
        "price": line.price,
        "per": line.per,
        "amount": line.amount,
        "colour": line.colour or None,
    }


def _duration(found: Estimate) -> Entered:
    return _entered(Dimension.DURATION, _text(found, 60.0, "min", 1))


def _text(found: Estimate, size: float, unit: str, digits: int) -> str:
    """Write a quantity as files hold it; a +- that rounds to nothing is left out."""
    half = round(found.u95 / size, digits)
    apart = f" +- {half:.{digits}f} {unit}" if half > 0.0 else ""
    return f"{found.value / size:.{digits}f} {unit}{apart}"


def _entered(dimension: Dimension, text: str) -> Entered:
    return parse(dimension, text, field=dimension.value)
