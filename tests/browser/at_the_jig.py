"""The technician's acts at the jig, as tests tell them."""

from __future__ import annotations

import re
import time

from bench_server import BenchServer
from playwright.sync_api import Page, expect

#: Presses closer than 0.3 s are asked about; a winder's are not [s]
APART = 0.34
RIDGE = {"example": "RIDGE-1"}


class Jig:
    """A page at the jig, seen and touched as a technician would."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self._last = 0.0

    def open(self, bench: BenchServer, build: str) -> Jig:
        """Go to a build."""
        self.page.goto(f"{bench.url}/#/jig/{build}")
        expect(self.page.locator(".jig h1")).to_be_visible()
        return self

    def kept_for_dead_server(self) -> Jig:
        """Wait until the page itself is kept, so that it can be fetched from nobody."""
        self.page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        return self

    def press(self, key: str = " ", *, apart: float = APART) -> None:
        """Press a key, no sooner after the last than a winder would."""
        wait = self._last + apart - time.monotonic()
        if wait > 0:
            time.sleep(wait)
        self.page.keyboard.press(key)
        self._last = time.monotonic()

    def hold(self, key: str = " ") -> None:
        """Hold a key down until it has repeated a few times."""
        for _ in range(5):  # down without up repeats
            self.page.keyboard.down(key)
        self.page.keyboard.up(key)
        self._last = time.monotonic()

    def wind(self, rounds: int, key: str = " ") -> None:
        """Wind rounds one after the other."""
        for _ in range(rounds):
            self.press(key)

    def shows_title(self, title: str) -> None:
        """See the heading."""
        expect(self.page.locator(".jig h1")).to_have_text(slashed(title))

    def shows_count(self, count: str, of: str = "6") -> None:
        """See the huge number."""
        expect(self.page.locator(".jig-huge")).to_have_text(slashed(f"{count} of {of}"))

    def shows_strands(self, strands: int, of: int = 24) -> None:
        """See how many strands are on the line."""
        expect(self.page.locator(".jig-under")).to_contain_text(f"{strands} of {of} strands")

    def shows_saved(self) -> None:
        """See that nothing waits."""
        expect(self.page.locator(".jig-saved")).to_have_attribute("data-waiting", "0")
        expect(self.page.locator(".jig-saved")).to_have_attribute("data-silent", "false")

    def shows_waiting(self, acts: int) -> None:
        """See how many acts are kept here."""
        expect(self.page.locator(".jig-saved")).to_have_attribute("data-waiting", str(acts))

    def do(self, name: str | re.Pattern[str]) -> None:
        """Do the one next act by its words; a touch too soon after a change does not count."""
        act = self.page.locator(".jig-act", has_text=name)
        expect(act).to_be_visible()
        time.sleep(0.65)
        act.click()

    def read_the_news(self) -> None:
        """Go on from what a reading or a count came to, until a field is there to be typed in."""
        field = self.page.get_by_label("The tape reads", exact=False).first
        onward = self.page.locator(".jig-act", has_text="Go on")
        for _ in range(3):
            expect(field.or_(onward).first).to_be_visible()
            if field.is_visible():
                return
            time.sleep(0.65)
            onward.click()

    def choose(self, name: str) -> None:
        """Press a button beside the act."""
        self.page.get_by_role("button", name=name, exact=True).click()

    def type(self, label: str, text: str) -> None:
        """Type into a field."""
        self.page.get_by_label(label, exact=False).first.fill(text)


def slashed(text: str) -> str:
    """Write fractions as the page sets them."""
    return re.sub(r"(?<=\d)/(?=\d)", "\u2044", text)


def posts_set(bench: BenchServer, job: dict[str, str] | None = None) -> str:
    """Begin a build and set its posts; gives the build."""
    build = bench.begin(job or RIDGE)
    suggested = bench.get(f"/api/builds/{build}")["act"]["ask"]["suggest"]
    bench.record(build, "posts-set", outside=suggested)
    return build
