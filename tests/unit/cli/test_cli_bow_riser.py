"""The command ``bow`` on a job that names its guard, string stop and limb bolts."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from strandwright.planning.bow.riser_data import BOLT_CAUTION

RISER = """[bow]
guard = { aside = "-1 1/8 in", height = "1 1/2 in" }
string_stop = { height = "-4 in" }
limb_bolts = { out = 2.0, most = 5.0 }
"""


@pytest.fixture
def riser(example, tmp_path) -> str:
    """Give the two-cam string's job with everything on its riser."""
    text = Path(example("ridge-string")).read_text(encoding="utf-8")
    (tmp_path / "riser.toml").write_text(text.replace("[bow]\n", RISER, 1), encoding="utf-8")
    return "riser.toml"


def plain(text: str) -> str:
    """Give the words with single blanks, whatever lines they stand on."""
    return " ".join(text.split())


def test_words_and_data_say_the_same(run, riser):
    """Every text of guard and bolts stands in the words, and notes begin as sentences."""
    result = run("bow", riser)
    assert 0 == result.exit_code
    said = plain(result.output)
    data = json.loads(run("bow", riser, "--json").output)
    texts = [text for row in data["guard"]["rows"] for text in row["text"]]
    texts += [text for row in data["bolts"]["rows"] for text in row["text"]]
    texts += [note[1:] for part in ("guard", "bolts") for note in data[part]["notes"]]
    texts += [part["text"] for part in data["bare"]]
    assert [] == [text for text in texts if plain(text) not in said]
    assert len(texts) > 25
    assert "to the archer's left" in said
    assert all(value < 0 for value in data["guard"]["rows"][-2]["value"])
    assert ["string stop"] == [part["on"] for part in data["bare"]]
    assert any("guard's hold" in text for text in data["neglects"])
    assert not any("ran straight" in text for text in data["neglects"])


def test_bolts_stand_after_the_turns_behind_their_caution(run, riser):
    """Nobody reads what a turn does before how it is done safely."""
    said = plain(run("bow", riser).output)
    turns = said.index("What one turn put in does")
    bolts = said.index("What one turn out of the limb bolts does")
    assert turns < bolts < said.index(BOLT_CAUTION) < said.index("upper bolt only")
    assert bolts < said.index("Which turns bring it home")
    assert "3 turns more are allowed out of 5" in said


def test_a_bow_that_names_none_is_told_of_bolts_only(run, example):
    """A guard is not made up; bolts nearly every bow with wheels has."""
    data = json.loads(run("bow", example("ridge-string"), "--json").output)
    assert data["guard"] is None
    assert data["bare"] == []
    assert "draw_weight" in [row["name"] for row in data["bolts"]["rows"]]
    assert json.loads(run("bow", example("mere-string"), "--json").output)["bolts"] is None


@pytest.mark.parametrize(
    ("wrong", "field"),
    [
        ('guard = { aside = "1 in", height = "40 in" }', "bow.guard.height"),
        ('guard = { aside = "9 in", height = "1 in" }', "bow.guard.aside"),
        ('guard = { kind = "rollers", aside = "1 in", diameter = "-1 in" }', "bow.guard.diameter"),
        ("limb_bolts = { out = 7.0, most = 5.0 }", "bow.limb_bolts.out"),
        ('string_stop = { height = "25 in" }', "bow.string_stop.height"),
    ],
)
def test_what_cannot_be_is_named(run, example, tmp_path, wrong, field):
    """One line on the error stream, at the key that is wrong."""
    text = Path(example("ridge-string")).read_text(encoding="utf-8")
    (tmp_path / "wrong.toml").write_text(text.replace("[bow]", f"[bow]\n{wrong}", 1), "utf-8")
    result = run("bow", "wrong.toml")
    assert 2 == result.exit_code
    assert field == result.stderr.split(":")[0]
