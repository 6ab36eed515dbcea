"""The pages that show how: every command on them runs, and every piece of a job file holds."""

from __future__ import annotations

import json
import re
import shlex
import shutil
import tomllib
from pathlib import Path

import pytest

from strandwright.reference import strands, threads
from strandwright.workshop.job import job_from_table, job_schema

HOW_TO = Path(__file__).parents[3] / "docs" / "how-to"
FENCED = re.DOTALL | re.MULTILINE
PAGES = ("write-a-job-file", "from-original-to-sheet", "plan-again-from-readings")


def blocks(page: str, language: str) -> list[str]:
    """Give the fenced blocks of one language on a page."""
    text = (HOW_TO / f"{page}.md").read_text(encoding="utf-8")
    return re.findall(rf"^```{language}\n(.*?)^```", text, re.DOTALL | re.MULTILINE)


@pytest.mark.parametrize("page", PAGES)
def test_every_command_on_the_page_runs(run, example, tmp_path, page):
    """Typed as it stands, with a job of one's own at hand, each command ends well."""
    shutil.copy(example("ridge-string"), tmp_path / "my-string.toml")
    commands = [
        shlex.split(line)
        for block in blocks(page, "sh")
        for line in block.replace("\\\n", " ").splitlines()
    ]
    assert commands
    for name, *arguments in commands:
        if name == "cp":
            shutil.copy(tmp_path / arguments[0], tmp_path / arguments[1])
            continue
        assert "strandwright" == name
        result = run(*arguments)
        assert 0 == result.exit_code, f"{shlex.join(arguments)}\n{result.stderr}"


def test_the_pieces_make_a_job(run, tmp_path):
    """The tables shown are together a job that can be planned."""
    _, *pieces = blocks("write-a-job-file", "toml")
    text = "\n".join(pieces)
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    result = run("check", "mine.toml")
    assert 0 == result.exit_code, result.stderr


def test_the_pieces_answer_for_a_bow(run, tmp_path):
    """The keys of the bow that are shown are enough for every answer."""
    _, *pieces = blocks("write-a-job-file", "toml")
    (tmp_path / "mine.toml").write_text("\n".join(pieces), encoding="utf-8")
    data = json.loads(run("bow", "mine.toml", "--json").output)
    assert data["home"] is not None
    assert "1 trial on this bow" in data["turns"]["source_text"]
    assert "chronograph" in data["speed"]["by"]
    assert 3 == len(data["curve"]["board"])


def test_the_least_job_is_whole_and_the_least(run, tmp_path):
    """The first job on the page can be planned, and without any of its entries it cannot."""
    text = blocks("write-a-job-file", "toml")[0]
    lines = text.splitlines()
    (tmp_path / "least.toml").write_text(text, encoding="utf-8")
    result = run("check", "least.toml")
    assert 0 == result.exit_code, result.stderr
    entries = [number for number, line in enumerate(lines) if "=" in line]
    assert len(entries) > 8
    for number in entries:
        left = "\n".join(lines[:number] + lines[number + 1 :])
        (tmp_path / "less.toml").write_text(left, encoding="utf-8")
        assert 2 == run("check", "less.toml").exit_code, lines[number]


def names_in(schema: dict, place: str) -> set[str]:
    """Give the words that may stand at a dotted place of the job file."""
    node = schema
    for name in place.split("."):
        node = node["properties"][name]
        while "enum" not in node and "properties" not in node:
            if "anyOf" in node:
                node = node["anyOf"][0]
            elif "items" in node:
                node = node["items"]
            else:
                node = schema["$defs"][node["$ref"].rsplit("/", 1)[1]]
    return set(node.get("enum") or node.get("properties") or ())


@pytest.mark.parametrize(
    "place",
    [
        "bow.kind", "bow.cables", "bow.now", "bow.rules", "line.marks.kind", "makeup.separator",
        "line.kind", "line.servings.use", "makeup.pattern",
        "makeup.hand", "makeup.own_strand", "bench", "bench.gauge", "bench.tape", "bench.beam",
        "route", "route.order", "build", "build.readings", "build.readings.stage", "paper",
        "paper.units", "paper.size",
    ],
)  # fmt: skip
def test_every_name_is_on_the_page(place):
    """Whatever may stand at these places of a job file is named on the page."""
    text = (HOW_TO / "write-a-job-file.md").read_text(encoding="utf-8")
    named = set(re.findall(r'`"?([^`"]+)"?`', re.sub(r"^```.*?^```", "", text, flags=FENCED)))
    shown = set(re.findall(r"^(\w+) = ", text, re.MULTILINE))
    assert set() == names_in(job_schema(), place) - named - shown


def test_strands_and_threads_are_those_of_the_reference():
    """The tables list every built-in strand and thread, as it is called and used, and no other."""
    text = (HOW_TO / "write-a-job-file.md").read_text(encoding="utf-8")
    told = {f"| `{s.id}` | {s.name} |" for s in strands().values()}
    told |= {f"| `{t.id}` | {t.name} | {', '.join(t.use)} |" for t in threads().values()}
    section = text.partition("### Strands and threads")[2].partition("### `[makeup]`")[0]
    assert told == {line for line in section.splitlines() if line.startswith("| `")}


def test_the_readings_shown_are_readings(example):
    """The piece that keeps readings joins a job file as it stands."""
    (piece,) = blocks("plan-again-from-readings", "toml")
    text = Path(example("ridge-string")).read_text(encoding="utf-8") + piece
    job = job_from_table(tomllib.loads(text))
    assert ["bare", "half"] == [reading.stage for reading in job.build.readings]
