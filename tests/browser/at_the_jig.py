"""The technician's acts at the jig, as tests tell them."""

from __future__ import annotations

import re
import time
from collections.abc import Callable
from typing import Any

from bench_server import BenchServer
from playwright.sync_api import Page, expect

#: Presses closer than 0.3 s are asked about; a winder's are not [s]
APART = 0.34
#: Keys that write nothing, with the code a keyboard sends for them.
_SILENT = {
    "Backspace": 8,
    "Tab": 9,
    "Shift": 16,
    "Control": 17,
    "Escape": 27,
    "PageDown": 34,
    "ArrowRight": 39,
    **{f"F{n}": 111 + n for n in range(1, 13)},
}
RIDGE = {"example": "RIDGE-1"}


class Jig:
    """A page at the jig, seen and touched as a technician would.

    Presses carry the moment of a winder's foot, so that how far they are apart does not hang on how
    busy the machine is, and no test waits for a foot.
    """

    def __init__(self, page: Page) -> None:
        self.page = page
        self._hands = page.context.new_cdp_session(page)
        self._last = time.time()

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
        """Press a key, now or this long after the last press, whichever is later [s]."""
        self._wait(apart)
        self._key("down", key)
        self._key("up", key)

    def hold(self, key: str = " ") -> None:
        """Hold a key down until it has repeated a few times."""
        self._wait()
        self._key("down", key)
        for _ in range(4):
            self._last += 0.5
            self._key("down", key, autoRepeat=True)
        self._key("up", key)

    def _wait(self, apart: float = APART) -> None:
        """Let time go by for the browser; at once only where a test wants to be too soon."""
        later = self._last + apart
        self._last = max(later, time.time()) if apart > 0.0 else later

    def _key(self, way: str, key: str, **more: Any) -> None:
        text = {"Enter": "\r"}.get(key, "" if key in _SILENT else key)
        sent = {"key": key, "code": "Space" if key == " " else key, "timestamp": self._last, **more}
        sent["windowsVirtualKeyCode"] = _SILENT.get(key) or ord(text.upper())
        if way == "up":
            sent["type"] = "keyUp"
        elif text:
            sent |= {"type": "keyDown", "text": text}
        else:
            sent["type"] = "rawKeyDown"
        self._hands.send("Input.dispatchKeyEvent", sent)

    def pressed_otherwise(self) -> None:
        """Take something else that counted just now as the last press."""
        self._last = time.time()

    def touch(self, x: float, y: float) -> None:
        """Touch the screen, no sooner after the last press than a winder would."""
        self._wait()
        where = {"x": x, "y": y, "button": "left", "clickCount": 1, "timestamp": self._last}
        for kind in ("mousePressed", "mouseReleased"):
            self._hands.send("Input.dispatchMouseEvent", {**where, "type": kind})

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
        """See that nothing waits.

        Ask first for the count that a press came to: a press on its way to the disk is neither
        counted nor waiting, and the page rightly says that all is saved.
        """
        expect(self.page.locator(".jig-saved")).to_have_attribute("data-waiting", "0")
        expect(self.page.locator(".jig-saved")).to_have_attribute("data-silent", "false")

    def shows_waiting(self, acts: int) -> None:
        """See how many acts are kept here."""
        expect(self.page.locator(".jig-saved")).to_have_attribute("data-waiting", str(acts))

    def until(self, promise: Callable[[], bool], said: str) -> None:
        """Wait, while the page goes on, for something that no element shows."""
        end = time.monotonic() + 20.0
        while not promise():
            assert time.monotonic() < end, said
            self.page.wait_for_timeout(50)

    def do(self, name: str | re.Pattern[str]) -> None:
        """Do the one next act by its words; a touch too soon after a change does not count."""
        act = self.page.locator(".jig-act", has_text=name)
        expect(act).to_be_visible()
        time.sleep(0.65)
        act.click()

    def has_news(self) -> bool:
        """Tell whether what a reading came to stands before the step."""
        expect(self.page.locator(".jig-act")).to_be_visible()
        return self.page.locator(".jig[data-step=news]").count() == 1

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


def posts_set(bench: BenchServer, job: dict[str, Any] | None = None) -> str:
    """Begin a build and set its posts; gives the build."""
    build = bench.begin(job or RIDGE)
    suggested = bench.get(f"/api/builds/{build}")["act"]["ask"]["suggest"]
    bench.record(build, "posts-set", outside=suggested)
    return build


def ready_to_read(bench: BenchServer) -> str:
    """Give a build that is wound and stretched, at its first reading."""
    build = posts_set(bench)
    for run in (0, 1):
        bench.record(build, "rounds-laid", run=run, halves=12)
    for step in ("even", "shift", "stretch-bare"):
        bench.record(build, "step-done", step=step)
    return build


def build_at(bench: BenchServer, key: str, job: dict[str, Any] | None = None) -> str:
    """Begin a build and do what the plan expects up to a kind of step; gives the build."""
    build = posts_set(bench, job)
    if key == "wind":
        bench.record(build, "rounds-laid", run=0, halves=7)
        return build
    go_on(bench, build, key)
    return build


def go_on(bench: BenchServer, build: str, key: str) -> None:
    """Do what the plan expects up to a kind of step."""
    while (told := bench.get(f"/api/builds/{build}"))["act"]["key"] != key:
        kind, body = _as_expected(told)
        bench.record_long_ago(build, kind, **body)


def _as_expected(told: dict[str, Any]) -> tuple[str, dict[str, Any]]:
    """Give what happens where a build's next act goes as it was planned."""
    act = told["act"]
    match act["key"]:
        case "posts":
            return "posts-set", {"outside": act["ask"]["suggest"]}
        case "wind":
            run = told["winding"]["runs"][act["run"]]
            return "rounds-laid", {"run": act["run"], "halves": run["halves"] - run["laid"]}
        case "read":
            length = act["ask"]["expected_text"].split(" \u00b1")[0]
            return "length-read", {"stage": act["ask"]["stage"], "length": length}
        case "twist":
            return "turned", {"turns": act["turns"]}
        case _:
            return "step-done", {"step": act["step"]}
