"""A set on its screen: made of jobs that are ticked, looked at, begun; and a matched spare."""

from __future__ import annotations

import re

import pytest
from at_the_desk import until
from at_the_jig import go_on, posts_set
from bench_server import BenchServer
from complaints import Complaints, OpenPage
from playwright.sync_api import Page, expect

#: A plan on a machine that does other work too may take this long [ms]
PATIENCE = 30_000
LINES = ("String", "Upper cable", "Lower cable")


@pytest.fixture
def jobs(bench: BenchServer) -> BenchServer:
    """Keep the jobs of the ridge bow."""
    for id in ("RIDGE-1", "RIDGE-2", "RIDGE-3"):
        bench.post("/api/jobs", {"example": id})
    return bench


def widths_of(page: Page) -> list[float]:
    """Give how wide each strip is drawn [px]."""
    widths = page.locator(".set-strip svg").evaluate_all(
        "all => all.map(one => one.getBoundingClientRect().width)"
    )
    return [float(width) for width in widths]


def test_a_set_is_made_of_jobs_and_its_lines_are_begun_from_it(
    jobs: BenchServer, open_page: OpenPage, complaints: Complaints
) -> None:
    """Ticked, named, kept; drawn to one scale; an id that is taken is told at its field."""
    complaints.forgive("status of 409")
    page = open_page(jobs.url)
    page.set_default_timeout(PATIENCE)
    page.get_by_role("button", name="Make a set").click()
    keep = page.get_by_role("button", name="Keep the set")
    expect(keep).to_be_disabled()
    for line in LINES:
        page.get_by_role("checkbox", name=f"{line} for the ridge bow").check()
    page.get_by_label("A matched pair, if two are to be alike").select_option("RIDGE-2")
    page.get_by_label("and its fellow").select_option("RIDGE-3")
    keep.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Lines of the ridge bow")
    strips = page.locator(".set-strip svg")
    expect(strips).to_have_count(3)
    wide = widths_of(page)
    assert wide[0] > wide[1] > wide[2]
    for title in ("Cut list", "Order of winding", "Agreement of the lines", "Time"):
        expect(page.get_by_role("heading", name=title, exact=True)).to_be_visible()
    differs = page.locator('.checks [data-verdict="differs"]').first
    expect(differs).to_contain_text("0.375 in apart")

    next_acts = page.locator(".act.next")
    expect(next_acts).to_have_count(1)
    next_acts.click()
    page.get_by_role("button", name="Start building").click()
    expect(page).to_have_url(re.compile("#/jig/[0-9a-f]{32}$"))
    until(lambda: len(jobs.get("/api/builds")["builds"]) == 1, "the build never reached the bench")
    page.goto(f"{jobs.url}/#/set/RIDGE-BOW")
    expect(page.get_by_role("link", name="Go on at the jig")).to_have_count(1)
    expect(page.locator(".act.next")).to_have_text("Go on at the jig")

    page.set_viewport_size({"width": 390, "height": 844})
    page.reload()
    expect(strips).to_have_count(3)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390

    page.goto(f"{jobs.url}/#/")
    expect(page.locator(".sets li")).to_contain_text("3 lines · 1 on the jig")
    page.get_by_role("button", name="Make a set").click()
    page.get_by_role("checkbox", name="String for the ridge bow").check()
    keep.click()
    expect(page.locator("#set-id-wrong")).to_contain_text("is kept here already")
    page.get_by_label("Its id").fill("STRING")
    keep.click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Lines of the ridge bow")
    assert ["RIDGE-BOW", "STRING"] == sorted(s["id"] for s in jobs.get("/api/sets")["sets"])


def test_a_matched_spare_is_made_from_the_list_of_builds(
    bench: BenchServer, open_page: OpenPage
) -> None:
    """What it took and in what it differs is told, and its job is one act away."""
    build = posts_set(bench)
    go_on(bench, build, "proof")
    bench.record(build, "length-read", stage="proof", length="57 1/4 in")
    turns = bench.get(f"/api/builds/{build}")["turns"]["in"]
    bench.record(build, "locked", turns=turns, hand="Z")
    page = open_page(f"{bench.url}/#/done")
    page.set_default_timeout(PATIENCE)
    page.get_by_role("button", name="Make a matched spare").click()
    spare = page.locator(".spare")
    expect(spare).to_contain_text("A matched spare: RIDGE-1.2")
    expect(spare).to_contain_text("nobody wrote down which lot")
    spare.get_by_role("link", name="Look it over and start").click()
    expect(page.get_by_role("button", name="Start building")).to_be_visible()
    job = bench.get("/api/jobs/RIDGE-1.2")["job"]
    assert turns == job["makeup"]["turns"]
    assert "wound_at" in job["route"]
