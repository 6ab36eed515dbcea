"""Security: who may speak to the app, and what its pages may do.

Unless told otherwise the app listens on loopback only. A page of another site in the same browser
could still send requests there, or have its own name resolve there; so the Host must be a loopback
name, an Origin must be the app's own, what changes something must be JSON, nothing is too large.

Beyond loopback it listens over TLS only, and a door stands in the guard: the Host must be a name of
the certificate, what changes something must bring its Origin, and who has not signed in gets the
empty shell of the pages and no further. What a proxy's header says of who asks is believed nowhere.

A sound is sent to be heard, as ``audio/wav`` or ``audio/flac``, to the paths that end in ``/hear``
and nowhere else; a photo, as ``image/jpeg`` or ``image/png``, to those below ``/api/photos/``. A
browser lets a foreign page send only a form's content types without asking first, and neither JSON
nor these four are among them: such a page would have to ask by a preflight request, which is never
answered with leave.
"""

from __future__ import annotations

import asyncio
import base64
import hashlib
import json
import re
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

from strandwright.web.door import LARGEST_UNSIGNED, Door, token_of
from strandwright.web.visitor import VISITOR, Visitor

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

#: Names a loopback address goes by.
_HOST = re.compile(r"(?:127\.0\.0\.1|localhost|\[::1\])(?::[0-9]{1,5})?")
#: No job, bench or batch of events comes near it [byte]
LARGEST_BODY = 1_000_000
#: A minute of one channel at the finest rate of a phone, with room [byte]
LARGEST_SOUND = 20_000_000
#: A photo that was scaled down for looking at, with room [byte]
LARGEST_PICTURE = 3_000_000
#: Where a photo may be sent, and as what.
_PICTURED = "/api/photos/"
_PICTURES = ("image/jpeg", "image/png")
#: Where a sound may be sent, and as what.
_HEARS = "/hear"
_SOUNDS = ("audio/wav", "audio/flac")

#: What changes something.
_CHANGES = ("POST", "PUT", "PATCH", "DELETE")
#: Who has not signed in gets so long to send a name and a password [s]
_UNSIGNED_PATIENCE = 10.0
#: How often it is looked whether the one who listens to a stream is still let in [s]
_LOOK = 1.0
#: A browser that was here asks over TLS only, for so long after its last visit [s]
_REMEMBER_TLS = 90 * 86400

_IMPORT_MAP = re.compile(rb'<script type="importmap">(.*?)</script>', re.DOTALL)


def policy_for(page: bytes) -> str:
    """Give the content security policy of the app's page.

    Parameters
    ----------
    page : bytes
        The page; its import map is the one script that stands in it.

    Returns
    -------
    str
        Own files only, no inline style, no frame, no plug-in.
    """
    hashes = [
        f"'sha256-{base64.b64encode(hashlib.sha256(body).digest()).decode()}'"
        for body in _IMPORT_MAP.findall(page)
    ]
    return "; ".join(
        (
            "default-src 'self'",
            " ".join(("script-src 'self'", *hashes)),
            "style-src 'self'",
            "img-src 'self' data: blob:",
            "connect-src 'self'",
            "object-src 'none'",
            "base-uri 'none'",
            "form-action 'none'",
            "frame-ancestors 'none'",
        )
    )


class Guard:
    """Lets only the app's own pages and local programs in; with a door, only who has signed in.

    Parameters
    ----------
    app : callable
        What is guarded.
    policy : str
        Content security policy of every answer.
    door : Door or None
        What decides who comes in, where the app listens beyond loopback; None on loopback.
    """

    def __init__(self, app: App, policy: str, door: Door | None = None) -> None:
        self.app = app
        self.door = door
        self._headers = [
            (b"content-security-policy", policy.encode()),
            (b"x-content-type-options", b"nosniff"),
            (b"x-frame-options", b"DENY"),
            (b"referrer-policy", b"no-referrer"),
            (b"cross-origin-opener-policy", b"same-origin"),
            (b"cross-origin-resource-policy", b"same-origin"),
            (b"permissions-policy", b"camera=(), geolocation=(), microphone=(self)"),
        ]
        if door is not None:
            age = f"max-age={_REMEMBER_TLS}".encode()
            self._headers.append((b"strict-transport-security", age))

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or pass on with the headers added."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            else:
                # No path of the app is a socket; unanswered it would be a fault in the log.
                await send({"type": "websocket.close", "code": 1008})
            return
        # What is somebody's own is kept by no cache; loopback is one person's own computer.
        own = [_NOT_KEPT] if self.door and scope["path"].startswith("/api/") else []

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                given = [h for h in message["headers"] if not (own and h[0] == _NOT_KEPT[0])]
                message = {**message, "headers": [*given, *self._headers, *own]}
            await send(message)

        refusal = _refusal(scope, self.door)
        if refusal is not None:
            await _answer(send_with_headers, *refusal)
        elif self.door is None:
            await self._pass_on(scope, receive, send_with_headers, _largest(scope))
        else:
            await self._through(self.door, scope, receive, send_with_headers)

    async def _pass_on(
        self,
        scope: Scope,
        receive: Receive,
        send: Send,
        largest: int,
        patience: float | None = None,
    ) -> None:
        try:
            async with asyncio.timeout(patience):
                body = await _whole_body(scope, receive, largest)
        except TimeoutError:
            await _answer(send, 408, "that took too long to come")
            return
        if body is None:
            await _answer(send, 413, f"a request must be under {largest} bytes")
        else:
            await self.app(scope, _replayed(body, receive), send)

    async def _through(self, door: Door, scope: Scope, receive: Receive, send: Send) -> None:
        """Let through the door who may, and nobody else's body in."""
        token = token_of(scope["headers"])
        visitor = await door.admit(scope["method"], scope["path"], token)
        if isinstance(visitor, tuple):
            await _answer(send, *visitor)
            return
        VISITOR.set(visitor)
        if visitor is None:
            await self._pass_on(scope, receive, send, LARGEST_UNSIGNED, _UNSIGNED_PATIENCE)
        elif scope["method"] in ("GET", "HEAD"):
            await self._while_let_in(door, token, scope, receive, send)
        else:
            await self._pass_on(scope, receive, send, _largest(scope))

    async def _while_let_in(
        self, door: Door, token: str | None, scope: Scope, receive: Receive, send: Send
    ) -> None:
        """Answer for as long as the one who asks is let in: a stream ends when they sign out."""
        is_begun = False

        async def send_on(message: Message) -> None:
            nonlocal is_begun
            is_begun = is_begun or message["type"] == "http.response.start"
            await send(message)

        work = asyncio.ensure_future(self._pass_on(scope, receive, send_on, 0))
        try:
            while not (await asyncio.wait({work}, timeout=_LOOK))[0]:
                visitor: Visitor | None = await asyncio.to_thread(door.visitor, token, touch=False)
                if visitor is None:
                    break
        finally:
            is_cut = not work.done()
            work.cancel()
            await asyncio.wait({work})
        if not is_cut:
            work.result()
        elif is_begun:
            await send({"type": "http.response.body", "body": b"", "more_body": False})
        else:
            await _answer(send, 401, "sign in first")


_NOT_KEPT = (b"cache-control", b"no-store")


def _refusal(scope: Scope, door: Door | None) -> tuple[int, str] | None:
    headers = {name.lower(): value.decode("latin-1") for name, value in scope["headers"]}
    host = headers.get(b"host", "")
    if door is None and not _HOST.fullmatch(host):
        return 421, "this app answers on the loopback address only"
    if door is not None and not door.certificate.is_for(host):
        return 421, "this app answers to the names of its certificate only"
    scheme = "http" if door is None else "https"
    origin = headers.get(b"origin")
    if origin is not None and origin != f"{scheme}://{host}":
        return 403, "only the app's own pages may speak to it"
    if headers.get(b"sec-fetch-site", "none") not in ("none", "same-origin"):
        return 403, "only the app's own pages may speak to it"
    if scope["method"] in _CHANGES:
        if door is not None and origin is None:
            return 403, "what changes something must say its origin"
        kind = headers.get(b"content-type", "").split(";")[0].strip().lower()
        if _hears(scope):
            if kind not in _SOUNDS:
                return 415, "send a sound, as audio/wav or audio/flac"
        elif _pictures(scope):
            if kind not in _PICTURES:
                return 415, "send a photo, as image/jpeg or image/png"
        elif kind != "application/json":
            return 415, "send application/json"
    return None


def _hears(scope: Scope) -> bool:
    """Tell whether a request brings a sound to be heard."""
    return scope["method"] == "POST" and scope["path"].endswith(_HEARS)


def _pictures(scope: Scope) -> bool:
    """Tell whether a request brings a photo to be kept."""
    return scope["method"] == "PUT" and scope["path"].startswith(_PICTURED)


def _largest(scope: Scope) -> int:
    """Give how large the body of a request may be."""
    if _pictures(scope):
        return LARGEST_PICTURE
    return LARGEST_SOUND if _hears(scope) else LARGEST_BODY


async def _whole_body(scope: Scope, receive: Receive, largest: int) -> bytes | None:
    """Read the body, but never more than is allowed; None when it is too large."""
    if scope["method"] in ("GET", "HEAD"):
        return b""
    parts: list[bytes] = []
    size = 0
    while True:
        message = await receive()
        if message["type"] != "http.request":
            return b""
        parts.append(message.get("body", b""))
        size += len(parts[-1])
        if size > largest:
            return None
        if not message.get("more_body"):
            return b"".join(parts)


def _replayed(body: bytes, receive: Receive) -> Receive:
    """Give the body once, then wait for what the connection says."""
    given = False

    async def replay() -> Message:
        nonlocal given
        if given:
            return await receive()
        given = True
        return {"type": "http.request", "body": body, "more_body": False}

    return replay


async def _answer(send: Send, status: int, said: str) -> None:
    errors = [{"field": "request", "given": "", "rule": said, "remedy": "open the app's own page"}]
    body = json.dumps({"said": said, "errors": errors}).encode()
    headers = [(b"content-type", b"application/json")]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
