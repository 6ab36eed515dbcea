"""Routes of the sets: kept, changed, planned, printed; and the matched spare of a build."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Query, Response
from pydantic import Field

from strandwright.errors import SpecError
from strandwright.planning.desk.builds import Desk
from strandwright.planning.sets.keeping import KeptSet, keep_set, kept_set, plan_kept
from strandwright.planning.sets.spare import keep_spare, spare_of_build
from strandwright.planning.sets.spare_data import spare_data
from strandwright.sheets.line_set import render_set, set_sheet_data
from strandwright.web.bodies import Body, Count, Id, Tables, Theme, Width
from strandwright.web.errors import RESPONSES
from strandwright.web.set_views import set_view, sets_view
from strandwright.workshop.line_set import set_table, write_set

Fields = dict[str, Any]
IdPath = Annotated[Id, Path()]
BuildPath = Annotated[str, Path(pattern=r"^[0-9a-f]{32}$")]
WidthQuery = Annotated[Width, Query()]


class SetBody(Body):
    """A set to be kept."""

    revision: Count = 0
    set: Tables


class SetAwayBody(Body):
    """Whether a set is out of use."""

    revision: Count
    put_away: bool = True


class SpareBody(Body):
    """A matched spare: id and name of its job, and what it cannot have of the first one."""

    id: str = Field(max_length=60)
    name: str = Field(max_length=200)
    bench: Id | None = None
    lot: str | None = Field(default=None, max_length=200)
    #: True to say only what it would be; nothing is kept then.
    look: bool = False


def set_routes(desk: Desk) -> APIRouter:
    """Make the routes of the sets.

    Parameters
    ----------
    desk : Desk
        The desk they act on.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api", tags=["sets"], responses=RESPONSES)
    _add_kept(routes, desk)
    _add_papers(routes, desk)
    _add_spare(routes, desk)
    return routes


def _add_kept(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/sets")
    def list_sets() -> Fields:
        """Every set with its lines, not planned."""
        return {"sets": sets_view(desk)}

    @routes.post("/sets")
    def add_set(body: SetBody) -> Fields:
        """Keep a new set."""
        return _told(keep_set(desk, body.set, 0))

    @routes.get("/sets/{id}")
    def one_set(id: IdPath, width: WidthQuery = 1100.0, theme: Theme = "light") -> Fields:
        """A set planned: its lines, what they take, their order, their agreement."""
        return set_view(desk, kept_set(desk, id), width, theme)

    @routes.put("/sets/{id}")
    def replace_set(id: IdPath, body: SetBody) -> Fields:
        """Keep a whole set as a further revision."""
        before = kept_set(desk, id).document
        if body.set.get("id") != id:
            rule, remedy = "must stay as it is", "make another set of it"
            raise SpecError("id", body.set.get("id"), rule, remedy)
        return _told(keep_set(desk, body.set, body.revision, put_away=before.put_away))

    @routes.post("/sets/{id}/away")
    def put_away(id: IdPath, body: SetAwayBody) -> Fields:
        """Take a set out of use, or bring it back; its jobs stay."""
        table = set_table(kept_set(desk, id).line_set)
        return _told(keep_set(desk, table, body.revision, put_away=body.put_away))

    _ = (list_sets, add_set, one_set, replace_set, put_away)


def _told(kept: KeptSet) -> Fields:
    return {"id": kept.document.id, "revision": kept.document.revision}


def _add_papers(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/sets/{id}/sheet.pdf", response_class=Response)
    def sheet(id: IdPath) -> Response:
        """The sheets of a set: a cover, then the sheet of each line."""
        pdf = render_set(set_sheet_data(plan_kept(desk, kept_set(desk, id).line_set)))
        headers = {"content-disposition": f'inline; filename="{id}-set.pdf"'}
        return Response(pdf, media_type="application/pdf", headers=headers)

    @routes.get("/sets/{id}/set.toml", response_class=Response)
    def set_file(id: IdPath) -> Response:
        """The set's open file; its jobs are files of their own."""
        headers = {"content-disposition": f'attachment; filename="{id}.toml"'}
        text = write_set(kept_set(desk, id).line_set)
        return Response(text, media_type="application/toml", headers=headers)

    _ = (sheet, set_file)


def _add_spare(routes: APIRouter, desk: Desk) -> None:
    @routes.post("/builds/{build}/spare")
    def spare(build: BuildPath, body: SpareBody) -> Fields:
        """Make the job of a matched spare from the record of a finished build."""
        made = spare_of_build(desk, build, body.id, body.name, bench=body.bench, lot=body.lot)
        revision = 0 if body.look else keep_spare(desk, made).document.revision
        return spare_data(made) | {"revision": revision}

    _ = spare
