"""The sheet as it comes off the printer: numbers, scale, code, pages."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable, Iterator
from functools import cache
from importlib.resources import files
from io import BytesIO
from pathlib import Path
from typing import Any, cast

import numpy as np
import pytest
from paper_reading import printed, records
from PIL import Image
from pypdf import PdfReader
from pypdf.generic import DictionaryObject
from sample_plan import HOSTILE, job_table, named_table, plan_of, sample_plan

from strandwright.planning.plan_line import plan_line
from strandwright.planning.result import Plan
from strandwright.sheets import render_sheet, sheet_data, write_sheet
from strandwright.sheets.data import TEMPLATE
from strandwright.workshop.job import Paper, read_job

PAPERS = [("in", "letter"), ("mm", "letter"), ("in", "a4"), ("mm", "a4")]
KINDS = {"value", "count", "setting", "identifier", "tolerance", "caution limit"}
DPI = 300

Tool = Callable[[str], str]


@cache
def two_cam_data(units: str = "in", size: str = "letter") -> dict[str, Any]:
    """Give the data of the two-cam string's sheet; tests only look at them."""
    return sheet_data(sample_plan(units, size))


@cache
def two_cam_sheet(units: str = "in", size: str = "letter") -> bytes:
    """Set the two-cam string's sheet: once for all who look at the same."""
    return render_sheet(two_cam_data(units, size))


@cache
def packaged(name: str, size: str) -> Plan:
    """Plan a packaged line for a size of paper."""
    example = files("strandwright") / "examples" / f"{name}.toml"
    job = read_job(example.read_text(encoding="utf-8"))
    return plan_line(job.model_copy(update={"paper": Paper(size=size)}))  # pyright: ignore[reportArgumentType]


@cache
def packaged_data(name: str, size: str) -> dict[str, Any]:
    """Give the data of a packaged line's sheet; tests only look at them."""
    return sheet_data(packaged(name, size))


@cache
def packaged_sheet(name: str, size: str) -> bytes:
    """Set a packaged line's sheet: once for all who look at the same."""
    return render_sheet(packaged_data(name, size))


ONE_CAM = "scree-string"


@cache
def rows_of(pdf: bytes, tool: str, page: int) -> np.ndarray:
    """Raster one page to grey, shape (rows, columns)."""
    pages = ["-f", str(page), "-l", str(page)]
    done = subprocess.run(
        [tool, "-r", str(DPI), "-gray", *pages, "-"], input=pdf, capture_output=True, check=True
    )
    return np.asarray(Image.open(BytesIO(done.stdout)), dtype=float)


def centres(dark: np.ndarray) -> np.ndarray:
    """Give the weighted middle of each run of darkness along a line of pixels."""
    marked = np.flatnonzero(dark > 40.0)
    runs = np.split(marked, np.flatnonzero(np.diff(marked) > 1) + 1)
    return np.array([np.average(run, weights=dark[run]) for run in runs])


@pytest.mark.parametrize(("units", "size"), PAPERS)
def test_every_number_of_the_data_is_on_the_paper(
    units: str, size: str, need_tool: Tool
) -> None:
    """Each record's text is found in the PDF's text, and each record is typed."""
    data = two_cam_data(units, size)
    text = printed(two_cam_sheet(units, size), need_tool("pdftotext"))
    found = list(records(data))
    assert len(found) > 150
    missing = [r["text"] for r in found if " ".join(r["text"].split()) not in text]
    # A reading of a bundle that never hangs slack, a shift of nothing: not worth ink.
    unused = {"0 passes", data["winding"]["shift"]["text"], data["winding"]["slack"]["text"]}
    assert set(missing) <= unused | _alternatives(data)


def test_every_number_of_the_one_cam_string_is_on_the_paper(need_tool: Tool) -> None:
    """The same for the packaged one-cam string, on five pages: its route, tables, peep, gauges."""
    data, pdf = packaged_data(ONE_CAM, "letter"), packaged_sheet(ONE_CAM, "letter")
    text = printed(pdf, need_tool("pdftotext"))
    missing = {r["text"] for r in records(data) if " ".join(r["text"].split()) not in text}
    assert missing <= {"0 passes", data["winding"]["slack"]["text"]} | _alternatives(data)
    assert len(PdfReader(BytesIO(pdf)).pages) <= 5


def _alternatives(data: dict[str, Any]) -> set[str]:
    """Give numbers that stand by only for the other half of an either-or on the page."""
    rows = data["readings"]["rows"]
    return {row["buys"]["text"] for row in rows if not row["helps"] or row["key"] == "proof"}


@pytest.mark.parametrize(("units", "size"), PAPERS)
def test_each_record_is_typed(units: str, size: str) -> None:
    """Kind, text, SI value and unit are there; only values carry an uncertainty."""
    for found in records(two_cam_data(units, size)):
        assert found["kind"] in KINDS
        assert found["text"]
        if found["kind"] == "identifier":
            assert found["si"] == found["text"]
        else:
            assert np.isfinite(found["si"])
        assert ("u" in found) == (found["kind"] == "value")


LONGEST = [("crag-upper-cable", 6), ("gill-string", 6), ("heath-string", 6)]
LONG = [("quarry-crossbow-string", 6), ("ridge-string", 5), ("beck-string", 5)]


@pytest.mark.parametrize("size", ["letter", "a4"])
@pytest.mark.parametrize(("name", "most"), LONGEST + LONG)
def test_packaged_sheets_are_few_pages_and_none_is_nearly_empty(
    name: str, most: int, size: str
) -> None:
    """Lines of other makings take a page more; each page has its fill of text."""
    pages = PdfReader(BytesIO(packaged_sheet(name, size))).pages
    assert len(pages) <= most
    assert all(len(page.extract_text()) > 500 for page in pages)


@pytest.mark.parametrize("size", ["letter", "a4"])
@pytest.mark.parametrize("cams", ["two", "one"])
def test_the_inch_edge_is_true(cams: str, size: str, need_tool: Tool) -> None:
    """Ten inches on paper are ten inches within 0.1 %, tick centre to tick centre."""
    pdf = two_cam_sheet("in", size) if cams == "two" else packaged_sheet(ONE_CAM, size)
    pages = len(PdfReader(BytesIO(pdf)).pages)
    grey = rows_of(pdf, need_tool("pdftoppm"), pages)
    edge = round(0.5 * DPI)
    # Just inside the edge every sixteenth has its tick; the heaviest column is the edge itself.
    ticks = centres(255.0 - grey[:, edge + 8 : edge + 16].mean(axis=1))
    ticks = ticks[ticks < 0.4 * DPI + 10.02 * DPI]
    assert len(ticks) == 161
    assert ticks[-1] - ticks[0] == pytest.approx(10 * DPI, rel=1e-3)
    assert np.diff(ticks) == pytest.approx(np.full(160, DPI / 16), abs=0.6)


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_the_check_bar_is_true(size: str, need_tool: Tool) -> None:
    """The bar that proves the printer's scale measures 6.000 in within 0.1 %."""
    pdf = two_cam_sheet("in", size)
    pages = len(PdfReader(BytesIO(pdf)).pages)
    grey = rows_of(pdf, need_tool("pdftoppm"), pages)
    longest = max(_runs_of(255.0 - grey[: 2 * DPI]), default=0.0)
    assert longest == pytest.approx(6 * DPI, rel=1e-3)


def _runs_of(dark: np.ndarray) -> Iterator[float]:
    """Give the covered length of the longest dark stretch of each row, by area."""
    for row in dark:
        solid = np.flatnonzero(row > 200.0)
        for run in np.split(solid, np.flatnonzero(np.diff(solid) > 1) + 1):
            if len(run) > 5 * DPI:
                # Half a tick of 0.4 pt stands out at each end of the bar's middle rows.
                yield float(row[run[0] - 2 : run[-1] + 3].sum() / row[run].max()) - 0.4 * DPI / 72


def test_the_code_leads_back_to_the_plan(need_tool: Tool, tmp_path: Path) -> None:
    """The printed code is read by a scanner as job and plan."""
    plan = sample_plan()
    pdf = tmp_path / "sheet.pdf"
    write_sheet(plan, pdf)
    subprocess.run(
        [need_tool("pdftoppm"), "-r", "150", "-l", "1", "-png", pdf, tmp_path / "page"], check=True
    )
    page = next(tmp_path.glob("page*.png"))
    done = subprocess.run(
        [need_tool("zbarimg"), "--raw", "-q", page], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == f"strandwright job {plan.job.id} plan {plan.id}"


@pytest.mark.parametrize(("units", "size"), PAPERS)
def test_pages_are_few_of_the_right_size_and_not_to_be_scaled(units: str, size: str) -> None:
    """Five pages at most, of the paper asked for, to be printed at true size."""
    reader = PdfReader(BytesIO(two_cam_sheet(units, size)))
    assert 1 < len(reader.pages) <= 5
    wide, tall = {"letter": (612.0, 792.0), "a4": (595.28, 841.89)}[size]
    for page in reader.pages:
        assert float(page.mediabox.width) == pytest.approx(wide, abs=0.01)
        assert float(page.mediabox.height) == pytest.approx(tall, abs=0.01)
    preferences = cast(DictionaryObject, reader.root_object["/ViewerPreferences"])
    assert preferences["/PrintScaling"] == "/None"
    assert preferences["/Direction"] == "/L2R"


def test_only_our_fonts_are_used(tmp_path: Path) -> None:
    """Every glyph, the drawing's too, comes from the packaged family."""
    pdf = tmp_path / "sheet.pdf"
    write_sheet(sample_plan(), pdf)
    fonts = {
        str(font.get_object()["/BaseFont"])
        for page in PdfReader(pdf).pages
        for font in cast(DictionaryObject, page["/Resources"]).get("/Font", {}).values()
    }
    assert fonts
    assert all(re.fullmatch(r"/[A-Z]{6}\+Inter-\w+(-Identity-H)?", name) for name in fonts)


@pytest.mark.parametrize("text", [HOSTILE, "averylongname" * 9 + " and more"])
def test_what_people_write_is_printed_as_written(text: str, need_tool: Tool) -> None:
    """Markup in a name is text; it runs no code, turns no number round and prints in full."""
    plan = plan_of(named_table(text))
    data = sheet_data(plan)
    page = printed(render_sheet(data), need_tool("pdftotext"))
    bare = page.replace(" ", "").replace("\u200b", "")
    shown = "".join(data["job"]["name"].split())
    assert shown in bare
    assert "\u202e" not in data["strip"]["svg"]
    for name in ("length", "tolerance", "turns"):
        assert data["summary"][name]["text"] in page


def test_a_step_is_read_at_arms_length() -> None:
    """The template sets each step's number to act on in 20 pt or more."""
    template = Path(__file__).parents[3] / "src/strandwright/sheets/templates" / f"{TEMPLATE}.typ"
    sizes = re.findall(r"if long \{ 13pt \} else \{ (\d+)pt \}", template.read_text("utf-8"))
    assert sizes
    assert all(int(size) >= 20 for size in sizes)


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_a_caution_is_told_in_full_on_each_page_that_heeds_it(size: str, need_tool: Tool) -> None:
    """Once in full where a page first comes to it; then by its letter, never by that alone."""
    data = two_cam_data("in", size)
    texts = {c["mark"]: _plain(c["text"]) for s in data["steps"] for c in s["cautions"]}
    pages = printed_pages(two_cam_sheet("in", size), need_tool("pdftotext"))
    heeded = 0
    for page in pages:
        for mark in filter(None, texts):
            again = page.count(f"Caution {mark} again: ")
            in_full = page.count(f"Caution {mark}. {texts[mark]}")
            assert in_full == (1 if again else in_full) <= 1
            heeded += in_full + again
    marked = [c for s in data["steps"] for c in s["cautions"] if c["mark"]]
    assert heeded == len(marked) > 5
    rest = [_plain(c["text"]) for s in data["steps"] for c in s["cautions"] if not c["mark"]]
    assert all(" ".join(pages).count(text) == 1 for text in rest)


def printed_pages(pdf: bytes, tool: str) -> list[str]:
    """Read each page as running text, column by column."""
    done = subprocess.run([tool, "-raw", "-", "-"], input=pdf, capture_output=True, check=True)
    pages = done.stdout.decode().split("\f")
    # The letter stands in a box of its own, so a reader hears a space before the full stop.
    return [" ".join(page.split()).replace(" . ", ". ") for page in pages]


def _plain(parts: list[Any]) -> str:
    """Join prose as it is printed."""
    return "".join(part if isinstance(part, str) else part["text"] for part in parts)


@pytest.mark.parametrize("size", ["letter", "a4"])
def test_the_steps_come_in_order_down_the_columns(size: str, need_tool: Tool) -> None:
    """Every step stands on the paper, and none before the one it follows."""
    data = packaged_data(ONE_CAM, size)
    text = " ".join(printed_pages(packaged_sheet(ONE_CAM, size), need_tool("pdftotext")))
    at = text.index("The route")
    for step in data["steps"]:
        at = text.index(_plain(step["headline"]), at)
    assert at > 0


def test_a_sheet_of_the_first_layout_prints_in_it() -> None:
    """Stored data that name it, and know nothing of cautions told apart, are set by it."""
    data = two_cam_data()
    steps = [{k: v for k, v in s.items() if k != "cautions"} for s in data["steps"]]
    kept = data | {"template": "sheet_1", "steps": steps}
    assert render_sheet(kept) == render_sheet(data | {"template": "sheet_1"})
    assert render_sheet(kept) != two_cam_sheet()


def test_a_third_colour_and_a_fifth_serving_still_print(need_tool: Tool) -> None:
    """A job with more of everything prints every colour, serving and step."""
    colours = [
        {"name": name, "colour": colour, "strands": 8}
        for name, colour in (("moss", "#5B6B2F"), ("bone", "#E9E2D0"), ("rust", "#8A3B1E"))
    ]
    table = job_table()
    table["makeup"] = table["makeup"] | {"colours": colours, "pattern": "thirds"}
    plan = plan_of(table)
    page = printed(render_sheet(sheet_data(plan)), need_tool("pdftotext"))
    for run in plan.winding.runs:
        assert run.name in page
    for step in plan.steps:
        assert " ".join(step.title.split()) in page
