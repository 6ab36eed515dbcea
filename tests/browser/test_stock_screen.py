"""The stock screen: a spool comes in, is weighed, promised, used, and a slip is taken back."""

from __future__ import annotations

import re
from collections.abc import Callable
from types import ModuleType
from typing import Any

from bench_server import BenchServer
from complaints import Complaints, OpenPage
from playwright.sync_api import Page, expect

from stock_work import ORDER, happening, identity


def write(page: Page, verb: str) -> None:
    """Write something down."""
    page.get_by_role("button", name=verb, exact=True).click()


def share_left(page: Page) -> float:
    """Read how long the bar is over its full length, as it is drawn."""
    return page.locator(".amount-mark").evaluate(
        """mark => {
          const here = mark.getBoundingClientRect();
          const whole = mark.parentElement.getBoundingClientRect();
          return (here.left - whole.left) / whole.width;
        }"""
    )


def test_a_spool_from_its_label_to_the_last_feet(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints
) -> None:
    """From an empty shelf: refused at its field, taken in, weighed, used, taken back, gone."""
    complaints.forgive("status of 422")
    page = open_page(f"{bench.url}/#/stock")
    expect(page.get_by_text("Nothing is on the shelf yet")).to_be_visible()
    page.get_by_role("link", name="Take in a spool or parts").click()
    page.get_by_label("Which").select_option("hmpe-lcp")
    page.get_by_label("Lot").fill("L7")
    write(page, "Take it in")
    expect(page.locator("#stock-length-wrong")).to_contain_text("needs its length or its mass")
    page.get_by_label("Mass by the label").fill("1/4 lb")
    page.get_by_label("Paid for all of it").fill("36.00")
    page.reload()
    expect(page.get_by_label("Mass by the label")).to_have_value("1/4 lb")
    write(page, "Take it in")
    expect(page.get_by_role("heading", level=1)).to_contain_text("HMPE/LCP blend")
    expect(page.locator(".stock-left")).to_contain_text("1790")
    assert share_left(page) > 0.99

    page.get_by_label("The scale shows").fill("153.4 g")
    write(page, "Write the weight down")
    expect(page.locator(".stock-log li")).to_have_count(2)
    expect(page.get_by_label("The scale shows")).to_have_value("")

    page.get_by_label("What happened", exact=True).select_option("stock-used")
    page.get_by_label("Length", exact=True).fill("900 ft")
    page.get_by_label("For which job").fill("RIDGE-1")
    write(page, "Write the use down")
    expect(page.locator(".stock-log")).to_contain_text("used 900 ft for RIDGE-1")
    assert 0.4 < share_left(page) < 0.6
    used = page.locator(".stock-log li", has_text="used 900 ft")
    used.get_by_role("button", name="Take back").click()
    expect(used).to_have_attribute("data-back", "yes")
    assert share_left(page) > 0.99

    page.get_by_label("What happened", exact=True).select_option("stock-written-off")
    page.get_by_label("Why").fill("moth")
    write(page, "Write it off")
    expect(page.locator(".stock-left")).to_contain_text("Gone: moth")


def test_promises_stand_on_the_bar_and_are_freed(bench: BenchServer, open_page: OpenPage) -> None:
    """What another bench promises comes up by itself, hatched, and can be freed."""
    spool, parts = identity("spool"), identity("parts")
    ware = {"kind": "strand", "name": "hmpe", "colour": "#2F6B57"}

    def tell(log: str, type: str, minute: float, **body: Any) -> None:
        bench.post(f"/api/stock/{log}/events", {"event": happening(type, minute, **body).table()})

    tell(spool, "received", 0, ware=ware, length="400 ft +- 2", price="12.00", place="rack 2")
    tell(parts, "received", 1, ware={"kind": "part", "name": "peep"}, count=20)
    page = open_page(f"{bench.url}/#/stock")
    bar = page.locator(f"[data-spool='{spool}']")
    expect(bar).to_contain_text("398 ft free")
    expect(bar.locator(".amount-promised")).to_have_count(0)
    tell(spool, "reserved", 2, order=ORDER, job="HILL-1", length="100 ft")
    expect(bar).to_contain_text("100 ft promised")
    expect(bar.locator(".amount-promised")).to_have_count(1)
    expect(bar.get_by_role("img")).to_have_attribute(
        "aria-label", re.compile("of 400 ft left, 100 ft promised")
    )
    bar.click()
    page.get_by_role("button", name="Free it").click()
    expect(page.get_by_role("heading", name="Promised")).to_have_count(0)
    expect(page.locator(".stock-log")).to_contain_text("free again")

    page.goto(f"{bench.url}/#/stock/{parts}")
    page.get_by_label("How many lie there").fill("18")
    write(page, "Write the count down")
    expect(page.locator(".stock-left")).to_contain_text("18 pieces")
    for width in (360, 800, 1280):
        page.set_viewport_size({"width": width, "height": 800})
        for place in ("stock", f"stock/{spool}", "stock/new"):
            page.goto(f"{bench.url}/#/{place}")
            expect(page.get_by_role("heading", level=1)).to_be_visible()
            assert 0 >= page.evaluate("document.documentElement.scrollWidth - innerWidth")


def test_what_a_job_is_wound_from(
    bench: BenchServer, open_page: OpenPage, need_library: Callable[[str], ModuleType]
) -> None:
    """What is missing is told; with the spools there it says which, with its bound."""
    need_library("ortools")
    bench.post("/api/jobs", {"example": "RIDGE-1"})
    page = open_page(f"{bench.url}/#/stock")
    page.get_by_role("link", name="What to wind from").click()
    page.get_by_label("Jobs of the set").fill("RIDGE-1")
    write(page, "Choose the spools")
    expect(page.locator(".stock-choice")).to_contain_text("order what is missing")
    lines = bench.get("/api/stock/-/spools?job=RIDGE-1")["lines"]
    for number, line in enumerate(lines):
        body = {"ware": line["ware"], "lot": f"L{number}", "length": "600 m +- 2"}
        event = happening("received", number, **body).table()
        bench.post(f"/api/stock/{identity(str(line['ware']))}/events", {"event": event})
    write(page, "Choose the spools")
    expect(page.locator(".stock-choice")).to_contain_text("no other choice is better")
    expect(page.locator(".stock-choice li a").first).to_contain_text("from lot L0")
    page.get_by_text("How good the choice is").click()
    expect(page.locator(".stock-choice tbody tr")).to_have_count(7)
    page.set_viewport_size({"width": 360, "height": 800})
    assert 0 >= page.evaluate("document.documentElement.scrollWidth - innerWidth")
