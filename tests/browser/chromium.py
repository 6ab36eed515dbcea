"""A Chromium of our own: started by us, joined by its port, and killed without a word."""

from __future__ import annotations

import os
import signal
import subprocess
import time
from pathlib import Path

from playwright.sync_api import Browser, Page, Playwright

ARGS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-dev-shm-usage",
]


class KillableChromium:
    """A browser on a profile that outlives it.

    Parameters
    ----------
    path : str
        The program.
    profile : Path
        Folder of its profile.
    playwright : Playwright
        Drives it.
    """

    def __init__(self, path: str, profile: Path, playwright: Playwright) -> None:
        self.path, self.profile, self.playwright = path, profile, playwright
        self.process: subprocess.Popen[bytes] | None = None
        self.browser: Browser | None = None

    def start(self) -> Page:
        """Start it; gives its page."""
        told = self.profile / "DevToolsActivePort"
        told.unlink(missing_ok=True)
        command = [self.path, *ARGS, f"--user-data-dir={self.profile}", "--remote-debugging-port=0"]
        quiet = subprocess.DEVNULL
        self.process = subprocess.Popen(
            [*command, "about:blank"], stdout=quiet, stderr=quiet, start_new_session=True
        )
        until = time.monotonic() + 30.0
        while not (told.exists() and told.read_text().count("\n") >= 1):
            assert time.monotonic() < until, "the browser did not start"
            time.sleep(0.02)
        port = told.read_text().splitlines()[0]
        self.browser = self.playwright.chromium.connect_over_cdp(f"http://127.0.0.1:{port}")
        context = self.browser.contexts[0]
        return context.pages[0] if context.pages else context.new_page()

    def kill(self) -> None:
        """Kill it and its children at once."""
        if self.process is not None and self.process.poll() is None:
            os.killpg(self.process.pid, signal.SIGKILL)
            self.process.wait()
        if self.browser is not None:
            self.browser.close()
