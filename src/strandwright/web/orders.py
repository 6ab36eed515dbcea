"""Routes of the counter: customers, orders, their events and jobs, photos and labels."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Path, Query, Request, Response
from fastapi.concurrency import run_in_threadpool
from pydantic import Field

from strandwright.errors import NotFound, SpecError
from strandwright.planning.desk.builds import Desk
from strandwright.planning.orders.customers import keep_customer
from strandwright.planning.orders.keeping import (
    find_order,
    kept_order,
    log_of,
    open_order,
    record,
)
from strandwright.planning.orders.lines import add_job
from strandwright.planning.orders.lists import Before, customers_list, orders_list
from strandwright.planning.orders.making import follow
from strandwright.planning.orders.photos import keep_photo
from strandwright.planning.quote.keeping import kept_terms
from strandwright.sheets.label import label_data, label_size, render_label
from strandwright.web.bodies import Body, BuildId, Count, Id, Tables
from strandwright.web.errors import RESPONSES
from strandwright.web.order_views import customer_view, order_view

Fields = dict[str, Any]
CustomerPath = Annotated[Id, Path()]
OrderPath = Annotated[str, Path(pattern=r"^[0-9a-f]{32}$")]
#: An order's identity, or its number as somebody says it.
SaidPath = Annotated[str, Path(min_length=1, max_length=40)]
PhotoPath = Annotated[str, Path(pattern=r"^[0-9a-f]{64}$")]
Words = Annotated[str, Query(max_length=200)]
AtQuery = Annotated[str | None, Query(max_length=40)]
IdQuery = Annotated[str | None, Query(max_length=40)]
Units = Literal["in", "mm"]
Status = Literal[
    "opened", "asked", "refused", "looked at", "measured", "quoted", "accepted", "made",
    "handed over", "closed",
]  # fmt: skip
_MEDIA = ("image/jpeg", "image/png")
_PHOTO = {
    "requestBody": {
        "required": True,
        "content": {kind: {"schema": {"type": "string", "format": "binary"}} for kind in _MEDIA},
    }
}
#: What is named by its own digest never changes.
_FOR_GOOD = {"cache-control": "private, max-age=31536000, immutable"}


class CustomerBody(Body):
    """A customer to be kept."""

    revision: Count = 0
    customer: Tables
    put_away: bool = False


class OpenBody(Body):
    """The event that opens an order."""

    event: Tables
    units: Units = "in"


class HappenedBody(Body):
    """What happened to an order, in its order."""

    events: list[Tables] = Field(min_length=1, max_length=100)
    units: Units = "in"


class LineBody(Body):
    """A line of an order: its job, and the event that adds it."""

    event: BuildId
    at: str = Field(max_length=40)
    by: str = Field(default="", max_length=60)
    line: Tables


def order_routes(desk: Desk) -> APIRouter:
    """Make the routes of the counter.

    Parameters
    ----------
    desk : Desk
        The desk they act on.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api", tags=["orders"], responses=RESPONSES)
    _add_customers(routes, desk)
    _add_orders(routes, desk)
    _add_acts(routes, desk)
    _add_papers(routes, desk)
    _add_photos(routes, desk)
    return routes


def _behind(at: str | None, id: str | None) -> Before:
    return None if at is None or id is None else (at, id)


def _page(desk: Desk, id: str) -> Fields:
    kept = kept_order(desk, id)
    opened = kept.state.opened
    revision = 0
    if opened is not None and kept.customer is not None:
        revision = desk.store.document("customer", opened.customer).revision
    return order_view(desk, kept, revision)


def _add_customers(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/customers")
    def list_customers(words: Words = "", at: AtQuery = None, id: IdQuery = None) -> Fields:
        """Customers found by name, number or address, fifty at a time."""
        return customers_list(desk.store, words, _behind(at, id))

    @routes.get("/customers/{id}")
    def one_customer(id: CustomerPath) -> Fields:
        """A customer with their orders."""
        return customer_view(desk, id)

    @routes.put("/customers/{id}")
    def put_customer(id: CustomerPath, body: CustomerBody) -> Fields:
        """Keep a customer; the identity is made by the page that asks."""
        kept = keep_customer(desk, id, body.customer, body.revision, put_away=body.put_away)
        return {"id": id, "revision": kept.revision}

    _ = (list_customers, one_customer, put_customer)


def _add_orders(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/orders")
    def list_orders(
        status: Annotated[Status | None, Query()] = None,
        words: Words = "",
        at: AtQuery = None,
        id: IdQuery = None,
    ) -> Fields:
        """Orders that are open, of one status, or found by words; fifty of a status at a time."""
        return orders_list(desk.store, status, words, _behind(at, id))

    @routes.get("/orders/{said}")
    def one_order(said: SaidPath) -> Fields:
        """An order by its identity or its number: how it stands, and the one next act."""
        return _page(desk, find_order(desk, said))

    @routes.get("/orders/{id}/log.json")
    def order_log(id: OrderPath) -> Fields:
        """Everything that happened to an order, in its order."""
        log = log_of(desk, id)
        return {"events": [{"seq": one.seq, "event": one.event.table()} for one in log]}

    _ = (list_orders, one_order, order_log)


def _add_acts(routes: APIRouter, desk: Desk) -> None:
    @routes.put("/orders/{id}")
    def put_order(id: OrderPath, body: OpenBody) -> Fields:
        """Open an order; opened twice it is one."""
        open_order(desk, id, body.event, body.units)
        return _page(desk, id)

    @routes.post("/orders/{id}/events")
    def happened(id: OrderPath, body: HappenedBody) -> Fields:
        """Record what happened to an order; an event sent twice is one."""
        stored = record(desk, id, body.events, body.units)
        follow(desk, id, [one.event for one in stored])
        told = [{"id": one.event.id, "seq": one.seq} for one in stored]
        return _page(desk, id) | {"acknowledged": told}

    @routes.post("/orders/{id}/jobs")
    def add_line(id: OrderPath, body: LineBody) -> Fields:
        """Make the job of a line of an order, with its customer and its bow."""
        head = {"id": body.event, "at": body.at, "by": body.by}
        return {"id": add_job(desk, id, head, body.line, _bench(desk, body.line)), "order": id}

    _ = (put_order, happened, add_line)


def _bench(desk: Desk, line: Tables) -> Tables:
    bench = line.get("bench")
    if isinstance(bench, dict):
        return bench
    if isinstance(bench, str) and bench:
        try:
            return desk.store.document("bench", bench).table
        except NotFound as error:
            rule = "must be the id of a bench that is kept"
            raise SpecError("bench", bench, rule, "make the bench first") from error
    raise SpecError("bench", bench, "must be the id of a bench", "make a bench first")


def _add_papers(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/orders/{said}/label.pdf", response_class=Response)
    def label(said: SaidPath) -> Response:
        """The label of an order, to size: its number, whose it is, and a code."""
        id = find_order(desk, said)
        kept = kept_order(desk, id)
        size = label_size(kept_terms(desk.store)[0])
        data = label_data(id, kept.state, kept.customer, size)
        name = f'inline; filename="{data["number"]["text"]}.pdf"'
        pdf = render_label(data)
        return Response(pdf, media_type="application/pdf", headers={"content-disposition": name})

    _ = (label,)


def _add_photos(routes: APIRouter, desk: Desk) -> None:
    @routes.put("/photos/{id}", openapi_extra=_PHOTO)
    async def put_photo(id: PhotoPath, request: Request) -> Fields:
        """Keep a photo, JPEG or PNG by its bytes, under the SHA-256 of them."""
        content = await request.body()
        await run_in_threadpool(keep_photo, desk, id, content)
        return {"id": id}

    @routes.get("/photos/{id}", response_class=Response)
    def photo(id: PhotoPath) -> Response:
        """A photo."""
        found = desk.store.blob(id)
        return Response(found.content, media_type=found.media, headers=_FOR_GOOD)

    _ = (put_photo, photo)
