"""The shop's page: charts at a glance, every point opens its build, nothing before the first."""

from __future__ import annotations

import pytest
from at_the_jig import go_on, posts_set
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import expect


@pytest.fixture
def three_builds(bench: BenchServer) -> list[str]:
    """Give a bench at which three lines were read and locked."""
    built: list[str] = []
    for off in (0, 1, 2):
        build = posts_set(bench)
        go_on(bench, build, "proof")
        advice = bench.get(f"/api/builds/{build}")
        assert advice["act"]["key"] == "proof"
        length = f"57 {16 + off}/64 in"
        bench.record_long_ago(build, "length-read", stage="proof", length=length)
        turns = bench.get(f"/api/builds/{build}")["turns"]["in"]
        bench.record(build, "locked", turns=turns, hand="Z")
        built.append(build)
    return built


def test_before_the_first_build_the_page_says_what_will_stand_here(
    bench: BenchServer, open_page: OpenPage
) -> None:
    """An empty shop has words and a way on, no broken chart."""
    page = open_page(bench.url)
    page.goto(f"{bench.url}/#/shop")
    expect(page.get_by_text("No build is finished yet")).to_be_visible()
    expect(page.locator("svg [data-build]")).to_have_count(0)


def test_finished_builds_are_charted_and_each_point_opens_its_build(
    bench: BenchServer, open_page: OpenPage, three_builds: list[str]
) -> None:
    """Three builds, a chart of their lengths; what was taught; the plan says so too."""
    page = open_page(bench.url)
    page.goto(f"{bench.url}/#/shop")
    expect(page.locator(".chart")).to_have_count(2)
    expect(page.get_by_text("3 finished builds teach the next plan")).to_be_visible()
    expect(page.locator(".learned")).to_contain_text("Fibre: hmpe-lcp")
    second = bench.get("/api/shop")["charts"][0]["points"][1]["build"]
    assert second in three_builds
    page.locator('.chart [data-build="2"]').first.click()
    expect(page).to_have_url(f"{bench.url}/#/jig/{second}")
    page.go_back()
    page.locator('.chart [data-build="3"]').first.focus()
    page.keyboard.press("ArrowLeft")
    expect(page.locator(".chart-met").first).to_contain_text("Open build 2 (RIDGE-1)")
    page.keyboard.press("Enter")
    expect(page).to_have_url(f"{bench.url}/#/jig/{second}")
    page.goto(f"{bench.url}/#/line/RIDGE-1")
    expect(page.get_by_text("3 of your builds").first).to_be_visible()


def test_a_build_is_left_out_with_a_reason_and_taken_in_again(
    bench: BenchServer, open_page: OpenPage, three_builds: list[str]
) -> None:
    """At the foot of the page; it then stands at the top, and one press undoes it."""
    page = open_page(bench.url)
    page.goto(f"{bench.url}/#/shop")
    page.get_by_text("Leave out a build that something was wrong with").click()
    page.get_by_label("Build", exact=True).select_option(index=2)
    leave = page.get_by_role("button", name="Leave build 2 (RIDGE-1) out")
    expect(leave).to_be_disabled()
    page.get_by_label("Why it is left out").fill("one strand too many")
    leave.click()
    out = page.locator('[data-build-left-out="2"]')
    expect(out).to_contain_text("one strand too many")
    expect(
        page.get_by_text("2 finished builds teach the next plan; 1 more is left out")
    ).to_be_visible()
    assert [o["number"] for o in bench.get("/api/shop")["left_out"]] == [2]
    out.get_by_role("button", name="Take build 2 (RIDGE-1) in again").click()
    expect(page.get_by_text("3 finished builds teach the next plan.")).to_be_visible()
    expect(out).to_have_count(0)


def test_the_page_fits_a_phone(
    bench: BenchServer, open_page: OpenPage, three_builds: list[str]
) -> None:
    """Nothing runs off the side."""
    page = open_page(bench.url)
    page.set_viewport_size({"width": 390, "height": 844})
    page.goto(f"{bench.url}/#/shop")
    expect(page.locator(".chart svg").first).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
