"""Routes of stock: what lies on the shelf, one spool with its log, what happened to it."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Query

from strandwright.planning.desk.builds import Desk
from strandwright.planning.stock.keeping import enter
from strandwright.planning.stock.page import spool_page, stock_page
from strandwright.planning.stock.wanted import choice_data, spools_for
from strandwright.web.bodies import Body, Id, Tables
from strandwright.web.errors import RESPONSES

Fields = dict[str, Any]
SpoolPath = Annotated[str, Path(pattern=r"^[0-9a-f]{32}$")]
Jobs = Annotated[list[Id], Query(min_length=1, max_length=24)]


class StockEventBody(Body):
    """What happened to a spool or to small parts; the first ``stock-received`` begins its log."""

    event: Tables


def stock_routes(desk: Desk) -> APIRouter:
    """Make the routes of stock.

    Parameters
    ----------
    desk : Desk
        The desk they act on.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api/stock", tags=["stock"], responses=RESPONSES)

    @routes.get("")
    def shelf() -> Fields:
        """Every ware with its spools: what is left, promised, worth, and when to order."""
        return stock_page(desk)

    @routes.get("/-/spools")
    def choose(job: Jobs, mix: bool = False) -> Fields:
        """Which spools the lines of these jobs are best wound from, with the solver's bound."""
        wanted, choice = spools_for(desk, job, may_mix=mix)
        return choice_data(desk, wanted, choice)

    @routes.get("/{spool}")
    def one(spool: SpoolPath) -> Fields:
        """One spool, or small parts of one ware, with its log."""
        return spool_page(desk, spool)

    @routes.post("/{spool}/events")
    def happened(spool: SpoolPath, body: StockEventBody) -> Fields:
        """Write what happened to it, or promise some of it; sent twice it is one."""
        enter(desk, spool, body.event)
        return spool_page(desk, spool)

    _ = (shelf, choose, one, happened)
    return routes
