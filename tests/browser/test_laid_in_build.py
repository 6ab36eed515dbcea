"""A laid-in string in the app: chosen, cut and counted on the board, laid, and proved."""

from __future__ import annotations

import re

from at_the_jig import Jig, go_on, slashed
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import expect

HEATH = {"example": "HEATH-1"}


def test_a_laid_in_string_goes_from_the_board_to_its_proof(
    standing: BenchServer, open_page: OpenPage
) -> None:
    """Strands counted one by one, both loops laid by their pictures, read, twisted, proved."""
    build = standing.begin(HEATH)
    jig = Jig(open_page(standing.url)).open(standing, build)
    jig.shows_title("Set the pegs")
    jig.do("The pegs stand so")
    jig.shows_title("Cut bundle 1")
    jig.wind(1)
    expect(jig.page.get_by_text(slashed("cut the next to 81 3/4 in"))).to_be_visible()
    jig.wind(6)
    jig.shows_title("Cut bundle 2")
    jig.shows_count("0", "7")
    expect(jig.page.locator(".jig-warn")).to_contain_text("Cut bundle 2, oat")
    jig.wind(7)
    jig.shows_title("The bundles are cut")
    jig.do(re.compile("Go on: Wax each bundle"))
    jig.do("The bundles are waxed and marked")
    jig.shows_title("Lay the first loop: upper limb")
    expect(jig.page.locator(".jig-arms svg")).to_have_count(1)
    jig.do("This loop is laid and folded")
    jig.do("Both tails are married in")
    jig.do("The bodies are free of turns")
    jig.shows_title("Lay the second loop: lower limb")
    expect(jig.page.locator(".jig-arms svg")).to_have_count(1)
    assert [1] * 14 == [e["body"]["halves"] for e in standing.events(build, "rounds-laid")]
    go_on(standing, build, "proof")
    asked = standing.get(f"/api/builds/{build}")["act"]["headline"]
    jig.page.reload()
    jig.read_the_news()
    jig.type("The tape reads", asked)
    jig.do("This is what it reads")
    expect(jig.page.locator(".jig-verdict")).to_contain_text("accept")
    jig.do(re.compile("^Go on"))
    jig.do(re.compile("[Ll]ock"))
    expect(jig.page.locator(".jig[data-step=over]")).to_be_visible()
    jig.shows_saved()
    expect(jig.page.get_by_text("proved").first).to_be_visible()
    assert standing.get(f"/api/builds/{build}")["verdict"] == "proved"


def test_a_string_is_laid_in_and_wound_again_on_its_page(
    standing: BenchServer, open_page: OpenPage
) -> None:
    """Bundles and married parts are keyed in place; the facts follow."""
    standing.begin(HEATH)
    page = open_page(f"{standing.url}/#/line/HEATH-1")
    facts = page.get_by_text(slashed("strands, the longest cut 82 1/2 in"))
    expect(facts).to_be_visible()
    page.get_by_role("combobox", name="bundles").select_option("3")
    expect(page.get_by_text("4 + 5 + 5")).to_be_visible()
    page.get_by_role("button", name="Wind it instead").click()
    expect(page.get_by_role("button", name="Lay it in by hand")).to_be_visible()
    page.get_by_role("button", name="Lay it in by hand").click()
    expect(page.get_by_text("7 + 7")).to_be_visible()
