"""The app: routes, pages and their guard, over one desk."""

from __future__ import annotations

import hashlib
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

from fastapi import FastAPI, Request
from fastapi.responses import JSONResponse, Response
from fastapi.staticfiles import StaticFiles

from strandwright import __version__
from strandwright.planning.desk.builds import Desk
from strandwright.web.bows import bow_routes
from strandwright.web.builds import build_routes
from strandwright.web.door import Door
from strandwright.web.errors import add_handlers
from strandwright.web.fitting import fitting_routes
from strandwright.web.hearing import hearing_routes
from strandwright.web.jobs import TriedError, job_routes
from strandwright.web.orders import order_routes
from strandwright.web.people import add_door
from strandwright.web.queue import queue_routes
from strandwright.web.quotes import quote_routes
from strandwright.web.records import record_routes
from strandwright.web.register import register_routes
from strandwright.web.remakes import remake_routes
from strandwright.web.security import Guard, policy_for
from strandwright.web.service import service_routes
from strandwright.web.sets import set_routes
from strandwright.web.shop import shop_routes
from strandwright.web.stock import stock_routes

_HERE = Path(str(files("strandwright.web") / "static"))
_FONTS = Path(str(files("strandwright.sheets") / "fonts" / "inter"))
#: Nothing about what is done here leaves this computer.
_NO_TELEMETRY = {
    "tracing": False,
    "metrics": False,
    "logs": False,
    "operation_spans": False,
    "auto_configure": False,
}


def make_api(desk: Desk, place: str) -> FastAPI:
    """Make the HTTP interface without pages or guard: what the published description describes.

    Parameters
    ----------
    desk : Desk
        The desk it acts on.
    place : str
        Where records are kept, in words.

    Returns
    -------
    FastAPI
        The interface.
    """
    api = FastAPI(
        title="strandwright",
        version=__version__,
        summary="Plans lines, and advises at the jig from what is recorded there.",
        docs_url=None,
        redoc_url=None,
        openapi_url="/api/openapi.json",
        telemetry=_NO_TELEMETRY,  # pyright: ignore[reportArgumentType]
    )
    add_handlers(api)

    @api.exception_handler(TriedError)
    async def tried(request: Request, error: TriedError) -> JSONResponse:
        del request
        return JSONResponse(error.body, 422)

    _ = tried
    for routes in (
        job_routes(desk),
        bow_routes(desk),
        build_routes(desk),
        fitting_routes(desk),
        hearing_routes(desk),
        order_routes(desk),
        service_routes(desk),
        quote_routes(desk),
        queue_routes(desk),
        record_routes(desk),
        register_routes(desk),
        remake_routes(desk),
        set_routes(desk),
        shop_routes(desk, place),
        stock_routes(desk),
    ):
        api.include_router(routes)
    return api


def make_app(desk: Desk, place: str, door: Door | None = None) -> Guard:
    """Make the whole app.

    Parameters
    ----------
    desk : Desk
        The desk it acts on.
    place : str
        Where records are kept, in words.
    door : Door or None
        What decides who comes in, where the app listens beyond loopback; None on loopback.

    Returns
    -------
    Guard
        An ASGI app, guarded.
    """
    app = make_api(desk, place)
    page = (_HERE / "index.html").read_bytes()
    if door is not None:
        add_door(app, door, desk.store)
        page = _behind_door(page)

    @app.get("/", include_in_schema=False)
    def index() -> Response:
        return Response(page, media_type="text/html; charset=utf-8", headers=_FRESH)

    @app.get("/sw.js", include_in_schema=False)
    def service_worker() -> Response:
        text = f'const VERSION = "{_version()}";\n' + (_HERE / "sw.js").read_text("utf-8")
        return Response(text, media_type="text/javascript", headers=_FRESH)

    @app.get("/favicon.ico", include_in_schema=False)
    def icon() -> Response:
        return Response((_HERE / "icon.svg").read_bytes(), media_type="image/svg+xml")

    _ = (index, service_worker, icon)
    app.mount("/static/fonts", StaticFiles(directory=_FONTS))
    app.mount("/static", _Fresh(directory=_HERE))
    return Guard(app, policy_for(page), door)


def _behind_door(page: bytes) -> bytes:
    """Let the page ask who is there before it loads anything else."""
    sheet = b'<link rel="stylesheet" href="/static/css/door.css">\n</head>'
    return page.replace(b'"/static/app.js"', b'"/static/door.js"').replace(b"</head>", sheet)


#: Files change with the program; a browser asks whether they did.
_FRESH = {"cache-control": "no-cache"}


class _Fresh(StaticFiles):
    """Files that a browser asks about before it uses its copy."""

    def file_response(self, *args: Any, **kwargs: Any) -> Response:
        response = super().file_response(*args, **kwargs)
        response.headers.update(_FRESH)
        return response


@cache
def _version() -> str:
    """Name the content of the pages, so that a browser keeps the right copy."""
    digest = hashlib.sha256(__version__.encode())
    for path in sorted(p for p in _HERE.rglob("*") if p.is_file()):
        digest.update(path.read_bytes())
    return digest.hexdigest()[:16]
