"""Routes of the jobs: kept, changed, tried, undone, printed."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Response
from pydantic_core import to_json

from strandwright.errors import InputError, InputErrors, SolveError, SpecError
from strandwright.planning.desk.builds import Desk
from strandwright.planning.desk.jobs import KeptJob
from strandwright.planning.entries.editing import Change, at_change, tables_of
from strandwright.planning.entries.refusals import refuse_impossible
from strandwright.planning.entries.unseen import refuse_unseen
from strandwright.planning.examples import example
from strandwright.planning.ports import PAGE
from strandwright.planning.take_off.new_line import job_from_shorthand
from strandwright.sheets import render_sheet, sheet_data
from strandwright.web.bodies import (
    AgainBody,
    AwayBody,
    ChangeBody,
    ChangesBody,
    Id,
    LimitQuery,
    NewJobBody,
    RevertBody,
    Tables,
    Theme,
    TryBody,
    WholeJobBody,
    Width,
    WordsQuery,
)
from strandwright.web.errors import RESPONSES, refusal_of
from strandwright.web.lists import JOB_STATES, jobs_list, next_acts
from strandwright.web.views import job_view, line_view, strip_view
from strandwright.workshop.job import job_from_table, read_job, write_job

Fields = dict[str, Any]
WidthQuery = Annotated[Width, Query()]
JobState = Literal["building", "to start", "done", "put away"]
JobsQuery = Annotated[list[Id], Query(min_length=1, max_length=20)]


class TriedError(Exception):
    """A try that was refused.

    Parameters
    ----------
    seq : int
        The number it was sent under [-]
    refusal : dict
        The answer's body without it.
    """

    def __init__(self, seq: int, refusal: Fields) -> None:
        super().__init__(seq)
        self.body = refusal | {"seq": seq}


def job_routes(desk: Desk) -> APIRouter:
    """Make the routes of the jobs.

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
    _add_list(routes, desk)
    _add_told(routes, desk)
    _add_one(routes, desk)
    _add_edits(routes, desk)
    _add_papers(routes, desk)
    return routes


def _add_list(routes: APIRouter, desk: Desk) -> None:
    @routes.get("")
    def list_jobs(
        state: JobState | None = None, words: WordsQuery = "", limit: LimitQuery = PAGE
    ) -> Fields:
        """Jobs of each state, or of one, the latest first."""
        return jobs_list(desk, JOB_STATES if state is None else (state,), words, limit)

    @routes.post("")
    def add_job(body: NewJobBody) -> Fields:
        """Keep a new job, from its tables, its file's text or an example."""
        given = [x for x in (body.job, body.toml, body.example) if x is not None]
        if len(given) != 1:
            rule = "must be exactly one of job, toml and example"
            raise SpecError("job", f"{len(given)} of them", rule, "send one")
        if body.example is not None:
            table = tables_of(example(body.example))
        elif body.toml is not None:
            table = tables_of(read_job(body.toml))
        else:
            table = body.job or {}
        return _kept(desk.add_job(table))

    @routes.post("/from-shorthand")
    def add_from_shorthand(body: Tables) -> Fields:
        """Keep a new job made from start-stop shorthand and a few words, if it can be meant."""
        job = job_from_shorthand(body, _bench(desk, body))
        refuse_impossible(job)
        return _kept(desk.add_job(tables_of(job)))

    _ = (list_jobs, add_job, add_from_shorthand)


def _add_told(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/-/next-acts")
    def tell_next(job: JobsQuery) -> Fields:
        """What comes next of each of these jobs, as a plan of it says."""
        return {"jobs": next_acts(desk, job)}

    _ = tell_next


def _bench(desk: Desk, body: Tables) -> Tables:
    bench = body.get("bench")
    if isinstance(bench, dict):
        return bench
    if isinstance(bench, str) and bench:
        return desk.store.document("bench", bench).table
    raise SpecError("bench", bench, "must be the id of a bench", "make a bench first")


def _kept(kept: KeptJob) -> Fields:
    return {"id": kept.document.id, "revision": kept.document.revision}


def _add_one(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/{id}")
    def one_job(id: str, width: WidthQuery = 1100.0, theme: Theme = "light") -> Fields:
        """A job with its plan, or with why there is none."""
        return job_view(desk, desk.job(id), width, theme)

    @routes.put("/{id}")
    def replace_job(id: str, body: WholeJobBody) -> Fields:
        """Keep a whole job as a further revision."""
        job = job_from_table(body.job)
        if job.id != id:
            raise SpecError("id", job.id, "must stay as it is", "make another job of it")
        kept_now = desk.job(id)
        refuse_unseen(job, passed=kept_now.job)
        away = kept_now.document.put_away
        kept = desk.keep_job(job, body.revision, put_away=away)
        return job_view(desk, kept, body.width, body.theme)

    @routes.post("/{id}/again")
    def build_again(id: str, body: AgainBody) -> Fields:
        """Keep a job for a matched spare."""
        return _kept(desk.spare_of(id, body.id, body.name))

    @routes.post("/{id}/away")
    def put_away(id: str, body: AwayBody) -> Fields:
        """Take a job out of use, or bring it back."""
        return _kept(desk.keep_job(desk.job(id).job, body.revision, put_away=body.put_away))

    @routes.get("/{id}/revisions")
    def revisions(id: str) -> Fields:
        """Every revision of a job, oldest first."""
        desk.job(id)
        found = desk.store.revisions("job", id)
        return {"revisions": [{"revision": d.revision, "saved_at": d.saved_at} for d in found]}

    _ = (one_job, replace_job, build_again, put_away, revisions)


def _changes(bodies: list[ChangeBody]) -> list[Change]:
    return [Change(b.field, b.value, b.at_m) for b in bodies]


def _add_edits(routes: APIRouter, desk: Desk) -> None:
    @routes.post("/{id}/try", response_model=Fields)
    def try_changes(id: str, body: TryBody) -> Response:
        """What a job would be with changes; nothing is kept."""
        try:
            job, plan = desk.tried(id, body.job, _changes(body.changes))
            view = line_view(plan, body.width, body.theme)
        except (InputError, InputErrors, SolveError) as error:
            refusal = refusal_of(at_change(error, _changes(body.changes)))
            raise TriedError(body.seq, refusal) from error
        # Written here: what is worked out for every place of the hand needs no second look.
        text = to_json({"seq": body.seq, "job": tables_of(job), "view": view})
        return Response(text, media_type="application/json")

    @routes.post("/{id}/change")
    def change_job(id: str, body: ChangesBody) -> Fields:
        """Keep changes as a further revision."""
        try:
            kept = desk.change_job(id, body.revision, _changes(body.changes))
        except (InputError, InputErrors, SolveError) as error:
            raise TriedError(body.seq, refusal_of(error)) from error
        return {"seq": body.seq, **job_view(desk, kept, body.width, body.theme)}

    @routes.post("/{id}/revert")
    def revert_job(id: str, body: RevertBody) -> Fields:
        """Let an older revision's content be the newest: undo and redo."""
        kept = desk.revert_job(id, body.revision, body.to)
        return job_view(desk, kept, body.width, body.theme)

    _ = (try_changes, change_job, revert_job)


def _add_papers(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/{id}/sheet.pdf", response_class=Response)
    def sheet(id: str) -> Response:
        """The bench sheet of a job, to scale."""
        pdf = render_sheet(sheet_data(desk.plan(desk.job(id).job)))
        return Response(pdf, media_type="application/pdf", headers=_named(id, "pdf", inline=True))

    @routes.get("/{id}/job.toml", response_class=Response)
    def job_file(id: str) -> Response:
        """The job's open file."""
        text = write_job(desk.job(id).job)
        return Response(text, media_type="application/toml", headers=_named(id, "toml"))

    @routes.get("/{id}/strip.svg", response_class=Response)
    def strip(id: str, width: WidthQuery = 1100.0, theme: Theme = "light") -> Response:
        """The line on its strip."""
        svg = strip_view(desk.plan(desk.job(id).job), width, theme)["svg"]
        return Response(svg, media_type="image/svg+xml")

    _ = (sheet, job_file, strip)


def _named(id: str, ending: str, *, inline: bool = False) -> dict[str, str]:
    how = "inline" if inline else "attachment"
    return {"content-disposition": f'{how}; filename="{id}.{ending}"'}
