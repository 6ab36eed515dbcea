"""Routes of a job's bow: what it answers, and what it would be with lines of other lengths."""

from __future__ import annotations

from dataclasses import dataclass, field
from threading import Lock
from typing import Annotated, Any

from fastapi import APIRouter, Query
from fastapi.responses import JSONResponse

from strandwright.errors import InputError, InputErrors, SolveError, SpecError
from strandwright.planning.bow.answers import BowAnswers, answer_bow
from strandwright.planning.bow.model import what_if
from strandwright.planning.bow.readings_data import readings_data
from strandwright.planning.bow.readings_only import from_readings
from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.default_units import with_unit
from strandwright.planning.result import Plan
from strandwright.units import Dimension, parse
from strandwright.web.bodies import Theme, WhatIfBody, Width
from strandwright.web.bow_views import Room, bow_view, servings_view, what_if_view
from strandwright.web.errors import RESPONSES, refusal_of
from strandwright.web.jobs import TriedError
from strandwright.workshop.job import Job

Fields = dict[str, Any]
WidthQuery = Annotated[Width, Query()]


@dataclass
class _Answered:
    """What a job's bow answered last; only one request works it out, the others wait for it."""

    lock: Lock = field(default_factory=Lock)
    job: Job | None = None
    answers: BowAnswers | None = None

    def give(self, job: Job, plan: Plan) -> BowAnswers:
        """Give the answers, worked out anew where the job is another."""
        with self.lock:
            if self.answers is None or self.job != job:
                self.answers, self.job = answer_bow(job, plan), job
            return self.answers


def bow_routes(desk: Desk) -> APIRouter:
    """Make the routes of jobs' bows.

    Parameters
    ----------
    desk : Desk
        The desk they act on.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api/jobs", tags=["jobs"], responses=RESPONSES)
    kept: dict[str, _Answered] = {}

    def answered(id: str) -> tuple[int, Plan, BowAnswers]:
        found = desk.job(id)
        plan = desk.plan(found.job)
        answers = kept.setdefault(id, _Answered()).give(found.job, plan)
        return found.document.revision, plan, answers

    @routes.get("/{id}/bow")
    def bow_of_job(
        id: str, width: WidthQuery = 1100.0, plot: WidthQuery = 520.0, theme: Theme = "light"
    ) -> Fields:
        """What the bow of a job answers; the first time takes some seconds."""
        revision, plan, answers = answered(id)
        return {"id": id, "revision": revision} | bow_view(plan, answers, Room(width, plot, theme))

    @routes.get("/{id}/bow/servings")
    def servings_of_bow(id: str, width: WidthQuery = 1100.0, theme: Theme = "light") -> Fields:
        """What a job's bow touches of its line and asks of its servings, or why nobody knows."""
        try:
            revision, plan, answers = answered(id)
        except (InputError, InputErrors) as error:
            # That a bow is not known is no fault of who asks from the line's page.
            kept = desk.job(id)
            nothing: Fields = {"line": "", "lane": None, "servings": [], "source_text": ""}
            told = {"errors": refusal_of(error)["errors"]}
            return {"id": id, "revision": kept.document.revision} | nothing | told
        view = servings_view(plan, answers, Room(width, width, theme))
        return {"id": id, "revision": revision} | view

    @routes.get("/{id}/bow/readings")
    def readings_of_bow(id: str) -> Fields:
        """What a job's trials alone say of turns, whether or not its bow can be asked."""
        kept = desk.job(id)
        found = from_readings(kept.job, desk.plan(kept.job))
        data = readings_data(kept.job, found)
        return {
            "id": id,
            "revision": kept.document.revision,
            "data": data,
            "lines": data["turns"]["lines"],
        }

    @routes.post("/{id}/bow/what-if", response_model=Fields)
    def bow_with_other_lines(id: str, body: WhatIfBody) -> JSONResponse:
        """What the bow would be with lines of other lengths; nothing is kept."""
        try:
            _, plan, answers = answered(id)
            longer = _longer(body.longer, answers.model.lines, plan.job.paper.units)
            try:
                found = what_if(answers.model, longer)
            except SpecError as error:
                raise error.at(error.field.replace("lines", "longer", 1)) from error
        except (InputError, InputErrors, SolveError) as error:
            raise TriedError(body.seq, refusal_of(error)) from error
        room = Room(body.plot, body.plot, body.theme)
        answer = {"seq": body.seq} | what_if_view(plan, answers, longer, found, room)
        # Plain texts and numbers already: nothing to be looked through while a hand drags.
        return JSONResponse(answer)

    _ = (bow_of_job, servings_of_bow, readings_of_bow, bow_with_other_lines)
    return routes


def _longer(typed: dict[str, str], lines: tuple[str, ...], units: str) -> dict[str, float]:
    """Read by how much each line is to be longer; what is left out or empty is as it is."""
    for line in typed:
        if line not in lines:
            rule = f"must be one of {', '.join(lines)}"
            raise SpecError(f"longer.{line}", line, rule, "name a line of this bow")
    found: dict[str, float] = {}
    for line in lines:
        where, text = f"longer.{line}", typed.get(line, "").strip() or "0"
        text = str(with_unit("longer.length", text, units))
        found[line] = parse(Dimension.LENGTH, text, field=where, signed=True).si
    return found
