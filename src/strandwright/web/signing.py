"""Routes of the door: sign in and out, one's own password; they are there only where it is."""

from __future__ import annotations

import threading
from typing import Annotated, Any

from fastapi import APIRouter, Request, Response
from fastapi.responses import JSONResponse
from pydantic import Field

from strandwright.errors import SpecError, StoreUnusable
from strandwright.planning.people.accounts import KeptAccount
from strandwright.web.bodies import Body
from strandwright.web.door import PERSON, Door, cookie, token_of
from strandwright.web.errors import RESPONSES, refusal_of
from strandwright.web.throttle import sign_in_keys
from strandwright.web.visitor import VISITOR, Visitor

Fields = dict[str, Any]
Name = Annotated[str, Field(min_length=1, max_length=60)]
Password = Annotated[str, Field(min_length=1, max_length=400)]
#: So many passwords wait to be looked at; more are told to come again [-]
_WAITING = 8
#: The browser forgets what it kept of the pages, their data included.
_FORGET = {"clear-site-data": '"cache", "storage"'}


class SignInBody(Body):
    """A name and a password."""

    name: Name
    password: Password


class PasswordBody(Body):
    """The password as it is, and as it is to be."""

    old: Password
    new: Password


class NothingBody(Body):
    """Nothing is said."""


class TooSoon(Exception):
    """An attempt came before its wait was over.

    Parameters
    ----------
    wait : float
        How much of it is left [s]
    """

    def __init__(self, wait: float) -> None:
        super().__init__(wait)
        self.wait = wait


class NotLetIn(Exception):
    """A name and a password, or a code, that let nobody in.

    Parameters
    ----------
    error : SpecError
        Says so, and not which of them was wrong.
    """

    def __init__(self, error: SpecError) -> None:
        super().__init__(error)
        self.error = error


def told_too_soon(request: Request, error: Exception) -> JSONResponse:
    """Tell when to try again.

    Parameters
    ----------
    request : Request
        What came too soon.
    error : Exception
        How much too soon.

    Returns
    -------
    JSONResponse
        With status 429.
    """
    del request
    seconds = int(error.wait if isinstance(error, TooSoon) else 0.0) + 1
    rule, remedy = "was tried too often", f"try again in {seconds} s"
    body = refusal_of(SpecError("name", "", rule, remedy))
    body["said"] = f"too many attempts; {remedy}"
    return JSONResponse(body, 429, {"retry-after": str(seconds)})


def told_not_let_in(request: Request, error: Exception) -> JSONResponse:
    """Tell that somebody is not let in.

    Parameters
    ----------
    request : Request
        What they sent.
    error : Exception
        Says so.

    Returns
    -------
    JSONResponse
        With status 401.
    """
    del request
    assert isinstance(error, NotLetIn)
    body = refusal_of(error.error)
    body["said"] = f"{error.error.rule}; {error.error.remedy}"
    return JSONResponse(body, 401)


def signing_routes(door: Door) -> APIRouter:
    """Make the routes of the door.

    Parameters
    ----------
    door : Door
        The door.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api", tags=["door"], responses=RESPONSES)
    _add_session(routes, door)
    _add_own(routes, door)
    return routes


def session_view(door: Door, visitor: Visitor | None) -> Fields:
    """Say who has signed in.

    Parameters
    ----------
    door : Door
        The door.
    visitor : Visitor or None
        Who; None where nobody.

    Returns
    -------
    dict
        Nothing of the shop where nobody has.
    """
    if visitor is None:
        return {"name": None}
    phone = visitor.is_phone
    return {"name": visitor.name, "role": visitor.role, "phone": phone, "bench": door.bench}


def checked(door: Door, name: str, password: str, address: str) -> KeptAccount | None:
    """Look at a password, unless one must wait; both refusals are in the audit log.

    Parameters
    ----------
    door : Door
        The door.
    name, password : str
        What was typed.
    address : str
        Where it came from.

    Returns
    -------
    KeptAccount or None
        The account as it was when its password fitted; None where it does not.

    Raises
    ------
    TooSoon
        If it must wait.
    """
    keys = sign_in_keys(name, address)
    wait = door.throttle.attempt(keys)
    if wait > 0.0:
        raise TooSoon(wait)
    known = door.people.check(name, password)
    if known is not None:
        door.throttle.passed(keys, forgotten=keys[:1])
        return known
    meant = door.people.find(name)
    # What was typed for a name nobody has is not kept: it may have been a password.
    told = {"name": meant.account.name if meant else "", "address": address[:60]}
    door.people.audit("sign-in-refused", door.by("nobody"), **told)
    return None


def _add_session(routes: APIRouter, door: Door) -> None:
    waiting = threading.BoundedSemaphore(_WAITING)

    @routes.get("/session")
    def who(request: Request) -> Fields:
        """Who has signed in here."""
        return session_view(door, door.visitor(token_of(request.headers.raw)))

    @routes.post("/session")
    def sign_in(body: SignInBody, request: Request, response: Response) -> Fields:
        """Sign in."""
        if not waiting.acquire(blocking=False):
            raise StoreUnusable("too many are signing in at once; try again in a moment")
        try:
            known = checked(door, body.name, body.password, address_of(request))
        finally:
            waiting.release()
        if known is None:
            rule, remedy = "name and password do not belong together", "type both again"
            raise NotLetIn(SpecError("password", "", rule, remedy))
        # A session of before never goes on under another name.
        old = door.visitor(token_of(request.headers.raw))
        if old is not None and not old.is_phone:
            door.sessions.end(old.id)
        account = known.account
        token = door.sessions.begin(account.name, account.era, address_of(request))
        response.set_cookie(**cookie(PERSON + token))
        told = {"name": account.name, "address": address_of(request)[:60]}
        door.people.audit("signed-in", door.by(account.name), **told)
        visitor = Visitor("", account.name, account.role, "")
        return session_view(door, visitor)

    _ = (who, sign_in)


def _add_own(routes: APIRouter, door: Door) -> None:
    @routes.post("/session/end")
    def sign_out(body: NothingBody, response: Response) -> Fields:
        """Sign out here; a phone is sent off by it."""
        del body
        visitor = need_visitor()
        if visitor.is_phone:
            door.phones.send_off(visitor.id, by=visitor.by)
        else:
            door.sessions.end(visitor.id)
            door.people.audit("signed-out", visitor.by, name=visitor.name)
        _forget(response)
        return {"name": None}

    @routes.post("/session/everywhere")
    def sign_out_everywhere(body: NothingBody, response: Response) -> Fields:
        """Sign out at every bench."""
        del body
        visitor = need_visitor()
        door.people.end_sessions(visitor.name, by=visitor.by)
        _forget(response)
        return {"name": None}

    @routes.post("/session/password")
    def change_password(body: PasswordBody, request: Request, response: Response) -> Fields:
        """Change one's own password; every other session ends."""
        visitor = need_visitor()
        need_proof(door, body.old, request, field="old")
        known = door.people.change_password(visitor.name, body.new, by=visitor.by)
        door.sessions.end(visitor.id)
        token = door.sessions.begin(known.account.name, known.account.era, address_of(request))
        response.set_cookie(**cookie(PERSON + token))
        return session_view(door, visitor)

    _ = (sign_out, sign_out_everywhere, change_password)


def need_visitor() -> Visitor:
    """Give who the request comes from.

    Returns
    -------
    Visitor
        The door let nobody else through.
    """
    visitor = VISITOR.get()
    assert visitor is not None
    return visitor


def need_proof(door: Door, password: str, request: Request, *, field: str) -> None:
    """Refuse where one's own password is not typed again: a bench may stand unattended.

    Parameters
    ----------
    door : Door
        The door.
    password : str
        What was typed.
    request : Request
        The request.
    field : str
        Where it was typed.

    Raises
    ------
    InputError
        If it is not the visitor's password.
    TooSoon
        If it was tried too often.
    """
    if checked(door, need_visitor().name, password, address_of(request)) is None:
        raise SpecError(field, "", "is not your password", "type it again")


def _forget(response: Response) -> None:
    response.set_cookie(**cookie("", lasts=0))
    response.headers.update(_FORGET)


def address_of(request: Request) -> str:
    """Give the peer's own address; what a header says of it is believed by nobody.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    str
        The address.
    """
    return request.client.host if request.client else ""
