"""Trials of loss at the screen: server and browser are killed while rounds are wound and read."""

from __future__ import annotations

import random
import re
import time
from dataclasses import dataclass

from at_the_jig import Jig, posts_set
from bench_server import BenchServer
from chromium import KillableChromium
from complaints import Complaints
from playwright.sync_api import Page, expect


@dataclass
class Kills:
    """Kills of a trial, and those of them that fell while acts waited or were on their way."""

    server: int = 0
    browser: int = 0
    server_at_stake: int = 0
    browser_at_stake: int = 0


class Trial:
    """One winding with crashes, and what must hold after it."""

    def __init__(self, dice: random.Random, bench: BenchServer, browser: KillableChromium) -> None:
        self.dice, self.bench, self.browser = dice, bench, browser
        self.build = posts_set(bench)
        self.complaints = Complaints()
        self.kills = Kills()
        self.alive = True
        self.pressed = self.seen = 0
        self.masses: list[str] = []
        self.lengths: list[str] = []
        self.jig = self._opened()
        self.jig.kept_for_dead_server()

    def run(self) -> Kills:
        """Wind ten rounds, weigh and read between kills; then look at what is stored."""
        sure = self.dice.randrange(1, 9)
        while self.pressed < 10:
            if self.pressed == sure:
                self._kill_both_with_rounds_at_stake()
            self._press()
            if self.dice.random() < 0.2:
                self._weigh()
            if self.alive and self.dice.random() < 0.2:
                self._read()
            if self.dice.random() < 0.3:
                self._flip_server()
            if self.dice.random() < 0.15:
                self._crash_browser()
        if not self.alive:
            self._flip_server()
        self.jig.shows_saved()
        rounds = [e["id"] for e in self.bench.events(self.build, "rounds-laid")]
        assert self.seen == self._shown()
        assert 2 * self.seen == self.bench.halves(self.build)
        assert len(rounds) == len(set(rounds)) == self.seen
        weighed = [e["body"]["lost"] for e in self.bench.events(self.build, "mass-read")]
        assert self.masses == weighed
        read = [e["body"]["length"] for e in self.bench.events(self.build, "length-read")]
        assert self.lengths == read
        assert [] == self.complaints
        return self.kills

    def _opened(self) -> Jig:
        page: Page = self.complaints.listen(self.browser.start())
        page.goto(f"{self.bench.url}/#/jig/{self.build}")
        expect(page.locator(".jig-under")).to_contain_text("strands on the line")
        return Jig(page)

    def _shown(self) -> int:
        text = self.jig.page.locator(".jig-under").inner_text()
        return int(text.split("·")[-1].split()[0]) // 2

    def _waiting(self) -> int:
        return int(self.jig.page.locator(".jig-saved").get_attribute("data-waiting") or 0)

    def _press(self) -> None:
        self.jig.press()
        self.pressed += 1
        if self.dice.random() < 0.15:  # killed at any moment of the write
            time.sleep(self.dice.random() * 0.03)
            self._crash_browser(unsure=True)
            return
        self._sees_one_more()

    def _sees_one_more(self) -> None:
        self.jig.shows_strands(2 * (self.seen + 1))
        self.seen += 1

    def _kill_both_with_rounds_at_stake(self) -> None:
        """Kill the server over a round just pressed, then the browser over rounds that wait."""
        if not self.alive:
            self._flip_server()
        self.jig.shows_saved()
        # Held on its way to the server, so that the kill is sure to fall before the answer.
        held: list[str] = []
        self.jig.page.route("**/events", lambda route: held.append(route.request.url))
        self.jig.press()
        self.jig.until(lambda: held != [], "the round was not sent")
        self.kills.server_at_stake += 1
        self.kills.server += 1
        self.bench.kill()
        self.alive = False
        self.pressed += 1
        self._sees_one_more()
        self.jig.shows_waiting(1)
        self._crash_browser()

    def _weigh(self) -> None:
        lost = f"{50 + len(self.masses)} gr"
        page = self.jig.page
        page.locator(".jig-weigh > summary").click()
        page.get_by_label("The spruce spool lost").fill(lost)
        page.get_by_role("button", name="Note it").first.click()
        expect(page.get_by_text(f"spruce: {lost} noted")).to_be_visible()
        page.locator(".jig-weigh > summary").click()
        self.masses.append(lost)

    def _read(self) -> None:
        """Read a length in the midst of the winding, and go back to the counter."""
        length = f"57.{590 + len(self.lengths)} in"
        page = self.jig.page
        self.jig.choose("Route")
        page.locator(".jig-route button", has_text="Read the length").first.click()
        self.jig.type("The tape reads", length)
        self.jig.do("This is what it reads")
        expect(page.get_by_text(re.compile(rf"^Read {re.escape(length)}"))).to_be_visible()
        self.lengths.append(length)
        self.jig.press("Escape")
        self.jig.shows_strands(2 * self.seen)

    def _flip_server(self) -> None:
        if self.alive:
            self.kills.server += 1
            self.kills.server_at_stake += self._waiting() > 0
            self.bench.kill()
        else:
            self.bench.start()
        self.alive = not self.alive

    def _crash_browser(self, *, unsure: bool = False) -> None:
        """Kill the browser; what was seen must be there again, what was not may be."""
        self.kills.browser += 1
        self.kills.browser_at_stake += unsure or self._waiting() > 0
        self.browser.kill()
        self.jig = self._opened()
        shown = self._shown()
        assert shown in ((self.seen, self.seen + 1) if unsure else (self.seen,))
        self.seen = shown
