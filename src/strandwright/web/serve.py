"""Serving the app, on this computer's loopback address unless told otherwise; opening it there."""

from __future__ import annotations

import gc
import socket
import ssl
import threading
import webbrowser
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass

import uvicorn

from strandwright.errors import SpecError, StoreError
from strandwright.planning.desk.builds import Desk
from strandwright.planning.people.accounts import People
from strandwright.planning.people.passwords import Passwords
from strandwright.planning.ports import Store
from strandwright.sheets import sheet_data
from strandwright.store.schedule import Keeper
from strandwright.web.app import make_app
from strandwright.web.door import Door
from strandwright.web.listening import Certificate, listen_at, tls_context
from strandwright.web.security import Guard
from strandwright.web.signed_store import signed

#: Where the app listens, if that is free.
PORT = 8471
HOST = "127.0.0.1"
#: Answers under way, such as the signal of changes, get this long when the app closes [s]
PATIENCE = 1
#: So many connections are open at once beyond loopback; further ones are told to come again [-]
_CONNECTIONS = 200
#: Objects made before the collector looks at the young ones [-]
_LOOK_AFTER = 50_000


def listen(port: int | None) -> socket.socket:
    """Take a port of the loopback address.

    Parameters
    ----------
    port : int or None
        The one wanted, 0 for any free one; None for the usual one, or any if that is taken [-]

    Returns
    -------
    socket
        Bound.

    Raises
    ------
    SpecError
        If the wanted port is taken or not allowed.
    """
    for candidate in (PORT, 0) if port is None else (port,):
        taken = socket.socket(socket.AF_INET, socket.SOCK_STREAM)
        taken.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            taken.bind((HOST, candidate))
        except OSError as error:
            taken.close()
            if candidate != PORT or port is not None:
                rule = f"must be a port that is free: {(error.strerror or '').lower()}"
                remedy = "leave it out, or give another"
                raise SpecError("--port", str(port), rule, remedy) from error
        else:
            return taken
    raise AssertionError


def settle_memory() -> None:
    """Let the collector leave alone what stays, and look at the rest less often.

    A look through everything that is loaded takes longer than an answer while a line is dragged;
    an answer leaves some ten thousand objects behind, nearly none of them in circles.
    """
    gc.collect()
    gc.freeze()
    gc.set_threshold(_LOOK_AFTER, 20, 50)


def _read_ahead(desk: Desk) -> None:
    """Read what the shop has learned, so that the first plan need not wait for it."""

    def read() -> None:
        # The app may be closed before it is read; whoever asks for a plan is told of trouble.
        with suppress(StoreError):
            _ = desk.memory.pool

    threading.Thread(target=read, daemon=True).start()


@dataclass(frozen=True)
class Beyond:
    """How the app listens beyond loopback.

    Attributes
    ----------
    place : str
        Address, perhaps with a port.
    certificate : Certificate
        What is shown there.
    bench : str
        The name of this bench; empty for the first name of the certificate.
    """

    place: str
    certificate: Certificate
    bench: str = ""


def serve(
    store: Store,
    place: str,
    port: int | None,
    say: Callable[[str], None],
    *,
    browser: bool,
    beyond: Beyond | None = None,
) -> None:
    """Serve the app until it is interrupted.

    Parameters
    ----------
    store : Store
        Where records are kept.
    place : str
        The same in words.
    port : int or None
        As :func:`listen` takes it [-]
    say : callable
        Tells the person where the app is.
    browser : bool
        Whether to open it in the browser.
    beyond : Beyond or None
        How it listens beyond loopback: over TLS, to who has signed in. None for loopback only.

    Raises
    ------
    SpecError
        If the port cannot be had, or nobody could sign in.
    """
    desk = Desk(store if beyond is None else signed(store), sheet=sheet_data)
    if beyond is None:
        bound = listen(port)
        address = f"http://{HOST}:{bound.getsockname()[1]}/"
        config = _config(make_app(desk, place))
    else:
        door = _door(store, beyond)
        context = tls_context(beyond.certificate)
        bound = listen_at(beyond.place, PORT)
        address = _address(beyond.certificate, bound.getsockname()[1])
        config = _config(make_app(desk, place, door), context)
    settle_memory()
    _read_ahead(desk)
    say(address)
    if browser:
        opener = threading.Timer(0.4, webbrowser.open, (address,))
        opener.daemon = True
        opener.start()
    keeper = Keeper(store)
    keeper.start()
    try:
        uvicorn.Server(config).run(sockets=[bound])
    finally:
        keeper.stop()
        store.close()


def _config(app: Guard, context: ssl.SSLContext | None = None) -> uvicorn.Config:
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        timeout_graceful_shutdown=PATIENCE,
        server_header=False,
        # Nobody stands between: a header that says who asks was written by who asks.
        proxy_headers=False,
        limit_concurrency=None if context is None else _CONNECTIONS,
    )
    if context is not None:
        config.load()
        config.ssl = context
    return config


def _door(store: Store, beyond: Beyond) -> Door:
    """Make the door, and refuse where nobody could open it."""
    people = People(store, passwords=Passwords())
    if not any(k.account.role == "owner" and not k.put_away for k in people.all()):
        rule = "needs somebody who can sign in: no owner is kept there yet"
        remedy = "add one with strandwright account add NAME --role owner"
        raise SpecError("--listen", beyond.place, rule, remedy)
    bench = beyond.bench or beyond.certificate.names[0].removeprefix("*.").split(".")[0]
    return Door(people, beyond.certificate, bench[:28])


def _address(certificate: Certificate, port: int) -> str:
    name = certificate.names[0].replace("*", "bench")
    host = f"[{name}]" if ":" in name else name
    return f"https://{host}:{port}/"
