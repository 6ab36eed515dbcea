"""The price of an order on screen: from one job to told, taken, paid, built, and nothing owed."""

from __future__ import annotations

import hashlib
import io
import json
import re
import urllib.request
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

import pytest
from at_the_desk import PATIENCE
from at_the_jig import RIDGE, go_on, posts_set
from bench_server import BenchServer
from complaints import Complaints, OpenPage
from PIL import Image
from playwright.sync_api import Page, expect

from order_events import BASELINE, event, sound
from priced_order import ORDER, PATH, order_of_one_line
from stock_work import happening, identity

BOARD = "#/quote/" + ORDER
#: What the ridge string takes but its peep, with what was paid for it
SHELF = {
    "spruce": ({"kind": "strand", "name": "hmpe-lcp", "colour": "#2F6B57"}, "36.00"),
    "straw": ({"kind": "strand", "name": "hmpe-lcp", "colour": "#E3D3A5"}, "36.00"),
    "dark": ({"kind": "thread", "name": "braid-018", "colour": "#3A3A3A"}, "14.00"),
    "red": ({"kind": "thread", "name": "braid-021", "colour": "#8C2F22"}, "14.00"),
}


def receive(bench: BenchServer, name: str, ware: dict[str, Any], **body: Any) -> str:
    """Put a spool, or parts, on the shelf."""
    log, told = identity(name), happening("received", name=name, ware=ware, **body)
    bench.post(f"/api/stock/{log}/events", {"event": told.table()})
    return log


def put(bench: BenchServer, path: str, content: bytes, kind: str) -> None:
    """Put something there."""
    request = urllib.request.Request(
        bench.url + path, content, {"content-type": kind}, method="PUT"
    )
    urllib.request.urlopen(request).close()


def set_terms(bench: BenchServer) -> None:
    """Say the shop's terms."""
    terms = {"currency": "EUR", "hourly_rate": "48.00", "prices": [{"ware": "peep", "price": "9"}]}
    body = json.dumps({"revision": 0, "terms": terms}).encode()
    put(bench, "/api/terms", body, "application/json")


@pytest.fixture
def shelf(bench: BenchServer) -> dict[str, str]:
    """Give a shelf, and an order looked over and measured whose one line has its job."""
    picture = io.BytesIO()
    Image.new("RGB", (8, 6), "#9A6200").save(picture, "JPEG")
    name = hashlib.sha256(picture.getvalue()).hexdigest()

    def send(method: str, path: str, body: Any) -> Any:
        if method == "post":
            return bench.post(path, body)
        return put(bench, path, json.dumps(body).encode(), "application/json")

    order_of_one_line(send, "RIDGE-1")
    bench.jobs[json.dumps(RIDGE)] = "RIDGE-1"
    put(bench, f"/api/photos/{name}", picture.getvalue(), "image/jpeg")
    look = event(4, "bow-looked-at", baseline=BASELINE, photos=[name])
    bench.post(f"{PATH}/events", {"events": [sound(3).table(), look.table()]})
    return {
        name: receive(bench, name, ware, length="400 m +- 0.4 m", price=price)
        for name, (ware, price) in SHELF.items()
    }


def money(page: Page, where: str) -> list[Decimal]:
    """Read amounts as they stand."""
    texts = page.locator(where).all_inner_texts()
    return [Decimal(text.replace("\u2212", "-").replace("\u202f", "")) for text in texts]


def stands(page: Page, name: str) -> Decimal:
    """Read one of what was paid and is owed."""
    row = page.locator(".money-stands div", has=page.get_by_text(name, exact=True))
    found = re.search(r"-?[0-9.]+", row.locator("dd").inner_text().replace("\u2212", "-"))
    assert found is not None
    return Decimal(found[0])


def press(page: Page, name: str) -> None:
    """Press the one act that calls."""
    wax = page.locator(".act.next")
    expect(wax).to_have_count(1, timeout=PATIENCE)
    expect(wax).to_have_text(name)
    wax.click()


def say_the_terms(page: Page) -> None:
    """Say the shop's terms, the first of them wrongly."""
    page.get_by_label("an hour of hands").fill("48,00")
    page.get_by_label("currency", exact=True).fill("EUR")
    page.get_by_label("deposit, when a price is taken").fill("30")
    page.get_by_label("name on the paper").first.fill("VAT")
    page.get_by_label("rate", exact=True).first.fill("19")
    press(page, "Keep these terms")
    expect(page.locator("#terms-hourly_rate-wrong")).to_contain_text("digits, a point")
    page.reload()
    expect(page.get_by_label("an hour of hands")).to_have_value("48,00")
    page.get_by_label("an hour of hands").fill("48.00")
    press(page, "Keep these terms")
    expect(page.get_by_text("kept", exact=True)).to_be_visible(timeout=PATIENCE)


def adds_up(page: Page) -> Decimal:
    """See that the bill adds up as whoever reads it adds it up; gives the total."""
    lines = money(page, ".bill tbody:not(.bill-foot) .money")
    (subtotal,) = money(page, ".bill-sub .money")
    (total,) = money(page, ".bill-total .money")
    tax = (subtotal * 19 / 100).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert (subtotal, total) == (sum(lines), subtotal + tax)
    return total


def promised(page: Page, bench: BenchServer, log: str, feet: str) -> None:
    """See how much of a spool is promised."""
    page.goto(f"{bench.url}/#/stock")
    row = page.locator(f"[data-spool='{log}'] .stock-free")
    expect(row).to_contain_text(f"{feet}\u00a0ft promised" if feet else "free", timeout=PATIENCE)
    if not feet:
        expect(row).not_to_contain_text("promised")


def test_an_order_goes_from_its_job_to_taken_paid_and_built(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints, shelf: dict[str, str]
) -> None:
    """Total, deposit, feet promised and what is owed are right at every step, over reloads too."""
    complaints.forgive("status of 422")
    page = open_page(f"{bench.url}/#/order/{ORDER}")
    page.set_default_timeout(PATIENCE)
    press(page, "Price it")
    press(page, "Say the shop\u2019s terms")
    say_the_terms(page)
    page.goto(f"{bench.url}/{BOARD}")
    expect(page.get_by_role("alert")).to_contain_text("No price is known of peep")
    receive(bench, "peeps", {"kind": "part", "name": "peep"}, count=1, price="9.50")
    expect(page.locator(".bill-total")).to_be_visible(timeout=PATIENCE)

    page.get_by_label("Anything else").first.fill("posting")
    page.get_by_label("amount", exact=True).first.fill("6.90")
    page.get_by_label("Taken off").fill("5 %")
    page.get_by_role("button", name="the usual time").click()
    page.get_by_label("Small part besides").first.fill("peep")
    expect(page.locator(".bill tbody th", has_text="discount, 5")).to_be_visible(timeout=PATIENCE)
    page.reload()
    expect(page.get_by_label("Taken off")).to_have_value("5 %")
    expect(page.locator(".bill tbody th", has_text="fitting and setting")).to_be_visible()
    expect(
        page.locator(".bill-beside", has_text="min of hands, by common practice")
    ).to_be_visible()
    expect(page.locator(".quote-buy")).to_contain_text("Buy 1 peep")
    total = adds_up(page)

    press(page, "Tell this price")
    expect(page.locator(".order-next")).to_contain_text("waits for their word", timeout=PATIENCE)
    assert total == adds_up(page)
    expect(page.locator(".act.next")).to_be_disabled()
    page.get_by_label("It may be taken short").check()
    press(page, "They take it")
    expect(page.locator(".order-next")).to_contain_text("They took it", timeout=PATIENCE)
    deposit = (total * 30 / 100).quantize(Decimal("0.01"), ROUND_HALF_UP)
    assert (total, total) == (stands(page, "price"), stands(page, "still owed"))
    assert deposit == stands(page, "of it now, as deposit")
    receive(bench, "more peeps", {"kind": "part", "name": "peep"}, count=5)
    page.get_by_role("button", name="Promise what has come in").click()
    expect(page.locator("#shelf")).to_contain_text("All of it is promised", timeout=PATIENCE)

    expect(page.get_by_label("paid now, EUR")).to_have_value(f"{deposit}")
    press(page, "Write the payment down")
    expect(page.locator(".money-stands")).not_to_contain_text("deposit", timeout=PATIENCE)
    assert (deposit, total - deposit) == (stands(page, "paid"), stands(page, "still owed"))
    promised(page, bench, shelf["spruce"], "59")

    page.goto(f"{bench.url}/{BOARD}")
    press(page, "Go to the lines")
    press(page, "Build it")
    expect(page).to_have_url(re.compile("#/line/RIDGE-1$"))
    build = posts_set(bench)
    page.goto(f"{bench.url}/#/order/{ORDER}")
    press(page, "Go on building it")
    expect(page).to_have_url(re.compile(f"#/jig/{build}$"))
    go_on(bench, build, "proof")
    bench.record_long_ago(build, "length-read", stage="proof", length="57 1/4 in")
    turns = bench.get(f"/api/builds/{build}")["turns"]["in"]
    bench.record(build, "locked", turns=turns, hand="Z")
    page.goto(f"{bench.url}/#/order/{ORDER}")
    expect(page.locator(".order-jobs")).to_contain_text("built", timeout=PATIENCE)
    expect(page.locator("#return")).to_contain_text(f"Still owed: {total - deposit}")
    page.get_by_label("paid now, EUR").fill(f"{total - deposit}")
    page.get_by_role("button", name="Write the payment down").click()
    expect(page.locator("#money")).to_contain_text("All of it is paid", timeout=PATIENCE)
    assert Decimal(0) == stands(page, "still owed")
    promised(page, bench, shelf["spruce"], "")
    used = bench.get(f"/api/stock/{shelf['spruce']}")["entries"]
    assert 1 == sum(one["type"] == "stock-used" for one in used)


def test_an_act_that_nobody_answered_is_done_once(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints, shelf: dict[str, str]
) -> None:
    """What is typed stays, the act is pressed again when the program is back, and it is one."""
    del complaints
    set_terms(bench)
    receive(bench, "peeps", {"kind": "part", "name": "peep"}, count=5)
    page = open_page(f"{bench.url}/{BOARD}")
    page.set_default_timeout(PATIENCE)
    page.get_by_label("Taken off").fill("5 %")
    expect(page.locator(".bill tbody th", has_text="discount, 5")).to_be_visible(timeout=PATIENCE)
    bench.kill()
    press(page, "Tell this price")
    expect(page.locator(".told").first).to_contain_text("does not answer", timeout=PATIENCE)
    bench.start()
    expect(page.get_by_label("Taken off")).to_have_value("5 %")
    press(page, "Tell this price")
    expect(page.locator(".order-next")).to_contain_text("waits for their word", timeout=PATIENCE)
    bench.kill()
    press(page, "They take it")
    expect(page.locator(".told").first).to_contain_text("does not answer", timeout=PATIENCE)
    bench.start()
    press(page, "They take it")
    expect(page.locator(".order-next")).to_contain_text("They took it", timeout=PATIENCE)
    told = bench.get(f"/api/quotes/of/{ORDER}")
    assert [True] == [one["taken"] for one in told["quotes"]]
    events = [one["event"]["type"] for one in bench.get(f"{PATH}/log.json")["events"]]
    assert (1, 1) == (events.count("quoted"), events.count("quote-accepted"))
    entries = bench.get(f"/api/stock/{shelf['spruce']}")["entries"]
    assert 1 == sum(one["type"] == "stock-reserved" for one in entries)


def test_the_price_and_the_terms_fit_every_width(
    bench: BenchServer, open_page: OpenPage, shelf: dict[str, str]
) -> None:
    """Nothing hangs over the edge, from a phone to a desk."""
    assert shelf
    set_terms(bench)
    page = open_page(f"{bench.url}/{BOARD}")
    for width in (360, 800, 1280):
        page.set_viewport_size({"width": width, "height": 800})
        for place, seen in ((BOARD, ".bill-total"), ("#/terms", ".terms-acts")):
            page.goto(f"{bench.url}/{place}")
            expect(page.locator(seen)).to_be_visible(timeout=PATIENCE)
            assert 0 >= page.evaluate("document.documentElement.scrollWidth - innerWidth")
