"""The command ``set``: set files, job files one by one, what is kept, and what is refused."""

from __future__ import annotations

import json
from io import BytesIO
from pathlib import Path

import pytest
from pypdf import PdfReader

import strandwright

SETS = Path(strandwright.__file__).parent / "examples" / "sets"
SET = str(SETS / "ridge.toml")
CRAG = str(SETS / "crag.toml")
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


def test_the_crag_set_shows_what_split_cables_have_to_agree_in(run):
    """A matched pair in one hand, wound on one setting, out of one cut list, with every caution."""
    result = run("set", CRAG)
    assert 0 == result.exit_code, result.stderr
    text = " ".join(result.output.split())
    for said in (
        "CRAG-2 and CRAG-3 are wound on one setting of the posts",
        "hand of twist: Z in every line",
        "turns of the pair: 16 in both",
        "pair of CRAG-2 and CRAG-3: the chance that they are within 0.031 in of each other",
        "hmpe-lcp - heather",
        "CRAG-1, CRAG-2, CRAG-3",
        "match the legs (CRAG-2 and CRAG-3)",
    ):
        assert said in text
    told = json.loads(run("set", CRAG, "--json").output)
    said = [caution["said"] for caution in told["cautions"]]
    plain = [json.loads(run("plan", str(SETS.parent / f"crag-{n}.toml"), "--json").output)
             for n in ("string", "upper-cable", "lower-cable")]  # fmt: skip
    wanted = {step["caution"] for plan in plain for step in plan["steps"] if step["caution"]}
    assert wanted == set(said)
    assert len(said) == len(set(said))


def test_a_line_laid_in_stands_beside_wound_ones(run, example):
    """Cut by its own list, in the time and the chance, wound on no bench; what differs is told."""
    result = run("set", example("heath-string"), example("ridge-upper-cable"))
    assert 0 == result.exit_code, result.stderr
    text = " ".join(result.output.split())
    assert text.startswith("Lines of several bows [LINES]")
    assert "HEATH-1 is cut and laid in by hand: it is not wound" in text
    assert "kind of the bow: longbow (HEATH-1); two-cam (RIDGE-2)" in text
    assert "on HEATH-1, cut bundle 1" in text or "cut bundle 1" not in text


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
    loose = run("set", *files[:2], "--sheet")
    assert "wrote RIDGE-set.pdf" in loose.output
    alone = 0
    for n, file in enumerate(files):
        run("sheet", file, "-o", f"{n}.pdf")
        alone += len(PdfReader(BytesIO(Path(f"{n}.pdf").read_bytes())).pages)
    assert alone + 2 == len(pages)


def test_a_set_that_is_kept_is_planned_by_its_id(run, files, tmp_path):
    """Jobs out of the store, and a set of them."""
    from strandwright.planning.desk.builds import Desk
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
        ([files[0], files[0]], f"FILE: '{files[0]}': must be given once; leave the second out"),
        ([SET, files[0]], f"FILE: '{SET}': is a set file, and must be given alone; give it alone"),
        ([files[0], CRAG], f"FILE: '{CRAG}': is a set file, and must be given alone"),
        ([write('id = "S"\nname = "s"')], "s.toml: lines: is missing; add it"),
    ):
        result = run("set", *given)
        assert 2 == result.exit_code
        assert said in result.stderr
    result = run("set", "NONE", "--store", "s.sqlite3")
    assert 5 == result.exit_code
    assert "no set 'NONE' is kept here" in result.stderr


def test_what_is_wrong_in_one_job_names_its_file(run, files):
    """With several files the field alone would not say which is meant."""
    text = Path(files[0]).read_text(encoding="utf-8")
    for strand, said in (("", "is missing; add it"), ('strand = "wool"', "known names are aramid")):
        Path("wrong.toml").write_text(text.replace('strand = "hmpe-lcp"', strand), encoding="utf-8")
        result = run("set", "wrong.toml", files[1])
        assert 2 == result.exit_code
        assert result.stderr.startswith("wrong.toml: makeup.strand: ")
        assert said in result.stderr
        assert "" == result.stdout


def test_a_job_that_cannot_be_planned_names_its_file(run, files):
    """Nothing is printed of the others."""
    text = Path(files[1]).read_text(encoding="utf-8").replace('longest = "120 in"',
                                                             'longest = "30 in"')  # fmt: skip
    Path("short.toml").write_text(text.replace('shortest = "30 in"', ""), encoding="utf-8")
    result = run("set", files[0], "short.toml")
    assert 2 == result.exit_code
    assert result.stderr.startswith("short.toml: bench.longest")
    assert "" == result.stdout
