"""Routes of the queue: the schedule, its settings, what is held, why something is late, the day."""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Response
from pydantic import Field

from strandwright.planning.desk.builds import Desk
from strandwright.planning.queue.data import mends_data, queue_data
from strandwright.planning.queue.keeping import keep_queue, kept_queue, laid_out, pin, unpin
from strandwright.planning.queue.laid_out import LaidOut
from strandwright.sheets.day import day_sheet_data, render_day
from strandwright.web.bodies import Body, Count, Id, Tables
from strandwright.web.errors import RESPONSES
from strandwright.workshop.queue import queue_table

Fields = dict[str, Any]
DayQuery = Annotated[date | None, Query()]


class QueueBody(Body):
    """The queue's settings: benches, hands, hours, due days, and what is held."""

    revision: Count
    queue: Tables


class PinBody(Body):
    """A task to be held to a start by the shop's clock, or a job to go before another."""

    revision: Count
    job: Id
    step: str = Field(default="", max_length=60)
    start: str | None = Field(default=None, max_length=16)
    before: str = Field(default="", max_length=40)


class UnpinBody(Body):
    """A task that is to be held no more."""

    revision: Count
    job: Id
    step: str = Field(default="", max_length=60)


def queue_routes(desk: Desk) -> APIRouter:
    """Make the routes of the queue.

    Parameters
    ----------
    desk : Desk
        The desk they act on.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api/queue", tags=["queue"], responses=RESPONSES)
    _add_kept(routes, desk)
    _add_told(routes, desk)
    return routes


def _add_kept(routes: APIRouter, desk: Desk) -> None:
    @routes.get("")
    def queue() -> Fields:
        """The queue laid out: tasks in time, what is late and why, and the bound."""
        return _told(desk, laid_out(desk))

    @routes.put("")
    def settings(body: QueueBody) -> Fields:
        """Keep its settings as a further revision, and lay it out by them."""
        keep_queue(desk, body.queue, body.revision)
        return _told(desk, laid_out(desk))

    @routes.post("/pin")
    def hold(body: PinBody) -> Fields:
        """Hold a task to a start; what cannot be is refused with the reason."""
        table = {"job": body.job, "step": body.step, "before": body.before}
        if body.start is not None:
            table["start"] = body.start
        return _told(desk, pin(desk, table, body.revision))

    @routes.post("/unpin")
    def let_go(body: UnpinBody) -> Fields:
        """Hold a task no more."""
        return _told(desk, unpin(desk, body.job, body.step, body.revision))

    _ = (queue, settings, hold, let_go)


def _told(desk: Desk, laid: LaidOut) -> Fields:
    kept = kept_queue(desk)
    return queue_data(laid) | {
        "revision": kept.revision,
        "settings": queue_table(kept.settings),
    }


def _add_told(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/late/{job}")
    def late(job: Annotated[Id, Path()]) -> Fields:
        """Why a job is late, and what would mend it, each tried by laying out anew."""
        return mends_data(laid_out(desk), job)

    @routes.get("/day.pdf", response_class=Response)
    def day(on: DayQuery = None) -> Response:
        """The list of one day on one page, today's unless told."""
        laid = laid_out(desk)
        which = on or laid.board.now.date()
        pdf = render_day(day_sheet_data(laid, which))
        headers = {"content-disposition": f'inline; filename="day-{which.isoformat()}.pdf"'}
        return Response(pdf, media_type="application/pdf", headers=headers)

    _ = (late, day)
