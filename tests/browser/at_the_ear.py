"""The technician's acts at the ear, and browsers whose microphone hears a file."""

from __future__ import annotations

import re
from pathlib import Path

from at_the_jig import Jig
from chromium import ARGS
from playwright.sync_api import Browser, BrowserContext, Locator, Page, Playwright, expect

#: Keeps every stream a page was given, so that a test sees whether it was let go.
WATCHED = """
window.streams = [];
const ask = MediaDevices.prototype.getUserMedia;
MediaDevices.prototype.getUserMedia = async function (wanted) {
  window.asked = wanted;
  const stream = await ask.call(this, wanted);
  window.streams.push(stream);
  return stream;
};
"""
_OPEN = "window.streams.flatMap((s) => s.getTracks()).filter((t) => t.readyState === 'live').length"


def hearing_browser(playwright: Playwright, path: str, sound: Path) -> Browser:
    """Start a browser whose microphone hears a file, over and over from when it is opened.

    Whether a page may use it is for each profile to say.
    """
    fake = [
        "--use-fake-device-for-media-stream",
        f"--use-file-for-fake-audio-capture={sound}",
    ]
    return playwright.chromium.launch(executable_path=path, args=[*ARGS, *fake])


def fresh_context(browser: Browser, *, keeps: bool = False) -> BrowserContext:
    """Give a fresh profile of a desk computer that may use its microphone.

    Whether its pages may keep themselves for the time without a server costs a second.
    """
    fresh = browser.new_context(
        viewport={"width": 1440, "height": 900},
        permissions=["microphone"],
        reduced_motion="reduce",
        service_workers="allow" if keeps else "block",
    )
    fresh.set_default_timeout(20_000)
    fresh.add_init_script(WATCHED)
    return fresh


class EarAtTheJig:
    """The ear of a page at the jig."""

    def __init__(self, jig: Jig) -> None:
        self.jig, self.page = jig, jig.page

    @property
    def gauge(self) -> Locator:
        """The gauge, while it is open."""
        return self.page.locator(".ear")

    @property
    def plucks(self) -> Locator:
        """Plucks whose load stands, in their order."""
        return self.page.locator(".ear-plucks li[data-over]")

    @property
    def trouble(self) -> Locator:
        """What stands in the way."""
        return self.page.locator(".ear .told[role=alert]")

    def open(self) -> EarAtTheJig:
        """Open the ear."""
        self.page.get_by_role("button", name="Hear the load").click()
        expect(self.gauge).to_be_visible()
        return self

    def shut(self) -> None:
        """Shut the ear."""
        self.page.get_by_role("button", name="Stop listening").click()
        expect(self.gauge).to_have_count(0)

    def bring(self, file: Path) -> None:
        """Choose a recording."""
        self.page.get_by_label("Bring a recording", exact=False).set_input_files(str(file))

    def hears(self, plucks: int) -> None:
        """Wait until so many plucks have their load."""
        expect(self.plucks.nth(plucks - 1)).to_be_visible(timeout=30_000)

    def shows_load(self) -> tuple[float, float]:
        """Give the huge load and its +-, as it is read there [lbf]."""
        return _read(self.page.locator(".ear-huge").inner_text())

    def field(self) -> Locator:
        """The load's field of the step."""
        return self.page.locator("#jig-load")

    def listens(self) -> int:
        """How many microphones the page holds open [-]."""
        return self.page.evaluate(_OPEN)


def read_entry(text: str) -> tuple[float, float]:
    """Give a load and its +- as they stand in a field [lbf]."""
    return _read(text)


def _read(text: str) -> tuple[float, float]:
    """Read ``103 +- 3 lbf`` and ``103 lbf +- 3 lbf``."""
    numbers = re.findall(r"[0-9.]+", text.replace("\u00a0", " "))
    assert 2 == len(numbers), text
    assert "lbf" in text
    return float(numbers[0]), float(numbers[1])


def heard_at(page: Page, mark: str) -> list[float]:
    """Give when the page marked something [ms]."""
    return page.evaluate("(n) => performance.getEntriesByName(n).map((e) => e.startTime)", mark)
