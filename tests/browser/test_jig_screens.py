"""The jig's screens: readable, reachable by keyboard, cautious, on every size."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from at_the_jig import Jig, build_at, posts_set
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import Browser, expect

from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import example

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
KINDS = ("wind", "read", "twist", "serve", "proof")
SIZES = {"desk": (1440, 900), "tablet": (800, 900), "phone": (390, 844)}


@pytest.mark.parametrize("size", SIZES)
def test_the_act_is_the_lower_third_and_nothing_is_small(
    size: str, standing: BenchServer, open_page: OpenPage
) -> None:
    """On every screen the act fills the lower third, nothing runs out, no text is under 16 px."""
    width, height = SIZES[size]
    build = posts_set(standing)
    page = open_page(standing.url)
    page.set_viewport_size({"width": width, "height": height})
    jig = Jig(page).open(standing, build)
    jig.shows_count("0")
    box = page.locator(".jig-act").bounding_box()
    assert box is not None
    assert box["y"] + box["height"] <= height
    assert box["y"] + box["height"] / 2 > height * 2 / 3
    assert box["height"] >= height * 0.28
    assert width >= page.evaluate("document.documentElement.scrollWidth")
    small = page.evaluate(
        """[...document.querySelectorAll('.jig *')]
           .filter(e => e.checkVisibility())
           .filter(e => [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim()))
           .filter(e => parseFloat(getComputedStyle(e).fontSize) < 16).map(e => e.outerHTML)"""
    )
    assert [] == small
    page.mouse.click(width / 2, height * 0.85)
    jig.shows_count("1")


@pytest.fixture(scope="module")
def stages(standing: BenchServer) -> dict[str, str]:
    """Give a build at each kind of step; these tests only look."""
    return {key: build_at(standing, key) for key in KINDS}


@pytest.mark.parametrize("theme", ["light", "dark", "sun"])
def test_no_step_has_a_barrier_and_its_act_is_big(
    theme: str, browser: Browser, standing: BenchServer, stages: dict[str, str]
) -> None:
    """In every light a checker finds nothing; on every size the act is big and the field free."""
    # Only the checker needs more than the pages' own policy allows.
    context = browser.new_context(bypass_csp=True, reduced_motion="reduce", service_workers="block")
    context.add_init_script(path=AXE)
    context.add_init_script(f"localStorage.setItem('strandwright.theme', '{theme}')")
    page = context.new_page()
    found: dict[str, Any] = {}
    for key, build in stages.items():
        page.goto(f"{standing.url}/api/hello")  # no act of the build before is taken for this one's
        jig = Jig(page).open(standing, build)
        if jig.has_news():
            jig.do("Go on")
        expect(page.locator(f".jig[data-step={key}]")).to_be_visible()
        for size, (width, height) in SIZES.items():
            page.set_viewport_size({"width": width, "height": height})
            assert [] == page.evaluate(FREE), f"{key}, {size}"
            act = page.locator(".jig-act").bounding_box()
            assert act is not None
            assert act["height"] >= 0.2 * height, f"{key}, {size}"
            assert act["y"] + act["height"] <= height, f"{key}, {size}"
        assert theme == page.evaluate("document.documentElement.dataset.theme")
        looked = page.evaluate("async () => await axe.run()")
        assert looked["passes"], key
        for broken in looked["violations"]:
            nodes = [n["html"][:160] + n["failureSummary"] for n in broken["nodes"][:3]]
            found[f"{key}: {broken['id']}"] = nodes
    context.close()
    assert {} == found, json.dumps(found, indent=2)


#: Gives what a hand or an eye needs at once and the act hides: the first field, a run's name.
FREE = """() => {
  const act = document.querySelector(".jig-act").getBoundingClientRect();
  const bottom = document.querySelector(".jig-bottom")?.getBoundingClientRect() ?? act;
  const field = document.querySelector(".jig-fields > .field");
  const needed = [field, ...document.querySelectorAll(".jig-run-name")];
  return needed.filter((one) => one && one.getBoundingClientRect().bottom > bottom.top + 1)
    .map((one) => one.textContent);
}"""


def test_a_step_can_be_looked_at_again_and_taken_back(
    standing: BenchServer, open_page: OpenPage
) -> None:
    """From the route a done step is opened, what was recorded is taken back, and it is next."""
    build = posts_set(standing)
    jig = Jig(open_page(standing.url)).open(standing, build)
    jig.shows_count("0")
    jig.choose("Route")
    jig.page.get_by_role("button", name="Set the posts").click()
    jig.choose("Take it back")
    expect(jig.page.get_by_role("button", name="Go to the next act: Set the posts")).to_be_visible()
    jig.shows_saved()
    assert 1 == len(standing.events(build, "withdrawn"))
    jig.choose("Go to the next act: Set the posts")
    jig.do("The posts stand so")
    jig.shows_title("Wind the spruce")


def test_the_caution_stands_before_the_load(standing: BenchServer, open_page: OpenPage) -> None:
    """At the first load and at the stretch the caution stands there with the act."""
    build = posts_set(standing)
    for run in (0, 1):
        standing.record(build, "rounds-laid", run=run, halves=12)
    jig = Jig(open_page(standing.url)).open(standing, build)
    caution = jig.page.locator(".jig-caution")
    expect(caution).to_contain_text("First load of a new skein")
    jig.do("Evened out at")
    jig.do("The skein is shifted")
    expect(caution).to_contain_text("stay off its axis")
    jig.do("start the clock")
    expect(caution).to_contain_text("stay off its axis")
    jig.page.reload()
    expect(jig.page.locator(".jig-act")).to_contain_text("Let down early")


def test_a_reading_that_pays_is_named_once_over_its_step(
    standing: BenchServer, open_page: OpenPage
) -> None:
    """Where loads are heard on a soft line, the spools are to be weighed; elsewhere not a word."""
    heard = tables_of(example("TARN-1"))
    heard["bench"]["gauge"], heard["id"] = "by ear", "TARN-HEARD"
    jig = Jig(open_page(standing.url)).open(standing, standing.begin({"job": heard}))
    expect(jig.page.locator(".jig-worth")).to_contain_text("Worth it here: weigh the spools")
    jig.open(standing, posts_set(standing))
    expect(jig.page.locator(".jig-worth")).to_have_count(0)


def test_a_pedal_does_no_step_by_itself(standing: BenchServer, open_page: OpenPage) -> None:
    """Where nothing is counted, keys pressed by a pedal do nothing."""
    build = posts_set(standing)
    for run in (0, 1):
        standing.record(build, "rounds-laid", run=run, halves=12)
    jig = Jig(open_page(standing.url)).open(standing, build)
    jig.shows_title("Even out the strands")
    for key in (" ", "Enter", "b", "PageDown"):
        jig.press(key, apart=0.7)
    jig.shows_title("Even out the strands")
    assert [] == standing.events(build, "step-done")


def test_giving_a_build_up_is_asked_twice(standing: BenchServer, open_page: OpenPage) -> None:
    """Putting a build aside wants a yes, and then says what stays."""
    build = posts_set(standing)
    jig = Jig(open_page(standing.url)).open(standing, build)
    jig.choose("More")
    jig.choose("Put it aside")
    assert [] == standing.events(build, "put-aside")
    jig.choose("Yes, give this build up")
    jig.choose("Back to the work")
    jig.shows_title("This build is put aside")
    jig.shows_saved()
    assert 1 == len(standing.events(build, "put-aside"))
