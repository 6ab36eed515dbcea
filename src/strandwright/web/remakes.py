"""Routes of remakes: which lines can have come back, and the job of one that is made again."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path
from pydantic import Field

from strandwright.planning.desk.builds import Desk
from strandwright.planning.orders.remaking import came_back, remake
from strandwright.planning.sets.spare_data import spare_data
from strandwright.web.bodies import Body, BuildId
from strandwright.web.errors import RESPONSES

Fields = dict[str, Any]
OrderPath = Annotated[str, Path(pattern=r"^[0-9a-f]{32}$")]


class RemakeBody(Body):
    """A line that came back, why, and the job of the one that is made for it."""

    event: BuildId
    at: str = Field(max_length=40)
    by: str = Field(default="", max_length=60)
    build: BuildId
    cause: str = Field(max_length=40)
    whose: str = Field(max_length=40)
    said: str = Field(default="", max_length=2000)
    job: str = Field(max_length=60)
    name: str = Field(max_length=200)


def remake_routes(desk: Desk) -> APIRouter:
    """Make the routes of remakes.

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

    @routes.get("/orders/{id}/came-back")
    def lines_of(id: OrderPath) -> Fields:
        """Lines of the customer that can have come back, the causes, and what is remade."""
        return came_back(desk, id)

    @routes.post("/orders/{id}/remakes")
    def make_again(id: OrderPath, body: RemakeBody) -> Fields:
        """Make the job of a line that is made again; written twice it is one."""
        head = {"id": body.event, "at": body.at, "by": body.by}
        told = {"build": body.build, "cause": body.cause, "whose": body.whose, "said": body.said}
        return spare_data(remake(desk, id, head, told, body.job, body.name))

    _ = (lines_of, make_again)
    return routes
