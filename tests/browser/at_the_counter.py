"""The counter, as tests see and touch it."""

from __future__ import annotations

import re
from pathlib import Path

from at_the_desk import PATIENCE
from bench_server import BenchServer
from PIL import Image
from playwright.sync_api import Locator, Page, expect


def photo_file(folder: Path, name: str = "wheel.jpg") -> Path:
    """Write a photo as a phone takes it: large, turned by its note, with the place in it."""
    path = folder / name
    picture = Image.effect_noise((2400, 1200), 40).convert("RGB")
    about = Image.Exif()
    about[0x0112] = 6
    about[0x010E] = "a note of the camera"
    about.get_ifd(0x8825)[1] = "N"
    about.get_ifd(0x8825)[2] = (51.0, 30.0, 0.0)
    picture.save(path, "JPEG", exif=about, quality=60)
    return path


class Counter:
    """A page at the counter."""

    def __init__(self, page: Page, bench: BenchServer) -> None:
        self.page, self.bench = page, bench
        page.set_default_timeout(PATIENCE)

    def take_in(self, **typed: str) -> None:
        """Type a new order, fields named by their labels with _ between the words."""
        self.page.goto(f"{self.bench.url}/#/orders")
        self.page.get_by_role("link", name="Take in a bow").click()
        for label, text in typed.items():
            box = self.page.get_by_label(label.replace("_", " "), exact=True)
            if box.evaluate("element => element.tagName") == "SELECT":
                box.select_option(text)
            else:
                box.fill(text)

    def do(self, name: str) -> None:
        """Press a button."""
        self.page.get_by_role("button", name=name, exact=True).first.click()

    def part(self, id: str) -> Locator:
        """Give a part of the walk."""
        return self.page.locator(f"#{id}")

    def tick(self, stop: str, state: str = "sound") -> None:
        """Tick one thing to look at."""
        self.page.get_by_role("button", name=f"{stop}: {state}", exact=True).click()

    def tick_all(self, but: tuple[str, ...] = ()) -> None:
        """Tick everything as sound, but some."""
        for name in self.page.locator(".stop h3").all_inner_texts():
            if name.lower() not in but:
                self.tick(name.lower())

    def read(self, **figures: str) -> None:
        """Type figures of the bow, by their labels."""
        for label, text in figures.items():
            self.part("as-it-came").get_by_label(label.replace("_", " "), exact=True).fill(text)

    def says(self, words: str) -> None:
        """See what comes next."""
        expect(self.page.locator(".order-next")).to_contain_text(words, timeout=PATIENCE)

    def shows_one_next_act(self, name: str | re.Pattern[str]) -> None:
        """See that one act calls, and which."""
        wax = self.page.locator(".act.next")
        expect(wax).to_have_count(1, timeout=PATIENCE)
        expect(wax).to_have_text(name)

    @property
    def order(self) -> str:
        """Give the identity of the order that is shown."""
        return self.page.url.rpartition("/")[2]

    def stored(self):
        """Give the order as it is kept."""
        return self.bench.get(f"/api/orders/{self.order}")
