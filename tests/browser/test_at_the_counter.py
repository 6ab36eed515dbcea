"""A bow taken in at the counter: typed by hand from nothing until it is ready to measure."""

from __future__ import annotations

import hashlib
import io
import re
import urllib.request
from pathlib import Path
from typing import Any

from at_the_counter import Counter, photo_file
from at_the_desk import PATIENCE
from bench_server import BenchServer
from complaints import Complaints, OpenPage
from PIL import Image
from playwright.sync_api import expect

#: What is typed of a line, by the fields of the page.
LINE = {
    "shorthand": "57 1/4: 0-17, 26 3/4-30 1/2, 17-0",
    "loop": "7/8 in",
    "tolerance": "1/16 in",
    "zeroPost": "1/2 in",
    "longest": "120 in",
    "rating": "600 lbf",
}


def fetched(bench: BenchServer, path: str) -> bytes:
    """Give what is answered."""
    with urllib.request.urlopen(bench.url + path) as answer:
        return answer.read()


def opens_the_order(counter: Counter) -> None:
    """Say who came with which bow; what is left out is refused at its field."""
    page = counter.page
    counter.take_in(
        name_you_call_them_by="Ada Reed", number_or_address="01 23 45", what_you_call_it="crag bow",
        lines_to_be_built="three", wished_for_by="2026-12-19", in_their_words="Green, please.",
    )  # fmt: skip
    counter.do("Open the order")
    expect(page.locator("#in-kind-wrong, #in-lines-wrong").first).to_be_visible(timeout=PATIENCE)
    page.get_by_label("kind", exact=True).select_option("two-cam")
    page.get_by_label("lines to be built").fill("1")
    page.get_by_label("draw weight, as they say").fill("60")
    counter.do("Open the order")
    counter.says("the first is: dry-fired")
    counter.shows_one_next_act("Write the look down")
    assert "60 lbf" == counter.stored()["bow"]["draw_weight"]


def looks_it_over(counter: Counter, tmp_path: Path) -> None:
    """Tick all but one, which has a place and a picture; a reload keeps them."""
    page = counter.page
    counter.tick_all(but=("burred peg or track", "other"))
    counter.tick("burred peg or track", "found")
    page.get_by_label("where on the bow").fill("upper wheel")
    page.get_by_label("Take a picture of it").set_input_files(photo_file(tmp_path))
    expect(page.locator(".stop-say img")).to_be_visible(timeout=PATIENCE)
    page.reload()
    expect(page.locator(".stop-say img")).to_be_visible(timeout=PATIENCE)
    expect(page.get_by_label("where on the bow")).to_have_value("upper wheel")
    counter.do("Write the look down")
    counter.says("Before any press")


def measures_it(counter: Counter, tmp_path: Path) -> None:
    """Take a picture and read the figures, one of them wrong at first."""
    page = counter.page
    page.get_by_label("Take pictures").set_input_files(photo_file(tmp_path, "bow.jpg"))
    counter.read(axle_to_axle="32 1/4", brace_height="68 7/8", timing_marks="both on the cable")
    counter.do("Write it down")
    expect(page.locator("#figure-brace_height-wrong")).to_contain_text("between", timeout=PATIENCE)
    expect(page.locator("#figure-brace_height")).to_have_value("68 7/8")
    counter.read(brace_height="6 7/8")
    counter.do("Write it down")
    counter.says("The owner decides about: burred peg or track, upper wheel")


def asks_the_owner(counter: Counter) -> dict[str, Any]:
    """Ask in one call, and write down the answer; give the order as it stands."""
    page = counter.page
    counter.shows_one_next_act("It is asked")
    expect(page.get_by_label("To be asked, all in one call")).to_have_value(re.compile("smooth it"))
    counter.do("It is asked")
    page.get_by_label("What they answered").fill("Smooth it, please.")
    counter.do("Write down the answer")
    counter.says("ready to measure line 1 of 1")
    counter.shows_one_next_act("Measure the line")
    told = counter.stored()
    assert ("go", "take off", "looked at") == (
        told["verdict"]["word"], told["next"]["key"], told["status"],
    )  # fmt: skip
    assert {"axle_to_axle": "32 1/4 in", "brace_height": "6 7/8 in"}.items() <= told["bow"].items()
    return told


def has_its_pictures(bench: BenchServer, told: dict[str, Any]) -> None:
    """Hold each picture to its digest, its size and what left with it."""
    (found,) = [one for row in told["look"] for one in row["found"]]
    for name in (*found["photos"], *told["photos"]):
        content = fetched(bench, f"/api/photos/{name}")
        picture = Image.open(io.BytesIO(content))
        assert hashlib.sha256(content).hexdigest() == name
        # Turned upright by the note that was in it, scaled, and without anything beside it.
        assert ("JPEG", (800, 1600)) == (picture.format, picture.size)
        assert not picture.getexif()


def makes_the_line(counter: Counter, bench: BenchServer, told: dict[str, Any]) -> str:
    """Type the line where customer and bow are filled in; give its job."""
    page = counter.page
    page.get_by_role("link", name="Measure the line", exact=True).last.click()
    expect(page.locator(".of-order")).to_contain_text(told["number"], timeout=PATIENCE)
    expect(page.locator("#new-customer")).to_have_value("Ada Reed")
    expect(page.locator("#new-bowName")).to_have_value("crag bow")
    expect(page.locator(".of-order")).to_contain_text("axle to axle 32 1\u20444 in")
    for field, text in LINE.items():
        page.locator(f"#new-{field}").fill(text)
    for field, choice in {"strand": "hmpe-lcp", "thread": "braid-018"}.items():
        page.locator(f"#new-{field}").select_option(choice)
    page.get_by_role("button", name="Make the line").click()
    strip = page.get_by_role("region", name="The line on its strip")
    expect(strip).to_be_visible(timeout=PATIENCE)
    (job,) = bench.get(f"/api/orders/{told['id']}")["jobs"]
    kept = bench.get(f"/api/jobs/{job['id']}")["job"]
    assert ("Ada Reed", "6 7/8 in") == (kept["customer"], kept["bow"]["brace_height"])
    assert [("burred peg or track", "upper wheel")] == [
        (one["finding"], one["where"]) for one in kept["original"]["stop"]
    ]
    return job["id"]


def is_found_again(counter: Counter, bench: BenchServer, told: dict[str, Any], job: str) -> None:
    """Find the order by its number, on a phone."""
    page = counter.page
    page.goto(f"{bench.url}/#/orders")
    page.get_by_label("Find an order").fill(told["number"].lower())
    expect(page.locator(".order-group li")).to_have_count(1, timeout=PATIENCE)
    page.set_viewport_size({"width": 390, "height": 844})
    page.locator(".order-group li a").click()
    counter.says("Every line has its job")
    expect(page.locator("#lines")).to_contain_text(job)
    assert page.evaluate("document.documentElement.scrollWidth") <= 390


def test_a_bow_is_taken_in_and_made_ready_to_measure(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints, tmp_path
) -> None:
    """From an empty counter: who, which bow, the look, a photo, the figures, one call, the line.

    What is refused stands at its field; what is ticked and not written down outlives a reload.
    """
    complaints.forgive("status of 422")
    counter = Counter(open_page("about:blank"), bench)
    opens_the_order(counter)
    looks_it_over(counter, tmp_path)
    measures_it(counter, tmp_path)
    told = asks_the_owner(counter)
    has_its_pictures(bench, told)
    job = makes_the_line(counter, bench, told)
    is_found_again(counter, bench, told, job)


def test_a_bow_with_a_cracked_limb_is_refused(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints
) -> None:
    """The first thing found that forbids it ends the walk; the words for the owner are there."""
    del complaints
    counter = Counter(open_page("about:blank"), bench)
    page = counter.page
    counter.take_in(
        name_you_call_them_by="Ben Thorn", kind="longbow", what_you_call_it="heath bow",
        made_in_the_year="1962", limbs_of="wood",
    )  # fmt: skip
    counter.do("Open the order")
    expect(page.locator("#who")).to_contain_text("Polyester for this bow", timeout=PATIENCE)
    counter.tick("cracked limb", "found")
    page.get_by_label("where on the bow").fill("lower limb")
    expect(page.get_by_label("what follows")).to_have_value("refuse")
    counter.do("Write the look down")
    counter.says("forbids it: cracked limb, lower limb")
    counter.shows_one_next_act("Refuse the work")
    expect(page.locator("#as-it-came")).to_contain_text("Do not draw this bow")
    expect(page.locator("#figure-draw_weight")).to_have_count(0)
    counter.do("Refuse the work")
    counter.says("the bow goes back as it came")
    counter.do("Hand the bow back")
    counter.do("Close the order")
    counter.says("This order is closed")
    told = counter.stored()
    assert "closed" == told["status"]
    assert "A limb is cracked" in told["refused"]

    page.get_by_text("Everything that happened").click()
    rows = page.locator(".order-log li")
    expect(rows).to_have_count(5, timeout=PATIENCE)
    rows.first.get_by_role("button", name="Take back").click()
    expect(rows.first).to_contain_text("taken back", timeout=PATIENCE)
    assert "handed over" == counter.stored()["status"]


def test_nothing_is_lost_while_the_program_is_silent(
    bench: BenchServer, open_page: OpenPage, complaints: Complaints, tmp_path
) -> None:
    """Ticks, figures and photos made without it are there when it is back, and written once."""
    del complaints
    counter = Counter(open_page("about:blank"), bench)
    page = counter.page
    counter.take_in(name_you_call_them_by="Ada Reed", kind="recurve", what_you_call_it="mere bow")
    counter.do("Open the order")
    counter.says("dry-fired")
    bench.kill()
    counter.tick_all(but=("other",))
    counter.do("Write the look down")
    expect(page.locator("#look .told")).to_contain_text("does not answer", timeout=PATIENCE)
    page.get_by_label("Take pictures").set_input_files(photo_file(tmp_path))
    expect(page.locator("#as-it-came img")).to_be_visible(timeout=PATIENCE)
    counter.read(brace_height="8 3/8 in")
    bench.start()
    page.reload()
    expect(page.locator("#as-it-came img")).to_be_visible(timeout=PATIENCE)
    expect(page.locator("#figure-brace_height")).to_have_value("8 3/8 in")
    counter.do("Write the look down")
    expect(page.locator("#look h2")).to_have_text("Looked over", timeout=PATIENCE)
    counter.do("Write it down")
    counter.says("ready to measure")
    events = bench.get(f"/api/orders/{counter.order}/log.json")["events"]
    assert ["order-opened", "bow-looked-at", "bow-looked-at"] == [
        e["event"]["type"] for e in events
    ]
    assert 1 == len(counter.stored()["photos"])
