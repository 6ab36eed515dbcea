"""Routes of the builds: begun, told what happened, answered with the next act."""

from __future__ import annotations

from contextlib import suppress
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Path, Query, Response

from strandwright.errors import Conflict
from strandwright.planning.desk.advice_data import advice_data
from strandwright.planning.desk.builds import Desk
from strandwright.planning.desk.exchange import build_table
from strandwright.planning.orders.making import note_made
from strandwright.planning.ports import PAGE
from strandwright.sheets import render_sheet, render_tag, tag_data
from strandwright.web.bodies import BuildId, EventsBody, LimitQuery, StartBody, WordsQuery
from strandwright.web.errors import RESPONSES
from strandwright.web.lists import builds_list, outcomes
from strandwright.web.views import advice_view

Fields = dict[str, Any]
BuildState = Literal["building", "logged", "put aside"]
BuildsQuery = Annotated[list[BuildId], Query(min_length=1, max_length=20)]
BuildPath = Annotated[str, Path(pattern=r"^[0-9a-f]{32}$")]


def build_routes(desk: Desk) -> APIRouter:
    """Make the routes of the builds.

    Parameters
    ----------
    desk : Desk
        The desk they act on.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api", tags=["builds"], responses=RESPONSES)
    _add_acts(routes, desk)
    _add_papers(routes, desk)
    return routes


def _add_acts(routes: APIRouter, desk: Desk) -> None:
    @routes.post("/jobs/{id}/builds")
    def start(id: str, body: StartBody) -> Fields:
        """Begin a build; begun twice it is one."""
        advice = desk.start(id, body.build, body.event, at=body.at, by=body.by)
        return advice_data(body.build, advice)

    @routes.get("/builds")
    def list_builds(
        state: BuildState | None = None, words: WordsQuery = "", limit: LimitQuery = PAGE
    ) -> Fields:
        """Builds, the latest first."""
        return builds_list(desk, state, words, limit)

    @routes.get("/builds/-/outcomes")
    def tell_outcomes(build: BuildsQuery) -> Fields:
        """How each of these builds came out, or what comes next at the jig."""
        return {"builds": outcomes(desk, build)}

    @routes.get("/builds/{build}")
    def one_build(build: BuildPath) -> Fields:
        """What to do next at the jig, and why."""
        return advice_view(desk, build)

    @routes.post("/builds/{build}/events")
    def record(build: BuildPath, body: EventsBody) -> Fields:
        """Record what happened; acknowledged means durable, sent twice is harmless."""
        events = [desk.event(build, table) for table in body.events]
        stored, advice = desk.record(build, events)
        if any(event.type == "locked" for event in events):
            # What is locked is kept; what does not follow now is offered on the order's page.
            with suppress(Conflict):
                note_made(desk, build)
        return {
            "acknowledged": [{"id": s.event.id, "seq": s.seq} for s in stored],
            "advice": advice_data(build, advice),
        }

    _ = (start, list_builds, tell_outcomes, one_build, record)


def _add_papers(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/builds/{build}/log.json")
    def log(build: BuildPath) -> Fields:
        """The whole record of a build: its plan and every event."""
        return build_table(desk.store, build)

    @routes.get("/builds/{build}/sheet.pdf", response_class=Response)
    def sheet(build: BuildPath) -> Response:
        """The sheet of the plan the build began with, as it was kept."""
        pdf = render_sheet(desk.store.plan(desk.store.build(build).plan_id).sheet)
        return Response(pdf, media_type="application/pdf")

    @routes.get("/builds/{build}/tag.pdf", response_class=Response)
    def tag(build: BuildPath) -> Response:
        """The tag that stays with the line."""
        pdf = render_tag(tag_data(build, desk.advice(build)))
        return Response(pdf, media_type="application/pdf")

    _ = (log, sheet, tag)
