"""The quote on paper: all of its money is there, and an old one prints as it was."""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal
from io import BytesIO
from typing import Any

import pytest
from paper_reading import printed, records
from pypdf import PdfReader

from quoted_lines import quote_of, shop_terms
from sample_job import job_of
from strandwright.errors import SheetError
from strandwright.planning.estimate import Estimate
from strandwright.planning.plan_line import plan_line
from strandwright.planning.quote.bill import Discount
from strandwright.planning.quote.quote import QuoteRequest, make_quote
from strandwright.sheets.quote import quote_sheet_data, render_quote
from strandwright.workshop.quote import Quote, quote_from_table, quote_table
from strandwright.workshop.terms import TaxRate

SET = ("crag-string", "crag-upper-cable", "crag-lower-cable")


def _full(**changes: Any) -> Quote:
    return quote_of(
        *SET,
        fitting=Estimate(5400.0, 600.0, "s"),
        extras=(("posting", Decimal("6.90")),),
        discount=Discount("regular customer", share=Decimal(5)),
        due=date(2026, 12, 12),
        **changes,
    )


def _on(units: str, size: str) -> Quote:
    job = job_of("crag-string", {"paper": {"units": units, "size": size}})
    asked = QuoteRequest("K7M2QX", (plan_line(job),), shop_terms(), date(2026, 11, 28))
    return make_quote(asked)


@pytest.mark.parametrize("included", [False, True])
def test_all_of_the_bill_is_on_the_paper(included: bool, need_tool):
    """Every title, quantity, price and amount, and what is promised."""
    quote = _full(terms=shop_terms(prices_include_tax=included))
    data = quote_sheet_data(quote)
    text = printed(render_quote(data), need_tool("pdftotext"))
    bill = data["bill"]
    rows = [*bill["lines"], *bill["discounts"], *bill["taxes"]]
    said = [row[key] for row in rows for key in ("quantity", "price", "amount") if row.get(key)]
    said += [bill["total"], *data["promises"], *data["address"], data["shop"], data["customer"]]
    said += [] if included else [bill["subtotal"]]
    # An unnamed colour is shown by its swatch, not spelled.
    said += [row["title"].partition(", #")[0] for row in rows]
    assert [] == [one for one in said if " ".join(one.split()) not in text]
    assert "#3A3A3A" not in text
    found = list(records(data))
    assert [] == [r["text"] for r in found if " ".join(r["text"].split()) not in text]


@pytest.mark.parametrize(("units", "size", "page"), [("in", "letter", 792), ("mm", "a4", 842)])
def test_it_fits_one_page_of_either_paper(units: str, size: str, page: float):
    """A string alone; lengths in the job's units."""
    pages = PdfReader(BytesIO(render_quote(quote_sheet_data(_on(units, size))))).pages
    assert 1 == len(pages)
    assert page == pytest.approx(float(pages[0].mediabox.height), abs=1.0)
    wanted = "1403.4 mm" if units == "mm" else "55"
    assert wanted in pages[0].extract_text()


def test_an_old_quote_prints_as_it_was():
    """Kept, read back and printed by the template it names: the very same file."""
    quote = _full()
    kept = json.loads(json.dumps(quote_table(quote)))
    assert render_quote(quote_sheet_data(quote)) == render_quote(
        quote_sheet_data(quote_from_table(kept))
    )
    kept["template"] = "quote_999"
    with pytest.raises(SheetError, match="quote_999"):
        render_quote(quote_sheet_data(quote_from_table(kept)))


def test_what_a_shop_typed_is_never_read_as_markup(need_tool):
    """Names with signs that mean something to the typesetter stand there as they are."""
    odd = "*Thorne* #let x = 1 $y$ _z_ @w <v> [u]"
    terms = shop_terms(name=odd, taxes=(TaxRate(name="#VAT [1]", rate=Decimal(7)),))
    quote = quote_of(terms=terms, customer=odd, extras=((odd, Decimal(1)),))
    text = printed(render_quote(quote_sheet_data(quote)), need_tool("pdftotext"))
    assert text.count(odd) >= 4
    assert "#VAT [1] 7 %" in text


def test_a_shop_that_has_said_little_has_a_plain_quote(need_tool):
    """No name, no tax, nothing promised: the heading, the bill, its total."""
    terms = shop_terms(
        name="", address=(), taxes=(), deposit=None, holds_days=None, warranty_days=None
    )
    text = printed(render_quote(quote_sheet_data(quote_of(terms=terms))), need_tool("pdftotext"))
    assert "93.94 EUR" in text
    for word in ("None", "VAT", "Warranty", "subtotal", "holds"):
        assert word not in text
