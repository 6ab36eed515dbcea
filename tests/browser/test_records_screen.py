"""The records' screen: backups by its terms, a drill, and a list looked at before it is kept."""

from __future__ import annotations

import shutil
from pathlib import Path

from bench_server import BenchServer
from complaints import Complaints, OpenPage
from playwright.sync_api import expect


def test_backups_are_set_up_taken_and_drilled(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints, tmp_path: Path
) -> None:
    """From the shop's page: a folder, one taken now, the drill's words; then its disk is gone."""
    complaints.forgive("status of 422")
    folder = tmp_path / "backups"
    folder.mkdir()
    page = open_page(bench.url)
    page.goto(f"{bench.url}/#/shop")
    page.get_by_role("link", name="Records and backups").click()
    expect(page.get_by_text("No backup is taken yet")).to_be_visible()
    page.get_by_label("Folder").fill(str(folder))
    page.get_by_role("button", name="Take backups there").click()
    take = page.get_by_role("button", name="Take a backup now")
    expect(take).to_have_class("act next")
    take.click()
    expect(page.get_by_text("The last good backup was taken on")).to_be_visible()
    assert len(list(folder.iterdir())) == 1
    page.get_by_role("button", name="Drill the newest").click()
    drill = page.get_by_label("The last drill")
    expect(drill).to_have_attribute("data-proved", "proved")
    expect(drill).to_contain_text("came back the same")
    expect(page.locator(".next")).to_have_count(0)
    shutil.rmtree(folder)
    with page.expect_response("**/backups/now"):
        take.click()
    expect(page.get_by_role("alert")).to_contain_text("failed")
    expect(page.get_by_role("alert")).to_contain_text("The last good backup was taken on")


def test_a_list_is_looked_at_renamed_and_kept(
    bench: BenchServer, open_page: OpenPage, tmp_path: Path
) -> None:
    """A header of another program is told apart; nothing is kept before it is asked for."""
    page = open_page(bench.url)
    page.goto(f"{bench.url}/#/records")
    path = tmp_path / "list.csv"
    path.write_text("Full name,phone\r\nMara Holt,+49 30 1\r\n", encoding="utf-8")
    page.get_by_label("File").set_input_files(path)
    expect(page.get_by_text("1 row of customers: 1 refused.")).to_be_visible()
    page.set_viewport_size({"width": 360, "height": 800})
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.get_by_label("Full name").select_option("name")
    keep = page.get_by_role("button", name="Keep 1 row")
    expect(keep).to_have_class("act next")
    before = bench.get("/api/hello")["mark"]
    keep.click()
    expect(page.get_by_text("Kept: 1 record.")).to_be_visible()
    assert before < bench.get("/api/hello")["mark"]
    again = path.with_name("again.csv")
    again.write_bytes(path.read_bytes())
    page.get_by_label("File").set_input_files(again)
    page.get_by_label("Full name").select_option("name")
    expect(page.get_by_text("1 row of customers: 1 the same as kept.")).to_be_visible()
    expect(page.get_by_text("There is nothing to be kept.")).to_be_visible()
