"""A server, a browser and pages whose console must stay silent."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Generator, Iterator
from pathlib import Path
from typing import Literal

import pytest
from bench_server import BenchServer
from chromium import ARGS
from complaints import Complaints, OpenPage
from kept_page import PATIENCE, KeptPage, new_profile
from playwright.sync_api import (
    Browser,
    BrowserContext,
    Page,
    Playwright,
    expect,
    sync_playwright,
)

#: Modules whose pages always have their server. A page that keeps itself for the time without one
#: costs a second of processor time in each fresh profile; every screen does so in other modules.
NEVER_ALONE = frozenset(
    {
        "test_at_the_counter",
        "test_bow_screen",
        "test_crag_set",
        "test_crossbow_at_the_jig",
        "test_ear_onsets",
        "test_four_posts_at_the_jig",
        "test_heard_build",
        "test_jig_screens",
        "test_laid_in_build",
        "test_line_details",
        "test_line_screen",
        "test_new_line",
        "test_readings_at_the_jig",
        "test_shop_learned",
        "test_split_yoke",
        "test_typed_crossbow",
        "test_typed_laid_in",
        "test_watch_the_stretch",
    }
)

#: Modules whose tests open one page, one after the other, in place of a new profile each.
ONE_PAGE = frozenset(
    {
        "test_bow_screen",
        "test_crossbow_at_the_jig",
        "test_four_posts_at_the_jig",
        "test_heard_build",
        "test_jig_screens",
        "test_laid_in_build",
        "test_line_details",
        "test_line_screen",
        "test_readings_at_the_jig",
        "test_set_screen",
        "test_shop_learned",
        "test_split_yoke",
        "test_watch_the_stretch",
        "test_winding",
    }
)


@pytest.fixture(scope="session")
def whole_chromium() -> str:
    """Find the browser; without it the test is skipped, or fails where everything is required."""
    path = shutil.which("chromium") or shutil.which("chromium-browser")
    if path is None:
        if os.environ.get("STRANDWRIGHT_REQUIRE_ALL") == "1":
            pytest.fail("the program 'chromium' is not installed and this run requires it")
        pytest.skip("the program 'chromium' is not installed")
    return path


@pytest.fixture(scope="session")
def chromium_path(request: pytest.FixtureRequest) -> str:
    """Find the browser, without windows where it is to be had so: it takes a fifth less time.

    It cannot be asked for its microphone.
    """
    shell = shutil.which("chromium-headless-shell")
    return shell or request.getfixturevalue("whole_chromium")


@pytest.fixture(scope="session")
def playwright() -> Iterator[Playwright]:
    """Drive browsers; what is expected of a page may take as long as what is done on it."""
    expect.set_options(timeout=PATIENCE)
    with sync_playwright() as driver:
        yield driver


@pytest.fixture(scope="session")
def browser(playwright: Playwright, chromium_path: str) -> Iterator[Browser]:
    """Give one browser for the whole run; each test has its own profile in it."""
    running = playwright.chromium.launch(executable_path=chromium_path, args=ARGS)
    yield running
    running.close()


@pytest.fixture(scope="session")
def standing(tmp_path_factory: pytest.TempPathFactory) -> Iterator[BenchServer]:
    """Give a server that stands for the whole run: for tests that look at builds of their own."""
    server = BenchServer(tmp_path_factory.mktemp("standing") / "workshop.db")
    server.start(from_nothing=True)
    yield server
    server.stop()


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[BenchServer]:
    """Give a server with an empty store, for tests that kill it or change what is kept."""
    server = BenchServer(tmp_path / "workshop.db")
    server.start()
    yield server
    server.stop()


@pytest.fixture
def complaints() -> Iterator[Complaints]:
    """Collect the consoles' errors and warnings; there must be none at the end."""
    heard = Complaints()
    yield heard
    heard.leave()
    assert [] == heard


@pytest.fixture
def service_workers(request: pytest.FixtureRequest) -> Literal["allow", "block"]:
    """Say whether pages may keep themselves for the time without a server."""
    return "block" if request.module.__name__ in NEVER_ALONE else "allow"


@pytest.fixture
def context(
    browser: Browser, service_workers: Literal["allow", "block"]
) -> Iterator[BrowserContext]:
    """Give a fresh profile of a desk computer."""
    fresh = new_profile(browser, service_workers)
    yield fresh
    fresh.close()


@pytest.fixture
def own_profile() -> None:
    """Ask for a page in a fresh profile where those of the module share one."""


@pytest.fixture(scope="session")
def kept_page(browser: Browser) -> Iterator[KeptPage]:
    """Give a page that goes from test to test, empty each time."""
    kept = KeptPage(browser)
    yield kept
    kept.close()


#: Whether a test has failed so far.
FAILED = pytest.StashKey[bool]()


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item,
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Remember that a test failed: what its page is left with is for no other."""
    report = yield
    item.stash[FAILED] = item.stash.get(FAILED, False) or report.failed
    return report


@pytest.fixture
def new_page(request: pytest.FixtureRequest) -> Iterator[Callable[[], Page]]:
    """Give new pages, each of them empty."""
    own = "own_profile" in request.fixturenames
    if request.module.__name__ not in ONE_PAGE or own:
        yield request.getfixturevalue("context").new_page
        return
    kept: KeptPage = request.getfixturevalue("kept_page")
    yield kept.new_page
    kept.give_back(sound=not request.node.stash.get(FAILED, False))


@pytest.fixture
def open_page(new_page: Callable[[], Page], complaints: Complaints) -> OpenPage:
    """Open pages: ``open_page(url)``."""

    def opened(url: str) -> Page:
        page = complaints.listen(new_page())
        if url != "about:blank":
            page.goto(url)
        return page

    return opened
