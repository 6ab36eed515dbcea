"""Routes of the records: backups and how they went, drills, CSV files out and lists in."""

from __future__ import annotations

import hashlib
import io
import json
import secrets
from pathlib import Path as FilePath
from typing import Annotated, Any, Literal

from fastapi import APIRouter, Path
from fastapi.responses import Response
from pydantic import Field

from strandwright.errors import Conflict, NotFound
from strandwright.planning.comparing.builds_out import builds_out
from strandwright.planning.desk.builds import Desk
from strandwright.planning.people.audit import audit_writes
from strandwright.planning.spreadsheet.report import Report
from strandwright.planning.spreadsheet.taking_in import columns_for, keep, looked_at
from strandwright.store import backups
from strandwright.store.csv_files import write_zip
from strandwright.store.drill import drill
from strandwright.store.rotation import Thinning, backups_in
from strandwright.store.schedule import next_at
from strandwright.web.bodies import Body, Count, Tables
from strandwright.web.errors import RESPONSES
from strandwright.web.visitor import VISITOR
from strandwright.workshop.backup_terms import BackupTerms, backup_terms_from_table, noun_table
from strandwright.workshop.events import as_moment

Fields = dict[str, Any]
NamePath = Annotated[str, Path(pattern=r"^strandwright-[0-9]{8}T[0-9]{6}Z\.jsonl\.gz$")]
Units = Literal["in", "mm"]
#: Rows that are told one by one; of a longer list those that change or are refused come first.
MOST_TOLD = 500


class BackupsBody(Body):
    """Where backups go, how often, and which are kept."""

    revision: Count
    terms: Tables


class ListBody(Body):
    """A list to be looked at: its text, what its rows are, and which header is which column."""

    kind: Literal["customers", "bows", "spools", "parts"]
    text: str = Field(min_length=1, max_length=900_000)
    renamed: dict[str, Annotated[str, Field(max_length=120)]] = Field(
        default_factory=dict, max_length=200
    )


class KeptListBody(ListBody):
    """A list to be kept, with the seal of what was told of it."""

    seal: str = Field(pattern=r"^[0-9a-f]{64}$")


def record_routes(desk: Desk) -> APIRouter:
    """Make the routes of the records.

    Parameters
    ----------
    desk : Desk
        The desk they act on.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api/records", tags=["records"], responses=RESPONSES)
    _add_backups(routes, desk)
    _add_files(routes, desk)
    _add_lists(routes, desk)
    return routes


# ------------------------------------------------------------------------------------- backups


def _add_backups(routes: APIRouter, desk: Desk) -> None:
    @routes.get("")
    def records() -> Fields:
        """How the last backups and the last drill went, and which backups there are."""
        return _view(desk)

    @routes.put("/backups")
    def keep_backups(body: BackupsBody) -> Fields:
        """Say where backups go, how often one is taken, and which are kept."""
        given = {"computer": backups.this_computer()} | body.terms
        terms = backup_terms_from_table(given)
        backups.keep_terms(desk.store, terms, at=desk.now(), expected=body.revision)
        return _view(desk)

    @routes.post("/backups/now")
    def take_now() -> Fields:
        """Take a backup now, whenever the next one is due."""
        took = backups.take(desk.store)
        visitor = VISITOR.get()
        if visitor is not None:
            told = {"records": took.good.records}
            desk.store.write(audit_writes("backup-taken", told, at=desk.now(), by=visitor.by))
        return _view(desk)

    @routes.post("/backups/{name}/drill")
    def drill_now(name: NamePath) -> Fields:
        """Restore a backup for trial, compare it with what is kept, and say what that proves."""
        terms = backups.terms_of(desk.store)[0]
        found = [] if terms is None else backups_in(backups.folder_of(terms))
        path = next((one.path for one in found if one.path.name == name), None)
        if path is None:
            raise NotFound("backup", name)
        done = drill(path, desk.store)
        backups.note(desk.store, at=desk.now(), drill=done.noun())
        return _view(desk)

    _ = (records, keep_backups, take_now, drill_now)


def _view(desk: Desk) -> Fields:
    terms, revision = backups.terms_of(desk.store)
    state, here = backups.state_of(desk.store), backups.this_computer()
    coming = next_at(terms, state, here)
    return {
        "revision": revision,
        "terms": None if terms is None else terms.model_dump(mode="json"),
        "usual": BackupTerms(folder="/", computer=here).model_dump(mode="json"),
        "computer": here,
        "is_here": terms is not None and terms.computer in ("", here),
        "rule": "" if terms is None else _thinning(terms).said(),
        "next_at": None if coming is None else as_moment(coming),
        "is_failing": state.is_failing,
        **{name: _told(getattr(state, name)) for name in ("good", "failed", "drill")},
        "files": _files(terms, here),
    }


def _told(noun: Any) -> Fields | None:
    if noun is None:
        return None
    table = noun_table(noun)
    # The folder stands once on the screen; a file is told by its name.
    return table | ({"file": FilePath(table["file"]).name} if "file" in table else {})


def _thinning(terms: BackupTerms) -> Thinning:
    return Thinning(terms.keep_last, terms.daily, terms.weekly, terms.monthly)


def _files(terms: BackupTerms | None, here: str) -> list[Fields]:
    if terms is None or terms.computer not in ("", here):
        return []
    rows: list[Fields] = []
    for one in backups_in(FilePath(terms.folder).expanduser()):
        try:
            size = one.path.stat().st_size
        except OSError:
            continue  # it made room meanwhile
        rows.append({"name": one.path.name, "at": as_moment(one.at), "bytes": size})
    return rows


# --------------------------------------------------------------------------------- files to take


def _add_files(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/csv.zip", response_class=Response)
    def csv_files(units: Units = "in") -> Response:
        """Everything kept as CSV files with a README, in one zip."""
        packed = io.BytesIO()
        write_zip(desk.store, packed, units)
        name = f"strandwright-{desk.now()[:10]}.zip"
        return Response(packed.getvalue(), media_type="application/zip", headers=_named(name))

    @routes.get("/builds.json", response_class=Response)
    def builds() -> Response:
        """Every build with its numbers and readings, and nothing of whose it was."""
        text = json.dumps(builds_out(desk.store, secrets.token_bytes(32)), indent=1)
        headers = _named("builds-without-names.json")
        return Response(text, media_type="application/json", headers=headers)

    _ = (csv_files, builds)


def _named(name: str) -> dict[str, str]:
    return {"content-disposition": f'attachment; filename="{name}"'}


# ------------------------------------------------------------------------------------ lists in


def _add_lists(routes: APIRouter, desk: Desk) -> None:
    @routes.post("/lists")
    def look(body: ListBody) -> Fields:
        """Look at a list row by row; nothing is kept."""
        return _report(looked_at(desk, body.kind, body.text, body.renamed))

    @routes.post("/lists/kept")
    def keep_list(body: KeptListBody) -> Fields:
        """Keep a list that was looked at, all of it or nothing."""
        report = looked_at(desk, body.kind, body.text, body.renamed)
        told = _report(report)
        if told["seal"] != body.seal:
            rule = "is not what was told of it any more: something was changed meanwhile"
            raise Conflict("list", body.kind, rule, "look at it once more, then keep it")
        keep(desk, report)
        return told | {"kept": len(report.writes)}

    _ = (look, keep_list)


def _report(report: Report) -> Fields:
    """Tell a report; those rows that change or are refused first where not all can be told."""
    rows = [row.table() for row in report.rows]
    seal = hashlib.sha256(json.dumps(rows, sort_keys=True).encode()).hexdigest()
    first = sorted(rows, key=lambda row: (_RANK[row["outcome"]], row["row"]))
    return {
        "kind": report.what,
        "said": report.said,
        "counts": {outcome: report.count(outcome) for outcome in ("new", "changes", "same")}
        | {"refused": report.count("refused")},
        "left_out": list(report.left_out),
        "columns": list(columns_for(report.what)),
        "rows": sorted(first[:MOST_TOLD], key=lambda row: row["row"]),
        "untold": max(len(rows) - MOST_TOLD, 0),
        "seal": seal,
        "kept": 0,
    }


_RANK = {"refused": 0, "changes": 1, "new": 2, "same": 3}
