"""Routes of the fit: proved lines on their bow, the bow brought back, shot in."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Path
from pydantic import Field

from strandwright.planning.desk.builds import Desk
from strandwright.planning.fitting.keeping import begin, fits_of, kept_fit, record
from strandwright.planning.fitting.page import fit_page
from strandwright.web.bodies import Body, BuildId, Id, Tables
from strandwright.web.errors import RESPONSES

Fields = dict[str, Any]
FitPath = Annotated[BuildId, Path()]


class FitBody(Body):
    """A fit to begin: its identity and the event that begins it."""

    id: BuildId
    event: Tables


class FitEventsBody(Body):
    """What was done on the bow, in order."""

    events: list[Tables] = Field(min_length=1, max_length=50)
    #: Unit of bare figures; left out, that of the lines' job.
    units: Literal["in", "mm"] | None = None


def fitting_routes(desk: Desk) -> APIRouter:
    """Make the routes of the fit.

    Parameters
    ----------
    desk : Desk
        The desk they act on.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api", tags=["fits"], responses=RESPONSES)

    @routes.post("/fits")
    def begin_fit(body: FitBody) -> Fields:
        """Begin a fit; begun twice it is one."""
        return fit_page(begin(desk, body.id, {**body.event, "type": "fit-begun"}))

    @routes.get("/fits/{id}")
    def one_fit(id: FitPath) -> Fields:
        """The walk on the bow, and the act that comes next."""
        return fit_page(kept_fit(desk, id))

    @routes.post("/fits/{id}/events")
    def record_fit(id: FitPath, body: FitEventsBody) -> Fields:
        """Record what was done on the bow; sent twice it is one."""
        record(desk, id, body.events, body.units)
        return fit_page(kept_fit(desk, id))

    @routes.get("/fits/of/{subject}")
    def fits_about(subject: Annotated[Id, Path()]) -> Fields:
        """Fits of an order or of a job, oldest first."""
        found = fits_of(desk, subject)
        return {"fits": [fit_page(one) for one in found]}

    _ = (begin_fit, one_fit, record_fit, fits_about)
    return routes
