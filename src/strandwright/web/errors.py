"""Errors over HTTP: one shape, one mapping from our errors to status codes."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse
from pydantic import BaseModel
from starlette.exceptions import HTTPException

from strandwright.errors import (
    Conflict,
    InputError,
    InputErrors,
    NotFound,
    SheetError,
    SolveError,
    StoreError,
    StrandwrightError,
)
from strandwright.workshop.said import short

#: What ended badly, and the status it gives; the first that fits counts.
STATUS: tuple[tuple[type[StrandwrightError], int], ...] = (
    (InputError, 422),
    (InputErrors, 422),
    (SolveError, 422),
    (NotFound, 404),
    (Conflict, 409),
    (StoreError, 503),
    (SheetError, 500),
)


class OneError(BaseModel):
    """What cannot be used.

    Attributes
    ----------
    field, given, rule, remedy : str
        Where, what was given, what it breaks, what to do.
    """

    field: str
    given: str
    rule: str
    remedy: str


class Refusal(BaseModel):
    """The body of every answer that is not a success.

    Attributes
    ----------
    said : str
        All of it in a sentence.
    errors : list of OneError
        One by one.
    seq : int or None
        The number a try was sent under [-]
    revision : int or None
        The newest revision, where something was changed elsewhere [-]
    """

    said: str
    errors: list[OneError]
    seq: int | None = None
    revision: int | None = None


#: For the published interface: every operation may answer so.
RESPONSES: dict[int | str, dict[str, Any]] = {
    status: {"model": Refusal, "description": text}
    for status, text in {
        400: "not JSON",
        403: "not one of the app's own pages",
        404: "not kept here",
        409: "changed elsewhere, or there already",
        413: "too large",
        415: "not JSON by its content type",
        421: "not a loopback name",
        422: "cannot be used",
        503: "the store cannot be used",
    }.items()
}


def status_of(error: StrandwrightError) -> int:
    """Give the status code of an error.

    Parameters
    ----------
    error : StrandwrightError
        The error.

    Returns
    -------
    int
        HTTP status [-]
    """
    return next((status for kind, status in STATUS if isinstance(error, kind)), 500)


def refusal_of(error: StrandwrightError) -> dict[str, Any]:
    """Give the body that tells an error.

    Parameters
    ----------
    error : StrandwrightError
        The error.

    Returns
    -------
    dict
        ``said`` and ``errors``.
    """
    match error:
        case InputErrors():
            errors = [_one(e) for e in error.errors]
        case InputError():
            errors = [_one(error)]
        case NotFound():
            rule = "is not kept here"
            errors = [_four(error.kind, error.id, rule, "look at the list of what is")]
        case Conflict():
            errors = [_four(error.kind, error.id, error.rule, error.remedy)]
        case _:
            errors = [_four("", "", str(error), "try again, or look at the store")]
    newest = error.newest if isinstance(error, Conflict) else None
    told: dict[str, Any] = {"said": str(error), "errors": errors}
    return told if newest is None else told | {"revision": newest}


def _one(error: InputError) -> dict[str, str]:
    return _four(error.field, short(error.given), error.rule, error.remedy)


def _four(field: str, given: str, rule: str, remedy: str) -> dict[str, str]:
    return {"field": field, "given": given, "rule": rule, "remedy": remedy}


def add_handlers(app: FastAPI) -> None:
    """Let an app tell errors in this shape.

    Parameters
    ----------
    app : FastAPI
        The app.
    """

    @app.exception_handler(StrandwrightError)
    async def ours(request: Request, error: StrandwrightError) -> JSONResponse:
        del request
        return JSONResponse(_printable(refusal_of(error)), status_of(error))

    @app.exception_handler(RequestValidationError)
    async def request_error(request: Request, error: RequestValidationError) -> JSONResponse:
        del request
        found = list(_of_request(error.errors()))
        status = 400 if any(e["type"] == "json_invalid" for e in error.errors()) else 422
        said = "; ".join(f"{e['field']}: {e['rule']}" for e in found)
        return JSONResponse(_printable({"said": said, "errors": found}), status)

    @app.exception_handler(HTTPException)
    async def other(request: Request, error: HTTPException) -> JSONResponse:
        del request
        said = str(error.detail).lower()
        errors = [_four("request", "", said, "look at the address")]
        return JSONResponse({"said": said, "errors": errors}, error.status_code, error.headers)

    _ = (ours, request_error, other)


def _of_request(errors: Iterable[Any]) -> Iterable[dict[str, str]]:
    for error in errors:
        place = [str(p) for p in error["loc"] if p not in ("body", "query", "path")]
        rule = str(error["msg"])
        rule = f"must be otherwise: {rule[:1].lower()}{rule[1:]}"
        given = short(error.get("input"))
        yield _four(".".join(place) or "request", given, rule, "send it as the interface says")


def _printable(body: dict[str, Any]) -> dict[str, Any]:
    """Let what cannot be sent as UTF-8 be shown by its number."""

    def clean(value: Any) -> Any:
        if isinstance(value, str):
            return value.encode("utf-8", "backslashreplace").decode()
        if isinstance(value, list):
            return [clean(v) for v in value]
        if isinstance(value, dict):
            return {k: clean(v) for k, v in value.items()}
        return value

    return clean(body)
