"""A crossbow's string with reinforced ends, typed from nothing, built, proved and locked."""

from __future__ import annotations

from at_the_jig import Jig, go_on
from at_the_new_line import NewLine, at_next_act, prove
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import expect


def test_a_crossbow_string_is_typed_and_proved(
    bench: BenchServer, open_page: OpenPage, complaints: list[str]
) -> None:
    """Its middle and the rail's edges are on the strip, and every act leads to the next."""
    new = NewLine(open_page(bench.url), bench)
    new.pick("kind", "crossbow")
    new.pick("which crossbow", "recurve")
    new.pick("strand", "hmpe")
    new.pick("thread of the servings", "braid-026")
    new.page.get_by_label("strands of colour 1").fill("32")
    new.type(shorthand="33 3/8: 0-10 1/2, 10 1/2-0", loop_size="1 1/4 in", draw_weight="175 lbf")
    new.type(diameter_of_the_posts="1/2 in", farthest="120 in", rating="600 lbf")
    new.page.locator("#new-gauge").select_option("load cell")
    new.refuses("width of its rail", "30 in", "must lie between .* and 4 in")
    new.type(width_of_its_rail="1 1/8 in")
    new.refuses("strands laid in", "seven", "must be a whole number")
    new.type(strands_laid_in="16")
    new.makes()
    complaints[:] = [said for said in complaints if "status of 422" not in said]
    expect(new.page.locator(".picture [data-kind=rail]")).to_have_count(3)
    build = new.begin()
    go_on(bench, build, "reinforce")
    jig = Jig(new.page)
    at_next_act(jig, bench, build)
    expect(jig.page.locator(".jig-caution")).to_be_visible()
    jig.do("The strands are laid in and bound")
    expect(jig.page.locator(".jig-act")).not_to_contain_text("laid in and bound")
    jig.shows_saved()
    prove(jig, bench, build)
