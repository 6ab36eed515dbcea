"""The queue on its screen: bars by bench and hands, a start held and let go, a list on a phone."""

from __future__ import annotations

import pytest
from bench_server import BenchServer
from complaints import Complaints, OpenPage
from playwright.sync_api import expect

#: Laying out anew on a machine that does other work too may take this long [ms]
PATIENCE = 90_000
DAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


@pytest.fixture
def queue(bench: BenchServer) -> BenchServer:
    """Keep two jobs in a shop that is open day and night."""
    for id in ("RIDGE-1", "BECK-1"):
        bench.post("/api/jobs", {"example": id})
    return bench


def test_a_start_is_held_by_keyboard_and_let_go(queue: BenchServer, open_page: OpenPage) -> None:
    """Hours are set, a bar is pressed, held an hour later, and given back."""
    page = open_page(queue.url)
    page.set_default_timeout(PATIENCE)
    page.goto(f"{queue.url}/#/queue")
    expect(page.get_by_text("2 lines to build")).to_be_visible(timeout=PATIENCE)
    page.get_by_text("Due days, hands, hours and benches").click()
    for day in ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"):
        page.get_by_label(day, exact=True).fill("00:00-24:00")
    page.get_by_label("Who works here").fill("Ada")
    page.get_by_role("button", name="Keep this and lay it out anew").click()
    expect(page.locator('.queue-row[data-what="hands"]').first).to_contain_text("Ada")

    page.locator('.queue-row[data-what="bench"] button.queue-bar').first.press("Enter")
    chosen = page.get_by_label("The chosen task")
    begins = chosen.get_by_label("Begins")
    before = begins.input_value()
    for _ in range(4):
        chosen.get_by_role("button", name="15 min later").click()
    after = begins.input_value()
    assert after > before
    chosen.get_by_role("button", name="Hold it to this start").click()
    expect(page.locator("button.queue-bar[data-pinned]").first).to_be_visible()
    told = next(pin for pin in queue.get("/api/queue")["pins"])
    assert told["start"] == after
    page.get_by_role("button", name="Let it go").click()
    expect(page.locator("button.queue-bar[data-pinned]")).to_have_count(0)
    assert queue.get("/api/queue")["pins"] == []


def test_a_bar_that_is_dragged_is_held_where_it_is_let_go(
    queue: BenchServer, open_page: OpenPage
) -> None:
    """Moved to the right, it begins later and is held there."""
    hours = [{"day": day, "opens": "00:00", "closes": "24:00"} for day in DAYS]
    page = open_page(queue.url)
    body = {"revision": 0, "queue": {"hours": hours}}
    kept = page.request.put(
        f"{queue.url}/api/queue", data=body, headers={"origin": queue.url}, timeout=PATIENCE
    )
    assert kept.ok, kept.text()
    page.set_default_timeout(PATIENCE)
    page.goto(f"{queue.url}/#/queue")
    bar = page.locator('.queue-row[data-what="bench"] button.queue-bar').last
    box = bar.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 4, box["y"] + 10)
    page.mouse.down()
    page.mouse.move(box["x"] + 64, box["y"] + 10, steps=4)
    page.mouse.up()
    expect(page.locator("button.queue-bar[data-pinned]").first).to_be_visible()
    assert len(queue.get("/api/queue")["pins"]) == 1


def test_a_start_that_cannot_be_says_why(
    queue: BenchServer, open_page: OpenPage, complaints: Complaints
) -> None:
    """Held to last year it is refused in words, and nothing is held."""
    complaints.forgive("status of 422")
    page = open_page(queue.url)
    page.set_default_timeout(PATIENCE)
    page.goto(f"{queue.url}/#/queue")
    page.locator("button.queue-bar").first.click()
    chosen = page.get_by_label("The chosen task")
    chosen.get_by_label("Begins").fill("2020-01-02T09:00")
    chosen.get_by_role("button", name="Hold it to this start").click()
    expect(page.get_by_role("alert")).to_contain_text("has gone by")
    assert queue.get("/api/queue")["pins"] == []


def test_on_a_phone_the_day_is_a_list(queue: BenchServer, open_page: OpenPage) -> None:
    """No bars, and nothing wider than the glass."""
    page = open_page(queue.url)
    page.set_default_timeout(PATIENCE)
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(f"{queue.url}/#/queue")
    expect(page.locator(".queue-list li").first).to_be_visible(timeout=PATIENCE)
    expect(page.locator(".queue-chart").first).to_be_hidden()
    over = page.evaluate(
        "document.documentElement.scrollWidth - document.documentElement.clientWidth"
    )
    assert over <= 0
