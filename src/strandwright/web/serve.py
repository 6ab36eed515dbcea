"""Serving the app on this computer's loopback address, and opening it in the browser."""

from __future__ import annotations

import gc
import socket
import threading
import webbrowser
from collections.abc import Callable

import uvicorn

from strandwright.errors import SpecError
from strandwright.planning.desk.builds import Desk
from strandwright.planning.ports import Store
from strandwright.sheets import sheet_data
from strandwright.web.app import make_app

#: Where the app listens, if that is free.
PORT = 8471
HOST = "127.0.0.1"
#: Answers under way, such as the signal of changes, get this long when the app closes [s]
PATIENCE = 1
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


def serve(
    store: Store, place: str, port: int | None, say: Callable[[str], None], *, browser: bool
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

    Raises
    ------
    SpecError
        If the port cannot be had.
    """
    bound = listen(port)
    address = f"http://{HOST}:{bound.getsockname()[1]}/"
    app = make_app(Desk(store, sheet=sheet_data), place)
    config = uvicorn.Config(
        app,
        log_level="warning",
        access_log=False,
        timeout_graceful_shutdown=PATIENCE,
        server_header=False,
    )
    settle_memory()
    say(address)
    if browser:
        opener = threading.Timer(0.4, webbrowser.open, (address,))
        opener.daemon = True
        opener.start()
    try:
        uvicorn.Server(config).run(sockets=[bound])
    finally:
        store.close()
