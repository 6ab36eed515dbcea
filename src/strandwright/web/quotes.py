"""Routes of the price: the shop's terms, an order's quote as a draft, told, printed and taken."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Response
from pydantic import Field

from strandwright.errors import SpecError
from strandwright.planning.desk.builds import Desk
from strandwright.planning.orders.keeping import kept_order
from strandwright.planning.quote.accepting import Told
from strandwright.planning.quote.drafting import Drafter, quote_id, read_entries
from strandwright.planning.quote.keeping import (
    accept_quote,
    keep_terms,
    kept_quote,
    tell_quote,
)
from strandwright.planning.quote.taken import reserve_rest, take_quote_back
from strandwright.sheets.quote import quote_sheet_data, render_quote
from strandwright.web.bodies import Body, Count, Id, Tables
from strandwright.web.errors import RESPONSES
from strandwright.web.quote_views import draft_view, order_quote_view, quote_view, terms_view
from strandwright.workshop.money import amount
from strandwright.workshop.quote import Quote

Fields = dict[str, Any]
OrderPath = Annotated[str, Path(pattern=r"^[0-9a-f]{32}$")]
QuotePath = Annotated[Id, Path()]
Revision = Annotated[int | None, Query(ge=1, le=2_000_000_000)]


class TermsBody(Body):
    """The shop's terms as they were typed, and the revision they follow."""

    revision: Count
    terms: Tables


class DraftBody(Body):
    """What is added to a price by hand, and the day it is made."""

    entries: Tables = Field(default_factory=dict)
    day: date | None = Field(default=None, strict=False)


class Act(Body):
    """When something was done, and where; sent again with the same moment it is the same act."""

    at: str = Field(max_length=40)
    by: str = Field(default="", max_length=60)


class TellBody(DraftBody, Act):
    """A price to be told, and the total that stood on the screen."""

    total: str = Field(max_length=40)


class AcceptBody(Act):
    """Which revision of a quote is taken, and whether it may be though something is short."""

    revision: Annotated[int, Field(ge=1, le=2_000_000_000)]
    short: bool = False


def quote_routes(desk: Desk) -> APIRouter:
    """Make the routes of the price.

    Parameters
    ----------
    desk : Desk
        The desk they act on.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api", tags=["quotes"], responses=RESPONSES)
    drafter = Drafter(desk)
    _add_terms(routes, desk)
    _add_drafts(routes, desk, drafter)
    _add_kept(routes, desk)
    return routes


def _add_terms(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/terms")
    def terms() -> Fields:
        """On what the shop works for money, and what of it a quote still asks for."""
        return terms_view(desk)

    @routes.put("/terms")
    def put_terms(body: TermsBody) -> Fields:
        """Keep the terms."""
        keep_terms(desk.store, body.terms, body.revision, desk.now())
        return terms_view(desk)

    _ = (terms, put_terms)


def _add_drafts(routes: APIRouter, desk: Desk, drafter: Drafter) -> None:
    def draft(order: str, body: DraftBody) -> Quote:
        made_on = body.day or date.fromisoformat(desk.now()[:10])
        return drafter.draft(kept_order(desk, order), read_entries(body.entries), made_on)

    @routes.get("/quotes/of/{order}")
    def of_order(order: OrderPath) -> Fields:
        """An order's prices, what is promised, paid and owed."""
        return order_quote_view(desk, kept_order(desk, order))

    @routes.post("/quotes/of/{order}/draft")
    def try_quote(order: OrderPath, body: DraftBody) -> Fields:
        """The price of an order as everything stands; nothing is kept."""
        return draft_view(desk, draft(order, body))

    @routes.post("/quotes/of/{order}/tell")
    def tell(order: OrderPath, body: TellBody) -> Fields:
        """Keep the price and write down that it was told; sent twice it is one."""
        quote = draft(order, body)
        _refuse_otherwise(quote, amount(body.total, "total"))
        tell_quote(desk.store, quote, Told(body.at, body.by))
        return order_quote_view(desk, kept_order(desk, order))

    @routes.post("/quotes/of/{order}/accept")
    def accept(order: OrderPath, body: AcceptBody) -> Fields:
        """They take the price: its material is promised with it, all of it or nothing."""
        id, told = quote_id(desk.store, order), Told(body.at, body.by)
        accept_quote(desk.store, id, told, body.revision, may_be_short=body.short)
        return order_quote_view(desk, kept_order(desk, order))

    @routes.post("/quotes/of/{order}/reserve")
    def reserve(order: OrderPath, body: Act) -> Fields:
        """Promise what was short and has come in since."""
        reserve_rest(desk.store, quote_id(desk.store, order), Told(body.at, body.by))
        return order_quote_view(desk, kept_order(desk, order))

    @routes.post("/quotes/of/{order}/take-back")
    def take_back(order: OrderPath, body: Act) -> Fields:
        """It was a slip that they took it: what was promised is free again."""
        take_quote_back(desk.store, order, Told(body.at, body.by))
        return order_quote_view(desk, kept_order(desk, order))

    _ = (of_order, try_quote, tell, accept, reserve, take_back)


def _refuse_otherwise(quote: Quote, shown: Decimal) -> None:
    """Refuse to tell a price that is another by now than the one on the screen."""
    if shown != quote.total:
        rule = f"is {quote.money.written(quote.total)} by now: a price or a plan was changed"
        raise SpecError("total", f"{shown:f}", rule, "look at the price again, then tell it")


def _add_kept(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/quotes/{id}")
    def one_quote(id: QuotePath, revision: Revision = None) -> Fields:
        """A quote as it was told; the newest unless told which."""
        quote, found = kept_quote(desk.store, id, revision)
        return quote_view(quote, found)

    @routes.get("/quotes/{id}/quote.pdf", response_class=Response)
    def paper(id: QuotePath, revision: Revision = None) -> Response:
        """A quote on paper, as it was told."""
        quote, found = kept_quote(desk.store, id, revision)
        name = f'inline; filename="{id}-{found}.pdf"'
        pdf = render_quote(quote_sheet_data(quote))
        return Response(pdf, media_type="application/pdf", headers={"content-disposition": name})

    _ = (one_quote, paper)
