"""Commands that write: demo, sheet, picture and schema put whole files where they say."""

from __future__ import annotations

import json
import os
import xml.etree.ElementTree as ET
from pathlib import Path

import jsonschema
import pytest

import strandwright
from strandwright.cli.demo import program
from strandwright.cli.files import write_whole
from strandwright.errors import SheetError
from strandwright.workshop.job import read_job

PACKAGED = Path(strandwright.__file__).parent / "examples"
ON_POSIX = pytest.mark.skipif(os.name != "posix", reason="pipes and links are POSIX's")
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
    assert "must not hold a job file that has been changed, such as mere-string" in result.stderr
    assert changed.read_text(encoding="utf-8").endswith("# mine\n")


def test_the_demo_as_json_names_its_files(run, tmp_path):
    """With --json the files stand under their kinds, and the plan follows."""
    data = json.loads(run("demo", "--json").output)
    assert {"job", "pdf", "svg", "json", "store"} == set(data["files"])
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
    assert "--closeup: '26 in to 60 in': must run forward along the line, 0 to 57 1/4 in" in (
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


@pytest.fixture
def places(tmp_path, example):
    """Lay out places that no sheet can be written to, beside a job file."""
    (tmp_path / "job.toml").write_bytes(Path(example("ridge-string")).read_bytes())
    (tmp_path / "folder.pdf").mkdir()
    if os.name == "posix":
        os.mkfifo(tmp_path / "pipe.pdf")
    return tmp_path


@pytest.mark.parametrize(
    ("given", "said"),
    [
        ("", "must be a file whose name ends in .pdf; name one, such as job.pdf"),
        ("-", "must be a file whose name ends in .pdf; name one, such as job.pdf"),
        ("job.toml", "must be another file than the job file"),
        ("./job.toml", "must be another file than the job file"),
        ("folder.pdf", "must be a file, and is a folder"),
        ("nowhere/job.pdf", "must lie in a folder, and nowhere is not there"),
        ("job.toml/job.pdf", "must lie in a folder, and job.toml is a file"),
        ("job.svg", "must end in .pdf"),
        ("n" * 300 + ".pdf", "must be a file that can be written: file name too long"),
        pytest.param("pipe.pdf", "must be a regular file", marks=ON_POSIX),
        pytest.param("/dev/null", "must be a regular file", marks=ON_POSIX),
    ],
)
def test_a_sheet_has_a_place_of_its_own(run, places, monkeypatch, given, said):
    """What -o names is refused before anything is planned, and nothing there is touched."""
    monkeypatch.setattr("strandwright.cli.plan.plan_as_read", None)
    before = sorted(places.iterdir())
    job = (places / "job.toml").read_bytes()
    result = run("sheet", "job.toml", "-o", given)
    assert 2 == result.exit_code, result.stderr
    assert result.stderr.startswith("output: ")
    assert said in result.stderr
    assert before == sorted(places.iterdir())
    assert job == (places / "job.toml").read_bytes()


@pytest.mark.parametrize(
    ("arguments", "ending"),
    [(("picture", "job.toml", "-o", "x.pdf"), ".svg"), (("schema", "-o", "x.toml"), ".json")],
)
def test_a_file_is_named_for_what_it_holds(run, places, arguments, ending):
    """A picture is an SVG and the schema is JSON, whatever somebody calls them."""
    result = run(*arguments)
    assert 2 == result.exit_code
    assert f"must end in {ending}" in result.stderr
    assert not (places / arguments[-1]).exists()


@ON_POSIX
def test_a_link_is_written_through(tmp_path):
    """A link to a file stays a link, and the file behind it is the one that is written."""
    (tmp_path / "there").mkdir()
    (tmp_path / "plan.json").symlink_to(tmp_path / "there" / "plan.json")
    write_whole(tmp_path / "plan.json", "new")
    assert (tmp_path / "plan.json").is_symlink()
    assert "new" == (tmp_path / "there" / "plan.json").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("into", "said"),
    [
        ("", "must name a folder"),
        ("taken", "must be a folder, and is a file"),
        ("no/such", "must lie in a folder, and no is not there"),
    ],
)
def test_the_demo_needs_a_folder(run, tmp_path, into, said):
    """A demo without a place to go writes nothing at all."""
    (tmp_path / "taken").write_text("mine", encoding="utf-8")
    result = run("demo", "--into", into)
    assert 2 == result.exit_code
    assert f"--into: '{into}': {said}" in result.stderr
    assert [tmp_path / "taken"] == list(tmp_path.iterdir())


def test_the_demo_does_not_begin_what_it_cannot_end(run, tmp_path):
    """A folder that stands where the sheet goes is told before the first file is written."""
    (tmp_path / "shop" / "ridge-string.pdf").mkdir(parents=True)
    result = run("demo", "--into", "shop")
    assert 2 == result.exit_code
    assert "ridge-string.pdf': must be a file, and is a folder" in result.stderr
    assert ["ridge-string.pdf"] == [path.name for path in (tmp_path / "shop").iterdir()]


def test_what_to_type_is_what_was_started(tmp_path, monkeypatch):
    """The command to type next names the program from here: on the path, or where it lies."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("UV_RUN_RECURSION_DEPTH", raising=False)
    place = Path(".venv") / "bin" / "strandwright"
    place.parent.mkdir(parents=True)
    place.write_text("#!/bin/sh\n", encoding="utf-8")
    place.chmod(0o755)
    monkeypatch.setenv("PATH", str(tmp_path / "elsewhere"))
    for started in (place, place.absolute()):
        monkeypatch.setattr("sys.argv", [str(started)])
        assert str(place) == program()
    monkeypatch.setenv("PATH", str(place.parent.absolute()))
    assert "strandwright" == program()
    monkeypatch.setattr("sys.argv", [str(Path(strandwright.__file__).with_name("__main__.py"))])
    assert program().endswith(" -m strandwright")


@pytest.mark.skipif(os.name != "posix", reason="only POSIX files have these permissions")
def test_a_written_file_can_be_read_like_any_other(tmp_path):
    """The file gets the permissions a plain open() would give it."""
    (tmp_path / "plain").write_text("x", encoding="utf-8")
    write_whole(tmp_path / "whole", "x")
    modes = [(tmp_path / name).stat().st_mode for name in ("plain", "whole")]
    assert modes[0] == modes[1]
