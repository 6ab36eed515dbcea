"""More tabs than a browser lets have a connection each follow one count."""

from __future__ import annotations

from at_the_jig import Jig, posts_set
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import Page, expect

#: A browser holds six connections to a host at most.
TABS = 7


def _listening(page: Page) -> list[str]:
    """Give the addresses of the streams this page has asked for, as its browser lists them."""
    asked: list[str] = []
    page.on("request", lambda r: asked.append(r.url) if r.url.endswith("/api/live") else None)
    return asked


def test_seven_tabs_follow_one_count_through_one_stream(
    bench: BenchServer, open_page: OpenPage
) -> None:
    """One tab listens for all; when it closes another does, and every tab goes on to follow."""
    build = posts_set(bench)
    pages = [open_page("about:blank") for _ in range(TABS)]
    streams = [_listening(page) for page in pages]
    jigs = [Jig(page).open(bench, build) for page in pages]
    for jig in jigs:
        jig.shows_count("0")
    jigs[-1].wind(1)
    for jig in jigs:
        jig.shows_count("1")
        jig.shows_saved()
    bench.record(build, "rounds-laid", run=0, halves=2)
    for jig in jigs:
        jig.shows_count("2")
    assert [1] + [0] * (TABS - 1) == [len(asked) for asked in streams]
    pages[0].close()
    with_next = jigs[1:]
    bench.record(build, "rounds-laid", run=0, halves=2)
    for jig in with_next:
        jig.shows_count("3")
    assert 1 == sum(len(asked) for asked in streams[1:])


def test_every_tab_tells_of_the_servers_silence(bench: BenchServer, open_page: OpenPage) -> None:
    """Tabs that do not listen themselves say that nobody answers, and that somebody does again."""
    pages = [open_page(f"{bench.url}/#/done") for _ in range(3)]
    for page in pages:
        expect(page.get_by_role("heading", name="Builds done")).to_be_visible()
    bench.kill()
    for page in pages:
        expect(page.get_by_text("The program does not answer.").first).to_be_visible()
    bench.start()
    for page in pages:
        expect(page.locator(".silence")).to_have_count(0, timeout=20_000)
