"""The price over HTTP: terms, a draft, told, printed, taken, paid, and what is built is used."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from order_events import event
from priced_order import AT, DAY, ORDER, PATH, QUOTE, fill_shelf, order_of_one_line, terms
from stock_work import happening, identity
from strandwright.web.permissions import needed

ENTRIES: dict[str, Any] = {
    "parts": [{"name": "silencer", "count": 2}],
    "extras": [{"title": "posting", "amount": "6.90"}],
    "off": "5 %",
    "fitting": "usual",
    "due": "2026-12-12",
}


@pytest.fixture
def send(client):
    """Give a sender that sees each request succeed."""

    def sent(method, path, body):
        answer = getattr(client, method)(path, json=body)
        assert 200 == answer.status_code, answer.text
        return answer.json()

    return sent


@pytest.fixture
def order(send):
    """Give an order of the crag string, with terms kept."""
    send("put", "/api/terms", {"revision": 0, "terms": terms()})
    return order_of_one_line(send)


def drafted(send, **entries):
    """Draft the price."""
    return send("post", f"{QUOTE}/draft", {"entries": entries, "day": DAY})


def told(send, at=AT, **entries):
    """Tell the price that is drafted."""
    total = drafted(send, **entries)["exact"]
    body = {"entries": entries, "day": DAY, "at": at, "by": "counter", "total": total}
    return send("post", f"{QUOTE}/tell", body)


def taken(send, page, **more):
    """Take the price that was told last."""
    body = {"at": AT, "by": "counter", "revision": page["told"]["revision"], **more}
    return send("post", f"{QUOTE}/accept", body)


def spool(client, log):
    """Give a spool as it stands."""
    return client.get(f"/api/stock/{log}").json()


def test_terms_are_asked_for_kept_and_changed(client, send):
    """What a quote cannot do without is named; an old revision is refused."""
    first = client.get("/api/terms").json()
    assert (0, {}, ["currency", "hourly_rate"]) == (
        first["revision"], first["terms"], first["needed"],
    )  # fmt: skip
    kept = send("put", "/api/terms", {"revision": 0, "terms": terms()})
    assert (1, []) == (kept["revision"], kept["needed"])
    assert "48.00" == kept["terms"]["hourly_rate"]
    body = {"revision": 1, "terms": terms(hourly_rate="4,8", taxes=[{"name": "", "rate": "x"}])}
    wrong = client.put("/api/terms", json=body)
    fields = {one["field"] for one in wrong.json()["errors"]}
    assert {"terms.hourly_rate", "terms.taxes[1].name", "terms.taxes[1].rate"} == fields
    stale = client.put("/api/terms", json={"revision": 0, "terms": terms(deposit="50 %")})
    assert 409 == stale.status_code


def test_the_counter_tells_and_takes_prices_and_the_owner_sets_terms():
    """As the table of permissions has it."""
    rows = {
        ("GET", "/api/terms"): "counter",
        ("PUT", "/api/terms"): "owner",
        ("POST", f"{QUOTE}/tell"): "counter",
        ("POST", f"{QUOTE}/accept"): "counter",
        ("GET", "/api/quotes/28T5CY/quote.pdf"): "counter",
    }
    for (method, path), role in rows.items():
        row = needed(method, path)
        assert row is not None
        assert (role, False) == (row.least, row.phone)


def test_without_terms_a_price_asks_for_them_by_name(client, send):
    """Both at once; a missing price is named with its ware."""
    order_of_one_line(send)
    answer = client.post(f"{QUOTE}/draft", json={})
    fields = [one["field"] for one in answer.json()["errors"]]
    assert (422, ["terms.currency", "terms.hourly_rate"]) == (answer.status_code, fields)
    send("put", "/api/terms", {"revision": 0, "terms": terms(prices=[])})
    fields = [one["field"] for one in client.post(f"{QUOTE}/draft", json={}).json()["errors"]]
    assert "price of hmpe-lcp, birch" in fields


def test_a_draft_is_a_bill_that_adds_up_and_keeps_nothing(client, send, order):
    """Lines, what is off, the tax and the total, each with what is unsure of it beside."""
    page = drafted(send, **ENTRIES)
    lines = page["lines"]
    sums = [Decimal(one["amount"].replace("\u2212", "-")) for one in (*lines, *page["discounts"])]
    assert Decimal(page["subtotal"]) == sum(sums)
    tax = Decimal(page["taxes"][0]["amount"])
    assert Decimal(page["total"]) == Decimal(page["exact"]) == sum(sums) + tax
    kinds = [one["kind"] for one in lines]
    assert {"material", "part", "work", "fitting", "other"} == set(kinds)
    beside = {one["kind"]: one["beside"] for one in lines}
    assert "min of hands, by common practice" in beside["work"]
    assert " ft, " in beside["material"]
    assert "\u00b1" in beside["material"]
    assert {"common practice"} == {act["source"] for act in page["acts"]}
    assert "The work is to be ready by 2026-12-12." in page["promises"]
    assert "measured" == client.get(PATH).json()["status"]
    assert [] == client.get(QUOTE).json()["quotes"]


def test_what_is_typed_wrong_stands_at_its_field(client, order):
    """A time, a share, a day, a tax the shop has not."""
    for entries, field in (
        ({"fitting": "soon"}, "entries.fitting"),
        ({"off": "half"}, "entries.off"),
        ({"off": "5000.00"}, "discount"),
        ({"due": "2026-13-01"}, "entries.due"),
        ({"due": "2026-11-01"}, "due"),
        ({"taxes": ["tithe"]}, "entries.taxes"),
        ({"parts": [{"name": "", "count": 1}]}, "entries.parts[1].name"),
        ({"extras": [{"title": "posting", "amount": "6,90"}]}, "entries.extras[1].amount"),
    ):
        answer = client.post(f"{QUOTE}/draft", json={"entries": entries, "day": DAY})
        errors = answer.json()["errors"]
        assert (422, [field]) == (answer.status_code, [one["field"] for one in errors])


def test_taxes_are_chosen(send, order):
    """None of them leaves the bill without tax."""
    page = drafted(send, taxes=[])
    assert ([], page["subtotal"]) == (page["taxes"], page["total"])


def test_told_taken_paid_and_owed(client, send, order):
    """Stock and money are right: promised feet, exact sums, and nothing twice."""
    logs = fill_shelf(send)
    page = told(send, **ENTRIES)
    again = told(send, **ENTRIES)
    assert page == again
    assert ("quoted", 1) == (page["status"], page["told"]["revision"])
    assert [] == page["told"]["to_buy"]
    assert {"birch", "heather"} <= {
        word for one in page["told"]["from_shelf"] for word in one["title"].split(", ")
    }
    assert ENTRIES == page["told"]["entries"]

    page = taken(send, page)
    assert taken(send, page) == page
    assert ("accepted", True) == (page["status"], page["accepted"])
    promised = {name: spool(client, log)["reserved_text"] for name, log in logs.items()}
    assert all(promised.values())
    assert promised["birch"] in ("57 ft", "57.0 ft", "58 ft")
    total, deposit = Decimal(page["told"]["exact"]), Decimal(page["money"]["deposit"]["exact"])
    assert abs(total * Decimal("0.3") - deposit) <= Decimal("0.005")
    paid = event(20, "paid", amount=f"{deposit}", how="card").table()
    for _ in range(2):
        send("post", f"{PATH}/events", {"events": [paid]})
    odd = event(21, "paid", amount="0.125").table()
    answer = client.post(f"{PATH}/events", json={"events": [odd]})
    assert (422, "paid.amount") == (answer.status_code, answer.json()["errors"][0]["field"])
    money = client.get(QUOTE).json()["money"]
    assert f"{total - deposit}" == money["owed"]["exact"]
    assert "0.00" == money["deposit_owed"]["exact"]
    assert money == client.get(PATH).json()["money"]


def test_a_price_that_changed_meanwhile_is_not_told(client, send, order):
    """The total on the screen is the one that is told."""
    total = drafted(send)["exact"]
    send("put", "/api/terms", {"revision": 1, "terms": terms(hourly_rate="60.00")})
    body = {"day": DAY, "at": AT, "total": total}
    answer = client.post(f"{QUOTE}/tell", json=body)
    error = answer.json()["errors"][0]
    assert (422, "total", total) == (answer.status_code, error["field"], error["given"])
    assert "by now" in error["rule"]
    assert [] == client.get(QUOTE).json()["quotes"]


def test_it_is_taken_short_only_on_purpose(client, send, order):
    """What is to be bought is told first; when it has come in it is promised, too."""
    fill_shelf(send, but=("blue", "peep"))
    page = told(send)
    assert ["#2E4E6B", ""] == [one["colour"] for one in page["told"]["to_buy"]]
    assert ["CRAG-1", "CRAG-1"] == [one["job"] for one in page["told"]["to_buy"]]
    body = {"at": AT, "revision": 1}
    answer = client.post(f"{QUOTE}/accept", json=body)
    assert (422, {"shelf.CRAG-1"}) == (
        answer.status_code, {one["field"] for one in answer.json()["errors"]},
    )  # fmt: skip
    assert "quoted" == client.get(PATH).json()["status"]
    page = taken(send, page, short=True)
    assert (3, 2) == (len(page["told"]["from_shelf"]), len(page["told"]["to_buy"]))
    fill_shelf(send)
    page = send("post", f"{QUOTE}/reserve", {"at": AT})
    assert (5, []) == (len(page["told"]["from_shelf"]), page["told"]["to_buy"])
    assert page == send("post", f"{QUOTE}/reserve", {"at": AT})


def test_a_part_of_the_job_and_one_by_hand_are_two(client, send, order):
    """One of them is there; the other is promised when it has come in, at the same moment."""
    logs = fill_shelf(send, but=("peep",))
    one = happening("received", name="one peep", ware={"kind": "part", "name": "peep"}, count=1)
    log = identity("peep")
    send("post", f"/api/stock/{log}/events", {"event": one.table()})
    page = told(send, parts=[{"name": "peep", "count": 1}])
    page = taken(send, page, short=True)
    assert [("peep", "1")] == [(row["title"], row["amount"]) for row in page["told"]["to_buy"]]
    more = happening("received", 1, name="more", ware={"kind": "part", "name": "peep"}, count=5)
    send("post", f"/api/stock/{log}/events", {"event": more.table()})
    page = send("post", f"{QUOTE}/reserve", {"at": AT})
    assert [] == page["told"]["to_buy"]
    assert "2 pieces" == spool(client, log)["reserved_text"]
    assert spool(client, logs["birch"])["reserved_text"]


def test_a_bare_event_takes_no_price_and_takes_none_back(client, send, order):
    """Both hang together with promises of the stock, and say where they are done."""
    logs = fill_shelf(send)
    page = told(send)
    quote = page["quotes"][0]["id"]
    bare = event(30, "quote-accepted", quote=quote, revision=1).table()
    answer = client.post(f"{PATH}/events", json={"events": [bare]})
    assert 422 == answer.status_code
    assert "quote's own page" in answer.json()["errors"][0]["remedy"]
    assert "quoted" == client.get(PATH).json()["status"]
    taken(send, page)
    log = client.get(f"{PATH}/log.json").json()["events"]
    accepted = next(one["event"]["id"] for one in log if one["event"]["type"] == "quote-accepted")
    slip = event(31, "withdrawn", event=accepted).table()
    answer = client.post(f"{PATH}/events", json={"events": [slip]})
    assert 422 == answer.status_code
    assert spool(client, logs["birch"])["reserved_text"]
    for _ in range(2):
        page = send("post", f"{QUOTE}/take-back", {"at": AT})
    assert ("quoted", False) == (page["status"], page["accepted"])
    assert all("" == spool(client, log)["reserved_text"] for log in logs.values())
    page = taken(send, page | {"told": page["told"]}, at="2026-11-28T12:05:00.000Z")
    assert spool(client, logs["birch"])["reserved_text"]


@pytest.mark.parametrize("end", ["order-closed", "order-refused"])
def test_an_order_that_is_over_promises_nothing_and_takes_no_price(client, send, order, end):
    """What was promised is free again; it was not used."""
    logs = fill_shelf(send)
    taken(send, told(send))
    close = event(40, end, why="called off").table()
    for _ in range(2):
        send("post", f"{PATH}/events", {"events": [close]})
    assert all("" == spool(client, log)["reserved_text"] for log in logs.values())
    body = {"at": "2026-11-28T13:00:00.000Z", "total": "1.00"}
    assert 422 == client.post(f"{QUOTE}/tell", json=body).status_code


def test_what_is_handed_back_before_it_is_built_is_free_again(client, send, order):
    """And promised anew where that was a slip."""
    logs = fill_shelf(send)
    taken(send, told(send))
    back = event(40, "handed-over", said="They could not wait.")
    send("post", f"{PATH}/events", {"events": [back.table()]})
    assert all("" == spool(client, log)["reserved_text"] for log in logs.values())
    slip = event(41, "withdrawn", event=back.id).table()
    send("post", f"{PATH}/events", {"events": [slip]})
    page = send("post", f"{QUOTE}/reserve", {"at": AT})
    assert [] == page["told"]["to_buy"]
    assert spool(client, logs["birch"])["reserved_text"]


def test_an_old_price_stays_and_prints_as_it_was(client, send, order):
    """Told anew it is a further revision; each is printed by its own numbers."""
    first = told(send)
    send("put", "/api/terms", {"revision": 1, "terms": terms(hourly_rate="60.00")})
    second = told(send, at="2026-11-28T12:10:00.000Z")
    rows = second["quotes"]
    assert [(2, True), (1, False)] == [(one["revision"], one["last"]) for one in rows]
    id = rows[0]["id"]
    assert rows[1]["total"] == first["quotes"][0]["total"] != rows[0]["total"]
    assert first["told"]["exact"] == client.get(f"/api/quotes/{id}?revision=1").json()["exact"]
    pdf = client.get(f"/api/quotes/{id}/quote.pdf?revision=1")
    assert (200, "application/pdf") == (pdf.status_code, pdf.headers["content-type"])
    assert pdf.content.startswith(b"%PDF")
    assert 404 == client.get("/api/quotes/000000").status_code
    assert ORDER == second["order"]
