"""A new line, from the shorthand of the worn one to the printed sheet."""

from __future__ import annotations

import re
from pathlib import Path

from at_the_desk import PATIENCE, Desk
from bench_server import BenchServer
from complaints import OpenPage
from playwright.sync_api import Dialog, Locator, Page, expect

SHORTHAND = "57 1/4: 0-17, 20 1/2-22 1/4, 26 3/4-30 1/2, 17-0"
HOSTILE = '"><script>alert(1)</script><img src=x onerror=alert(2)>'
#: Turns what follows round where it is shown.
TURNED = "\u202egnirts"


def box(page: Page, label: str) -> Locator:
    """Give a text field by its label's beginning."""
    return page.get_by_role("textbox", name=re.compile("^" + re.escape(label)))


def fill(page: Page, bench: BenchServer, shorthand: str = SHORTHAND) -> None:
    """Fill in a whole new line and its first bench."""
    page.set_default_timeout(PATIENCE)
    page.goto(f"{bench.url}/#/new")
    box(page, "shorthand").fill(shorthand)
    box(page, "loop size").fill("7/8 in")
    page.get_by_role("combobox", name="kind", exact=True).select_option("two-cam")
    box(page, "draw weight").fill("60 lbf")
    choices = bench.get("/api/choices")
    strand = next(one["name"] for one in choices["strands"] if "blend" in one["label"])
    page.get_by_role("combobox", name="strand", exact=True).select_option(strand)
    thread = page.get_by_role("combobox", name="thread of the servings")
    thread.select_option("braid-018")
    box(page, "diameter of the posts").fill("1/2 in")
    box(page, "farthest the posts").fill("120 in")
    box(page, "rating of the weakest").fill("600 lbf")


def make(page: Page) -> None:
    """Press the one next act."""
    page.get_by_role("button", name="Make the line").click()


def test_a_line_goes_from_shorthand_to_its_printed_sheet(
    bench: BenchServer, open_page: OpenPage, tmp_path: Path
) -> None:
    """What is typed becomes a line on its strip, and its sheet is a PDF."""
    page = open_page(bench.url)
    fill(page, bench)
    page.get_by_role("textbox", name="name", exact=True).first.fill("fell bow")
    make(page)
    strip = page.get_by_role("region", name="The line on its strip")
    expect(strip).to_be_visible(timeout=PATIENCE)
    job = page.url.rpartition("/")[2]
    desk = Desk(page, bench, job)
    expect(page.get_by_role("slider")).to_have_count(9 + desk_marks(bench, job), timeout=PATIENCE)
    link = page.get_by_role("link", name="Sheet, PDF")
    with page.context.expect_page() as opened:
        link.click()
    opened.value.close()
    answer = page.request.get(f"{bench.url}{link.get_attribute('href')}")
    assert b"%PDF" == answer.body()[:4]
    with page.expect_download() as fetched:
        page.get_by_role("link", name="Job file").click()
    saved = tmp_path / "job.toml"
    fetched.value.save_as(saved)
    assert "57 1/4" in saved.read_text(encoding="utf-8")
    desk.key("finished length", "58 1/4")
    desk.shows_revision(2)


def desk_marks(bench: BenchServer, job: str) -> int:
    """Give how many marks a job has."""
    return len(bench.get(f"/api/jobs/{job}")["job"]["line"].get("marks", []))


def test_a_refused_line_says_why_at_the_field_and_keeps_what_was_typed(
    bench: BenchServer, open_page: OpenPage, complaints: list[str]
) -> None:
    """A shorthand that cannot be read is mended where it stands, also after a reload."""
    page = open_page(bench.url)
    fill(page, bench, "57 1/4: 0-banana")
    make(page)
    shorthand = box(page, "shorthand")
    expect(shorthand).to_have_attribute("aria-invalid", "true", timeout=PATIENCE)
    expect(shorthand).to_be_focused()
    expect(shorthand).to_have_value("57 1/4: 0-banana")
    expect(page.get_by_role("alert").first).to_contain_text("banana")
    page.reload()
    expect(shorthand).to_have_value("57 1/4: 0-banana")
    expect(box(page, "draw weight")).to_have_value("60 lbf")
    assert [] == bench.get("/api/jobs")["jobs"]
    shorthand.fill(SHORTHAND)
    make(page)
    expect(page.get_by_role("region", name="The line on its strip")).to_be_visible(timeout=PATIENCE)
    complaints[:] = [said for said in complaints if "status of 422" not in said]


def test_an_id_that_is_taken_is_told_at_its_field(
    bench: BenchServer, open_page: OpenPage, complaints: list[str]
) -> None:
    """A second line under the same id does not overwrite the first, and says what to do."""
    bench.post("/api/jobs", {"example": "RIDGE-1"})
    page = open_page(bench.url)
    fill(page, bench)
    id = box(page, "id of the job")
    id.fill("RIDGE-1")
    make(page)
    expect(id).to_have_accessible_description(re.compile("give this one another id"))
    expect(id).to_have_value("RIDGE-1")
    assert 1 == bench.get("/api/jobs/RIDGE-1")["revision"]
    complaints[:] = [said for said in complaints if "status of 409" not in said]


def test_turned_round_names_are_refused_at_the_door(
    bench: BenchServer, open_page: OpenPage, complaints: list[str]
) -> None:
    """What would turn the writing round it is told at its field and stays typed there."""
    page = open_page(bench.url)
    fill(page, bench)
    name = box(page, "name of the job")
    name.fill(TURNED)
    make(page)
    expect(name).to_have_attribute("aria-invalid", "true", timeout=PATIENCE)
    expect(name).to_have_accessible_description(re.compile("U\\+202E; type it again"))
    expect(name).to_have_value(TURNED)
    assert [] == bench.get("/api/jobs")["jobs"]
    name.fill("fell string")
    box(page, "id of the job").fill("FELL-1")
    make(page)
    desk = Desk(page, bench, "FELL-1")
    expect(desk.strip).to_be_visible(timeout=PATIENCE)
    for label in ("customer", "name of serving 1", "name of the zero end"):
        desk.key(label, TURNED)
        expect(desk.field(label)).to_have_accessible_description(re.compile("U\\+202E"))
        desk.shows(label, TURNED)
    assert 1 == desk.stored()["revision"]
    complaints[:] = [said for said in complaints if "status of 422" not in said]


def test_hostile_names_are_text_on_every_screen(bench: BenchServer, open_page: OpenPage) -> None:
    """Markup and turned-round writing in names are shown as typed and run nowhere."""
    page = open_page(bench.url)
    asked: list[str] = []

    def answer(dialog: Dialog) -> None:
        asked.append(dialog.message)
        dialog.dismiss()

    page.on("dialog", answer)
    fill(page, bench)
    box(page, "name of the job").fill(HOSTILE)
    box(page, "customer").fill(HOSTILE)
    box(page, "id of the job").fill("FELL-1")
    make(page)
    desk = Desk(page, bench, "FELL-1")
    desk.shows("name of the job", HOSTILE)
    desk.key("name of serving 1", HOSTILE)
    desk.shows_revision(2)
    desk.key("name of the zero end", HOSTILE)
    desk.shows_revision(3)
    desk.shows("name of serving 1", HOSTILE)
    build = begin(bench, "FELL-1")
    bench.record(build, "noted", text=HOSTILE + TURNED)
    for screen in ("#/", "#/done", "#/bench", "#/new"):
        page.goto(f"{bench.url}/{screen}")
        expect(page.get_by_role("heading", level=1).first).to_be_visible()
        if screen in ("#/", "#/done"):
            expect(page.get_by_role("heading", name=HOSTILE)).to_be_visible(timeout=PATIENCE)
    assert 0 == page.locator("main img, main script").count()
    assert [] == asked


def begin(bench: BenchServer, job: str) -> str:
    """Begin a build of a kept job; gives the build."""
    build = "0123456789abcdef" * 2
    sent = {"build": build, "event": "f" * 32, "at": "2026-11-25T13:00:00Z", "by": HOSTILE}
    bench.post(f"/api/jobs/{job}/builds", sent)
    return build


def test_another_line_for_a_bow_begins_with_what_is_known_of_it(
    bench: BenchServer, open_page: OpenPage
) -> None:
    """From a kept line's page: its bow is filled in, can be changed, and goes along whole."""
    bench.post("/api/jobs", {"example": "RIDGE-1"})
    page = open_page(f"{bench.url}/#/line/RIDGE-1")
    page.set_default_timeout(PATIENCE)
    page.get_by_role("link", name="Another line for this bow").click()
    known = page.get_by_role("combobox", name="a bow that was here before")
    expect(known).to_have_value("job RIDGE-1")
    expect(box(page, "draw weight")).to_have_value("60 lbf")
    expect(page.locator(".bow-choice")).to_contain_text("axle to axle 33 in")
    assert page.url.endswith("#/new")
    box(page, "draw weight").fill("58 lbf")
    known.select_option("")
    expect(box(page, "draw weight")).to_have_value("")
    known.select_option("job RIDGE-1")
    expect(box(page, "draw weight")).to_have_value("58 lbf")
    page.set_viewport_size({"width": 390, "height": 844})
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    with page.expect_request("**/from-shorthand") as sent:
        make_rest(page, bench)
    body = sent.value.post_data_json
    assert body is not None
    bow = body["bow"]
    kept = bench.get("/api/jobs/RIDGE-1")["job"]["bow"]
    assert bow == kept | {"draw_weight": "58 lbf"}


def make_rest(page: Page, bench: BenchServer) -> None:
    """Type what is not of the bow and press the one next act."""
    box(page, "shorthand").fill(SHORTHAND)
    box(page, "loop size").fill("7/8 in")
    strand = bench.get("/api/choices")["strands"][0]["name"]
    page.get_by_role("combobox", name="strand", exact=True).select_option(strand)
    page.get_by_role("combobox", name="thread of the servings").select_option("braid-018")
    box(page, "diameter of the posts").fill("1/2 in")
    box(page, "farthest the posts").fill("120 in")
    box(page, "rating of the weakest").fill("600 lbf")
    make(page)
