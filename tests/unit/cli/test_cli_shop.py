"""The command ``shop``: what builds have taught, charts written, builds left out and taken in."""

from __future__ import annotations

import json
import xml.etree.ElementTree as ElementTree
from pathlib import Path

import pytest

from bench_work import Work
from strandwright.store.open import open_store
from strandwright.units import INCH


def built(work: Work, bare: float) -> None:
    """Build the line to its end, the bare skein reading so much long, and begin the next."""
    work.wound()
    work.read("bare", bare)
    work.did("step-done", step="loops")
    work.did("turned", turns=work.advice.act.step.turns)
    work.read("half")
    work.did("turned", turns=work.advice.plan.twist.turns)
    work.did("step-done", step="stretch-twisted")
    work.read("twisted")
    if work.advice.act.step.id == "twist-full":
        work.did("turned", turns=work.advice.plan.twist.turns)
    work.did("step-done", step="serve")
    plan = work.advice.plan
    work.read("proof", plan.target.length.value - plan.stage("proof").length.value)
    work.did("locked", turns=work.advice.state.turns, hand="Z")
    work.build = work.id()
    at = work.now.isoformat(timespec="milliseconds")
    work.advice = work.desk.start("RIDGE-1", work.build, work.id(), at=at)


@pytest.fixture(scope="module")
def contents():
    """Give what a store holds in which three lines of one lot are finished."""
    work = Work(makeup=Work().desk.job("RIDGE-1").document.table["makeup"] | {"lot": "A7"})
    for off in (INCH / 16.0, INCH / 32.0, INCH / 16.0):
        built(work, off)
    return list(work.desk.store.contents())


@pytest.fixture
def shop(tmp_path, monkeypatch, contents):
    """Give a store of these builds, named by the environment."""
    place = str(tmp_path / "shop.sqlite3")
    store = open_store(place)
    store.take_in(contents)
    store.close()
    monkeypatch.setenv("STRANDWRIGHT_STORE", place)
    return place


def test_it_says_what_is_known_in_eighty_columns(run, shop):
    """Builds, charts in words, groups with natural units; nothing wider than a terminal."""
    said = run("shop")
    assert 0 == said.exit_code, said.stderr
    assert said.output.startswith("3 finished builds are kept.\n")
    assert "\nIn control?\n" in said.output
    assert "lot hmpe-lcp, lot A7, 3 builds:" in said.output
    assert "bedding-in: " in said.output
    assert "table alone" in said.output
    assert max(map(len, said.output.splitlines())) <= 80


def test_the_json_is_the_page_without_pictures(run, shop):
    """The same words and numbers as the page of the app has."""
    told = json.loads(run("shop", "--json", "--units", "mm").output)
    assert (told["format"], told["builds"], told["teaching"]) == (1, 3, 3)
    assert [chart["name"] for chart in told["charts"]] == ["length", "turns"]
    assert not any("svg" in chart for chart in told["charts"])
    lot = next(g for g in told["groups"] if g["level"] == "lot")
    assert lot["learned"]
    assert " mm longer" in lot["next"]


def test_a_chart_is_written_as_a_file(run, shop):
    """An SVG with a mark for each build; another ending, or a file without a chart, is refused."""
    said = run("shop", "--chart", "length", "--to", "lengths.svg", "--theme", "print")
    assert (0, "wrote lengths.svg\n") == (said.exit_code, said.output)
    drawing = ElementTree.parse("lengths.svg")
    marks = {g.get("data-build") for g in drawing.iter() if g.get("data-build")}
    assert marks == {"1", "2", "3"}
    assert 2 == run("shop", "--chart", "length", "--to", "lengths.png").exit_code
    assert 2 == run("shop", "--to", "lengths.svg").exit_code
    none = run("shop", "--chart", "mass", "--to", "masses.svg")
    assert 2 == none.exit_code
    assert "needs two finished builds" in none.stderr
    assert not Path("masses.svg").exists()


def test_a_build_is_left_out_by_its_number_and_taken_in_by_its_identity(run, shop):
    """It says so each time, and what is left out stands in the list with its reason."""
    said = run("shop", "--leave-out", "2", "--because", "one strand too many")
    assert 0 == said.exit_code, said.stderr
    assert said.output.startswith("left out: build 2 (RIDGE-1)")
    text = " ".join(run("shop").output.split())
    assert "3 finished builds are kept, 1 of them left out." in text
    assert "Left out: build 2 (RIDGE-1), because: one strand too many." in text
    told = json.loads(run("shop", "--json").output)
    (out,) = told["left_out"]
    said = run("shop", "--take-in", out["build"])
    assert (0, "taken in: build 2 (RIDGE-1)\n") == (said.exit_code, said.output)
    assert json.loads(run("shop", "--json").output)["left_out"] == []


@pytest.mark.parametrize(
    "arguments, words",
    [
        (("--leave-out", "2"), "must stand with --because"),
        (("--because", "odd"), "must stand with --leave-out"),
        (("--leave-out", "2", "--because", " "), "why the build is left out"),
        (("--leave-out", "9", "--because", "odd"), "1 to 3"),
        (("--take-in", "0000"), "1 to 3"),
        (("--leave-out", "1", "--because", "odd", "--take-in", "1"), "one after the other"),
    ],
)
def test_what_cannot_be_meant_is_told(run, shop, arguments, words):
    """Exit code 2, the option, the rule; nothing is changed."""
    said = run("shop", *arguments)
    assert 2 == said.exit_code
    assert words in said.stderr
    assert json.loads(run("shop", "--json").output)["left_out"] == []


def test_an_empty_shop_says_so(run, tmp_path):
    """No build: one sentence, and no build to leave out."""
    said = run("shop", "--store", "fresh.sqlite3")
    assert 0 == said.exit_code
    assert said.output.startswith("No build is finished yet")
    said = run("shop", "--store", "fresh.sqlite3", "--take-in", "1")
    assert 2 == said.exit_code
    assert "none is finished" in said.stderr
