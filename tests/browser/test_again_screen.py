"""Look again: what is due and why, every source for itself, a closed row and its next line."""

from __future__ import annotations

import secrets
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

import pytest
from at_the_jig import go_on, posts_set
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import expect

AXE = Path(__file__).parent / "vendor" / "axe.min.js"


@pytest.fixture
def line(bench: BenchServer) -> str:
    """Give a line that was proved and locked."""
    build = posts_set(bench)
    go_on(bench, build, "proof")
    bench.record_long_ago(build, "length-read", stage="proof", length="57 1/4 in")
    turns = bench.get(f"/api/builds/{build}")["turns"]["in"]
    bench.record(build, "locked", turns=turns, hand="Z")
    return build


def enter(bench: BenchServer, build: str, type: str, **body: object) -> None:
    """Write an entry of a line's service, now."""
    now = datetime.now(UTC).isoformat()
    entry = {"id": secrets.token_hex(16), "type": type, "at": now, "body": body}
    bench.post(f"/api/builds/{build}/service", entry)


def test_a_line_comes_due_and_its_row_is_closed(
    bench: BenchServer, open_page: OpenPage, line: str
) -> None:
    """From the empty register over a dry fire to the next line made from the record."""
    page = open_page(f"{bench.url}/#/done")
    page.get_by_role("link", name="Look again").click()
    expect(page.locator(".empty")).to_contain_text("No line is on a bow yet")
    enter(bench, line, "on-bow")
    row = page.locator(f".again-row[data-build='{line}']")
    expect(row).to_have_attribute("data-when", "soon")
    row.locator("summary").click()
    expect(row.locator(".again-sources li")).to_have_count(15)
    expect(row).to_contain_text("none was averaged")
    enter(bench, line, "dry-fired")
    expect(row).to_have_attribute("data-when", "due")
    expect(row).to_have_attribute("data-stop", "yes")
    expect(page.locator(".lead")).to_contain_text("1 line is due")
    enter(bench, line, "retired", why="dry-fired; not trusted")
    page.get_by_text("Taken off for good: 1 line").click()
    expect(page.locator(".again-off")).to_contain_text("dry-fired; not trusted")
    page.get_by_role("button", name="Make this bow's next line").click()
    expect(page.locator(".spare h3")).to_contain_text("A matched spare")


@pytest.mark.parametrize("width", [360, 820, 1440])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_list_is_without_barriers_and_fits(
    bench: BenchServer, open_page: OpenPage, line: str, width: int, scheme: Literal["light", "dark"]
) -> None:
    """At three widths, by day and by night, with every source open."""
    enter(bench, line, "on-bow")
    page = open_page(f"{bench.url}/#/again")
    page.emulate_media(color_scheme=scheme)
    page.set_viewport_size({"width": width, "height": 900})
    page.locator(".again-row summary").first.click()
    expect(page.locator(".again-sources").first).to_be_visible()
    page.evaluate(AXE.read_text("utf-8"))
    looked = page.evaluate("async () => await axe.run()")
    assert [] == [(one["id"], one["nodes"][0]["html"]) for one in looked["violations"]]
    wide = page.evaluate("document.documentElement.scrollWidth")
    assert wide <= width
