"""Routes of the ear: what a line sounds like at a step, and the load that a pluck tells of."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Request
from fastapi.concurrency import run_in_threadpool

from strandwright.planning.desk.builds import Desk
from strandwright.planning.estimate import Estimate
from strandwright.planning.hearing.ear import Ear
from strandwright.planning.hearing.ears import Ears, step_of
from strandwright.planning.hearing.heard_load import HeardLoad, together
from strandwright.planning.hearing.said import hearing, listening, together_said
from strandwright.planning.hearing.sound_file import read_sound
from strandwright.planning.written import Written
from strandwright.web.bodies import PlucksBody
from strandwright.web.errors import RESPONSES

Fields = dict[str, Any]
BuildPath = Annotated[str, Path(pattern=r"^[0-9a-f]{32}$")]
StepQuery = Annotated[str, Query(min_length=1, max_length=60)]
_SOUND = {
    "requestBody": {
        "required": True,
        "content": {
            kind: {"schema": {"type": "string", "format": "binary"}}
            for kind in ("audio/wav", "audio/flac")
        },
    }
}


def hearing_routes(desk: Desk) -> APIRouter:
    """Make the routes of the ear.

    Parameters
    ----------
    desk : Desk
        The desk whose builds are heard.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api", tags=["hearing"], responses=RESPONSES)
    ears = Ears()

    def ear_at(build: str, step: str) -> tuple[Ear, Written]:
        advice = desk.advice(build)
        return ears.at(advice.plan, step_of(advice, step)), Written.on(advice.plan.job.paper)

    @routes.get("/builds/{build}/hear")
    def expect(build: BuildPath, step: StepQuery) -> Fields:
        """What the line sounds like at a step, before any pluck."""
        ear, to = ear_at(build, step)
        return {"step": step, **listening(ear, to)}

    @routes.post("/builds/{build}/hear", openapi_extra=_SOUND)
    async def hear(build: BuildPath, step: StepQuery, request: Request) -> Fields:
        """The load that a recorded pluck tells of; nothing of it is kept."""
        content = await request.body()
        return await run_in_threadpool(heard_in, build, step, content)

    def heard_in(build: str, step: str, content: bytes) -> Fields:
        ear, to = ear_at(build, step)
        return {"step": step, **hearing(ear, ear.hear(read_sound(content)), to)}

    @routes.post("/builds/{build}/hear/together")
    def several(build: BuildPath, body: PlucksBody) -> Fields:
        """The load that several plucks tell of together."""
        ear, to = ear_at(build, body.step)
        plucks = [
            HeardLoad(Estimate(p.load, p.load * (p.own**2 + p.common**2) ** 0.5, "N"), p.own)
            for p in body.plucks
        ]
        return {"step": body.step, **together_said(ear, together(plucks), to)}

    _ = (expect, hear, several)
    return routes
