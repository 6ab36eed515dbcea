"""The walk onto the bow: one act after the other, figures held against before, turns counted."""

from __future__ import annotations

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


def title(page: Page) -> str:
    """Give the title of the next act."""
    return page.locator(".fit-next h2").inner_text()


def done(page: Page, after: str) -> None:
    """Say that the next act is done, and wait for the one after it."""
    page.get_by_role("button", name="It is done", exact=True).click()
    expect(page.locator(".fit-next h2")).to_have_text(after)


def test_a_proved_line_is_walked_onto_its_bow_and_shot_in(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints, line: str
) -> None:
    """From its record to the hundredth shot; a slip is refused at its field and nothing is lost."""
    complaints.forgive("status of 422")
    page = open_page(f"{bench.url}/#/service/{line}")
    page.get_by_role("button", name="Walk it onto the bow").click()
    expect(page.locator(".fit-next h2")).to_have_text("Press the bow and change the lines")
    expect(page.locator(".fit-caution")).to_contain_text("eye protection on")
    done(page, "Seat loops and tracks")
    expect(page.locator(".fit-turns")).to_have_count(0)
    done(page, "Let the press off in stages")
    expect(page.locator(".fit-turns")).to_be_visible()
    page.get_by_label("What you saw, if anything").fill("lower track dry")
    done(page, "Draw it on the board first")
    expect(page.locator(".fit-caution")).to_contain_text("Never let it go without an arrow")
    done(page, "Measure it again")
    expect(page.get_by_role("button", name="It is done", exact=True)).to_be_disabled()

    page.get_by_label("axle to axle, now").fill("33 9/8 foot")
    page.get_by_role("button", name="Write down what it reads").click()
    expect(page.locator(".fit-figures .wrong")).to_be_visible()
    page.reload()
    expect(page.get_by_label("axle to axle, now")).to_have_value("33 9/8 foot")
    page.get_by_label("axle to axle, now").fill("33 5/16")
    page.get_by_label("brace height, now").fill("6 3/4 in")
    page.get_by_label("timing marks, now").fill("both on the line")
    page.get_by_role("button", name="Write down what it reads").click()
    row = page.locator(".fit-figures tr", has_text="axle to axle")
    expect(row.locator("[data-name=now]")).to_have_text("33 5\u204416 in")

    plus = page.get_by_role("button", name="Half a turn into")
    for _ in range(3):
        plus.click()
    page.get_by_role("button", name="Half a turn out of").click()
    expect(page.locator(".fit-count output")).to_have_text("1 in")
    page.get_by_role("button", name="Write them down").click()
    expect(page.locator(".fit-turns")).to_contain_text("so far 1 in")

    done(page, "Tie in peep, nocking point and loop")
    done(page, "Shoot the first arrows, and read it as it is set")
    done(page, "After 50 shots, read it again")
    expect(page.get_by_role("button", name="It is done", exact=True)).to_be_disabled()
    page.get_by_label("shots since the lines went on").fill("52")
    page.get_by_label("brace height, now").fill("6 11/16 in")
    page.get_by_role("button", name="Write down what it reads").click()
    done(page, "After 100 shots, read it again")
    page.get_by_label("shots since the lines went on").fill("100")
    page.get_by_label("brace height, now").fill("6 11/16 in")
    page.get_by_role("button", name="Write down what it reads").click()
    page.get_by_role("button", name="It is done", exact=True).click()
    expect(page.locator(".fit-next")).to_have_count(0)
    page.get_by_role("button", name="It is as wanted").click()
    expect(page.get_by_text("It is as it was wanted.")).to_be_visible()

    entries = bench.get(f"/api/builds/{line}/service")["entries"]
    assert ["on-bow", "turns-changed", "set-as-wanted"] == [entry["type"] for entry in entries]
    for width in (1280, 820, 390):
        page.set_viewport_size({"width": width, "height": 844})
        assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_slip_on_the_bow_is_taken_back(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints, line: str
) -> None:
    """Turns that were not put in leave the line's own record as well."""
    page = open_page(f"{bench.url}/#/service/{line}")
    page.get_by_role("button", name="Walk it onto the bow").click()
    done(page, "Seat loops and tracks")
    done(page, "Let the press off in stages")
    page.get_by_role("button", name="Half a turn out of").click()
    page.get_by_role("button", name="Write them down").click()
    expect(page.locator(".fit-turns")).to_contain_text("so far 1\u20442 out")
    page.get_by_text("What is written of it").click()
    page.get_by_role("button", name="Take back").click()
    expect(page.locator(".fit-turns")).to_contain_text("so far none")
    entries = bench.get(f"/api/builds/{line}/service")["entries"]
    assert ["on-bow"] == [entry["type"] for entry in entries if not entry["taken_back"]]

