"""The quote on paper: who offers what to whom, the bill, what is promised, a place to accept it."""

from __future__ import annotations

from typing import Any

from strandwright.planning.quote.words import bill_words, promises
from strandwright.planning.written import Written
from strandwright.sheets.data import qr_code
from strandwright.sheets.prose import words
from strandwright.sheets.records import Pen, count, identifier
from strandwright.sheets.render import render_template
from strandwright.workshop.quote import Quote, QuotedJob

Section = dict[str, Any]


def quote_sheet_data(quote: Quote) -> Section:
    """Gather everything that is printed of a quote.

    Parameters
    ----------
    quote : Quote
        The quote; nothing else is looked up, so that an old one prints as it was.

    Returns
    -------
    dict
        JSON-ready; ``template`` names the template that the quote was made for.
    """
    pen = Pen(Written.on(quote.paper))
    told = bill_words(quote)
    return {
        "template": quote.template,
        "paper": quote.paper.size,
        "id": identifier(quote.id),
        "shop": words(quote.shop),
        "address": [words(line) for line in quote.address],
        "made_on": quote.made_on,
        "customer": words(quote.customer),
        "bow": words(quote.bow),
        "jobs": [_job(job, pen) for job in quote.jobs],
        "bill": told | {"lines": _cleaned(told["lines"]), "discounts": _cleaned(told["discounts"])},
        "promises": [words(said) for said in promises(quote)],
        "qr": qr_code(f"strandwright quote {quote.id}"),
    }


def _job(job: QuotedJob, pen: Pen) -> Section:
    return {
        "name": words(job.name),
        "line": words(job.line),
        "finished": pen.length(job.finished.si),
        "strand": words(job.strand),
        "strands": count(job.strands),
    }


def _cleaned(lines: list[Section]) -> list[Section]:
    return [line | {"title": words(line["title"])} for line in lines]


def render_quote(data: Section) -> bytes:
    """Print a quote from its data.

    Parameters
    ----------
    data : dict
        As :func:`quote_sheet_data` gave it.

    Returns
    -------
    bytes
        A PDF; the same data gives the same bytes.

    Raises
    ------
    SheetError
        If the data's template is not known, or the page cannot be set.
    """
    return render_template(data)
