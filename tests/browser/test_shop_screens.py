"""The shop's screens: without barriers, on a phone, in the dark, and from empty on."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from at_the_desk import PATIENCE
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import Browser, Page, expect

AXE = Path(__file__).parent / "vendor" / "axe.min.js"
SCREENS = {
    "jobs": "#/",
    "new line": "#/new",
    "line": "#/line/RIDGE-1",
    "line on the jig": "#/line/TARN-1",
    "builds done": "#/done",
    "shop": "#/shop",
    "bench": "#/bench",
    "no such place": "#/nowhere",
}
FILL = """
import sys
from datetime import datetime, timezone
from strandwright.planning.desk.demo import fill_demo
from strandwright.planning.desk.builds import Desk
from strandwright.sheets import sheet_data
from strandwright.store.open import open_store
desk = Desk(open_store(sys.argv[1]), sheet=sheet_data)
fill_demo(desk, datetime(2026, 11, 23, 9, 0, tzinfo=timezone.utc))
"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchServer]:
    """Give a server over the invented workshop; these tests only look."""
    store = tmp_path_factory.mktemp("shop") / "workshop.db"
    subprocess.run([sys.executable, "-c", FILL, str(store)], check=True)
    server = BenchServer(store)
    server.start()
    yield server
    server.stop()


def shown(page: Page, shop: BenchServer, screen: str) -> None:
    """Go to a screen and wait until nothing is being fetched."""
    # Or the heading of the screen before would be taken for this one's; an empty page would be
    # another process, which compiles every script anew.
    page.goto(f"{shop.url}/api/hello")
    page.goto(f"{shop.url}/{SCREENS[screen]}")
    expect(page.get_by_role("heading", level=1).first).to_be_attached(timeout=PATIENCE)
    expect(page.locator(".loading")).to_have_count(0, timeout=PATIENCE)


def barriers(page: Page) -> dict[str, list[str]]:
    """Give what a checker of roles, names and contrasts finds on a screen, by its rule."""
    looked = page.evaluate("async () => await axe.run()")
    assert looked["passes"]
    return {
        broken["id"]: [node["html"][:160] + node["failureSummary"] for node in broken["nodes"][:3]]
        for broken in looked["violations"]
    }


def crooked(page: Page, scheme: str) -> list[str]:
    """Give what scrolls sideways or cuts a value at the page's size; look at its ground too."""
    page.wait_for_timeout(300)  # the strip is drawn anew once the window rests
    assert 1 >= page.locator(".next:visible").count(), page.url
    ground = page.evaluate("() => getComputedStyle(document.documentElement).backgroundColor")
    assert {"light": "rgb(251, 247, 239)", "dark": "rgb(23, 21, 18)"}[scheme] == ground
    return page.evaluate(LOOK)


#: A phone, a tablet and a desk. Colours move nothing: every width is looked at in the light alone.
WIDTHS = (390, 800, 1440)


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_no_screen_has_a_barrier_or_scrolls_sideways(
    browser: Browser, shop: BenchServer, complaints: Any, scheme: Any
) -> None:
    """A checker finds nothing on any screen; at every width it lies within the page."""
    # Only the checker needs more than the pages' own policy allows.
    context = browser.new_context(
        bypass_csp=True,
        viewport={"width": WIDTHS[0], "height": 900},
        color_scheme=scheme,
        reduced_motion="reduce",
        service_workers="block",
    )
    context.add_init_script(path=AXE)
    page = complaints.listen(context.new_page())
    found: dict[str, Any] = {}
    for screen in SCREENS:
        page.set_viewport_size({"width": WIDTHS[0], "height": 900})
        shown(page, shop, screen)
        for width in WIDTHS if scheme == "light" else ():
            page.set_viewport_size({"width": width, "height": 900})
            if wrong := crooked(page, scheme):
                found[f"{screen}, {width}"] = wrong
        page.set_viewport_size({"width": 1280, "height": 720})
        found |= {f"{screen}: {rule}": nodes for rule, nodes in barriers(page).items()}
    context.close()
    assert {} == found, json.dumps(found, indent=2)


def test_no_screen_of_a_phone_in_the_dark_cuts_a_value_under_the_pages_own_policy(
    browser: Browser, shop: BenchServer, complaints: Any
) -> None:
    """As in a shop: the page may load its own things alone, and keeps itself for a dead server."""
    context = browser.new_context(
        viewport={"width": WIDTHS[0], "height": 900},
        color_scheme="dark",
        reduced_motion="reduce",
        service_workers="allow",
    )
    page = complaints.listen(context.new_page())
    found: dict[str, list[str]] = {}
    for screen in SCREENS:
        shown(page, shop, screen)
        if wrong := crooked(page, "dark"):
            found[screen] = wrong
    context.close()
    assert {} == found


LOOK = """() => {
  const wide = document.documentElement.clientWidth;
  const found = [];
  if (document.documentElement.scrollWidth > wide)
    found.push("page scrolls");
  for (const one of document.querySelectorAll("main *")) {
    const box = one.getBoundingClientRect();
    if (box.width > 0 && box.right > wide + 1 && !one.closest(".strip-scroll, .unseen"))
      found.push(`out: ${one.tagName} ${one.textContent.slice(0, 40)}`);
    const keyed = one instanceof HTMLInputElement && one.value !== "";
    if (keyed && one.scrollWidth > one.clientWidth + 1)
      found.push(`cut: ${one.ariaLabel ?? one.id} ${one.value}`);
  }
  return found;
}"""


def test_an_empty_shop_says_what_the_first_act_is(bench: BenchServer, open_page: OpenPage) -> None:
    """Every empty screen names the first act, and the worked example opens from there."""
    page = open_page(bench.url)
    page.set_default_timeout(PATIENCE)
    first = page.get_by_role("link", name="Start a new line from its shorthand")
    expect(first).to_be_visible()
    page.goto(f"{bench.url}/#/done")
    expect(page.get_by_role("link", name="Go to the jobs at hand")).to_be_visible()
    page.goto(f"{bench.url}/#/bench")
    expect(page.get_by_role("button", name="Add a bench")).to_be_visible()
    page.goto(f"{bench.url}/#/")
    page.get_by_role("button", name="Open the string of the ridge bow").click()
    expect(page.get_by_role("region", name="The line on its strip")).to_be_visible()
    page.get_by_role("button", name="Start building").click()
    page.wait_for_url("**/#/jig/*")
    page.goto(f"{bench.url}/#/")
    expect(page.get_by_role("link", name="Go on at the jig")).to_be_visible()


def test_a_job_is_put_away_and_brought_back(bench: BenchServer, open_page: OpenPage) -> None:
    """What is put away leaves the list and can come back."""
    bench.post("/api/jobs", {"example": "RIDGE-1"})
    page = open_page(bench.url)
    page.set_default_timeout(PATIENCE)
    name = "String for the ridge bow"
    page.get_by_role("button", name=f"Put away {name}").click()
    expect(page.get_by_role("heading", name=name)).to_have_count(0)
    page.get_by_role("button", name="Show 1 job put away").click()
    page.get_by_role("button", name=f"Bring back {name}").click()
    expect(page.get_by_role("button", name=f"Put away {name}")).to_be_visible()


def test_a_bench_says_what_is_wrong_and_which_jobs_it_changes(
    bench: BenchServer, open_page: OpenPage, complaints: list[str]
) -> None:
    """A refused part keeps its text; a saved one is in force."""
    page = open_page(f"{bench.url}/#/bench")
    page.set_default_timeout(PATIENCE)
    page.get_by_role("textbox", name="name of a further bench").fill("short beam")
    page.get_by_role("button", name="Add a bench").click()
    post = page.get_by_role("textbox", name="diameter of the zero post")
    post.fill("wide")
    page.get_by_role("textbox", name="farthest apart").fill("80 in")
    page.get_by_role("textbox", name="rating of the weakest part").fill("unknown")
    page.get_by_role("button", name="Save the bench").click()
    expect(post).to_have_attribute("aria-invalid", "true")
    expect(post).to_have_value("wide")
    post.fill("1/2 in")
    page.get_by_role("button", name="Save the bench").click()
    expect(page.get_by_text("No job uses it.")).to_be_visible()
    (kept,) = bench.get("/api/benches")["benches"]
    assert "1/2 in" == kept["bench"]["zero_post"]
    complaints[:] = [said for said in complaints if "status of 422" not in said]


def test_the_header_leads_everywhere_by_keyboard(shop: BenchServer, open_page: OpenPage) -> None:
    """The first stop skips to the work; Enter on a place goes there."""
    page = open_page(f"{shop.url}/#/")
    page.set_default_timeout(PATIENCE)
    expect(page.get_by_role("heading", name="Jobs at hand")).to_be_visible()
    page.keyboard.press("Tab")
    expect(page.get_by_role("link", name="Skip to the work")).to_be_focused()
    page.get_by_role("link", name="Builds done").focus()
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", name="Builds done")).to_be_visible()
    expect(page.get_by_role("main")).to_be_focused()
    expect(page.get_by_role("link", name="Builds done")).to_have_attribute("aria-current", "page")
