"""The bow of a line, as tests see and touch it."""

from __future__ import annotations

from typing import Any

from at_the_desk import PATIENCE, RIDGE
from bench_server import BenchServer
from playwright.sync_api import Locator, Page, expect

#: Bows that agree are looked for once; on a machine that does other work that takes this long [ms]
FIRST = 120_000


class BowPage:
    """A page on a bow, seen and touched as a technician would."""

    def __init__(self, page: Page, bench: BenchServer, job: str = RIDGE) -> None:
        self.page, self.bench, self.job = page, bench, job
        page.set_default_timeout(PATIENCE)

    def keep(self) -> BowPage:
        """Keep the job, unless it is kept."""
        if all(kept["id"] != self.job for kept in self.bench.get("/api/jobs")["jobs"]):
            self.bench.post("/api/jobs", {"example": self.job})
        return self

    def open(self) -> BowPage:
        """Go to the bow."""
        self.keep().page.goto(f"{self.bench.url}/#/bow/{self.job}")
        return self.is_drawn()

    def is_drawn(self) -> BowPage:
        """See the bow."""
        expect(self.drawn).to_be_visible(timeout=FIRST)
        return self

    @property
    def drawn(self) -> Locator:
        """The bow along its draw."""
        return self.page.get_by_role("region", name="The bow along its draw")

    @property
    def scrub(self) -> Locator:
        """The slider from brace to full draw."""
        return self.page.get_by_role("slider", name="how far the bow is drawn")

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

    def figure(self, label: str) -> Locator:
        """Give the row of a figure."""
        table = self.page.get_by_role("table", name="Figures of the bow")
        return table.get_by_role("row").filter(
            has=self.page.get_by_role("rowheader", name=label, exact=True)
        )

    def marker(self) -> tuple[float, float]:
        """Give where the marker stands on force over draw."""
        box = self.page.locator(".bow-marker").bounding_box()
        assert box is not None
        return box["x"] + box["width"] / 2.0, box["y"] + box["height"] / 2.0

    def kept(self) -> Any:
        """Give what is kept of the bow."""
        return self.bench.get(f"/api/jobs/{self.job}")["job"]["bow"]
