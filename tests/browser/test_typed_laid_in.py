"""A longbow's string of two bundles, typed from nothing, laid in, proved and locked."""

from __future__ import annotations

from at_the_jig import Jig, go_on
from at_the_new_line import NewLine, at_next_act, prove
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import expect


def test_a_laid_in_string_is_typed_and_proved(
    bench: BenchServer, open_page: OpenPage, complaints: list[str]
) -> None:
    """The bow's length is enough; slips are told at their fields; every act leads to the next."""
    new = NewLine(open_page(bench.url), bench)
    new.pick("what it is", "laid")
    new.pick("laid of", "2")
    new.pick("kind", "longbow")
    new.pick("strand", "polyester")
    new.pick("thread of the servings", "nylon-017")
    new.page.get_by_label("strands of colour 1").fill("14")
    new.type(loop_size="3 in", draw_weight="45 lbf", brace_height_before="6 1/2 in")
    new.type(draw_length="28 in", nocking_point="1/2 in")
    new.type(diameter_of_the_posts="1/2 in", farthest="120 in", rating="600 lbf")
    new.page.locator("#new-gauge").select_option("load cell")
    new.refuses("length of the bow", "3 in", "must lie between 6 in and 20 ft")
    new.type(length_of_the_bow="68 in")
    new.refuses("lands within", "near", "cannot be read as one number and a unit")
    new.type(lands_within="1/8 in")
    new.makes()
    complaints[:] = [said for said in complaints if "status of 422" not in said]
    job = bench.get(f"/api/jobs/{new.page.url.rpartition('/')[2]}")["job"]
    assert job["line"]["tolerance"] == "1/8 in"
    assert "laid" in job["line"]
    assert [serving["use"] for serving in job["line"]["servings"]] == ["centre"]
    expect(new.page.get_by_role("textbox", name="tolerance")).to_have_value("1/8 in")
    build = new.begin()
    go_on(bench, build, "lay")
    jig = Jig(new.page)
    at_next_act(jig, bench, build)
    expect(jig.page.locator(".jig-arms svg").first).to_be_visible()
    jig.do("This loop is laid and folded")
    expect(jig.page.locator(".jig-act")).not_to_contain_text("This loop is laid and folded")
    jig.shows_saved()
    prove(jig, bench, build)
