"""The command ``bow``, and ``sheet --bow``: four answers in words, as data, drawn and on paper."""

from __future__ import annotations

import json
import re
import tomllib
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from pypdf import PdfReader

from strandwright.planning.bow.words import CAUTION

PAGE = Path(__file__).parents[3] / "docs" / "reference" / "commands.md"
SVG = "{http://www.w3.org/2000/svg}"
SECTIONS = (
    "The bow", "What the bow touches of the string", "What one turn put in does",
    "Which turns bring it home", "What the string costs in arrow speed", "What this leaves out",
)  # fmt: skip


@pytest.fixture
def scree(example) -> str:
    """Give the one-cam string's job, whose bow has been read and shot."""
    return example("scree-string")


@pytest.fixture
def ridge(example) -> str:
    """Give the two-cam string's job, whose bow has only its figures."""
    return example("ridge-string")


def plain(text: str) -> str:
    """Give the words with single blanks, whatever lines they stand on."""
    return " ".join(text.split())


def test_the_answers_have_every_section_in_order(run, scree):
    """The bow first, what is left out last, and nothing on the error stream."""
    result = run("bow", scree)
    assert 0 == result.exit_code
    lines = result.output.splitlines()
    places = [lines.index(title) for title in SECTIONS]
    assert sorted(places) == places
    assert "" == result.stderr
    assert [] == [line for line in lines if len(line) > 100]


def test_words_and_data_say_the_same(run, scree):
    """Every text of the JSON stands in the words."""
    said = plain(run("bow", scree).output)
    data = json.loads(run("bow", scree, "--json").output)
    texts = [row["text"] for row in data["figures"]]
    texts += [row["highest_text"] for row in data["tensions"]]
    texts += [f"{row['start_text']} {row['stop_text']}" for row in data["touches"]]
    texts += [row["verdict_text"] for row in data["servings"]]
    texts += [text for row in data["turns"]["rows"] for text in row["per_turn"]]
    texts += [row["expected_text"] for row in data["home"]["half"]["rows"]]
    texts += [data["home"]["half"]["text"], data["speed"]["text"]]
    texts += [row["lost_text"] for row in data["speed"]["rows"]]
    assert [] == [text for text in texts if plain(text) not in said]
    assert len(texts) > 30


def test_json_is_ascii_and_its_sections_are_explained(run, scree):
    """A pipe of any kind carries it, and the page on commands names each section."""
    result = run("bow", scree, "--json")
    assert result.output.isascii()
    data = json.loads(result.output)
    assert {"SCREE-1"} == {data["job"]}
    page = PAGE.read_text(encoding="utf-8")
    section = page[page.index("\n## bow") : page.index("\n## choose")]
    assert [] == [name for name in data if f"`{name}`" not in section]


def test_numbers_stand_beside_their_texts(run, scree):
    """Figures and turns carry SI numbers with their unit."""
    data = json.loads(run("bow", scree, "--json").output)
    brace = next(row for row in data["figures"] if row["name"] == "brace_height")
    assert (brace["unit"], brace["value"]) == ("m", pytest.approx(7.25 * 0.0254, abs=1e-5))
    for row in data["turns"]["rows"]:
        assert len(row["change"]) == len(row["per_turn"]) == len(data["turns"]["lines"])
        for change, half, text in zip(
            row["change"], row["change_plus_minus"], row["per_turn"], strict=True
        ):
            assert half > 0
            assert text.startswith("+" if change >= 0 else "\u2212")


def test_the_caution_comes_before_any_turn(run, scree):
    """Nobody reads how many turns before how they are put in safely."""
    said = plain(run("bow", scree).output)
    home = said.index("Which turns bring it home")
    assert home < said.index(CAUTION) < said.index("in whole turns", home)


def test_without_readings_it_says_how_to_give_them_and_takes_them_so(run, ridge, tmp_path):
    """The line that is shown can be copied under [bow] as it stands."""
    said = plain(run("bow", ridge).output)
    assert "in whole turns" not in said
    shown = re.search(r"now = \{.*?\}", said)
    assert shown is not None
    text = Path(ridge).read_text(encoding="utf-8").replace("[bow]", f"[bow]\n{shown[0]}", 1)
    (tmp_path / "read.toml").write_text(text, encoding="utf-8")
    again = run("bow", "read.toml")
    assert 0 == again.exit_code
    assert "in whole turns" in again.output
    assert re.search(r"(put in|take out) \d", again.output)


def test_a_bow_without_wheels_is_asked_for_its_brace_only(run, example):
    """Nobody is told to measure axles it does not have."""
    said = plain(run("bow", example("mere-string")).output)
    assert "now = { brace_height" in said
    assert "axle" not in said


def test_a_cable_costs_no_speed(run, example, tmp_path):
    """What the bow touches of it is told under its own name."""
    text = Path(example("ridge-upper-cable")).read_text(encoding="utf-8")
    figures = '[bow]\ndraw_length = "29 in"\nlet_off = "80 %"'
    (tmp_path / "cable.toml").write_text(text.replace("[bow]", figures, 1), encoding="utf-8")
    said = run("bow", "cable.toml").output
    assert "What the bow touches of the upper cable" in said
    assert "A cable's mass sits at the wheels" in said
    assert json.loads(run("bow", "cable.toml", "--json").output)["speed"] is None


def test_every_missing_figure_is_told(run, ridge, tmp_path):
    """One line each on the error stream, exit 2, and no picture."""
    text = Path(ridge).read_text(encoding="utf-8")
    lines = [line for line in text.splitlines()
             if not line.startswith(("axle_to_axle", "brace_height"))]  # fmt: skip
    (tmp_path / "bare.toml").write_text("\n".join(lines), encoding="utf-8")
    result = run("bow", "bare.toml", "--picture", "bow.svg")
    assert 2 == result.exit_code
    assert ["bow.axle_to_axle", "bow.brace_height"] == [
        line.split(":")[0] for line in result.stderr.splitlines()
    ]
    assert not (tmp_path / "bow.svg").exists()


def test_the_picture_shows_both_ends_of_the_draw(run, ridge, tmp_path):
    """The bow at brace, the bow drawn, force over draw, in one file."""
    result = run("bow", ridge, "--picture", "bow.svg")
    assert "wrote bow.svg" in result.output
    root = ET.fromstring((tmp_path / "bow.svg").read_text(encoding="utf-8"))
    assert root.tag == f"{SVG}svg"
    assert 4 == len(list(root.iter(f"{SVG}svg")))
    said = {"".join(e.itertext()) for e in root.iter(f"{SVG}text")}
    assert {"at brace", "true draw length, in", "force, lbf"} <= said


@pytest.mark.parametrize("place", ["bow.png", "nowhere/bow.svg"])
def test_a_picture_that_cannot_be_written_is_told_before_any_work(run, ridge, place):
    """Another ending, or a folder that is not there."""
    result = run("bow", ridge, "--picture", place)
    assert 2 == result.exit_code
    assert result.stderr.startswith("output:")
    assert "" == result.stdout


def test_the_page_for_the_tuning_bench(run, ridge, tmp_path):
    """``sheet --bow`` writes its own file, one page, without the words on gauges."""
    result = run("sheet", ridge, "--bow")
    assert "wrote ridge-string-bow.pdf" in result.output
    assert "100 %" not in result.output
    assert 1 == len(PdfReader(tmp_path / "ridge-string-bow.pdf").pages)
    data = json.loads(run("sheet", ridge, "--bow", "--json").output)
    assert "bow_1" == data["template"]
    assert "sheet_2" == json.loads(run("sheet", ridge, "--json").output)["template"]


def test_a_bow_from_standard_input(run, scree):
    """A file named - is standard input here too."""
    text = Path(scree).read_text(encoding="utf-8")
    assert run("bow", scree).output == run("bow", "-", stdin=text).output


READ = {"draw_weight": "62 lbf", "brace_height": "6 1/2 in"}
TRIED = {
    "turns": [{"line": "string", "turns": 2.0}],
    "before": {"draw_weight": "62.8 lbf", "brace_height": "6 7/16 in"},
    "after": {"draw_weight": "62 lbf", "brace_height": "6 1/2 in"},
}


@pytest.fixture
def unasked(ridge, tmp_path) -> Callable[..., str]:
    """Give the ridge bow's job without its axle-to-axle, so that no bow can be asked."""

    def job(**more: Any) -> str:
        table = tomllib.loads(Path(ridge).read_text(encoding="utf-8"))
        del table["bow"]["axle_to_axle"]
        table["bow"] |= more
        path = tmp_path / "unasked.toml"
        path.write_text(tomli_w.dumps(table), encoding="utf-8")
        return str(path)

    return job


def test_a_bow_that_lacks_a_figure_is_answered_for_by_its_readings(run, unasked):
    """Why no bow was asked stands first, then the trial to make, with what may hurt before it."""
    result = run("bow", unasked(now=READ))
    assert 0 == result.exit_code, result.stderr
    said = plain(result.output)
    assert "bow.axle_to_axle" in said
    assert "known from your readings only" in said
    assert "put 2 turns into the string" in said
    assert said.index("Never dry fire") < said.index("put 2 turns into the string")
    assert "in whole turns" not in said


def test_after_a_trial_turns_are_advised_from_it(run, unasked):
    """In words and as data, each section explained, and on a sheet."""
    job = unasked(now=READ, trials=[TRIED])
    result = run("bow", job, "--json")
    assert 0 == result.exit_code, result.stderr
    data = json.loads(result.output)
    assert "your readings only; 1 trial on this bow" == data["source_text"]
    assert "string" == data["home"]["half"]["acts"][-1]["line"]
    assert "upper cable and the lower cable" in data["trial_text"]
    page = PAGE.read_text(encoding="utf-8")
    section = page[page.index("\n## bow") : page.index("\n## choose")]
    assert [] == [name for name in data if f"`{name}`" not in section]
    assert "string: put in" in plain(run("bow", job).output)
    sheet = json.loads(run("sheet", "--bow", job, "--json").output)
    assert any("Nothing is known yet of turns" in part for part in sheet["trial"])


def test_without_a_reading_the_figure_is_asked_for_and_no_bow_is_drawn(run, unasked):
    """A figure is the quicker remedy; a picture needs one in any case."""
    nothing = run("bow", unasked())
    drawn = run("bow", unasked(now=READ), "--picture", "drawn.svg")
    for result in (nothing, drawn):
        assert result.exit_code != 0
        assert "bow.axle_to_axle" in result.stderr
