"""Routes of the phones: a code for one that is to be paired, those that are, what they sent."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, Path, Request, Response
from pydantic import Field

from strandwright.errors import SpecError
from strandwright.web.bodies import Body
from strandwright.web.door import PHONE, PHONE_COOKIE, Door, cookie
from strandwright.web.errors import RESPONSES
from strandwright.web.pairing import GOOD_FOR
from strandwright.web.signing import (
    NothingBody,
    NotLetIn,
    TooSoon,
    address_of,
    need_visitor,
    session_view,
)
from strandwright.web.throttle import PAIRING, place_of
from strandwright.web.visitor import Visitor

Fields = dict[str, Any]
PhonePath = Annotated[str, Path(pattern=r"^phone\.[0-9a-f]{16}$")]


class PairBody(Body):
    """The code a phone read, and what the phone is to be called."""

    code: str = Field(pattern=r"^[0-9a-f]{32}$")
    label: str = Field(min_length=1, max_length=30)


def phone_routes(door: Door) -> APIRouter:
    """Make the routes of the phones.

    Parameters
    ----------
    door : Door
        The door.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api", tags=["phones"], responses=RESPONSES)
    _add_list(routes, door)
    _add_pairing(routes, door)
    return routes


def _add_list(routes: APIRouter, door: Door) -> None:
    @routes.get("/pairings")
    def list_pairings() -> Fields:
        """The phones that are paired with this bench."""
        phones = [p for p in door.phones.all() if p.paired.bench == door.bench and not p.put_away]
        rows = [
            {"id": p.id, "label": p.paired.label, "by": p.paired.by, "at": p.saved_at}
            for p in phones
        ]
        return {"bench": door.bench, "phones": rows}

    @routes.get("/pairings/photos")
    def list_photos() -> Fields:
        """The photos that phones have sent to this bench since it was opened, the newest first."""
        return {"photos": [{"id": p.id, "label": p.label, "at": p.at} for p in door.photos]}

    @routes.post("/pairings/{id}/end")
    def end_pairing(id: PhonePath, body: NothingBody) -> Fields:
        """Send a phone off."""
        del body
        door.phones.send_off(id, by=need_visitor().by)
        return {"id": id}

    _ = (list_pairings, list_photos, end_pairing)


def _add_pairing(routes: APIRouter, door: Door) -> None:
    @routes.post("/pairings")
    def begin_pairing(body: NothingBody, request: Request) -> Fields:
        """Give a code for one phone: good once, for two minutes."""
        del body
        import segno

        code = door.codes.give(need_visitor().by)
        # Behind the # it is sent to nobody, and stands in no log.
        address = f"https://{request.headers['host']}/#/pair/{code}"
        drawn = segno.make(address, error="m", micro=False)
        picture = drawn.svg_data_uri(scale=6, border=4, dark="#000", light="#fff")
        return {"address": address, "picture": picture, "good_for_s": round(GOOD_FOR)}

    @routes.post("/pair")
    def pair(body: PairBody, request: Request, response: Response) -> Fields:
        """Pair the phone that read a code."""
        keys = ((PAIRING, place_of(address_of(request))),)
        wait = door.throttle.attempt(keys)
        if wait > 0.0:
            raise TooSoon(wait)
        by = door.codes.take(body.code)
        if by is None:
            rule, remedy = "the code was used or is too old", "show a new one at the bench"
            raise NotLetIn(SpecError("code", "", rule, remedy))
        phone, token = door.phones.pair(body.label, door.bench, by=by)
        door.throttle.passed(keys)
        response.set_cookie(**cookie(PHONE + token, lasts=PHONE_COOKIE))
        visitor = Visitor(phone.id, phone.paired.label, None, "")
        return session_view(door, visitor)

    _ = (begin_pairing, pair)
