"""A line on its strip and the shop's screens, as tests see and touch them."""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

from at_the_jig import slashed
from bench_server import BenchServer
from playwright.sync_api import Locator, Page, expect

#: A plan on a machine that does other work too may take this long [ms]
PATIENCE = 30_000
RIDGE = "RIDGE-1"


def until(promise: Callable[[], bool], said: str) -> None:
    """Wait until something holds that no element shows."""
    end = time.monotonic() + PATIENCE / 1000.0
    while not promise():
        assert time.monotonic() < end, said
        time.sleep(0.1)


class Desk:
    """A page on a line, seen and touched as a technician would."""

    def __init__(self, page: Page, bench: BenchServer, job: str = RIDGE) -> None:
        self.page, self.bench, self.job = page, bench, job
        page.set_default_timeout(PATIENCE)

    def open(self) -> Desk:
        """Go to the line; it is kept first if it is not there."""
        if all(kept["id"] != self.job for kept in self.bench.get("/api/jobs")["jobs"]):
            self.bench.post("/api/jobs", {"example": self.job})
        self.page.goto(f"{self.bench.url}/#/line/{self.job}")
        expect(self.strip).to_be_visible(timeout=PATIENCE)
        return self

    @property
    def strip(self) -> Locator:
        """The line on its strip."""
        return self.page.get_by_role("region", name="The line on its strip")

    def grip(self, name: str) -> Locator:
        """Give the grip of an edge, a mark or the end."""
        return self.page.get_by_role("slider", name=name, exact=True)

    def field(self, label: str) -> Locator:
        """Give a value that can be keyed."""
        return self.page.get_by_role("textbox", name=label, exact=True)

    def button(self, name: str) -> Locator:
        """Give a button."""
        return self.page.get_by_role("button", name=name, exact=True)

    def key(self, label: str, text: str) -> None:
        """Key a value and press Enter."""
        self.field(label).fill(text)
        self.field(label).press("Enter")

    def shows(self, label: str, text: str) -> None:
        """See a value."""
        expect(self.field(label)).to_have_value(text, timeout=PATIENCE)

    def shows_fact(self, name: str, text: str) -> None:
        """See a number beside the strip."""
        facts = self.page.get_by_label("What follows from it").locator("div")
        fact = facts.filter(has=self.page.get_by_text(name, exact=True))
        expect(fact.get_by_role("definition").first).to_have_text(slashed(text), timeout=PATIENCE)

    def shows_revision(self, revision: int) -> None:
        """See that a revision is saved."""
        saved = self.page.get_by_text(f"revision {revision}, saved")
        expect(saved).to_be_visible(timeout=PATIENCE)

    def shows_wrong(self, label: str, text: str, said: str) -> None:
        """See a refused value with its reason at the field."""
        self.shows(label, text)
        expect(self.field(label)).to_have_attribute("aria-invalid", "true")
        expect(self.field(label)).to_have_accessible_description(slashed(said))

    def take(self, name: str) -> tuple[float, float]:
        """Press the pointer down on a grip; gives where."""
        box = self.grip(name).bounding_box()
        assert box is not None
        knob = self.grip(name).locator(".knob").bounding_box()
        assert knob is not None
        x, y = knob["x"] + knob["width"] / 2.0, box["y"] + box["height"] / 2.0
        self.page.mouse.move(x, y)
        self.page.mouse.down()
        return x, y

    def drag(self, name: str, by_m: float, *, drop: bool = True) -> None:
        """Drag a grip along the line by a length."""
        by = by_m * self.strip_data()["px_per_m"]
        x, y = self.take(name)
        for part in range(1, 9):
            self.page.mouse.move(x + by * part / 8.0, y)
        if drop:
            self.page.mouse.up()

    def strip_data(self) -> Any:
        """Give the newest drawing as the server makes it at the page's width."""
        picture = self.page.locator(".picture svg").bounding_box()
        assert picture is not None
        path = f"/api/jobs/{self.job}?width={round(picture['width'])}&theme=light"
        return self.bench.get(path)["view"]["strip"]

    def stored(self) -> Any:
        """Give what is kept."""
        return self.bench.get(f"/api/jobs/{self.job}")
