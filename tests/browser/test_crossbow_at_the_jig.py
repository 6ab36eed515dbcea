"""A crossbow's string from its take-off to a proved build, its ends reinforced."""

from __future__ import annotations

from at_the_jig import Jig, go_on, posts_set
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import expect

QUARRY = {"example": "QUARRY-1"}


def test_a_crossbow_string_is_made_and_proved(bench: BenchServer, open_page: OpenPage) -> None:
    """What is laid in comes before the loops, the middle is marked before it is served."""
    build = posts_set(bench, QUARRY)
    for run in (0, 1):
        bench.record(build, "rounds-laid", run=run, halves=16)
    go_on(bench, build, "reinforce")
    jig = Jig(open_page(bench.url)).open(bench, build)
    if jig.has_news():
        jig.do("Go on")
    jig.shows_title("Lay in the strands at the loops")
    expect(jig.page.locator(".jig-caution")).to_be_visible()
    jig.do("The strands are laid in and bound")
    jig.until(lambda: bench.get(f"/api/builds/{build}")["act"]["key"] != "reinforce", "laid in")
    jig.shows_title(bench.get(f"/api/builds/{build}")["act"]["title"])
    jig.shows_saved()
    go_on(bench, build, "serve")
    told = bench.get(f"/api/builds/{build}")["act"]
    assert any("half of what the tape reads" in line for line in told["lines"])
    go_on(bench, build, "proof")
    bench.record(build, "length-read", stage="proof", length="33 3/8 in")
    expect(jig.page.locator(".jig[data-step=news]")).to_be_visible()
    jig.do("Go on")
    jig.shows_title("Tag, wax and fit")
    expect(jig.page.locator(".jig-caution")).to_contain_text("no bolt in it")
    jig.do("Lock")
    expect(jig.page.locator(".jig[data-step=over]")).to_be_visible()
    jig.shows_saved()
    kept = bench.get(f"/api/builds/{build}")
    assert (kept["over"], kept["verdict"]) == (True, "proved")
