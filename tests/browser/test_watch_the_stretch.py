"""Watching the stretch at the jig: what is noted becomes a sentence and a curve."""

from __future__ import annotations

import re

import pytest
from at_the_jig import Jig, posts_set
from bench_server import BenchServer
from complaints import Complaints, OpenPage
from playwright.sync_api import expect


@pytest.fixture
def standing_skein(standing: BenchServer) -> str:
    """Give a build whose bare skein is about to be stretched."""
    build = posts_set(standing)
    for run in (0, 1):
        standing.record(build, "rounds-laid", run=run, halves=12)
    for step in ("even", "shift"):
        standing.record(build, "step-done", step=step)
    return build


def look(bench: BenchServer, build: str, minutes: int, load: float, posts: float) -> None:
    """Record a look as another bench would."""
    bench.record(
        build,
        "watched",
        step="stretch-bare",
        load=f"{load} lbf +- 4 lbf",
        heard=True,
        posts=f"{posts} in +- 0.002 in",
        stood=f"{minutes} min",
    )


def test_what_is_noted_becomes_a_sentence_and_a_curve(
    standing: BenchServer, open_page: OpenPage, standing_skein: str
) -> None:
    """Load, posts and temperature beside the clock; Enter notes them and lets nothing down."""
    look(standing, standing_skein, 1, 300, 57.9)
    look(standing, standing_skein, 5, 297, 57.899)
    jig = Jig(open_page(standing.url)).open(standing, standing_skein)
    jig.do(re.compile("start the clock"))
    watch = jig.page.get_by_role("region", name="Watch the stretch")
    expect(watch.get_by_text("for each tenfold of the time")).to_be_visible()
    watch.get_by_label("The load now").fill("295 lbf")
    watch.get_by_label("The posts now").fill("57.898 in")
    watch.get_by_label("Temperature").fill("66 degF")
    watch.get_by_label("Temperature").press("Enter")
    expect(watch.get_by_label("The load now")).to_have_value("")
    expect(watch.locator("circle")).to_have_count(6)
    noted = standing.events(standing_skein, "watched")[-1]["body"]
    assert noted["posts"] == "57.898 in"
    assert re.fullmatch(r"\d+ s", noted["stood"])
    assert "heard" not in noted
    assert [] == standing.events(standing_skein, "step-done")[2:]


def test_without_the_posts_it_is_told_what_to_read(
    standing: BenchServer, open_page: OpenPage, standing_skein: str
) -> None:
    """A look without a load is asked for it; loads alone are bench and line together."""
    jig = Jig(open_page(standing.url)).open(standing, standing_skein)
    jig.do(re.compile("start the clock"))
    watch = jig.page.get_by_role("region", name="Watch the stretch")
    watch.get_by_role("button", name="Note it").click()
    expect(watch.get_by_text("Type or hear the load")).to_be_visible()
    watch.get_by_label("The load now").fill("300 lbf")
    watch.get_by_role("button", name="Note it").click()
    expect(watch.get_by_text("One look tells no settling")).to_be_visible()
    standing.record(standing_skein, "watched", step="stretch-bare", load="290 lbf", stood="9 min")
    expect(watch.get_by_text("Bench and line together gave")).to_be_visible()
    expect(watch.get_by_text("to part them read the posts")).to_be_visible()
    watch.get_by_text("What was read").click()
    watch.get_by_role("button", name="Take it back").last.click()
    expect(watch.get_by_text("One look tells no settling")).to_be_visible()


def test_a_look_that_cannot_be_meant_is_refused_in_words(
    standing: BenchServer, open_page: OpenPage, complaints: Complaints, standing_skein: str
) -> None:
    """The travel of the posts instead of their distance: said, and taken back."""
    complaints.forgive("status of 422")
    jig = Jig(open_page(standing.url)).open(standing, standing_skein)
    jig.do(re.compile("start the clock"))
    watch = jig.page.get_by_role("region", name="Watch the stretch")
    watch.get_by_label("The load now").fill("300 lbf")
    watch.get_by_label("The posts now").fill("12 in")
    watch.get_by_role("button", name="Note it").click()
    expect(jig.page.get_by_text("Not kept: the look at 300 lbf")).to_be_visible()
    expect(jig.page.get_by_text("read the whole distance")).to_be_visible()
    jig.choose("Take it back")
    assert [] == standing.events(standing_skein, "watched")
