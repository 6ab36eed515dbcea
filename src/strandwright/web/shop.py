"""Routes of the shop: benches and bows, what can be chosen, and the signal of a change."""

from __future__ import annotations

import contextlib
from collections.abc import AsyncIterator
from typing import Annotated, Any, Literal, get_args

from fastapi import APIRouter, Path, Query
from fastapi.sse import EventSourceResponse, ServerSentEvent

from strandwright import __version__
from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.refusals import refuse_impossible_part
from strandwright.planning.examples import examples
from strandwright.planning.shop.page import shop_page
from strandwright.planning.shop.remakes import remakes_of
from strandwright.planning.take_off.known_bows import known_bows
from strandwright.planning.written import Written
from strandwright.reference import strands, threads
from strandwright.web.bodies import AsideBody, BenchBody, BowBody, BuildId, Id, WordsQuery
from strandwright.web.errors import RESPONSES
from strandwright.web.live import Voice
from strandwright.workshop.job import noun_from_table
from strandwright.workshop.parts import BenchSpec, Bow, BowKind, RouteSpec, ServingUse

Fields = dict[str, Any]
IdPath = Annotated[Id, Path()]
BuildPath = Annotated[BuildId, Path()]


def shop_routes(desk: Desk, place: str) -> APIRouter:
    """Make the routes of the shop.

    Parameters
    ----------
    desk : Desk
        The desk they act on.
    place : str
        Where records are kept, in words.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api", tags=["shop"], responses=RESPONSES)
    _add_benches(routes, desk)
    _add_bows(routes, desk)
    _add_words(routes, desk, place)
    _add_learned(routes, desk)
    return routes


def _add_benches(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/benches")
    def list_benches() -> Fields:
        """Every bench, with the jobs on it."""
        jobs = [(d.id, d.table.get("bench")) for d in desk.at_hand()]
        rows: list[Fields] = []
        for document in desk.store.documents("bench"):
            rows.append(
                {
                    "id": document.id,
                    "revision": document.revision,
                    "saved_at": document.saved_at,
                    "put_away": document.put_away,
                    "bench": document.table,
                    "jobs": [id for id, used in jobs if used == document.table],
                }
            )
        return {"benches": rows}

    @routes.put("/benches/{id}")
    def keep_bench(id: IdPath, body: BenchBody) -> Fields:
        """Keep a bench, and give it to the jobs on it that are not begun."""
        changed = desk.keep_bench(id, body.bench, body.revision)
        document = desk.store.document("bench", id)
        return {"id": id, "revision": document.revision, "changed_jobs": list(changed)}

    _ = (list_benches, keep_bench)


def _add_bows(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/bows")
    def list_bows(words: WordsQuery = "") -> Fields:
        """Every bow kept by itself, and those known of the latest jobs."""
        found = desk.store.documents("bow")
        known = [
            {
                "source": bow.source,
                "of": bow.of,
                "customer": bow.customer,
                "saved_at": bow.saved_at,
                "bow": bow.table,
                "jobs": list(bow.jobs),
            }
            for bow in known_bows(desk, words)
        ]
        kept = [{"id": d.id, "revision": d.revision, "bow": d.table} for d in found]
        return {"bows": kept, "known": known}

    @routes.put("/bows/{id}")
    def keep_bow(id: IdPath, body: BowBody) -> Fields:
        """Keep a bow."""
        bow = noun_from_table(Bow, body.bow, "bow")
        refuse_impossible_part(bow, "bow")
        table = bow.model_dump(mode="json", exclude_defaults=True)
        kept = desk.store.save("bow", id, table, at=desk.now(), expected=body.revision)
        return {"id": id, "revision": kept.revision}

    _ = (list_bows, keep_bow)


def _add_words(routes: APIRouter, desk: Desk, place: str) -> None:
    voice = Voice(desk.store)

    @routes.get("/hello")
    def hello() -> Fields:
        """Which program this is and where it keeps its records."""
        return {"program": f"strandwright {__version__}", "store": place, "mark": desk.store.mark()}

    @routes.get("/choices")
    def choices() -> Fields:
        """What can be chosen where a job asks for a name."""
        return {
            "strands": [
                {"name": s.id, "label": s.name, "fibre": s.fibre} for s in strands().values()
            ],
            "threads": [{"name": t.id, "label": t.name} for t in threads().values()],
            "bow_kinds": list(get_args(BowKind)),
            "uses": list(get_args(ServingUse)),
            "orders": _literals(RouteSpec, "order"),
            "gauges": _literals(BenchSpec, "gauge"),
            "tapes": _literals(BenchSpec, "tape"),
            "beams": _literals(BenchSpec, "beam"),
            "examples": [{"id": job.id, "name": job.name} for job in examples().values()],
        }

    @routes.get("/live", response_class=EventSourceResponse)
    async def live() -> AsyncIterator[ServerSentEvent]:
        """Tell, whenever anything kept has changed, that it has."""
        async with contextlib.aclosing(voice.marks()) as marks:
            async for mark in marks:
                yield ServerSentEvent(data={"mark": mark}, event="mark", id=str(mark))

    _ = (hello, choices, live)


def _add_learned(routes: APIRouter, desk: Desk) -> None:
    @routes.get("/shop")
    def learned(
        width: Annotated[float, Query(ge=280, le=2000)] = 520.0,
        units: Literal["in", "mm"] = "in",
    ) -> Fields:
        """Whether the bench is in control, what finished builds taught, which are doubted."""
        page = shop_page(desk.memory, Written(units, 32), width=width)
        return page | {"remakes": remakes_of(desk.store, desk.memory.outcomes())}

    @routes.post("/shop/builds/{build}/aside")
    def put_aside(build: BuildPath, body: AsideBody) -> Fields:
        """Leave a finished build out of what the shop knows, or take it in again."""
        if body.left_out:
            desk.memory.leave_out(build, body.because)
        else:
            desk.memory.take_in(build)
        return {"build": build, "left_out": body.left_out}

    _ = (learned, put_aside)


def _literals(noun: type[BenchSpec] | type[RouteSpec], field: str) -> list[str]:
    return list(get_args(noun.model_fields[field].annotation))
