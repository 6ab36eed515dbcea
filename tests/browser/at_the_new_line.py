"""The page of a new line, typed from nothing, and the way from there to a proved build."""

from __future__ import annotations

import re
import time

from at_the_desk import PATIENCE, until
from at_the_jig import Jig, go_on, slashed
from bench_server import BenchServer
from playwright.sync_api import Locator, Page, expect


class NewLine:
    """A page on which a line is typed."""

    def __init__(self, page: Page, bench: BenchServer) -> None:
        self.page, self.bench = page, bench
        page.set_default_timeout(PATIENCE)
        page.goto(f"{bench.url}/#/new")

    def box(self, label: str) -> Locator:
        """Give a text field by its label's beginning."""
        return self.page.get_by_role("textbox", name=re.compile("^" + re.escape(label))).first

    def type(self, **texts: str) -> None:
        """Type into fields, named by their labels with _ between the words."""
        for label, text in texts.items():
            self.box(label.replace("_", " ")).fill(text)

    def pick(self, label: str, choice: str) -> None:
        """Choose one of a few."""
        self.page.get_by_role("combobox", name=label, exact=True).select_option(choice)

    def make(self) -> None:
        """Press the one next act."""
        self.page.get_by_role("button", name="Make the line").click()

    def refuses(self, label: str, text: str, said: str) -> None:
        """Try a text that cannot be meant: it is told at its field, which keeps it."""
        self.box(label).fill(text)
        self.make()
        expect(self.box(label)).to_have_accessible_description(re.compile(said), timeout=PATIENCE)
        expect(self.box(label)).to_have_attribute("aria-invalid", "true")
        expect(self.box(label)).to_have_value(text)

    def makes(self) -> None:
        """See the line on its strip."""
        self.make()
        strip = self.page.get_by_role("region", name="The line on its strip")
        expect(strip).to_be_visible(timeout=PATIENCE)

    def begin(self) -> str:
        """Begin to build it; gives the build."""
        self.page.get_by_role("button", name="Start building").click()
        self.page.wait_for_url(re.compile(r"#/jig/[0-9a-f]{32}"), timeout=PATIENCE)
        build = self.page.url.rpartition("/")[2]
        known = self.bench.get
        until(lambda: any(b["id"] == build for b in known("/api/builds")["builds"]), "not begun")
        return build


def at_next_act(jig: Jig, bench: BenchServer, build: str) -> None:
    """See the next act, past what a reading or a count came to before it."""
    title = slashed(bench.get(f"/api/builds/{build}")["act"]["title"])
    here = jig.page.locator(".jig h1", has_text=title)
    onward = jig.page.locator(".jig-act", has_text="Go on")
    jig.page.reload()
    for _ in range(4):
        expect(here.or_(onward).first).to_be_visible(timeout=PATIENCE)
        if here.is_visible():
            return
        time.sleep(0.65)
        onward.click()


def prove(jig: Jig, bench: BenchServer, build: str) -> None:
    """Go on as planned to the proof; read there what is asked for, lock, and see it proved."""
    go_on(bench, build, "proof")
    told = bench.get(f"/api/builds/{build}")
    at_next_act(jig, bench, build)
    jig.type("The tape reads", told["act"]["headline"])
    jig.do("This is what it reads")
    expect(jig.page.locator(".jig-verdict")).to_contain_text("accept", timeout=PATIENCE)
    jig.do(re.compile("^Go on"))
    jig.do(re.compile("[Ll]ock"))
    expect(jig.page.locator(".jig[data-step=over]")).to_be_visible()
    jig.shows_saved()
    over = bench.get(f"/api/builds/{build}")
    assert (over["over"], over["verdict"]) == (True, "proved")
    assert [s["id"] for s in over["steps"] if not s["done"]] == []
