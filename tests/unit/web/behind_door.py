"""An app with a door, as it is beyond loopback, and clients that speak to it as browsers do."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from starlette.testclient import TestClient

from strandwright.planning.desk.builds import Desk
from strandwright.planning.people.accounts import People
from strandwright.planning.people.passwords import Passwords
from strandwright.planning.planner import Planner
from strandwright.planning.ports import Store
from strandwright.store.memory import MemoryStore
from strandwright.web.app import make_app
from strandwright.web.door import COOKIE, Door
from strandwright.web.listening import Certificate
from strandwright.web.pairing import Codes
from strandwright.web.security import Guard
from strandwright.web.sessions import Sessions
from strandwright.web.signed_store import signed
from strandwright.web.throttle import Throttle
from strandwright.workshop.account import ROLES, role_of

HOST = "bench.home.arpa:8471"
ORIGIN = f"https://{HOST}"
PASSWORD = "wax heron lantern gravel"
#: Quick: what argon2 costs is tested by itself.
PASSWORDS = Passwords(1, 8, 1)
PLANNER = Planner(2000)
#: The account of each role.
NAMES = dict(zip(ROLES, ("lou", "cass", "tess", "olga"), strict=True))


@dataclass
class Clock:
    """A clock that goes when it is told to."""

    now: float = 1000.0

    def __call__(self) -> float:
        """Give the time."""
        return self.now


@dataclass
class Shop:
    """A bench's app with its door, an account of each role and a clock that is set."""

    store: Store = field(default_factory=MemoryStore)
    clock: Clock = field(default_factory=Clock)
    bench: str = "front"
    inner: Callable[..., Any] | None = None

    def __post_init__(self) -> None:
        """Make the app."""
        until = datetime(2027, 1, 1, tzinfo=UTC)
        names = ("bench.home.arpa", "10.0.0.5", "fd00::5", "*.shop.home.arpa")
        certificate = Certificate(Path("bench.crt"), Path("bench.key"), names, until)
        self.people = People(self.store, passwords=PASSWORDS)
        for role in reversed(ROLES):
            if self.people.find(NAMES[role]) is None:
                self.people.add(NAMES[role], role, PASSWORD, by="test")
        self.door = Door(
            self.people,
            certificate,
            self.bench,
            sessions=Sessions(self.clock),
            throttle=Throttle(self.clock),
            codes=Codes(self.clock),
        )
        self.desk = Desk(signed(self.store), planner=PLANNER)
        self.app = (
            make_app(self.desk, "memory", self.door)
            if self.inner is None
            else Guard(self.inner, "default-src 'self'", self.door)
        )

    def client(self, role: str | None = None, *, address: str = "10.0.0.9") -> TestClient:
        """Give a browser, signed in where a role is said."""
        headers = {"origin": ORIGIN}
        client = TestClient(
            self.app,
            base_url=ORIGIN,
            headers=headers,
            client=(address, 50000),
            raise_server_exceptions=False,
        )
        if role is not None:
            name = NAMES[role_of(role)]
            token = self.door.sessions.begin(name, self.era(name), address)
            client.cookies.set(COOKIE, f"s.{token}")
        return client

    def phone(self) -> TestClient:
        """Give the browser of a paired phone."""
        _, token = self.door.phones.pair("tess's phone", self.bench, by="tess at front")
        client = self.client()
        client.cookies.set(COOKIE, f"p.{token}")
        return client

    def era(self, name: str) -> int:
        """Give the era of an account."""
        known = self.people.find(name)
        assert known is not None
        return known.account.era

    def audit(self) -> list[tuple[str, dict[str, Any]]]:
        """Give the types and bodies of the audit log, oldest first."""
        from strandwright.planning.people.audit import last_audited

        events = last_audited(self.store, 1000)
        return [(e.type, e.body.model_dump(mode="json")) for e in reversed(events)]


def sign_in(client: TestClient, name: str, password: str = PASSWORD) -> Any:
    """Sign in as a person does; gives the answer."""
    return client.post("/api/session", json={"name": name, "password": password})
