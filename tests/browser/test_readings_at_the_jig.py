"""Readings at the jig: they correct the plan and say why, they are questioned, they end a build."""

from __future__ import annotations

import re

import pytest
from at_the_jig import Jig, posts_set, slashed
from bench_server import BenchServer
from complaints import Complaints, OpenPage
from playwright.sync_api import expect


@pytest.fixture
def stretched(standing: BenchServer) -> str:
    """Give a build that is wound and stretched long ago, at its bare reading."""
    build = posts_set(standing)
    for run in (0, 1):
        standing.record(build, "rounds-laid", run=run, halves=12)
    for step in ("even", "shift"):
        standing.record_long_ago(build, "step-done", step=step)
    standing.record_long_ago(build, "step-done", step="stretch-bare")
    return build


def test_a_reading_corrects_the_plan_and_says_why(
    standing: BenchServer, open_page: OpenPage, stretched: str
) -> None:
    """A skein that reads long bedded in more: what moved stands there, and the turns change."""
    before = standing.get(f"/api/builds/{stretched}")["turns"]["wanted"]
    jig = Jig(open_page(standing.url)).open(standing, stretched)
    jig.type("The tape reads", "57 11/16")
    jig.do("This is what it reads")
    moved = re.compile(r"bedding-in is 0\.\d+\s±\s0\.\d+\s%, not")
    expect(jig.page.get_by_text(moved)).to_be_visible()
    expect(jig.page.get_by_text(re.compile(r"turns more$"))).to_be_visible()
    assert standing.get(f"/api/builds/{stretched}")["turns"]["wanted"] > before + 1
    jig.do(re.compile("Go on: Slide the loops onto the straight"))
    jig.shows_title("Slide the loops onto the straight")


def test_a_surprising_reading_is_questioned_until_it_is_read_again(
    standing: BenchServer, open_page: OpenPage, stretched: str
) -> None:
    """It does not count before the technician's second look."""
    jig = Jig(open_page(standing.url)).open(standing, stretched)
    jig.type("The tape reads", "58 1/4 in")
    jig.do("This is what it reads")
    jig.shows_title("That reading surprises")
    assert [False] == [r["counts"] for r in standing.get(f"/api/builds/{stretched}")["readings"]]
    jig.do("Read it again")
    jig.type("The tape reads", "57 5/8")
    jig.do("This is what it reads")
    expect(jig.page.locator(".jig-huge")).to_have_text(slashed("57 5/8 in"))
    assert [True] == [r["counts"] for r in standing.get(f"/api/builds/{stretched}")["readings"]]


def test_nonsense_is_told_at_the_field_and_stays_there(
    standing: BenchServer, open_page: OpenPage, complaints: Complaints, stretched: str
) -> None:
    """What cannot be read as a length is refused in words, and what was typed is not lost."""
    complaints.forgive("status of 422")
    jig = Jig(open_page(standing.url)).open(standing, stretched)
    jig.type("The tape reads", "fifty-seven and a bit")
    jig.do("This is what it reads")
    expect(jig.page.get_by_text("fifty-seven and a bit").first).to_be_visible()
    assert [] == standing.events(stretched, "length-read")


def test_a_whole_build_ends_proved_with_its_tag(
    standing: BenchServer, open_page: OpenPage, stretched: str
) -> None:
    """From the bare reading by the screen's own words to a locked, logged, proved line."""
    jig = Jig(open_page(standing.url)).open(standing, stretched)
    _read_as_expected(jig, standing, stretched)
    standing.record(stretched, "step-done", step="loops")
    _turn(standing, stretched)
    _read_as_expected(jig, standing, stretched)
    _turn(standing, stretched)
    standing.record_long_ago(stretched, "step-done", step="stretch-twisted")
    _read_as_expected(jig, standing, stretched)
    _turn(standing, stretched)
    standing.record_long_ago(stretched, "step-done", step="serve")
    jig.page.reload()
    jig.read_the_news()
    jig.type("The tape reads", "57 1/4")
    jig.do("This is what it reads")
    expect(jig.page.locator(".jig-verdict")).to_contain_text("accept")
    jig.do(re.compile("^Go on"))
    jig.do(re.compile("[Ll]ock"))
    expect(jig.page.locator(".jig[data-step=over]")).to_be_visible()
    jig.shows_saved()
    expect(jig.page.get_by_text("proved").first).to_be_visible()
    assert "proved" == standing.get(f"/api/builds/{stretched}")["verdict"]
    tag = jig.page.context.request.get(f"{standing.url}/api/builds/{stretched}/tag.pdf")
    assert tag.body().startswith(b"%PDF")


def _read_as_expected(jig: Jig, bench: BenchServer, build: str) -> None:
    """Type what the plan expects, by the screen."""
    jig.page.reload()
    jig.read_the_news()
    expected = bench.get(f"/api/builds/{build}")["act"]["ask"]["expected_text"].split(" ±")[0]
    jig.type("The tape reads", expected)
    jig.do("This is what it reads")
    jig.do(re.compile("^Go on"))


def _turn(bench: BenchServer, build: str) -> None:
    """Put in the turns that are wanted now, if any."""
    act = bench.get(f"/api/builds/{build}")["act"]
    if act["key"] == "twist":
        bench.record_long_ago(build, "turned", turns=act["turns"])
