"""Security: who may speak to the app, and what its pages may do.

The app listens on loopback only. A page of another site in the same browser could still send
requests there, or have its own name resolve there; so the Host must be a loopback name, an
Origin must be the app's own, what changes something must be JSON, and nothing is too large.

A sound is sent to be heard, as ``audio/wav`` or ``audio/flac``, to the paths that end in ``/hear``
and nowhere else. A browser lets a foreign page send only a form's content types without asking
first, and neither JSON nor these two are among them: such a page would have to ask by a preflight
request, which is never answered with leave.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Awaitable, Callable, MutableMapping
from typing import Any

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
#: Where a sound may be sent, and as what.
_HEARS = "/hear"
_SOUNDS = ("audio/wav", "audio/flac")

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
    """Lets only the app's own pages and local programs in.

    Parameters
    ----------
    app : callable
        What is guarded.
    policy : str
        Content security policy of every answer.
    """

    def __init__(self, app: App, policy: str) -> None:
        self.app = app
        self._headers = [
            (b"content-security-policy", policy.encode()),
            (b"x-content-type-options", b"nosniff"),
            (b"x-frame-options", b"DENY"),
            (b"referrer-policy", b"no-referrer"),
            (b"cross-origin-opener-policy", b"same-origin"),
            (b"cross-origin-resource-policy", b"same-origin"),
            (b"permissions-policy", b"camera=(), geolocation=(), microphone=(self)"),
        ]

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse, or pass on with the headers added."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self.app(scope, receive, send)
            return

        async def send_with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                message = {**message, "headers": [*message["headers"], *self._headers]}
            await send(message)

        refusal = _refusal(scope)
        if refusal is not None:
            await _answer(send_with_headers, *refusal)
            return
        body = await _whole_body(scope, receive)
        if body is None:
            said = f"a request must be under {_largest(scope)} bytes"
            await _answer(send_with_headers, 413, said)
            return
        await self.app(scope, _replayed(body, receive), send_with_headers)


def _refusal(scope: Scope) -> tuple[int, str] | None:
    headers = {name.lower(): value.decode("latin-1") for name, value in scope["headers"]}
    host = headers.get(b"host", "")
    if not _HOST.fullmatch(host):
        return 421, "this app answers on the loopback address only"
    origin = headers.get(b"origin")
    if origin is not None and origin != f"http://{host}":
        return 403, "only the app's own pages may speak to it"
    if headers.get(b"sec-fetch-site", "none") not in ("none", "same-origin"):
        return 403, "only the app's own pages may speak to it"
    if scope["method"] in ("POST", "PUT", "PATCH", "DELETE"):
        kind = headers.get(b"content-type", "").split(";")[0].strip().lower()
        if _hears(scope):
            if kind not in _SOUNDS:
                return 415, "send a sound, as audio/wav or audio/flac"
        elif kind != "application/json":
            return 415, "send application/json"
    return None


def _hears(scope: Scope) -> bool:
    """Tell whether a request brings a sound to be heard."""
    return scope["method"] == "POST" and scope["path"].endswith(_HEARS)


def _largest(scope: Scope) -> int:
    """Give how large the body of a request may be."""
    return LARGEST_SOUND if _hears(scope) else LARGEST_BODY


async def _whole_body(scope: Scope, receive: Receive) -> bytes | None:
    """Read the body, but never more than is allowed; None when it is too large."""
    if scope["method"] in ("GET", "HEAD"):
        return b""
    parts: list[bytes] = []
    size, largest = 0, _largest(scope)
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
