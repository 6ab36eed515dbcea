"""Text of a quote: what the lines take, how long they take, the bill."""

from __future__ import annotations

from strandwright.cli.layout import columns, heading, paragraph, rows
from strandwright.planning.estimate import Estimate
from strandwright.planning.quote.words import bill_words, not_set, promises
from strandwright.planning.written import Written
from strandwright.units import Entered
from strandwright.workshop.quote import Quote, QuotedWare
from strandwright.workshop.terms import Terms


def quote_lines(quote: Quote, terms: Terms) -> list[str]:
    """Write a quote, as lines."""
    who = f" for {quote.customer}" if quote.customer else ""
    lines = [f"quote {quote.id}{who}, {quote.made_on}"]
    lines += [f"  {job.name}: {job.finished.text}, {job.strands} strands" for job in quote.jobs]
    return [*lines, *_material(quote), *_work(quote), *_bill(quote), *_said(quote, terms)]


def _material(quote: Quote) -> list[str]:
    to = Written.on(quote.paper)
    head = ("for", "ware", "length", "mass", "count")
    return [
        *heading("Off the shelf"),
        *columns(head, [_ware(ware, to) for ware in quote.wares]),
        *paragraph("Lengths are off the spool, with post allowance and tails."),
    ]


def _ware(ware: QuotedWare, to: Written) -> tuple[str, ...]:
    colour = ware.colour_name or (ware.ware.colour or "")
    name = ", ".join(word for word in (ware.ware.name, colour, ware.lot) if word)
    length = "-" if ware.length is None else to.long(_estimate(ware.length, "m"))
    mass = "-" if ware.mass is None else to.estimate(_estimate(ware.mass, "kg"))
    return ware.job, name, length, mass, f"{ware.count or '-'}"


def _work(quote: Quote) -> list[str]:
    table = [
        (act.title, f"{act.amount:f}", _minutes(act.time), f"{act.timed}") for act in quote.acts
    ]
    waits = f"stands under its stretch {_minutes(quote.stands)}, rests {_minutes(quote.rests)}"
    return [
        *heading("Work of hands"),
        *columns(("act", "times", "takes", "timed here"), table),
        *rows([("in all", _minutes(quote.hands)), ("besides", waits), ("by", quote.work_source)]),
    ]


def _estimate(entered: Entered, unit: str) -> Estimate:
    return Estimate(entered.si, entered.standard_uncertainty or 0.0, unit)


def _minutes(entered: Entered) -> str:
    half = 2.0 * (entered.standard_uncertainty or 0.0) / 60.0
    apart = f" \u00b1 {half:.0f}" if half >= 0.5 else ""
    return f"{entered.si / 60.0:.0f}{apart} min"


def _bill(quote: Quote) -> list[str]:
    told = bill_words(quote)
    table = [
        [line["title"], line["quantity"], line["price"], line["amount"]]
        for line in (*told["lines"], *told["discounts"])
    ]
    if told["taxes"] and not told["tax_is_in"]:
        table.append(["subtotal", "", "", told["subtotal"]])
        table += [[tax["title"], "", "", tax["amount"]] for tax in told["taxes"]]
    table.append(["total", "", "", told["total"]])
    if told["tax_is_in"]:
        table += [[tax["title"], "", "", tax["amount"]] for tax in told["taxes"]]
    widest = max(len(row[-1]) for row in table)
    ranged = [(*row[:-1], row[-1].rjust(widest)) for row in table]
    return [*heading("Bill"), *columns(("for", "quantity", "price", "amount"), ranged)]


def _said(quote: Quote, terms: Terms) -> list[str]:
    lines = ["", *(line for said in promises(quote) for line in paragraph(said, mark="-"))]
    risk = quote.money.written(quote.remake_risk)
    where = "is in the bill" if terms.remake_charged else "is not charged"
    chances = ", ".join(f"{job.job} {job.misses}" for job in quote.jobs)
    lines += paragraph(
        f"Lines out of tolerance cost {risk} on the average, which {where}: chance {chances}.",
        mark="-",
    )
    unset = not_set(terms)
    if unset:
        lines += paragraph(f"Not set in the terms: {', '.join(unset)}.", mark="-")
    return lines
