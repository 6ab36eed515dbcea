"""The label of a bow: true to size, read by a scanner, and all of it on the label."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from io import BytesIO
from typing import cast

import pytest
from paper_reading import printed
from pypdf import PdfReader
from pypdf.generic import DictionaryObject

from order_events import opened, state_of
from strandwright.errors import LimitError
from strandwright.sheets.label import LARGEST, SMALLEST, LabelSize, label_data, render_label
from strandwright.workshop.customer import Customer

ORDER = "12345678" + "0" * 24
STATE = state_of(opened(wished_by="2026-12-19"))
ADA = Customer(name="Ada Reed")
SIZES = [None, SMALLEST, LabelSize(0.1, 0.05), LabelSize(0.05, 0.08), LARGEST]
Tool = Callable[[str], str]


@pytest.mark.parametrize("size", SIZES)
def test_a_label_is_one_page_of_its_size_not_to_be_scaled(size, need_tool: Tool, tmp_path):
    """As a printer's program measures it, to a tenth of a millimetre."""
    pdf = tmp_path / "label.pdf"
    pdf.write_bytes(render_label(label_data(ORDER, STATE, ADA, size)))
    told = subprocess.run(
        [need_tool("pdfinfo"), pdf], capture_output=True, text=True, check=True
    ).stdout
    assert ["1"] == re.findall(r"Pages:\s+(\d+)", told)
    ((wide, tall),) = re.findall(r"Page size:\s+([\d.]+) x ([\d.]+)", told)
    wanted = size or LabelSize(0.062, 0.029)
    assert float(wide) / 72 * 25.4 == pytest.approx(1e3 * wanted.width, abs=0.1)
    assert float(tall) / 72 * 25.4 == pytest.approx(1e3 * wanted.height, abs=0.1)
    preferences = cast(DictionaryObject, PdfReader(pdf).root_object["/ViewerPreferences"])
    assert preferences["/PrintScaling"] == "/None"


@pytest.mark.parametrize("size", SIZES)
def test_the_code_says_the_number(size, need_tool: Tool, tmp_path):
    """At the resolution of a label printer, 300 points to the inch."""
    pdf = tmp_path / "label.pdf"
    pdf.write_bytes(render_label(label_data(ORDER, STATE, ADA, size)))
    subprocess.run(
        [need_tool("pdftoppm"), "-r", "300", "-png", pdf, tmp_path / "label"], check=True
    )
    (page,) = tmp_path.glob("label*.png")
    done = subprocess.run(
        [need_tool("zbarimg"), "--raw", "-q", page], capture_output=True, text=True, check=True
    )
    assert "strandwright order 28T5CY" == done.stdout.strip()


def test_a_label_says_whose_what_and_by_when(need_tool: Tool):
    """In words, number first."""
    text = printed(render_label(label_data(ORDER, STATE, ADA)), need_tool("pdftotext"))
    assert text.startswith("28T5CY")
    for said in ("Ada Reed", "crag bow, two-cam", "3 lines", "by 2026-12-19", "came 2026-11-28"):
        assert said in text


def test_long_names_are_cut_where_the_room_ends(need_tool: Tool):
    """On their one line; the rest of the label stays."""
    long = Customer(name="Adalbert Reedmaker-Longname of Thornhill by the River")
    text = printed(render_label(label_data(ORDER, STATE, long)), need_tool("pdftotext"))
    assert "…" in text
    assert "came 2026-11-28" in text
    assert "Thornhill" not in text


def test_what_is_typed_is_never_markup(need_tool: Tool):
    """A name of signs is printed as signs."""
    odd = Customer(name='#panic() $x$ *b* "q"')
    text = printed(render_label(label_data(ORDER, STATE, odd)), need_tool("pdftotext"))
    assert "#panic() $x$" in text


def test_nobodys_label_has_no_name():
    """A customer that is not kept any more leaves the number."""
    data = label_data(ORDER, state_of(opened(wished_by=None)), None)
    assert ("", "") == (data["customer"], data["wished_by"]["text"])
    assert 1 == len(PdfReader(BytesIO(render_label(data))).pages)


def test_the_same_order_gives_the_same_bytes():
    """Printed again it is the same label."""
    data = label_data(ORDER, STATE, ADA)
    assert render_label(data) == render_label(data)


@pytest.mark.parametrize(
    "size", [LabelSize(0.03, 0.029), LabelSize(0.062, 0.3), LabelSize(float("nan"), 0.029)]
)
def test_a_size_that_no_label_has_is_refused(size):
    """Nothing on it could be read."""
    with pytest.raises(LimitError, match="measure the label"):
        label_data(ORDER, STATE, ADA, size)
