"""An order of one line with terms and a shelf to price it by, told to the app over HTTP."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from typing import Any

from order_events import event, opened
from quoted_lines import TERMS
from stock_work import happening, identity

ORDER = "12345678" + "0" * 24
PATH = f"/api/orders/{ORDER}"
QUOTE = f"/api/quotes/of/{ORDER}"
AT = "2026-11-28T12:00:00.000Z"
DAY = "2026-11-28"
BIRCH = {"kind": "strand", "name": "hmpe-lcp", "colour": "#D9D2C0"}
HEATHER = {"kind": "strand", "name": "hmpe-lcp", "colour": "#6C4F77"}
DARK = {"kind": "thread", "name": "braid-018", "colour": "#3A3A3A"}
BLUE = {"kind": "thread", "name": "braid-021", "colour": "#2E4E6B"}
PEEP = {"kind": "part", "name": "peep"}
#: What the crag string takes, each with how much of it lies there
SHELF: dict[str, tuple[dict[str, Any], dict[str, Any]]] = {
    "birch": (BIRCH, {"length": "500 m +- 1", "called": "birch", "place": "rack 2"}),
    "heather": (HEATHER, {"length": "500 m +- 1", "called": "heather"}),
    "dark": (DARK, {"length": "91 m +- 1"}),
    "blue": (BLUE, {"length": "91 m +- 1"}),
    "peep": (PEEP, {"count": 3}),
    "silencer": ({"kind": "part", "name": "silencer"}, {"count": 4}),
}
#: Sends a table to a path by a method: put or post
Send = Callable[[str, str, Any], Any]


def terms(**changes: Any) -> dict[str, Any]:
    """Give the terms as plain values, some of them changed."""
    return tomllib.loads(TERMS) | changes


def order_of_one_line(send: Send, job: str = "CRAG-1") -> str:
    """Open an order of one example line."""
    send("put", "/api/customers/C1", {"revision": 0, "customer": {"name": "Ada Reed"}})
    send("post", "/api/jobs", {"example": job})
    send("put", PATH, {"event": opened(lines=1).table()})
    send("post", f"{PATH}/events", {"events": [event(2, "job-added", job=job).table()]})
    return ORDER


def fill_shelf(send: Send, but: tuple[str, ...] = ()) -> dict[str, str]:
    """Put on the shelf what the crag string takes, without some of it."""
    logs = {name: identity(name) for name in SHELF if name not in but}
    for name, log in logs.items():
        ware, body = SHELF[name]
        table = happening("received", name=f"received {name}", ware=ware, **body).table()
        send("post", f"/api/stock/{log}/events", {"event": table})
    return logs
