"""Routes of the people: accounts, what they may, who is here, and the audit log."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import APIRouter, FastAPI, Path, Request
from pydantic import Field

from strandwright.planning.people.audit import last_audited
from strandwright.planning.ports import Store
from strandwright.web.bodies import Body
from strandwright.web.door import Door
from strandwright.web.errors import RESPONSES
from strandwright.web.phones import phone_routes
from strandwright.web.signed_store import SignedStore
from strandwright.web.signing import (
    Name,
    NotLetIn,
    Password,
    TooSoon,
    need_proof,
    need_visitor,
    signing_routes,
    told_not_let_in,
    told_too_soon,
)
from strandwright.workshop.account import MEANINGS, ROLES

Fields = dict[str, Any]
NamePath = Annotated[str, Path(pattern=r"^[a-z0-9][a-z0-9._-]{0,29}$")]
RoleName = Annotated[str, Field(max_length=20)]


class Proved(Body):
    """Whoever asks types their own password again."""

    proof: Password


class AddBody(Proved):
    """An account to be added."""

    name: Name
    role: RoleName
    password: Password


class RoleBody(Proved):
    """An account's new role."""

    role: RoleName


class NewPasswordBody(Proved):
    """An account's new password."""

    password: Password


class PutAwayBody(Proved):
    """Whether an account is out of use."""

    put_away: bool


def people_routes(door: Door) -> APIRouter:
    """Make the routes of the people.

    Parameters
    ----------
    door : Door
        The door.

    Returns
    -------
    APIRouter
        The routes.
    """
    routes = APIRouter(prefix="/api/people", tags=["people"], responses=RESPONSES)

    @routes.get("")
    def list_people() -> Fields:
        """Every account, who is signed in at this bench, and what was logged last."""
        return people_view(door)

    @routes.post("")
    def add(body: AddBody, request: Request) -> Fields:
        """Add an account."""
        need_proof(door, body.proof, request, field="proof")
        door.people.add(body.name, body.role, body.password, by=need_visitor().by)
        return people_view(door)

    @routes.post("/{name}/role")
    def change_role(name: NamePath, body: RoleBody, request: Request) -> Fields:
        """Give an account another role."""
        need_proof(door, body.proof, request, field="proof")
        door.people.change_role(name, body.role, by=need_visitor().by)
        return people_view(door)

    @routes.post("/{name}/password")
    def change_password(name: NamePath, body: NewPasswordBody, request: Request) -> Fields:
        """Give an account another password; its sessions end."""
        need_proof(door, body.proof, request, field="proof")
        door.people.change_password(name, body.password, by=need_visitor().by)
        return people_view(door)

    @routes.post("/{name}/away")
    def put_away(name: NamePath, body: PutAwayBody, request: Request) -> Fields:
        """Take an account out of use, or bring it back."""
        need_proof(door, body.proof, request, field="proof")
        door.people.put_away(name, body.put_away, by=need_visitor().by)
        return people_view(door)

    _ = (list_people, add, change_role, change_password, put_away)
    return routes


def add_door(app: FastAPI, door: Door, store: Store) -> None:
    """Give an app the routes of its door, and let it hear of the photos that phones send.

    Parameters
    ----------
    app : FastAPI
        The app.
    door : Door
        The door.
    store : Store
        What the app's desk writes into.
    """
    if isinstance(store, SignedStore):
        store.on_photo = door.came
    app.include_router(signing_routes(door))
    app.include_router(phone_routes(door))
    app.include_router(people_routes(door))
    app.add_exception_handler(TooSoon, told_too_soon)
    app.add_exception_handler(NotLetIn, told_not_let_in)


def people_view(door: Door) -> Fields:
    """Give what the screen of the people shows.

    Parameters
    ----------
    door : Door
        The door.

    Returns
    -------
    dict
        Roles with what they are for, accounts, sessions, audit lines; never a hash or a token.
    """
    accounts = [
        {"name": k.account.name, "role": k.account.role, "put_away": k.put_away}
        for k in door.people.all()
    ]
    sessions = [
        {"name": s.name, "address": s.address, "quiet_s": round(door.sessions.ago(s.seen))}
        for s in door.sessions.all()
    ]
    lines = [
        {"at": e.at, "by": e.by, "type": e.type, "body": e.body.model_dump(mode="json")}
        for e in last_audited(door.people.store)
    ]
    roles = [{"role": role, "meaning": MEANINGS[role]} for role in ROLES]
    return {"roles": roles, "accounts": accounts, "sessions": sessions, "audit": lines}
