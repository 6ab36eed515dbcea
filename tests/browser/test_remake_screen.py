"""A line came back: offered at the counter, made again from its record, counted in the shop."""

from __future__ import annotations

import json
import urllib.request
from pathlib import Path
from typing import Literal
from uuid import uuid4

import pytest
from at_the_jig import go_on, posts_set
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import Page, expect

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
AT = "2026-11-28T10:00:00Z"


@pytest.fixture
def order(bench: BenchServer) -> str:
    """Give the order of a customer whose line is finished."""
    build = posts_set(bench)
    go_on(bench, build, "proof")
    bench.record_long_ago(build, "length-read", stage="proof", length="57 1/4 in")
    turns = bench.get(f"/api/builds/{build}")["turns"]["in"]
    bench.record(build, "locked", turns=turns, hand="Z")
    job = bench.get("/api/jobs")["jobs"][0]
    ask(bench, "/api/customers/C1", {"customer": {"name": job["customer"]}})
    id = uuid4().hex
    body = {"customer": "C1", "bow": {"kind": "recurve"}, "lines": 0}
    event = {"id": uuid4().hex, "type": "order-opened", "at": AT, "body": body}
    ask(bench, f"/api/orders/{id}", {"event": event})
    return id


def ask(bench: BenchServer, path: str, body: object) -> None:
    """Put something."""
    data, headers = json.dumps(body).encode(), {"Content-Type": "application/json"}
    request = urllib.request.Request(bench.url + path, data, headers, method="PUT")
    with urllib.request.urlopen(request) as answer:
        assert 200 == answer.status


def barriers(page: Page) -> list[tuple[str, str]]:
    """Find what stands in somebody's way."""
    page.evaluate(AXE.read_text("utf-8"))
    looked = page.evaluate("async () => await axe.run()")
    return [(one["id"], one["nodes"][0]["html"]) for one in looked["violations"]]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_line_that_came_back_is_made_again(
    bench: BenchServer, open_page: OpenPage, order: str, scheme: Literal["light", "dark"]
) -> None:
    """Cause and who stands for it; the job is linked, and the shop counts it with its range."""
    page = open_page(f"{bench.url}/#/order/{order}")
    page.emulate_media(color_scheme=scheme)
    page.get_by_text("A line came back: make it again").click()
    again = page.get_by_role("button", name="Make it again from its record")
    expect(again).to_be_disabled()
    page.get_by_label("the line that came back").select_option(index=1)
    expect(page.locator(".came-back")).to_contain_text("no days of warranty are set")
    page.get_by_label("why", exact=True).select_option("serving came apart")
    expect(page.get_by_label("who stands for it")).to_have_value("shop")
    for width in (360, 820, 1440):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert [] == barriers(page)
    again.click()
    expect(page.locator(".came-back .told")).to_contain_text("is made again: serving came apart")
    expect(page.locator("#lines .order-jobs li")).to_have_count(1)
    page.goto(f"{bench.url}/#/shop")
    remakes = page.locator(".remakes")
    expect(remakes).to_contain_text("1 line was made again of 1 finished line")
    expect(remakes.locator("tbody tr")).to_have_count(1)
    for width in (360, 820, 1440):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert [] == barriers(page)
