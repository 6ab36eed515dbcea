"""A shop's terms and the quote of example lines, for the tests of quotes; all of it invented."""

from __future__ import annotations

from datetime import date
from typing import Any

from sample_job import example_plan
from strandwright.planning.quote.quote import QuoteRequest, make_quote
from strandwright.workshop.quote import Quote
from strandwright.workshop.terms import Terms, read_terms

#: Terms as a shop keeps them in a file
TERMS = """
name = "Workshop at Upper Thorne"
address = ["Mill Lane 3", "Upper Thorne"]
currency = "EUR"
taxes = [{ name = "VAT", rate = "19 %" }]
hourly_rate = "48.00"
charged_by = 5
deposit = "30 %"
holds_days = 30
warranty_days = 365
prices = [
  { ware = "hmpe-lcp", price = "32.00", per = "113.4 g" },
  { ware = "hmpe", price = "28.00", per = "113.4 g" },
  { ware = "polyester", price = "15.00", per = "1/4 lb" },
  { ware = "braid-016", price = "14.00", per = "100 yd" },
  { ware = "braid-018", price = "14.00", per = "100 yd" },
  { ware = "braid-019", price = "14.00", per = "100 yd" },
  { ware = "braid-021", price = "14.00", per = "100 m" },
  { ware = "braid-025", price = "14.00", per = "100 m" },
  { ware = "nylon-017", price = "9.00", per = "250 yd" },
  { ware = "peep", price = "9.50" },
  { ware = "silencer", price = "4.00" },
]
"""


def shop_terms(**changes: Any) -> Terms:
    """Give the shop's terms, some of them changed."""
    return read_terms(TERMS).model_copy(update=changes)


def quote_of(*names: str, terms: Terms | None = None, **changes: Any) -> Quote:
    """Quote example lines."""
    plans = tuple(example_plan(name) for name in names or ("crag-string",))
    asked: dict[str, Any] = {"id": "K7M2QX", "made_on": date(2026, 11, 28)} | changes
    return make_quote(QuoteRequest(plans=plans, terms=terms or shop_terms(), **asked))
