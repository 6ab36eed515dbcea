"""Quote: from plans and terms to an offer, whole and ready to be kept."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

from strandwright.errors import SpecError
from strandwright.planning.quote.bill import ONE, BillLine, make_bill
from strandwright.planning.quote.charging import material_lines, work_line
from strandwright.planning.quote.labour import Labour, labour_of
from strandwright.planning.quote.materials import materials_of
from strandwright.planning.quote.offered import offered
from strandwright.planning.quote.prices import PriceOf, prices_in
from strandwright.planning.quote.request import QuoteRequest as QuoteRequest
from strandwright.planning.quote.risk import expected_cost, risk_of
from strandwright.planning.result import Plan
from strandwright.workshop.exact import exact_sum
from strandwright.workshop.job import noun_from_table
from strandwright.workshop.quote import Quote
from strandwright.workshop.terms import Terms, refuse_unset


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
    assert terms.hourly_rate is not None
    again = {
        plan.job.id: _again(plan, work[plan.job.id], price_of, terms) for plan in request.plans
    }
    risk = terms.money.rounded(expected_cost(risks, again, terms.hourly_rate))
    lines = [*material, *work.values(), *_besides(request, risk)]
    bill = make_bill(lines, terms, request.discount)
    return noun_from_table(Quote, offered(request, labour, risks, bill, risk))


def _again(plan: Plan, work: BillLine, price_of: PriceOf, terms: Terms) -> Decimal:
    """Give what a line costs to be built once more."""
    material = material_lines(materials_of([plan], terms), price_of, terms)
    return exact_sum(line.amount for line in (work, *material))


def _besides(request: QuoteRequest, risk: Decimal) -> Iterator[BillLine]:
    """Give what is charged besides material and work."""
    terms = request.terms
    if request.fitting is not None:
        yield work_line("fitting", "fitting and setting", request.fitting.value, terms)
    if terms.remake_charged and risk:
        yield BillLine("risk", "allowance for remakes", None, "", None, ONE, risk)
    for title, amount in request.extras:
        money = terms.money.rounded(amount)
        yield BillLine("other", title, None, "", None, ONE, money)


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
