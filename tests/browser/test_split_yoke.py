"""A split-yoke cable: from the worn one's shorthand to matched legs, a proof and a lock."""

from __future__ import annotations

import re

from at_the_desk import PATIENCE, until
from at_the_jig import Jig, go_on
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import Page, expect
from test_new_line import box, fill, make

WORN = "35 1/2: 0-9 1/4, 14 3/4-20 1/2, 25 3/8-26 7/8, 3 3/4-0"


def new_yoke(page: Page, bench: BenchServer) -> str:
    """Make a cable with a split yoke of what was read off the worn one; gives its job."""
    fill(page, bench, WORN)
    page.locator("#new-gauge").select_option("load cell")
    page.get_by_role("combobox", name="what it is").select_option("yoke")
    box(page, "leg, to the outside").fill("9 in")
    make(page)
    # The worn throat stops elsewhere: that is said at the leg's field, and mended there.
    wrong = page.get_by_role("alert").filter(has_text="must be where a serving")
    expect(wrong).to_be_visible(timeout=PATIENCE)
    box(page, "leg, to the outside").fill("8 5/8 in")
    box(page, "span of the legs").fill("2 3/8 in")
    make(page)
    expect(page.get_by_role("region", name="The line on its strip")).to_be_visible(timeout=PATIENCE)
    return page.url.rpartition("/")[2]


def begun(page: Page, bench: BenchServer) -> str:
    """Begin to build it; gives the build."""
    page.get_by_role("button", name="Start building").click()
    page.wait_for_url(re.compile(r"#/jig/[0-9a-f]{32}"), timeout=PATIENCE)
    build = page.url.rpartition("/")[2]
    until(lambda: any(b["id"] == build for b in bench.get("/api/builds")["builds"]), "not begun")
    suggested = bench.get(f"/api/builds/{build}")["act"]["ask"]["suggest"]
    bench.record_long_ago(build, "posts-set", outside=suggested)
    bench.record_long_ago(build, "rounds-laid", run=0, halves=24)
    return build


def test_a_split_yoke_goes_from_take_off_to_its_proof(
    bench: BenchServer, open_page: OpenPage, complaints: list[str]
) -> None:
    """Two legs on the strip, read by turns at the jig until they match; then proof and lock."""
    page = open_page(bench.url)
    job = new_yoke(page, bench)
    complaints[:] = [said for said in complaints if "status of 422" not in said]
    expect(page.locator("[data-leg]")).to_have_count(2)
    expect(page.locator(".yoke-drawn svg")).to_be_visible()
    assert "cable" in job.lower()
    build = begun(page, bench)
    go_on(bench, build, "match")
    jig = Jig(page).open(bench, build)
    expect(page.locator(".jig[data-step=news]")).to_be_visible()
    jig.do("Go on")
    jig.shows_title("Match the legs")
    expect(page.locator(".jig-caution")).to_be_visible()
    _read(jig, "36 5/8 in", "36 1/2 in")
    expect(page.locator(".jig-lines")).to_contain_text("into the left leg")
    jig.do("Go on")
    jig.shows_title("Match the legs, and read again")
    jig.type("Turns in the left leg", "8 1/2")
    _read(jig, "36 1/2 in", "36 1/2 in")
    expect(page.locator(".jig-lines")).to_contain_text("they match")
    jig.do("Go on")
    jig.shows_title("Serve: throat")
    assert 8.5 == bench.events(build, "legs-read")[1]["body"]["left_turns"]
    go_on(bench, build, "proof")
    told = bench.get(f"/api/builds/{build}")
    said = {"length": told["act"]["headline"], "rest": told["rest"]["text"]}
    after = bench.record(build, "length-read", stage="proof", **said)
    assert after["proof"]["accepted"], after["proof"]
    expect(page.locator(".jig[data-step=news]")).to_be_visible()
    jig.do("Go on")
    jig.shows_title("Tag, wax and fit")
    jig.do("Lock")
    expect(page.locator(".jig[data-step=over]")).to_be_visible()
    jig.shows_saved()
    assert "proved" == bench.get(f"/api/builds/{build}")["verdict"]


def _read(jig: Jig, left: str, right: str) -> None:
    """Type what the tape reads by either leg, and keep it."""
    jig.type("hung by the left leg", left)
    jig.type("hung by the right leg", right)
    jig.do("This is what both legs read")
    expect(jig.page.locator(".jig[data-step=news]")).to_be_visible(timeout=PATIENCE)
