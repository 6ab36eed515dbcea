"""A finished line on its bow: what to do stands large, what is typed is never lost."""

from __future__ import annotations

import json

import pytest
from at_the_jig import go_on, posts_set
from bench_server import BenchServer
from complaints import Complaints, OpenPage
from playwright.sync_api import Page, expect


@pytest.fixture
def line(bench: BenchServer) -> str:
    """Give a line that was proved and locked."""
    build = posts_set(bench)
    go_on(bench, build, "proof")
    bench.record_long_ago(build, "length-read", stage="proof", length="57 1/4 in")
    turns = bench.get(f"/api/builds/{build}")["turns"]["in"]
    bench.record(build, "locked", turns=turns, hand="Z")
    return build


def write(page: Page, verb: str) -> None:
    """Write an entry down."""
    page.get_by_role("button", name=verb, exact=True).click()


def test_a_line_is_followed_on_its_bow(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints, line: str
) -> None:
    """From the list of builds to the fitting, a reading, a slip mended, a cut strand, taken back.

    What was refused stands as it was typed, with the reason at its field; a reload keeps it.
    """
    complaints.forgive("status of 422")
    page = open_page(bench.url)
    page.goto(f"{bench.url}/#/done")
    page.get_by_role("link", name="On its bow").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Not on a bow yet")
    write(page, "Write the fitting down")
    expect(page.get_by_role("heading", level=1)).to_have_text("Still moving")
    expect(page.locator(".service-chart svg")).to_be_visible()

    page.get_by_label("Length", exact=True).fill("75 1/4 in")
    page.get_by_label("Shots since it went on").fill("20")
    write(page, "Write the length down")
    expect(page.locator("#service-length-wrong")).to_contain_text("must lie within")
    page.reload()
    expect(page.get_by_label("Length", exact=True)).to_have_value("75 1/4 in")
    page.get_by_label("Length", exact=True).fill("57 1/4")
    write(page, "Write the length down")
    expect(page.locator(".service-entries li")).to_have_count(2)
    expect(page.locator(".service-entries")).to_contain_text("length 57 1\u20444 in")
    expect(page.get_by_label("Length", exact=True)).to_have_value("")
    expect(page.locator(".service-chart [data-entry]")).to_have_count(1)

    page.get_by_label("What happened").select_option("looked-over")
    page.get_by_label("cut strand").check()
    write(page, "Write down what was seen")
    expect(page.get_by_role("heading", level=1)).to_have_text("Do not draw this bow")
    expect(page.get_by_role("alert")).to_contain_text("qualified technician")
    page.locator(".service-entries li").last.get_by_role("button", name="Take back").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Still moving")
    assert 3 == len(bench.get(f"/api/builds/{line}/service")["entries"])

    page.set_viewport_size({"width": 390, "height": 844})
    page.reload()
    expect(page.locator(".service-chart svg")).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_an_answer_that_was_lost_is_written_once(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints, line: str
) -> None:
    """The line to the program breaks behind the writing: sent again, there is one entry."""
    complaints.forgive("status of 503")
    page = open_page(f"{bench.url}/#/service/{line}")
    button = page.get_by_role("button", name="Write the fitting down", exact=True)
    expect(button).to_be_visible()
    lost: list[str] = []

    def lose(route) -> None:
        if route.request.method == "POST" and not lost:
            lost.append(json.loads(route.request.post_data)["id"])
            route.fetch()
            route.fulfill(status=503, json={"said": "The line broke.", "errors": []})
        else:
            route.continue_()

    page.route("**/service**", lose)
    button.click()
    expect(page.locator(".service-form .told, .service-entries li").first).to_be_visible()
    if button.is_visible():
        button.click()
    expect(page.locator(".service-entries li")).to_have_count(1)
    (entry,) = bench.get(f"/api/builds/{line}/service")["entries"]
    assert [entry["id"]] == lost
