"""Two benches on one PostgreSQL database: what one does stands on the other's screen at once."""

from __future__ import annotations

import importlib
import os
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from chromium import ARGS
from guarded_bench import PASSWORD, GuardedBench, make_shop
from kept_page import PATIENCE
from playwright.sync_api import Browser, Page, Playwright, expect
from trusting import trusting_home

from strandwright.web.authority import AUTHORITY

sys.path.append(str(Path(__file__).parents[1] / "contract"))
postgresql: Any = importlib.import_module("postgresql")


@pytest.fixture(scope="module")
def benches(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[GuardedBench, ...]]:
    """Give two benches, front and back, each with its own app."""
    programs = postgresql.programs()
    if programs is None:
        if os.environ.get("STRANDWRIGHT_REQUIRE_ALL") == "1":
            pytest.fail("the programs of PostgreSQL are not installed and this run requires them")
        pytest.skip("the programs of PostgreSQL are not installed")
    with postgresql.running(programs) as server:
        folder = tmp_path_factory.mktemp("benches")
        store = server.database()
        make_shop(folder, store)
        both = tuple(GuardedBench(folder, store, bench) for bench in ("front", "back"))
        try:
            for bench in both:
                bench.start()
            yield both
        finally:
            for bench in both:
                bench.stop()


@pytest.fixture(scope="module")
def trusting(playwright: Playwright, chromium_path: str, benches) -> Iterator[Browser]:
    """Give a browser that trusts the shop's authority."""
    folder = benches[0].folder
    environment = trusting_home(folder / "home", folder / AUTHORITY)
    running = playwright.chromium.launch(executable_path=chromium_path, args=ARGS, env=environment)
    yield running
    running.close()


def _signed_in(browser: Browser, bench: GuardedBench, name: str) -> Page:
    """Open a bench's app in a profile of its own, and sign in."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    context.set_default_timeout(PATIENCE)
    page = context.new_page()
    page.goto(bench.url)
    page.get_by_label("name", exact=True).fill(name)
    page.get_by_label("password", exact=True).fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    expect(page.get_by_role("heading", name="Jobs at hand")).to_be_visible(timeout=PATIENCE)
    return page


def test_a_round_counted_at_one_bench_stands_at_the_other(trusting, benches):
    """Nobody presses anything there, and each event says at which bench it was."""
    front, back = benches
    front.sign_in("tess")
    back.sign_in("olga")
    build = front.begin()
    page = _signed_in(trusting, back, "olga")
    page.goto(f"{back.url}/#/jig/{build}")
    count = page.locator(".jig")
    expect(count).to_contain_text("0 of", timeout=PATIENCE)
    took: list[float] = []
    for rounds in range(1, 4):
        began = time.monotonic()
        front.record(build, "rounds-laid", run=0, halves=2)
        page.wait_for_function(
            "(n) => document.querySelector('.jig').textContent.includes(`${n} of`)", arg=rounds
        )
        took.append(time.monotonic() - began)
    assert min(took) < 5.0, took
    back.record(build, "rounds-laid", run=0, halves=2)
    _, log = back.ask("GET", f"/api/builds/{build}/log.json")
    by = [e["by"] for e in log["events"] if e["type"] == "rounds-laid"]
    assert ["tess at front"] * 3 + ["olga at back"] == by
    page.context.close()


def test_signed_out_everywhere_is_signed_out_at_the_other_bench(trusting, benches):
    """The other app was not told, and knows with the next look."""
    front, back = benches
    front.sign_in("cass")
    page = _signed_in(trusting, back, "cass")
    began = time.monotonic()
    assert 200 == front.ask("POST", "/api/session/everywhere", {})[0]
    expect(page.get_by_role("heading", name="Sign in again")).to_be_visible(timeout=PATIENCE)
    assert time.monotonic() - began < 15.0
    expect(page.get_by_role("heading", name="Jobs at hand")).to_be_hidden()
    page.context.close()


def test_a_job_made_at_one_bench_is_in_the_list_of_the_other(trusting, benches):
    """The list is fetched anew by itself."""
    front, back = benches
    front.sign_in("tess")
    page = _signed_in(trusting, back, "olga")
    assert 200 == front.ask("POST", "/api/jobs", {"example": "TARN-1"})[0]
    expect(page.get_by_text("TARN-1").first).to_be_visible(timeout=PATIENCE)
    page.context.close()
