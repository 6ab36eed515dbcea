"""Commands that write: demo, sheet, picture and schema put whole files where they say."""

from __future__ import annotations

import json
import os
import xml.etree.ElementTree as ET
from pathlib import Path

import jsonschema
import pytest

import strandwright
from strandwright.cli.files import write_whole
from strandwright.errors import SheetError
from strandwright.workshop.job import read_job

PACKAGED = Path(strandwright.__file__).parent / "examples"
SVG = "{http://www.w3.org/2000/svg}svg"


@pytest.fixture
def demo(run, tmp_path):
    """Run the demo; give its folder and what it printed."""
    result = run("demo", "--into", "shop")
    assert 0 == result.exit_code, result.stderr
    return tmp_path / "shop", result.output


def test_the_demo_writes_job_sheet_picture_and_plan(demo):
    """The folder holds a job that reads, a PDF, an SVG and the plan as JSON."""
    folder, _ = demo
    job = read_job((folder / "ridge-string.toml").read_text(encoding="utf-8"))
    assert (folder / "ridge-string.pdf").read_bytes().startswith(b"%PDF-")
    assert SVG == ET.fromstring((folder / "ridge-string.svg").read_text(encoding="utf-8")).tag
    plan = json.loads((folder / "ridge-string.json").read_text(encoding="utf-8"))
    assert job.id == plan["job"]["id"]


def test_the_demo_brings_every_example(demo):
    """All packaged jobs lie beside it, unchanged."""
    folder, _ = demo
    for path in PACKAGED.glob("*.toml"):
        assert path.read_bytes() == (folder / path.name).read_bytes()


def test_the_demo_says_where_and_what_next(demo, run):
    """Each file is named, and the command it ends with runs as it stands."""
    _, output = demo
    for ending in ("toml", "pdf", "svg", "json"):
        assert os.path.join("shop", f"ridge-string.{ending}") in output
    line = next(line.strip() for line in output.splitlines() if "--read" in line)
    words = line.replace('"', "").split(maxsplit=4)
    assert ["strandwright", "plan"] == words[:2]
    again = run(*words[1:])
    assert 0 == again.exit_code, again.stderr
    assert "What the readings changed" in again.output


def test_the_demo_can_be_run_again(demo, run):
    """An untouched folder is simply written again."""
    assert 0 == run("demo", "--into", "shop").exit_code


def test_the_demo_keeps_a_changed_job(demo, run):
    """A job file that somebody has worked on is refused, not written over."""
    folder, _ = demo
    changed = folder / "mere-string.toml"
    changed.write_text(changed.read_text(encoding="utf-8") + "# mine\n", encoding="utf-8")
    result = run("demo", "--into", "shop")
    assert 2 == result.exit_code
    assert "holds a mere-string.toml that has been changed" in result.stderr
    assert changed.read_text(encoding="utf-8").endswith("# mine\n")


def test_the_demo_as_json_names_its_files(run, tmp_path):
    """With --json the files stand under their kinds, and the plan follows."""
    data = json.loads(run("demo", "--json").output)
    assert {"job", "pdf", "svg", "json"} == set(data["files"])
    assert all((tmp_path / path).is_file() for path in data["files"].values())
    assert "RIDGE-1" == data["plan"]["job"]["id"]


def test_a_sheet_is_named_after_its_job_file(run, example, tmp_path):
    """Without -o the PDF lies in the folder of the command, under the job file's name."""
    result = run("sheet", example("mere-string"))
    assert 0 == result.exit_code
    assert "wrote mere-string.pdf" in result.output
    assert (tmp_path / "mere-string.pdf").read_bytes().startswith(b"%PDF-")


def test_a_sheet_s_data_comes_without_the_pdf(run, example, tmp_path):
    """--json prints what would be set, and writes nothing."""
    data = json.loads(run("sheet", example("mere-string"), "--json").output)
    assert "MERE-1" == data["job"]["id"]["text"]
    assert [] == list(tmp_path.iterdir())


def test_a_sheet_that_fails_leaves_the_old_one(run, example, tmp_path, monkeypatch):
    """When the sheet cannot be set, exit code 4, and the earlier PDF is as it was."""

    def fail(_data: object) -> bytes:
        raise SheetError("the sheet could not be set")

    monkeypatch.setattr("strandwright.sheets.render_sheet", fail)
    (tmp_path / "old.pdf").write_bytes(b"yesterday's")
    result = run("sheet", example("mere-string"), "-o", "old.pdf")
    assert 4 == result.exit_code
    assert ["old.pdf"] == [path.name for path in tmp_path.iterdir()]
    assert b"yesterday's" == (tmp_path / "old.pdf").read_bytes()


@pytest.mark.parametrize("theme", ["light", "dark", "print"])
def test_a_picture_is_an_svg_in_each_theme(run, example, tmp_path, theme):
    """Every theme gives a well-formed drawing of the width asked for."""
    result = run("picture", example("ridge-string"), "--theme", theme, "--width", "800")
    assert 0 == result.exit_code, result.stderr
    root = ET.fromstring((tmp_path / "ridge-string.svg").read_text(encoding="utf-8"))
    assert SVG == root.tag
    assert 800.0 == float(root.attrib["viewBox"].split()[2])


def test_a_close_up_is_another_drawing(run, example, tmp_path):
    """--closeup draws the stretch into a file of its own and says its ends."""
    result = run("picture", example("ridge-string"), "--closeup", "26 in", "31 in")
    assert 0 == result.exit_code, result.stderr
    text = (tmp_path / "ridge-string-closeup.svg").read_text(encoding="utf-8")
    assert SVG == ET.fromstring(text).tag
    assert "true to scale" in text


def test_a_close_up_off_the_line_is_refused(run, example, tmp_path):
    """A stretch that the line does not have is named with the line's own length."""
    result = run("picture", example("ridge-string"), "--closeup", "26 in", "60 in")
    assert 2 == result.exit_code
    assert "--closeup: '26 in to 60 in': runs forward along the line, 0 to 57 1/4 in" in (
        result.stderr
    )
    assert [] == list(tmp_path.iterdir())


def test_the_schema_holds_for_every_example(run, tmp_path):
    """The schema is one, says the same to a file as to the terminal, and the examples keep it."""
    import tomllib

    assert "wrote job.json\n" == run("schema", "-o", "job.json").output
    schema = json.loads((tmp_path / "job.json").read_text(encoding="utf-8"))
    assert schema == json.loads(run("schema").output)
    jsonschema.Draft202012Validator.check_schema(schema)
    for path in PACKAGED.glob("*.toml"):
        jsonschema.validate(tomllib.loads(path.read_text(encoding="utf-8")), schema)


def test_a_file_is_replaced_whole_or_not_at_all(tmp_path, monkeypatch):
    """If the last step fails, the old file stands and nothing else is left beside it."""
    path = tmp_path / "plan.json"
    path.write_text("old", encoding="utf-8")

    def fail(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("strandwright.cli.files.os.replace", fail)
    with pytest.raises(KeyboardInterrupt):
        write_whole(path, "new")
    assert "old" == path.read_text(encoding="utf-8")
    assert [path] == list(tmp_path.iterdir())


@pytest.mark.skipif(os.name != "posix", reason="only POSIX files have these permissions")
def test_a_written_file_can_be_read_like_any_other(tmp_path):
    """The file gets the permissions a plain open() would give it."""
    (tmp_path / "plain").write_text("x", encoding="utf-8")
    write_whole(tmp_path / "whole", "x")
    modes = [(tmp_path / name).stat().st_mode for name in ("plain", "whole")]
    assert modes[0] == modes[1]
