"""Details beside the strip: the peep, what is tied on, and the kind of a mark."""

from __future__ import annotations

import pytest
from at_the_desk import PATIENCE, RIDGE, Desk
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import expect
from server_nursery import know_bow


@pytest.fixture(scope="module", autouse=True)
def bow_known() -> None:
    """Spare the servers the bow that a page at rest asks for: the line is looked at here."""
    know_bow(RIDGE)


def test_the_peep_and_the_marks_are_told(bench: BenchServer, open_page: OpenPage) -> None:
    """How it splits and turns, what half turns do, where things lie at brace."""
    desk = Desk(open_page(bench.url), bench).open()
    peep = desk.page.locator('[data-details="peep"]')
    expect(peep).to_contain_text("between spruce and straw", timeout=PATIENCE)
    expect(peep).to_contain_text("half a turn in at lower cam")
    expect(desk.page.locator('[data-details="tying"]')).to_contain_text("peep at brace")
    expect(desk.page.locator('[data-details="marks"]')).to_contain_text("usual")


def test_a_mark_that_is_no_peep_has_no_peep_to_turn(
    bench: BenchServer, open_page: OpenPage
) -> None:
    """Its kind, chosen beside it, counts before its name; taken back, the peep is there again."""
    desk = Desk(open_page(bench.url), bench).open()
    expect(desk.page.locator('[data-details="peep"]')).to_have_count(1, timeout=PATIENCE)
    desk.page.get_by_label("what sits at peep").select_option("other")
    expect(desk.page.locator('[data-details="peep"]')).to_have_count(0, timeout=PATIENCE)
    desk.shows_revision(2)
    desk.button("Undo").click()
    expect(desk.page.locator('[data-details="peep"]')).to_have_count(1, timeout=PATIENCE)
    assert "kind" not in desk.stored()["job"]["line"]["marks"][1]
