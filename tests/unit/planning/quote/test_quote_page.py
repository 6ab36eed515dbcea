"""The page of a quote: what is unsure stands beside each line, whatever jobs call a colour."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

from quoted_lines import quote_of, shop_terms
from sample_job import example_plan
from strandwright.planning.plan_line import plan_line
from strandwright.planning.quote.page import quote_page, shelf_page
from strandwright.planning.quote.promising import promise
from strandwright.planning.quote.quote import QuoteRequest, make_quote
from strandwright.workshop.quote import Quote, quote_from_table, quote_table
from strandwright.workshop.quote_entries import QuoteEntries

SET = ("crag-string", "crag-upper-cable", "crag-lower-cable")


def lines(quote: Quote, kind: str) -> list[dict[str, Any]]:
    """Give the lines of a kind."""
    return [line for line in quote_page(quote)["lines"] if line["kind"] == kind]


def test_each_line_of_a_set_has_its_own_minutes_beside():
    """In the order of its jobs; they add up to the hands of all."""
    quote = quote_of(*SET)
    hands = [f"{job.hands.si / 60:.0f}" for job in quote.jobs]
    assert hands == [line["beside"].split(" ")[0] for line in lines(quote, "work")]
    assert math.isclose(sum(job.hands.si for job in quote.jobs), quote.hands.si, abs_tol=10.0)


def test_a_ware_of_several_lines_stands_once_with_all_its_length_beside():
    """As the bill has it, be its colour called by two names."""
    plans = [example_plan(name) for name in SET]
    job = plans[1].job
    colours = tuple(c.model_copy(update={"name": f"a {c.name}"}) for c in job.makeup.colours)
    called = job.model_copy(update={"makeup": job.makeup.model_copy(update={"colours": colours})})
    plans[1] = plan_line(called)
    request = QuoteRequest("K7M2QX", tuple(plans), shop_terms(), date(2026, 11, 28))
    quote = make_quote(request)
    found = lines(quote, "material")
    assert len(found) == len({line["title"] for line in found})
    assert all(" ft" in line["beside"] and "\u00b1" in line["beside"] for line in found)
    feet = sum(float(line["beside"].split(" ")[0]) for line in found)
    metres = sum(ware.length.si for ware in quote.wares if ware.length is not None)
    assert math.isclose(metres / 0.3048, feet, rel_tol=0.01)


def test_what_is_entered_by_hand_is_kept_with_the_quote():
    """And read back as it was typed; a quote without it reads as before."""
    entries = QuoteEntries(off="5 %", fitting="usual", taxes=("VAT",))
    quote = quote_of().model_copy(update={"entries": entries})
    table = quote_table(quote)
    assert quote == quote_from_table(table)
    assert {"off": "5 %", "fitting": "usual", "taxes": ["VAT"]} == quote_page(quote)["entries"]
    del table["entries"]
    assert QuoteEntries() == quote_from_table(table).entries


def test_an_empty_shelf_is_all_to_buy():
    """Every ware of every line, with how much of it."""
    quote = quote_of(*SET)
    page = shelf_page(quote, *promise(quote.wares, ()), ())
    assert [] == page["from_shelf"]
    assert len(quote.wares) == len(page["to_buy"])
    assert all(one["amount"] and one["title"] for one in page["to_buy"])
