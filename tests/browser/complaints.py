"""What pages say in their consoles: nothing, or the test fails."""

from __future__ import annotations

from collections.abc import Callable

from playwright.sync_api import ConsoleMessage, Error, Page

OpenPage = Callable[..., Page]
#: What a browser says of itself when the server is away; the page cannot silence it.
SERVER_AWAY = (
    "Failed to load resource: net::ERR_",
    "ERR_CONNECTION",
    "An unknown error occurred when fetching the script",
    "the server responded with a status of 504",
)
#: What is said where a test does not let a page keep itself.
NOT_KEPT = "Service Worker registration blocked by Playwright"


class Complaints(list[str]):
    """What pages said that they should not; the server's absence is no complaint."""

    def __init__(self) -> None:
        super().__init__()
        self.forgiven = (*SERVER_AWAY, NOT_KEPT)
        self._pages: list[Page] = []

    def forgive(self, words: str) -> None:
        """Expect the browser to say this: the test provokes it."""
        self.forgiven = (*self.forgiven, words)

    def listen(self, page: Page) -> Page:
        """Listen to a page."""
        page.on("pageerror", self._error)
        page.on("console", self._said)
        self._pages.append(page)
        return page

    def leave(self) -> None:
        """Listen no more."""
        for page in self._pages:
            page.remove_listener("pageerror", self._error)
            page.remove_listener("console", self._said)
        self._pages.clear()

    def _error(self, error: Error) -> None:
        self.append(str(error))

    def _said(self, message: ConsoleMessage) -> None:
        if message.type in ("error", "warning") and not any(
            words in message.text for words in self.forgiven
        ):
            self.append(message.text)
