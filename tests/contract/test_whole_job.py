"""The whole job: a worn set over the counter, priced, built, fitted, settled, and its spare.

Told over HTTP to one app on SQLite, and to two apps that share PostgreSQL and take turns, so that
each act is done by another bench than the last. Stock and money are looked at after every step.
"""

from __future__ import annotations

import hashlib
import itertools
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from decimal import Decimal
from typing import Any

import pytest
from fastapi.testclient import TestClient

from bench_work import PLANNER
from order_events import BASELINE
from priced_order import terms
from stock_work import identity
from strandwright.planning.desk.builds import Desk
from strandwright.reference.stops import stops_for
from strandwright.store.open import open_store
from strandwright.web.app import make_api
from strandwright.workshop.events import as_moment

ORDER = identity("the worn set")
LINES = ("RIDGE-1", "RIDGE-2", "RIDGE-3")
FEET = 0.3048
#: Spools and parts on the shelf: ware and how much.
SHELF: dict[str, tuple[dict[str, str], dict[str, Any]]] = {
    name: ({"kind": "strand", "name": "hmpe-lcp", "colour": colour}, {"length": "500 m +- 1"})
    for name, colour in (("spruce", "#2F6B57"), ("straw", "#E3D3A5"), ("charcoal", "#3A3A3A"))
}


class Shop:
    """A shop of one bench or of two, over one store; each request goes to the next bench."""

    def __init__(self, place: str, benches: int) -> None:
        self.now = datetime(2026, 3, 2, 9, 0, tzinfo=UTC)
        self.stores = [open_store(place) for _ in range(benches)]
        desks = [Desk(store, clock=lambda: self.now, planner=PLANNER) for store in self.stores]
        self.turns = itertools.cycle([TestClient(make_api(desk, "here")) for desk in desks])
        self.numbers = itertools.count(1)

    def ask(self, method: str, path: str, body: Any = None, status: int = 200) -> Any:
        """Send a request to the bench whose turn it is."""
        client = next(self.turns)
        answer = client.request(method, path, json=body)
        assert status == answer.status_code, (path, answer.text[:600])
        return answer.json()

    def get(self, path: str) -> Any:
        """Look at something."""
        return self.ask("GET", path)

    def event(self, type: str, minutes: float = 5.0, /, **body: Any) -> dict[str, Any]:
        """Make an event that happens so many minutes after the last."""
        self.now += timedelta(minutes=minutes)
        return {
            "id": identity(f"event {next(self.numbers)}"), "type": type,
            "at": as_moment(self.now), "by": "bench", "body": body,
        }  # fmt: skip

    def tell(self, log: str, type: str, minutes: float = 5.0, /, **body: Any) -> Any:
        """Record an event; sent twice, as after a lost answer, it is one."""
        sent = {"events": [self.event(type, minutes, **body)]}
        first = self.ask("POST", f"/api/{log}/events", sent)
        again = self.ask("POST", f"/api/{log}/events", sent)
        assert _seq(first) == _seq(again)
        return again

    def photo(self) -> str:
        """Keep a picture, and find it at the bench whose turn is next."""
        content = b"\xff\xd8\xff\xe0 as a phone would take it"
        name = hashlib.sha256(content).hexdigest()
        path, kind = f"/api/photos/{name}", {"content-type": "image/jpeg"}
        assert 200 == next(self.turns).put(path, content=content, headers=kind).status_code
        assert content == next(self.turns).get(path).content
        return name

    def spool(self, name: str) -> dict[str, Any]:
        """Give a spool as it stands."""
        return self.get(f"/api/stock/{identity(name)}")

    def build(self, job: str) -> str:
        """Build a line by whatever act comes next, to its lock."""
        build = identity(f"build {job}")
        start = {"build": build, "event": identity(f"start {job}"), "at": as_moment(self.now)}
        told = self.ask("POST", f"/api/jobs/{job}/builds", start)
        while (act := told["act"])["key"] != "proof":
            kind, body = _as_expected(told)
            self.tell(f"builds/{build}", kind, 45.0, **body)
            told = self.get(f"/api/builds/{build}")
            assert told["act"] != act
        length = self.get(f"/api/jobs/{job}")["job"]["line"]["finished"].split(" +-")[0]
        self.tell(f"builds/{build}", "length-read", 90.0, stage="proof", length=length)
        turns = self.get(f"/api/builds/{build}")["turns"]["in"]
        self.tell(f"builds/{build}", "locked", 5.0, turns=turns, hand="Z")
        return build


def _seq(answer: dict[str, Any]) -> Any:
    return answer.get("seq", answer.get("acknowledged"))


def _as_expected(told: dict[str, Any]) -> tuple[str, dict[str, Any]]:
    """Give what happens where a build's next act goes as it was planned."""
    act = told["act"]
    match act["key"]:
        case "posts":
            return "posts-set", {"outside": act["ask"]["suggest"]}
        case "wind":
            run = told["winding"]["runs"][act["run"]]
            return "rounds-laid", {"run": act["run"], "halves": run["halves"] - run["laid"]}
        case "read":
            length = act["ask"]["expected_text"].split(" \u00b1")[0]
            return "length-read", {"stage": act["ask"]["stage"], "length": length}
        case "twist":
            return "turned", {"turns": act["turns"]}
        case _:
            return "step-done", {"step": act["step"]}


@pytest.fixture(params=["sqlite", "postgresql"])
def shop(request: pytest.FixtureRequest) -> Iterator[Shop]:
    """Give a shop of one bench on SQLite, and one of two benches on PostgreSQL."""
    if request.param == "sqlite":
        made = Shop(str(request.getfixturevalue("tmp_path") / "store.sqlite3"), 1)
    else:
        made = Shop(request.getfixturevalue("server").database(), 2)
    yield made
    for store in made.stores:
        store.close()


def _taken_in(shop: Shop) -> None:
    """Take in the customer and the bow, look it over, measure it before any press."""
    shop.ask("PUT", "/api/customers/C1", {"revision": 0, "customer": {"name": "Ada Reed"}})
    body = {"customer": "C1", "bow": {"kind": "two-cam", "name": "ridge bow"},
            "work": ["fit and set"], "lines": 3, "wished_by": "2026-03-20"}  # fmt: skip
    shop.ask("PUT", f"/api/orders/{ORDER}", {"event": shop.event("order-opened", **body)})
    page = shop.tell(f"orders/{ORDER}", "bow-looked-at",
                     sound=[stop.name for stop in stops_for("two-cam")])  # fmt: skip
    assert "measure bow" == page["next"]["key"]
    photo = shop.photo()
    page = shop.tell(f"orders/{ORDER}", "bow-looked-at", baseline=BASELINE, photos=[photo])
    assert "take off" == page["next"]["key"]
    for job in LINES:
        shop.ask("POST", "/api/jobs", {"example": job})
        page = shop.tell(f"orders/{ORDER}", "job-added", job=job)


def _shelf(shop: Shop) -> None:
    for name, (ware, body) in SHELF.items():
        event = shop.event("stock-received", ware=ware, called=name, lot="L7", price="60.00",
                           **body)  # fmt: skip
        shop.ask("POST", f"/api/stock/{identity(name)}/events", {"event": event})


def _priced(shop: Shop) -> Decimal:
    """Tell a price and have it taken; give its total."""
    shop.ask("PUT", "/api/terms", {"revision": 0, "terms": terms()})
    quote, day = f"/api/quotes/of/{ORDER}", as_moment(shop.now)[:10]
    entries = {"fitting": "usual", "due": "2026-03-20"}
    draft = shop.ask("POST", f"{quote}/draft", {"entries": entries, "day": day})
    at = as_moment(shop.now)
    body = {"entries": entries, "day": day, "at": at, "total": draft["exact"]}
    page = shop.ask("POST", f"{quote}/tell", body)
    total = Decimal(page["told"]["exact"])
    assert Decimal(draft["exact"]) == total
    accept = {"at": at, "revision": page["told"]["revision"], "short": True}
    page = shop.ask("POST", f"{quote}/accept", accept)
    assert page == shop.ask("POST", f"{quote}/accept", accept)
    assert page["accepted"]
    return total


def test_a_worn_set_becomes_a_set_on_its_bow_and_a_spare_a_season_later(shop: Shop) -> None:
    """Intake, price, promise, build, use, fit, settle, spare: right at every step."""
    _taken_in(shop)
    _shelf(shop)
    total = _priced(shop)

    promised = {name: shop.spool(name)["reserved_text"] for name in SHELF}
    assert all(promised.values()), promised
    deposit = (total * Decimal("0.3")).quantize(Decimal("0.01"))
    shop.tell(f"orders/{ORDER}", "paid", amount=str(deposit), how="card")
    money = shop.get(f"/api/quotes/of/{ORDER}")["money"]
    assert total - deposit == Decimal(money["owed"]["exact"])

    queued = shop.get("/api/queue")
    assert set(LINES) <= set(_named(queued))

    builds = {job: shop.build(job) for job in LINES}
    for job, build in builds.items():
        page = shop.tell(f"orders/{ORDER}", "line-made", job=job, build=build)
    assert {"done": 3} == {
        state: count for state, count in shop.get("/api/jobs")["counts"].items() if count
    }
    for name in SHELF:
        assert "" == shop.spool(name)["reserved_text"]
        used = 500.0 / FEET - _left(shop, name)
        # What was promised was wound: 12 strands of each line that has the colour.
        assert pytest.approx(_feet(promised[name]), abs=2.0) == used
    assert 12 * (57.25 + 2 * 36.5) / 12 < 500.0 / FEET - _left(shop, "spruce") < 150.0

    assert "fit" == shop.get(f"/api/orders/{ORDER}")["next"]["key"]
    fit = identity("fit")
    lines = [{"job": job, "build": builds[job]} for job in LINES]
    body = {"lines": lines, "bow": "two-cam", "order": ORDER,
            "before": {"axle_to_axle": "33 in", "brace_height": "6 7/8 in"}}  # fmt: skip
    shop.ask("POST", "/api/fits", {"id": fit, "event": shop.event("fit-begun", 600.0, **body)})
    walked = shop.get(f"/api/fits/{fit}")
    for act in walked["acts"][:4]:
        shop.tell(f"fits/{fit}", "fit-step-done", step=act["name"])
    shop.tell(f"fits/{fit}", "fit-measured", figures={"axle_to_axle": "33 1/8 in"})
    shop.tell(f"fits/{fit}", "fit-turned", build=builds["RIDGE-3"], turns=1.5)
    shop.tell(f"fits/{fit}", "fit-turned", build=builds["RIDGE-1"], turns=0.5)
    shop.tell(f"fits/{fit}", "fit-turned", build=builds["RIDGE-1"], turns=-1.0)
    shop.tell(f"fits/{fit}", "fit-measured", figures={"axle_to_axle": "33 in"})
    for act in walked["acts"][4:]:
        shots = act["shots"] or 0
        if shots:
            figures = {"brace_height": "6 7/8 in"}
            shop.tell(f"fits/{fit}", "fit-measured", 600.0, figures=figures, shots=shots)
        shop.tell(f"fits/{fit}", "fit-step-done", step=act["name"])
    page = shop.tell(f"fits/{fit}", "fit-ended", is_right=True)
    assert (None, 100, True) == (page["next"], page["shots"], page["brought_back"])
    turned = {line["job"]: line["turns"] for line in page["lines"]}
    assert {"RIDGE-1": -0.5, "RIDGE-2": 0.0, "RIDGE-3": 1.5} == turned

    shop.tell(f"orders/{ORDER}", "paid", amount=str(total - deposit), how="cash")
    assert Decimal(0) == Decimal(shop.get(f"/api/quotes/of/{ORDER}")["money"]["owed"]["exact"])
    page = shop.get(f"/api/orders/{ORDER}")
    assert ("hand over", "right") == (page["next"]["key"], page["fit"]["status"])
    shop.tell(f"orders/{ORDER}", "handed-over")
    assert "closed" == shop.tell(f"orders/{ORDER}", "order-closed")["status"]

    string = builds["RIDGE-1"]
    for days, shots, length in ((3, 40, "57 1/4 in"), (20, 300, "57 9/32 in"),
                                (120, 900, "57 9/32 in")):  # fmt: skip
        entry = shop.event("length-off", 1440.0 * days, length=length) | {"shots": shots}
        record = shop.ask("POST", f"/api/builds/{string}/service", entry)
    assert record["act"] != "do not draw"
    assert 900 == record["shots"]

    locked = {job: _locked(shop, build) for job, build in builds.items()}
    spare = {"id": "RIDGE-3.2", "name": "spare of the lower cable"}
    made = shop.ask("POST", f"/api/builds/{builds['RIDGE-3']}/spare", spare)
    assert made
    built = shop.build("RIDGE-3.2")
    assert pytest.approx(locked["RIDGE-3"] + 1.5, abs=0.51) == _locked(shop, built)


def _named(queued: Any) -> Iterator[str]:
    """Give every text of an answer that names a job."""
    if isinstance(queued, dict):
        for key, value in queued.items():
            if key == "job" and isinstance(value, str):
                yield value
            yield from _named(value)
    elif isinstance(queued, list):
        for value in queued:
            yield from _named(value)


def _left(shop: Shop, name: str) -> float:
    """Give what is left on a spool [ft]."""
    return _feet(shop.spool(name)["left_text"])


def _feet(text: str) -> float:
    return float(text.split()[0].replace(",", ""))


def _locked(shop: Shop, build: str) -> float:
    (row,) = [row for row in shop.get("/api/builds")["builds"] if row["id"] == build]
    log = shop.get(f"/api/builds/{build}/log.json")
    assert "logged" == row["state"]
    turns = [event["body"]["turns"] for event in log["events"] if event["type"] == "locked"]
    return float(turns[-1])
