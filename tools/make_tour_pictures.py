"""Take the pictures of the README's tour from the running program: ``make_tour_pictures.py``.

Needs the program ``chromium``; everything shown is the invented workshop of the demonstration.
"""

from __future__ import annotations

import json
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Generator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any
from uuid import UUID

from playwright.sync_api import Browser, Page, sync_playwright

from strandwright.planning.desk.builds import Desk
from strandwright.planning.desk.demo import fill_demo
from strandwright.sheets import sheet_data
from strandwright.store.open import open_store

INTO = Path(__file__).parents[1] / "docs" / "pictures"
WIDE = 1200
#: A picture of the README is to load at once [bytes]
HEAVIEST = 150_000
BEGAN = datetime(2026, 5, 4, 9, 0, tzinfo=UTC)
ARGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-background-networking"]
#: How the bare skein of the tour reads: long enough that the twist is corrected by it.
READING = "57 3/4"


class Shop:
    """The program over a demo store, and what is done at its jig between the pictures."""

    def __init__(self, url: str) -> None:
        self.url = url
        self.moment = BEGAN + timedelta(days=3)
        self.made = 0

    def ask(self, path: str, body: object = None) -> Any:
        """Read an answer, or send something and read the answer."""
        data = None if body is None else json.dumps(body).encode()
        request = urllib.request.Request(self.url + path, data)
        request.add_header("Content-Type", "application/json")
        with urllib.request.urlopen(request, timeout=60.0) as answer:
            return json.load(answer)

    def id(self) -> str:
        """Make an identity that is the same each time the pictures are taken."""
        self.made += 1
        return UUID(int=self.made, version=4).hex

    def now(self) -> str:
        """Give the next moment at the invented bench."""
        self.moment += timedelta(minutes=1)
        return self.moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")

    def begin(self, job: str) -> str:
        """Begin a build."""
        start = {"build": self.id(), "event": self.id(), "at": self.now(), "by": "demo"}
        self.ask(f"/api/jobs/{job}/builds", start)
        return start["build"]

    def record(self, build: str, kind: str, **body: object) -> Any:
        """Record an act; gives the advice."""
        event = {"id": self.id(), "type": kind, "version": 1, "at": self.now(), "by": "demo"}
        sent = {"events": [event | {"body": body}]}
        return self.ask(f"/api/builds/{build}/events", sent)["advice"]

    def work(self, build: str, *, strands: int | None = None) -> None:
        """Act as advised until so many strands are laid, or until the length is to be read."""
        advice = self.ask(f"/api/builds/{build}")
        while advice["act"]["key"] != "read":
            if advice["winding"]["strands_laid"] == strands:
                return
            act = advice["act"]
            step = next(step for step in advice["steps"] if step["id"] == act["step"])
            if act["key"] == "posts":
                advice = self.record(build, "posts-set", outside=act["ask"]["suggest"])
            elif act["key"] == "wind":
                advice = self.record(build, "rounds-laid", run=step["run"], halves=2)
            else:
                self.moment += timedelta(hours=1)
                advice = self.record(build, "step-done", step=step["id"])


@contextmanager
def open_shop() -> Generator[Shop]:
    """Start the program over a fresh demo store."""
    with tempfile.TemporaryDirectory() as folder, socket.socket() as probe:
        store = str(Path(folder) / "workshop.db")
        fill_demo(Desk(open_store(store), sheet=sheet_data), BEGAN)
        probe.bind(("127.0.0.1", 0))
        port = str(probe.getsockname()[1])
        probe.close()
        command = [sys.executable, "-m", "strandwright", "open", "--store", store]
        with subprocess.Popen([*command, "--no-browser", "--port", port]) as running:
            try:
                shop = Shop(f"http://127.0.0.1:{port}")
                _wait_for(shop)
                yield shop
            finally:
                running.terminate()


def _wait_for(shop: Shop) -> None:
    until = time.monotonic() + 60.0
    while True:
        try:
            shop.ask("/api/hello")
            return
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.1)


def open_page(browser: Browser, high: int, scheme: Any = "light") -> Page:
    """Open a page that looks the same wherever the pictures are taken."""
    context = browser.new_context(
        viewport={"width": WIDE, "height": high},
        color_scheme=scheme,
        reduced_motion="reduce",
        timezone_id="UTC",
        locale="en-GB",
    )
    page = context.new_page()
    page.set_default_timeout(15_000)
    return page


def keep(page: Page, name: str) -> None:
    """Write one picture."""
    page.evaluate("() => document.fonts.ready.then(() => true)")
    page.wait_for_timeout(400)
    path = INTO / f"{name}.png"
    page.screenshot(path=path)
    weight = path.stat().st_size
    print(f"{name}: {weight / 1000.0:.0f} kB")
    if weight > HEAVIEST:
        raise SystemExit(f"{path.name} is heavier than {HEAVIEST / 1000.0:.0f} kB")


def picture_jobs(shop: Shop, browser: Browser) -> None:
    """The jobs at hand."""
    page = open_page(browser, 820)
    page.goto(f"{shop.url}/#/")
    page.get_by_role("link", name="Go on at the jig").wait_for()
    keep(page, "jobs")


def picture_strip(shop: Shop, browser: Browser) -> None:
    """A serving whose edge is being dragged."""
    page = open_page(browser, 800)
    page.goto(f"{shop.url}/#/line/RIDGE-1")
    # What the bow touches comes once bows that agree are found.
    page.locator(".strip-lane svg").wait_for(timeout=60_000)
    knob = page.get_by_role("slider", name="centre, stop").locator(".knob")
    place = knob.bounding_box()
    assert place is not None
    x, y = place["x"] + place["width"] / 2.0, place["y"] + place["height"] / 2.0 - 8.0
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, 9):
        page.mouse.move(x + 4.0 * step, y)
    page.locator(".grip[data-held]").wait_for()
    page.wait_for_timeout(1_500)
    keep(page, "strip")
    page.mouse.move(x, y)
    page.keyboard.press("Escape")


def picture_jig(shop: Shop, browser: Browser) -> None:
    """Winding in the dark, then a reading that corrects the turns."""
    page = open_page(browser, 900, "dark")
    build = shop.begin("RIDGE-1")
    shop.work(build, strands=20)
    page.goto(f"{shop.url}/#/jig/{build}")
    page.locator(".jig-huge").wait_for()
    keep(page, "winding")
    shop.work(build)
    page = open_page(browser, 900, "dark")
    # At the jig it is a day later than the last act, not whenever the pictures are taken.
    page.clock.install(time=shop.moment + timedelta(days=1))
    page.goto(f"{shop.url}/#/jig/{build}")
    page.get_by_label("The tape reads").fill(READING)
    page.wait_for_timeout(1_000)  # a touch too soon after a change does not count
    page.locator(".jig-act").click()
    page.get_by_role("heading", name="Read, and reckoned with").wait_for()
    page.mouse.move(4, 4)
    keep(page, "reading")


def picture_done(shop: Shop, browser: Browser) -> None:
    """The finished build."""
    page = open_page(browser, 900)
    made = next(one for one in shop.ask("/api/builds")["builds"] if one["verdict"] == "proved")
    page.goto(f"{shop.url}/#/jig/{made['id']}")
    page.get_by_role("button", name="Go on", exact=True).wait_for()
    page.wait_for_timeout(1_000)
    page.get_by_role("button", name="Go on", exact=True).click()
    page.get_by_role("button", name="Go on", exact=True).wait_for(state="detached")
    page.mouse.move(4, 4)
    keep(page, "done")


def picture_bow(shop: Shop, browser: Browser) -> None:
    """The way home of a bow, and the bow drawn half way."""
    page = open_page(browser, 760)
    page.goto(f"{shop.url}/#/bow/SCREE-1")
    # The first time some seconds are spent on looking for bows that agree.
    slider = page.get_by_role("slider").first
    slider.wait_for(timeout=60_000)
    page.mouse.move(4, 4)
    keep(page, "home")
    page.set_viewport_size({"width": WIDE, "height": 730})
    for _ in range(11):
        slider.press("ArrowRight")
    slider.blur()
    page.locator("#bow-drawn").evaluate("element => element.scrollIntoView()")
    keep(page, "bow")


def main() -> None:
    """Take all pictures."""
    chromium = shutil.which("chromium") or shutil.which("chromium-browser")
    if chromium is None:
        raise SystemExit("the program 'chromium' is not installed")
    INTO.mkdir(parents=True, exist_ok=True)
    with open_shop() as shop, sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=ARGS)
        for picture in (picture_jobs, picture_strip, picture_bow, picture_jig, picture_done):
            picture(shop, browser)
        browser.close()


if __name__ == "__main__":
    main()
