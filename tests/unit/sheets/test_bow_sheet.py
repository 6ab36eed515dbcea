"""The bow's page for the tuning bench: every number on it, one page, cautions at their acts."""

from __future__ import annotations

import json
import re
import subprocess
from functools import cache
from io import BytesIO
from pathlib import Path
from typing import Any, cast

import pytest
from paper_reading import printed, records
from pypdf import PdfReader
from pypdf.generic import DictionaryObject
from sample_plan import HOSTILE

from sample_job import CABLE, RIDGE, plan_of
from strandwright.errors import SheetError
from strandwright.planning.bow.answers import BowAnswers, answer_bow, answer_or_readings
from strandwright.planning.bow.data import bow_data
from strandwright.planning.bow.readings_only import FromReadings
from strandwright.planning.bow.words import CAUTION
from strandwright.planning.cautions import DEFER, FIRST_DRAW, PRESS
from strandwright.planning.result import Plan
from strandwright.sheets import render_sheet
from strandwright.sheets.bow import UNSTRING, bow_sheet_data
from strandwright.sheets.bow_readings import readings_sheet_data

PAPERS = [("in", "letter"), ("mm", "letter"), ("in", "a4"), ("mm", "a4")]
KINDS = {"value", "count", "setting", "identifier", "tolerance", "caution limit"}
NOW = {"brace_height": "6 13/16 in", "axle_to_axle": "33 1/16 in", "draw_length": "29 5/16 in",
       "draw_weight": "61 lbf"}  # fmt: skip
#: What the cable's job leaves out of the figures of the same bow.
LEFT_OUT = {"bow.draw_length": "29 in", "bow.let_off": "80 %"}
#: Everything that may sit on a riser, with the readings of the way home.
ON_RISER = {
    "bow__now": NOW,
    "bow__guard": {"aside": "1 1/8 in", "height": "1 1/2 in"},
    "bow__string_stop": {"height": "-7 1/4 in"},
    "bow__limb_bolts": {"upper": 2, "lower": 2.5, "most": 5},
}


@cache
def asked(
    name: str = RIDGE, units: str = "in", size: str = "letter", changes: str = "{}"
) -> tuple[Plan, BowAnswers]:
    """Plan a job for a paper and ask its bow; bows are looked for once, whatever the paper."""
    paper = {"paper": {"units": units, "size": size}}
    plan = plan_of(name, paper | json.loads(changes))
    return plan, answer_bow(plan.job, plan)


def page_of(name: str = RIDGE, units: str = "in", size: str = "letter", **changes: Any) -> Any:
    """Give the data of a page, ``bow__now`` standing for the place ``bow.now``."""
    placed = {place.replace("__", "."): value for place, value in changes.items()}
    return bow_sheet_data(*asked(name, units, size, json.dumps(placed)))


#: A bow nobody can be asked of, before its first trial and after it.
UNKNOWN = {
    "bow.axle_to_axle": None,
    "bow.now": {"brace_height": "6 1/2 in", "draw_weight": "62 lbf"},
}
TRIAL = {
    "turns": [{"line": "string", "turns": 2}],
    "before": {"brace_height": "6 7/16 in", "draw_weight": "62.8 lbf"},
    "after": {"brace_height": "6 1/2 in", "draw_weight": "62 lbf"},
}


#: Where no wheels can stand apart, or nothing but readings tells.
_NO_TIMING = ("one cam", "recurve", "before a trial", "by a trial")


def unasked_page(units: str, size: str, trials: list[Any]) -> Any:
    """Give the page of a bow that is known by its readings alone."""
    paper = {"paper": {"units": units, "size": size}}
    plan = plan_of(RIDGE, paper | UNKNOWN | {"bow.trials": trials})
    found = answer_or_readings(plan.job, plan)
    assert isinstance(found, FromReadings)
    return readings_sheet_data(plan, found)


def read_page(units: str = "in", size: str = "letter") -> Any:
    """Give the page of the ridge bow with its readings."""
    return page_of(RIDGE, units, size, bow__now=NOW)


CASES = {
    "readings": read_page,
    "no readings": lambda units, size: page_of(RIDGE, units, size),
    "one cam": lambda units, size: page_of("scree-string", units, size),
    "recurve": lambda units, size: page_of("mere-string", units, size),
    "riser": lambda units, size: page_of(RIDGE, units, size, **ON_RISER),
    "before a trial": lambda units, size: unasked_page(units, size, []),
    "by a trial": lambda units, size: unasked_page(units, size, [TRIAL]),
    "cable": lambda units, size: bow_sheet_data(*asked(CABLE, units, size, json.dumps(LEFT_OUT))),
}


@pytest.mark.parametrize(("units", "size"), PAPERS)
@pytest.mark.parametrize("case", CASES)
def test_every_number_is_on_one_page(case: str, units: str, size: str, need_tool) -> None:
    """Each record's text is found on the paper, and all of it is on a single page."""
    data = CASES[case](units, size)
    pdf = render_sheet(data)
    text = printed(pdf, need_tool("pdftotext"))
    found = list(records(data))
    assert len(found) > 15
    assert [r["text"] for r in found if " ".join(r["text"].split()) not in text] == []
    pages = PdfReader(BytesIO(pdf)).pages
    assert len(pages) == 1
    wide, tall = {"letter": (612.0, 792.0), "a4": (595.28, 841.89)}[size]
    assert float(pages[0].mediabox.width) == pytest.approx(wide, abs=0.01)
    assert float(pages[0].mediabox.height) == pytest.approx(tall, abs=0.01)


def test_each_record_is_typed() -> None:
    """Kind, text and unit are there; only values carry an uncertainty."""
    for found in records(read_page()):
        assert found["kind"] in KINDS
        assert found["text"]
        assert ("u" in found) == (found["kind"] == "value")


def test_stored_data_prints_the_same_bytes() -> None:
    """Data that went through JSON, as a store keeps it, prints the very same file."""
    data = read_page()
    stored = json.loads(json.dumps(data, allow_nan=False))
    assert stored == data
    assert render_sheet(data) == render_sheet(stored)


def test_an_unknown_layout_is_refused() -> None:
    """A page of a later version is not printed by this one's template."""
    with pytest.raises(SheetError, match="plan the job again"):
        render_sheet(read_page() | {"template": "bow_9"})


def test_cautions_stand_at_the_top_of_the_act_they_belong_to(need_tool) -> None:
    """Press and limits before the first turn, the first draw before the readings."""
    text = printed(render_sheet(read_page()), need_tool("pdftotext"))
    press = text.index("1 In the press: turns")
    draw = text.index("2 Out of the press: draw, settle, read")
    assert press < text.index(f"Caution. {PRESS[:40]}") < text.index("cable: ", press)
    assert "the bow maker's limits of draw weight, limb bolts and turns" in text
    assert draw < text.index(f"Caution. {FIRST_DRAW[:40]}") < text.index("Lines lie in their")
    assert DEFER in text


def test_limb_bolts_stand_beside_the_turns_with_their_caution(need_tool) -> None:
    """Both out by a turn, in the same rows; set unevenly, that is said before anything."""
    data = CASES["riser"]("in", "letter")
    labels = [row["label"] for row in data["turns"]["rows"]]
    cells = dict(zip(labels, data["bolts"]["cells"], strict=True))
    assert cells["draw weight"]["text"].startswith("\u2212")
    assert cells["brace height"]["text"].startswith("+")
    # Both alike leave the wheels together.
    assert cells["wheels apart"] is None
    text = printed(render_sheet(data), need_tool("pdftotext"))
    assert "Both limb bolts alike and within the bow maker's turns out" in text
    assert "upper bolt is 2 turns out, the lower 2.5" in text
    assert "Cable guard, side force:" in text
    assert page_of("mere-string")["bolts"] is None


def test_a_kept_sheet_without_limb_bolts_prints() -> None:
    """Data stored before they were told has none of their places."""
    old = {k: v for k, v in read_page().items() if k not in ("bolts", "guard", "bare")}
    assert render_sheet(old)[:4] == b"%PDF"


def test_what_is_bare_is_told() -> None:
    """A string stop where nothing is served."""
    data = page_of(RIDGE, bow__string_stop={"height": "-4 in"})
    (bare,) = data["bare"]
    said = "".join(part if isinstance(part, str) else part["text"] for part in bare)
    assert said.endswith("runs on the string stop and has no serving.")
    assert page_of(RIDGE)["bare"] == []


def test_a_bow_without_wheels_knows_no_press(need_tool) -> None:
    """Its turns are put in unstrung, with the caution that belongs to that."""
    text = printed(render_sheet(CASES["recurve"]("in", "letter")), need_tool("pdftotext"))
    assert "1 Unstrung: turns" in text
    assert f"Caution. {UNSTRING[:40]}" in text
    assert "In the press" not in text
    assert PRESS[:30] not in text


def test_the_words_of_the_command_caution_the_same() -> None:
    """Press, dry fire, manual and technician are named wherever turns are told."""
    for word in ("press", "dry fire", "manual", "qualified technician"):
        assert word in CAUTION
        assert word in " ".join((PRESS, FIRST_DRAW, DEFER))


def test_the_way_home_goes_cables_first(need_tool) -> None:
    """Every line has its act, the string's last; those that do nothing are told as well."""
    data = read_page()
    acts = ["".join(p if isinstance(p, str) else p["text"] for p in a["text"])
            for a in data["home"]["acts"]]  # fmt: skip
    assert [act.split(":")[0] for act in acts] == ["upper cable", "lower cable", "string"]
    assert any(act["moves"] for act in data["home"]["acts"])
    text = printed(render_sheet(data), need_tool("pdftotext"))
    assert [act for act in acts if act not in text] == []


@pytest.mark.parametrize("case", CASES)
def test_three_trials_have_room_for_before_and_after(case: str, need_tool) -> None:
    """Each with a row for every figure, and one for the turns put into every line."""
    data = CASES[case]("in", "letter")
    text = printed(render_sheet(data), need_tool("pdftotext"))
    for word, times in (("before", 3), ("after", 3), ("trial", 3)):
        assert len(re.findall(rf"\b{word}\b", text[text.rindex("trial 1") - 20 :])) >= times
    labels = [row["label"] for row in data["rows"]]
    read = ["brace height", "axle to axle", "draw length", "draw weight"]
    assert labels[:4] == (["brace height", "draw weight"] if case == "recurve" else read)
    assert ("wheels apart" in labels) == (case not in _NO_TIMING)
    for line in data["turns"]["lines"]:
        assert f"turns put into the {line}" in text


def test_without_readings_the_page_asks_for_them(need_tool) -> None:
    """No turns are told; what is wanted is what the bow measured, and there are lines to write."""
    data = page_of()
    assert data["home"] is None
    text = printed(render_sheet(data), need_tool("pdftotext"))
    assert "Read the bow as it stands" in text
    assert "string: turns in + or out" in text
    assert "chance" not in text
    assert data["rows"][0]["wanted"][0]["text"] == "6 7/8 in"


def test_what_a_serving_leaves_bare_is_told() -> None:
    """A wheel serving begun too late is marked on the page."""
    short = "98 5/8: 0-13 1/2, 26 1/4-30 3/4, 47-58 1/2, 17-0"
    data = page_of("scree-string", line__shorthand=short)
    assert [s["name"] for s in data["servings"] if s["short"]] == ["wheel"]
    assert not any(s["short"] for s in page_of("scree-string")["servings"])


def test_a_serving_is_spoken_of_as_on_every_other_page() -> None:
    """The sheet has the verdicts of the bow's data word for word."""
    plan, answers = asked("scree-string")
    told = {row["name"]: row["verdict_text"] for row in bow_data(plan.job, answers)["servings"]}
    for row in page_of("scree-string")["servings"]:
        said = "".join(p if isinstance(p, str) else p["text"] for p in row["verdict"])
        assert said == told[row["name"]]


def test_the_lane_lies_on_its_tape() -> None:
    """Places are shares of the line; figures and ticks stand at their own length."""
    plan, answers = asked()
    lane = bow_sheet_data(plan, answers)["lane"]
    long = plan.target.length.value / 0.0254
    for figure in lane["figures"]:
        assert figure["at"] * long == pytest.approx(float(figure["text"]), abs=1e-3)
    assert lane["ticks"][1] * long == pytest.approx(1.0, abs=1e-3)
    for bar in (*lane["servings"], *lane["touches"]):
        assert 0.0 <= bar["from"] < bar["to"] <= 1.0
    for bar, serving in zip(lane["servings"], plan.servings, strict=True):
        assert bar["from"] * long * 0.0254 == pytest.approx(serving.start.value, abs=2e-5)


def test_markup_in_a_name_is_text(need_tool) -> None:
    """It runs no code and prints as written."""
    data = page_of(name=RIDGE, bow__name=HOSTILE[:40], line__name=HOSTILE)
    text = printed(render_sheet(data), need_tool("pdftotext"))
    assert "".join(data["job"]["bow"].split())[:30] in text.replace(" ", "")


def test_the_code_leads_back_to_the_plan(need_tool, tmp_path: Path) -> None:
    """The printed code is read by a scanner as job and plan."""
    plan, answers = asked()
    pdf = tmp_path / "bow.pdf"
    pdf.write_bytes(render_sheet(bow_sheet_data(plan, answers)))
    subprocess.run(
        [need_tool("pdftoppm"), "-r", "200", "-singlefile", "-png", pdf, tmp_path / "page"],
        check=True,
    )
    done = subprocess.run(
        [need_tool("zbarimg"), "--raw", "-q", tmp_path / "page.png"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == f"strandwright job {plan.job.id} plan {plan.id}"


def test_only_our_fonts_are_used() -> None:
    """Every glyph, the drawings' too, comes from the packaged family."""
    page = PdfReader(BytesIO(render_sheet(read_page()))).pages[0]
    fonts = cast(DictionaryObject, page["/Resources"])["/Font"].get_object()
    names = {str(font.get_object()["/BaseFont"]) for font in cast(Any, fonts).values()}
    assert names
    assert all(re.fullmatch(r"/[A-Z]{6}\+Inter-\w+(-Identity-H)?", name) for name in names)


def test_what_is_known_by_readings_alone_says_so(need_tool) -> None:
    """The page names its source, the trial to make, and what nobody tried; no bow is drawn."""
    text = printed(render_sheet(unasked_page("in", "letter", [])), need_tool("pdftotext"))
    assert "from your readings only" in text
    assert "put 2 turns into the string" in text
    assert "Force over draw" not in text
    after = printed(render_sheet(unasked_page("in", "letter", [TRIAL])), need_tool("pdftotext"))
    assert "your readings only; 1 trial on this bow" in after
    assert "not tried" in after
    assert "string: put in" in after


def test_how_much_else_a_held_turn_does_is_told(need_tool) -> None:
    """A page kept from before the free part of a line was known prints what it printed."""
    data = page_of(RIDGE)
    text = printed(render_sheet(data), need_tool("pdftotext"))
    assert "Where tracks hold the twist a turn shortens by: string 1.5 % more" in text
    del data["turns"]["held"]
    old = printed(render_sheet(data), need_tool("pdftotext"))
    assert "A nocking point that holds the twist on one side of it changes these little." in old
