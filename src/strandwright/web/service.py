"""Routes of service: what is written of a finished line on its bow, and what is to be done."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Query
from pydantic import Field

from strandwright.planning.desk.builds import Desk
from strandwright.planning.settling.data import settling_data
from strandwright.planning.settling.keeping import answer_for, finished, write
from strandwright.planning.settling.record import written_of
from strandwright.web.bodies import Body, BuildId, Tables
from strandwright.web.errors import RESPONSES
from strandwright.workshop.happenings.order import Baseline
from strandwright.workshop.job import Job

Fields = dict[str, Any]
BuildPath = Annotated[str, Path(pattern=r"^[0-9a-f]{32}$")]
WidthQuery = Annotated[float, Query(ge=280, le=2000)]


class EntryBody(Body):
    """One entry of a line's service, as it was typed."""

    id: BuildId
    type: str = Field(min_length=1, max_length=40)
    at: str = Field(max_length=40)
    #: As typed; what is no count of shots is refused with the words of the noun.
    shots: int | float | str | None = None
    by: str = Field(default="", max_length=60)
    body: Tables = Field(default_factory=dict)


def _before(job: Job) -> Fields:
    """Give what the bow measured as it came, or is wanted at where that is told."""
    names = set(Baseline.model_fields)
    told = job.bow.model_dump(mode="json", exclude_defaults=True)
    wanted = told.get("wanted", {})
    return {name: value for name, value in (told | wanted).items() if name in names}


def service_routes(desk: Desk) -> APIRouter:
    """Make the routes of service.

    Parameters
    ----------
    desk : Desk
        The desk they act on.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api", tags=["service"], responses=RESPONSES)

    def view(build: str, width: float) -> Fields:
        advice, written = finished(desk, build), written_of(desk.store, build)
        job = advice.plan.job
        about = {
            "build": build,
            "job": job.id,
            "name": job.name,
            "bow": job.bow.name or job.bow.kind,
            "line": job.line.name,
            "ended_at": advice.state.ended_at,
            "units": job.paper.units,
            "bow_kind": job.bow.kind,
            "crossbow": job.bow.crossbow,
            "bow_before": _before(job),
        }
        answer = answer_for(desk, build, written)
        return about | settling_data(answer, written, width=width)

    @routes.get("/builds/{build}/service")
    def service(build: BuildPath, width: WidthQuery = 560.0) -> Fields:
        """What is to be done with a finished line on its bow, and everything written of it."""
        return view(build, width)

    @routes.post("/builds/{build}/service")
    def enter(build: BuildPath, body: EntryBody, width: WidthQuery = 560.0) -> Fields:
        """Write one entry of a line's service; written twice it is one."""
        write(desk, build, body.model_dump(exclude_none=True))
        return view(build, width)

    _ = (service, enter)
    return routes
