"""Quote: from plans and terms to an offer, whole and ready to be kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from decimal import Decimal

from strandwright.errors import SpecError
from strandwright.planning.estimate import Estimate
from strandwright.planning.plan_line import MODEL_VERSION
from strandwright.planning.quote.bill import ONE, Bill, BillLine, Discount, make_bill
from strandwright.planning.quote.charging import material_lines, measured, work_line
from strandwright.planning.quote.labour import Labour, labour_of
from strandwright.planning.quote.materials import Material, materials_of
from strandwright.planning.quote.pace import TimedBuild
from strandwright.planning.quote.prices import PriceOf, prices_in
from strandwright.planning.quote.risk import Risk, expected_cost, risk_of
from strandwright.planning.result import Plan
from strandwright.planning.sets.words import uncounted_said
from strandwright.planning.shop.outcome import Outcome
from strandwright.planning.written import Written
from strandwright.units import Dimension, Entered, parse
from strandwright.workshop.exact import exact_sum, stripped
from strandwright.workshop.quote import (
    Quote,
    QuotedAct,
    QuotedJob,
    QuotedLine,
    QuotedTax,
    QuotedWare,
)
from strandwright.workshop.terms import Terms, refuse_unset
from strandwright.workshop.wares import Ware


@dataclass(frozen=True)
class QuoteRequest:
    """What an offer is made of.

    Attributes
    ----------
    id : str
        Of the quote: its order's number.
    plans : tuple of Plan
        The lines.
    terms : Terms
        The shop's.
    made_on : date
        The day.
    order : str
        Identity of its order; empty where there is none.
    customer, bow : str
        As they stand on the paper; left out, as the first job has them.
    price_of : callable or None
        Tells prices; None asks the terms.
    builds : tuple of TimedBuild
        The shop's builds, for the minutes of its work.
    outcomes : tuple of Outcome
        How its finished lines came out, for the risk.
    parts : mapping
        Small parts besides those of the jobs, with their count [-]
    fitting : Estimate or None
        Time to fit the lines to the bow; None where they are not fitted here [s]
    extras : tuple of (str, Decimal)
        Anything else that is charged, such as posting, with its amount.
    discount : Discount or None
        What is off.
    due : date or None
        When it is to be ready.
    """

    id: str
    plans: tuple[Plan, ...]
    terms: Terms
    made_on: date
    order: str = ""
    customer: str = ""
    bow: str = ""
    price_of: PriceOf | None = None
    builds: tuple[TimedBuild, ...] = ()
    outcomes: tuple[Outcome, ...] = ()
    parts: Mapping[str, int] = field(default_factory=dict[str, int])
    fitting: Estimate | None = None
    extras: tuple[tuple[str, Decimal], ...] = ()
    discount: Discount | None = None
    due: date | None = None


def make_quote(request: QuoteRequest) -> Quote:
    """Make an offer.

    Parameters
    ----------
    request : QuoteRequest
        What it is made of.

    Returns
    -------
    Quote
        Whole: it needs nothing else to be printed or accepted.

    Raises
    ------
    InputError
        If one thing is missing or contradicts another: a currency, a price.
    InputErrors
        If several are.
    """
    terms = request.terms
    _refuse_contradictions(request)
    price_of = request.price_of or prices_in(terms)
    labour = labour_of(request.plans, request.builds)
    risks = [risk_of(plan, request.outcomes) for plan in request.plans]
    material = material_lines(materials_of(request.plans, terms, request.parts), price_of, terms)
    work = {plan.job.id: _work(plan, labour, terms) for plan in request.plans}
    again = {
        plan.job.id: exact_sum(
            line.amount
            for line in (work[plan.job.id],
                         *material_lines(materials_of([plan], terms), price_of, terms))
        )
        for plan in request.plans
    }  # fmt: skip
    assert terms.hourly_rate is not None
    risk = terms.money.rounded(expected_cost(risks, again, terms.hourly_rate))
    lines = [*material, *work.values()]
    if request.fitting is not None:
        lines.append(work_line("fitting", "fitting and setting", request.fitting.value, terms))
    if terms.remake_charged and risk:
        lines.append(BillLine("risk", "allowance for remakes", None, "", None, ONE, risk))
    for title, amount in request.extras:
        money = terms.money.rounded(amount)
        lines.append(BillLine("other", title, None, "", None, ONE, money))
    bill = make_bill(lines, terms, request.discount)
    return _whole(request, labour, risks, bill, risk)


def _refuse_contradictions(request: QuoteRequest) -> None:
    refuse_unset(request.terms)
    jobs = [plan.job.id for plan in request.plans]
    if not jobs:
        raise SpecError("jobs", "none", "must be one line or more", "name a job")
    twice = next((job for job in jobs if jobs.count(job) > 1), None)
    if twice is not None:
        rule = "must stand once in a quote"
        raise SpecError("jobs", twice, rule, "make a further job for a second line like it")
    for title, amount in request.extras:
        if amount < 0:
            rule = "must be 0 or more"
            raise SpecError(title, f"{amount:f}", rule, "take something off as a discount")
    if request.due is not None and request.due < request.made_on:
        rule = f"must not lie before the quote, {request.made_on.isoformat()}"
        raise SpecError("due", request.due.isoformat(), rule, "mend the day")


def _work(plan: Plan, labour: Labour, terms: Terms) -> BillLine:
    job = plan.job
    named = job.line.name.casefold() in job.name.casefold()
    title = job.name if named else f"{job.line.name}, {job.name}"
    return work_line("work", f"work, {title}", labour.by_job[job.id].value, terms)


def _whole(
    request: QuoteRequest, labour: Labour, risks: Sequence[Risk], bill: Bill, risk: Decimal
) -> Quote:
    """Put the offer together."""
    terms, first = request.terms, request.plans[0].job
    holds = terms.holds_days
    until = None if holds is None else request.made_on + timedelta(days=holds)
    chances = {one.job: one.chance for one in risks}
    return Quote(
        id=request.id,
        order=request.order,
        made_on=request.made_on.isoformat(),
        holds_until=None if until is None else until.isoformat(),
        due=None if request.due is None else request.due.isoformat(),
        paper=first.paper,
        shop=terms.name,
        address=terms.address,
        customer=request.customer or first.customer,
        bow=request.bow or ", ".join(word for word in (first.bow.name, first.bow.kind) if word),
        jobs=tuple(_job(plan, labour, chances[plan.job.id]) for plan in request.plans),
        wares=tuple(
            _ware(material, plan.job.id)
            for plan in request.plans
            for material in materials_of([plan], terms)
        )
        + _by_hand(request),
        acts=tuple(
            QuotedAct(
                title=act.title, amount=stripped(measured(act.amount)), time=_duration(act.time),
                timed=act.timed,
            )
            for act in labour.acts
        ),
        hands=_duration(labour.hands),
        stands=_duration(Estimate(labour.stands, 0.0, "s")),
        rests=_duration(Estimate(labour.rests, 0.0, "s")),
        work_source=labour.source,
        currency=bill.currency.code,
        decimals=bill.currency.decimals,
        lines=tuple(_line(line) for line in bill.lines),
        discounts=tuple(_line(line) for line in bill.discounts),
        subtotal=bill.subtotal,
        taxes=tuple(
            QuotedTax(name=t.name, rate=t.rate, base=t.base, amount=t.amount) for t in bill.taxes
        ),
        prices_include_tax=bill.prices_include_tax,
        total=bill.total,
        deposit=bill.deposit,
        remake_risk=risk,
        warranty_days=terms.warranty_days,
        notes=tuple(said for said in (uncounted_said(labour.uncounted),) if said),
    )  # fmt: skip


def _job(plan: Plan, labour: Labour, misses: float) -> QuotedJob:
    job = plan.job
    to = Written.on(job.paper)
    return QuotedJob(
        job=job.id,
        name=job.name,
        line=job.line.name,
        plan=plan.id,
        model_version=MODEL_VERSION,
        finished=_length(plan.target.length, to.length(plan.target.length.value)),
        strand=Ware(kind="strand", name=job.makeup.strand).label,
        strands=job.makeup.strands,
        hands=_duration(labour.by_job[job.id]),
        misses=to.chance(misses),
    )


def _by_hand(request: QuoteRequest) -> tuple[QuotedWare, ...]:
    """Give parts that no job names; they are kept for the first one."""
    job = request.plans[0].job.id
    found = materials_of([], request.terms, request.parts)
    return tuple(_ware(material, job) for material in found)


def _ware(material: Material, job: str) -> QuotedWare:
    want = material.want
    return QuotedWare(
        job=job,
        ware=want.ware,
        colour_name=want.colour_name,
        lot=want.lot,
        length=None if material.length is None else _length(material.length),
        mass=None if material.mass is None else _mass(material.mass),
        count=material.count or None,
    )


def _line(line: BillLine) -> QuotedLine:
    return QuotedLine(
        kind=line.kind,
        title=line.title,
        quantity=line.quantity,
        unit=line.unit,
        price=line.price,
        per=line.per,
        amount=line.amount,
        colour=line.colour or None,
    )


def _length(found: Estimate, text: str = "") -> Entered:
    return _entered(Dimension.LENGTH, text or _text(found, 1.0, "m", 3))


def _mass(found: Estimate) -> Entered:
    return _entered(Dimension.MASS, _text(found, 1e-3, "g", 3))


def _duration(found: Estimate) -> Entered:
    return _entered(Dimension.DURATION, _text(found, 60.0, "min", 1))


def _text(found: Estimate, size: float, unit: str, digits: int) -> str:
    """Write a quantity as files hold it; a +- that rounds to nothing is left out."""
    half = round(found.u95 / size, digits)
    apart = f" +- {half:.{digits}f} {unit}" if half > 0.0 else ""
    return f"{found.value / size:.{digits}f} {unit}{apart}"


def _entered(dimension: Dimension, text: str) -> Entered:
    return parse(dimension, text, field=dimension.value)
