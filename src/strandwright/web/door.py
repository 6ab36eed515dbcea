"""The door: who may come in beyond loopback, and what they may do once they are in.

It stands before the app and asks nothing of it: host and origin, then the row of the path, then
the session, all before a byte of the body is read.
"""

from __future__ import annotations

import asyncio
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from http.cookies import CookieError, SimpleCookie
from typing import Any

from strandwright.planning.people.accounts import People
from strandwright.planning.people.phones import Phones
from strandwright.web.listening import Certificate
from strandwright.web.pairing import Codes
from strandwright.web.permissions import needed
from strandwright.web.sessions import Sessions
from strandwright.web.throttle import Throttle
from strandwright.web.visitor import Visitor
from strandwright.workshop.account import may

#: The prefix has a browser hold it to https, to this very host and to the whole of it.
COOKIE = "__Host-strandwright"
#: Which of the two kinds of token a cookie holds.
PERSON, PHONE = "s.", "p."
#: A request that nobody has signed in for may be so large: a name and a password [byte]
LARGEST_UNSIGNED = 4096
#: So many photos of phones are offered at once [-]
_PHOTOS = 60
#: A phone's cookie lasts until it is sent off, and browsers keep none longer [s]
PHONE_COOKIE = 400 * 86400


@dataclass(frozen=True)
class Came:
    """A photo that a phone sent.

    Attributes
    ----------
    id : str
        Its digest.
    label : str
        What the phone is called.
    at : str
        When, UTC.
    """

    id: str
    label: str
    at: str


@dataclass
class Door:
    """What decides who comes in.

    Attributes
    ----------
    people : People
        The accounts.
    certificate : Certificate
        What is shown; its names are those the app answers to.
    bench : str
        The name of this bench, up to 28 characters.
    sessions : Sessions
        Who has signed in here.
    throttle : Throttle
        What was tried.
    codes : Codes
        Codes of pairing that are out.
    photos : deque of Came
        Photos that phones sent since the app was opened, the newest first.
    """

    people: People
    certificate: Certificate
    bench: str
    sessions: Sessions = field(default_factory=Sessions)
    throttle: Throttle = field(default_factory=Throttle)
    codes: Codes = field(default_factory=Codes)
    photos: deque[Came] = field(default_factory=lambda: deque(maxlen=_PHOTOS))

    @property
    def phones(self) -> Phones:
        """The phones that are paired."""
        return Phones(self.people.store, self.people.now)

    def came(self, photo: str, visitor: Visitor) -> None:
        """Remember a photo that a phone sent, so that the counter can take it into an order.

        Parameters
        ----------
        photo : str
            Its digest.
        visitor : Visitor
            The phone.
        """
        if all(photo != known.id for known in self.photos):
            self.photos.appendleft(Came(photo, visitor.name, self.people.now()))

    def by(self, name: str) -> str:
        """Say who did something, and where.

        Parameters
        ----------
        name : str
            The account, or what a phone is called.

        Returns
        -------
        str
            60 characters at most.
        """
        return f"{name} at {self.bench}"

    def visitor(self, token: str | None, *, touch: bool = True) -> Visitor | None:
        """Say who a token lets in, as things stand at this moment.

        Parameters
        ----------
        token : str or None
            What the cookie holds.
        touch : bool
            Whether this counts as being there.

        Returns
        -------
        Visitor or None
            None where nobody.
        """
        if token is None:
            return None
        kind, secret = token[: len(PERSON)], token[len(PERSON) :]
        if kind == PHONE:
            phone = self.phones.known_by(secret, self.bench)
            if phone is None:
                return None
            label = phone.paired.label
            return Visitor(phone.id, label, None, self.by(f"phone {label}"[:28]))
        session = self.sessions.of(secret, touch=touch) if kind == PERSON else None
        known = self.people.find(session.name) if session is not None else None
        if session is None or known is None:
            return None
        if known.put_away or known.account.era != session.era:
            self.sessions.end(session.id)
            return None
        name = known.account.name
        return Visitor(session.id, name, known.account.role, self.by(name))

    async def admit(
        self, method: str, path: str, token: str | None
    ) -> tuple[int, str] | Visitor | None:
        """Say whether a request may go on.

        Parameters
        ----------
        method, path : str
            What is asked.
        token : str or None
            What its cookie holds.

        Returns
        -------
        (int, str) or Visitor or None
            Status and words of a refusal; who it comes from; or None where anybody may.
        """
        row = needed(method, path)
        least = None if row is None else row.least
        if row is not None and least is None:
            return None
        # An open stream, which asks again by itself, is nobody being there.
        touch = not path.endswith("/live")
        visitor = await asyncio.to_thread(self.visitor, token, touch=touch)
        if visitor is None:
            return 401, "sign in first"
        if row is None or least is None:
            return 403, "nobody may do that: it stands in no row of the permissions"
        if row.phone if visitor.role is None else may(visitor.role, least):
            return visitor
        return 403, f"that is for the role {least} and above"


def token_of(headers: Iterable[tuple[bytes, bytes]]) -> str | None:
    """Give what the cookie of a request holds.

    Parameters
    ----------
    headers : iterable of (bytes, bytes)
        Its headers, names in small letters.

    Returns
    -------
    str or None
        None where there is none.
    """
    for name, value in headers:
        if name == b"cookie":
            cookies: SimpleCookie = SimpleCookie()
            try:
                cookies.load(value.decode("latin-1"))
            except CookieError:
                continue
            if COOKIE in cookies:
                return cookies[COOKIE].value
    return None


def cookie(token: str, *, lasts: int | None = None) -> dict[str, Any]:
    """Give how the cookie of a token is set: for this host alone, over TLS alone, out of reach.

    Parameters
    ----------
    token : str
        What it holds.
    lasts : int or None
        How long; None until the browser closes [s]

    Returns
    -------
    dict
        For ``set_cookie``.
    """
    return {
        "key": COOKIE,
        "value": token,
        "max_age": lasts,
        "path": "/",
        "secure": True,
        "httponly": True,
        "samesite": "strict",
    }
