"""A page that one test after another opens, each time as empty as that of a new profile."""

from __future__ import annotations

from typing import Literal
from urllib.parse import urlsplit

from playwright.sync_api import Browser, BrowserContext, Error, Page, ViewportSize

#: A desk computer.
VIEWPORT: ViewportSize = {"width": 1440, "height": 900}
#: An address of the server's own that no server answers; nothing stands there and nothing runs.
NOWHERE = "/nowhere"
PATIENCE = 20_000


def new_profile(browser: Browser, service_workers: Literal["allow", "block"]) -> BrowserContext:
    """Give a fresh profile of a desk computer."""
    fresh = browser.new_context(
        viewport=VIEWPORT, reduced_motion="reduce", service_workers=service_workers
    )
    fresh.set_default_timeout(PATIENCE)
    return fresh


class KeptPage:
    """A profile with one page that goes from test to test.

    A new profile starts a process, which compiles every script of the pages anew: a second of
    processor time. Here both are kept, and emptied is all that a page can leave behind.

    Parameters
    ----------
    browser : Browser
        Where the profile is.
    """

    def __init__(self, browser: Browser) -> None:
        self._browser = browser
        self._context: BrowserContext | None = None
        self._page: Page | None = None
        self._lent: Page | None = None

    def new_page(self) -> Page:
        """Give the page, or a further one if a test already has it."""
        if self._context is None or self._page is None:
            self._context = new_profile(self._browser, "block")
            self._page = self._context.new_page()
        if self._lent is None:
            self._lent = self._page
            return self._lent
        return self._context.new_page()

    def give_back(self, *, sound: bool) -> None:
        """Empty the page for the next test.

        Parameters
        ----------
        sound : bool
            Whether the test passed; otherwise the next gets a new profile.
        """
        self._lent = None
        if not sound:
            self.close()
            return
        try:
            self._empty()
        except Error:
            self.close()

    def _empty(self) -> None:
        if self._context is None or self._page is None:
            return
        for other in self._context.pages:
            if other is not self._page:
                other.close()
        page, at = self._page, urlsplit(self._page.url)
        page.unroute_all(behavior="ignoreErrors")
        page.set_default_timeout(PATIENCE)
        page.set_viewport_size(VIEWPORT)
        page.mouse.move(0.0, 0.0)
        if not at.netloc:
            return
        origin = f"{at.scheme}://{at.netloc}"
        page.route(origin + NOWHERE, lambda route: route.fulfill(content_type="text/html"))
        page.goto(origin + NOWHERE)
        page.unroute_all(behavior="wait")
        page.evaluate("sessionStorage.clear()")
        tools = self._context.new_cdp_session(page)
        tools.send("Storage.clearDataForOrigin", {"origin": origin, "storageTypes": "all"})
        tools.send("Page.resetNavigationHistory")
        tools.detach()

    def close(self) -> None:
        """Close the profile; the next page has a new one."""
        if self._context is not None:
            self._context.close()
        self._context = self._page = None
