"""The command ``set``: set files, job files one by one, what is kept, and what is refused."""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

import strandwright

SET = str(Path(strandwright.__file__).parent / "examples" / "sets" / "ridge.toml")
LINES = ("ridge-string", "ridge-upper-cable", "ridge-lower-cable")


@pytest.fixture
def files(example):
    """Give the job files of the ridge bow."""
    return [example(name) for name in LINES]


def test_a_set_file_prints_every_answer(run):
    """Lines, order of winding, cut list, time, agreement and how surely all land."""
    result = run("set", SET)
    assert 0 == result.exit_code, result.stderr
    for title in ("Lines", "Order of winding", "Cut list", "Time", "Agreement", "How surely"):
        assert f"\n{title}\n" in result.output
    assert "every line fits the long beam" in result.output


def test_job_files_say_the_same_as_the_set_file(run, files):
    """Given one by one, in any order, only id and name of the set are others."""
    told = [json.loads(run("set", *given, "--json").output)
            for given in ([SET], files, files[::-1])]  # fmt: skip
    for one in told:
        for key in ("id", "name", "set"):
            one.pop(key)
    assert told[0] == told[1] == told[2]


def test_a_pair_is_named_with_job_files(run, files):
    """And told of under Agreement."""
    result = run("set", *files, "--pair", "RIDGE-2", "RIDGE-3")
    assert "0.375 in apart, as they are asked for" in result.output
    assert "pair of RIDGE-2 and RIDGE-3" in result.output


def test_the_sheets_are_written_as_one_pdf(run, files):
    """A cover, then the sheet of every line, as many pages as they have by themselves."""
    result = run("set", SET, "--sheet")
    assert "wrote RIDGE-set.pdf" in result.output
    pages = PdfReader(BytesIO(Path("RIDGE-set.pdf").read_bytes())).pages
    assert "Lines of the ridge bow" in pages[0].extract_text()
    alone = 0
    for n, file in enumerate(files):
        run("sheet", file, "-o", f"{n}.pdf")
        alone += len(PdfReader(BytesIO(Path(f"{n}.pdf").read_bytes())).pages)
    assert alone + 2 == len(pages)


def test_a_set_that_is_kept_is_planned_by_its_id(run, files, tmp_path):
    """Jobs out of the store, and a set of them."""
    from strandwright.planning.desk import Desk
    from strandwright.planning.sets.keeping import keep_set
    from strandwright.store.open import open_store

    assert 0 == run("import", *files, "--store", "s.sqlite3").exit_code
    store = open_store(str(tmp_path / "s.sqlite3"))
    lines = [{"job": f"RIDGE-{n}"} for n in (1, 2, 3)]
    keep_set(Desk(store), {"id": "RIDGE", "name": "kept", "lines": lines}, 0)
    store.close()
    result = run("set", "RIDGE", "--store", "s.sqlite3")
    assert 0 == result.exit_code, result.stderr
    assert "kept   [RIDGE]" in result.output


def test_a_line_without_a_file_is_a_job_that_is_kept(run, files):
    """A set file may name both."""
    run("import", files[0], "--store", "s.sqlite3")
    lines = f'lines = [{{ job = "RIDGE-1" }}, {{ job = "RIDGE-2", file = "{files[1]}" }}]'
    Path("two.toml").write_text(f'id = "TWO"\nname = "two"\n{lines}\n', encoding="utf-8")
    result = run("set", "two.toml", "--store", "s.sqlite3", "--json")
    assert 0 == result.exit_code, result.stderr
    assert ["RIDGE-1", "RIDGE-2"] == [line["job"] for line in json.loads(result.output)["lines"]]


def write(text: str) -> str:
    """Write a set file; give its name."""
    Path("s.toml").write_text(text, encoding="utf-8")
    return "s.toml"


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        ('[{ job = "RIDGE-2", file = "FILE" }]', "must be the id of the job in"),
        ("[]", "must name 1 to 10 lines"),
        ('[{ job = "RIDGE-1", file = "nowhere.toml" }]', "must be a file that can be read"),
        ('[{ job = "RIDGE-1", files = "a.toml" }]', "did you mean file?"),
    ],
)
def test_a_set_file_that_cannot_be_is_refused(run, files, lines, said):
    """With the field, the value, the rule and what to do."""
    result = run("set", write(f'id = "S"\nname = "s"\nlines = {lines.replace("FILE", files[0])}'))
    assert 2 == result.exit_code
    assert said in result.stderr


def test_what_else_cannot_be_meant_is_refused(run, files):
    """The same job twice, a pair of no line of it, an output without a sheet."""
    copy = Path("copy.toml")
    copy.write_bytes(Path(files[0]).read_bytes())
    for given, said in (
        ([files[0], "copy.toml"], "copy.toml: id: 'RIDGE-1': must be another job than that of"),
        ([*files, "--pair", "RIDGE-2", "OTHER"], "--pair: 'OTHER': must be a line of"),
        ([SET, "--pair", "RIDGE-2", "RIDGE-3"], "goes with job files alone"),
        ([SET, "-o", "a.pdf"], "goes with --sheet alone"),
        ([SET, "--sheet", "-o", "a.txt"], "must end in .pdf"),
        (["A", "B"], "must be job files, one set file, or the id of one set"),
    ):
        result = run("set", *given)
        assert 2 == result.exit_code
        assert said in result.stderr
    result = run("set", "NONE", "--store", "s.sqlite3")
    assert 5 == result.exit_code
    assert "no set 'NONE' is kept here" in result.stderr


def test_a_job_that_cannot_be_planned_names_its_file(run, files):
    """Nothing is printed of the others."""
    text = Path(files[1]).read_text(encoding="utf-8").replace('longest = "120 in"',
                                                             'longest = "30 in"')  # fmt: skip
    Path("short.toml").write_text(text.replace('shortest = "30 in"', ""), encoding="utf-8")
    result = run("set", files[0], "short.toml")
    assert 2 == result.exit_code
    assert result.stderr.startswith("short.toml: bench.longest")
    assert "" == result.stdout
