"""A string made on four posts: every step on the swinging arms, to a proved and locked line."""

from __future__ import annotations

from at_the_jig import Jig, go_on, posts_set
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import expect

GILL = {"example": "GILL-1"}
SLID, PULLED = "The skein is slid", "It is pulled up"
#: Title of each step on the arms, what its act says, and how many arms are drawn
ON_ARMS = [
    ("Swing the arms square", "Both arms are square and pinned", 2),
    ("Slide the tails clear of the loops", SLID, 0),
    ("Pull up, the arms square", PULLED, 0),
    ("Mark the loop: upper limb", "This loop is marked", 1),
    ("Mark the loop: lower limb", "This loop is marked", 1),
    ("Slide half of each loop free", SLID, 0),
    ("Serve the outer half: upper limb", "This half is served", 1),
    ("Serve the inner half: lower limb", "This half is served", 1),
    ("Slide the other halves free", SLID, 0),
    ("Serve the inner half: upper limb", "This half is served", 1),
    ("Serve the outer half: lower limb", "This half is served", 1),
    ("Swing the arms back into line", "Both arms are in line and pinned", 0),
    ("Take the inner posts out", "The inner posts are out", 0),
    ("Bring the loops' ends level", "The loops' ends are level", 2),
    ("Pull up, and read the ends", PULLED, 0),
    ("Serve both legs down: upper limb", "Both legs are served", 1),
    ("Serve both legs down: lower limb", "Both legs are served", 1),
    ("Hang the loops on the pins", "It hangs", 0),
]
#: Nothing is under load then
UNLOADED = ("Take the inner posts out", "Hang the loops on the pins")


def test_a_string_is_made_on_four_posts(bench: BenchServer, open_page: OpenPage) -> None:
    """Each act on the arms has its caution, its picture and its number; then proof and lock."""
    build = posts_set(bench, GILL)
    bench.record(build, "rounds-laid", run=0, halves=18)
    go_on(bench, build, "swing")
    jig = Jig(open_page(bench.url)).open(bench, build)
    if jig.has_news():
        jig.do("Go on")
    for title, act, drawn in ON_ARMS:
        jig.shows_title(title)
        if title not in UNLOADED:
            expect(jig.page.locator(".jig-caution")).to_be_visible()
        expect(jig.page.locator(".jig-arms svg")).to_have_count(drawn)
        jig.do(act)
    jig.shows_title("Serve: centre")
    jig.shows_saved()
    go_on(bench, build, "proof")
    bench.record(build, "length-read", stage="proof", length="64 7/8 in")
    expect(jig.page.locator(".jig[data-step=news]")).to_be_visible()
    jig.do("Go on")
    jig.shows_title("Tag, wax and fit")
    jig.do("Lock")
    expect(jig.page.locator(".jig[data-step=over]")).to_be_visible()
    jig.shows_saved()
    told = bench.get(f"/api/builds/{build}")
    assert told["over"]
    assert told["verdict"] == "proved"
    assert [s["id"] for s in told["steps"] if not s["done"]] == []
