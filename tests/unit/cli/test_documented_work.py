"""The pages that show how: every command on them runs, and every piece of a job file holds."""

from __future__ import annotations

import re
import shlex
import shutil
import tomllib
from pathlib import Path

import pytest

from strandwright.workshop.job import job_from_table

HOW_TO = Path(__file__).parents[3] / "docs" / "how-to"
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
    text = 'id = "MINE-1"\nname = "My string"\n\n' + "\n".join(blocks("write-a-job-file", "toml"))
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    result = run("check", "mine.toml")
    assert 0 == result.exit_code, result.stderr


def test_the_readings_shown_are_readings(example):
    """The piece that keeps readings joins a job file as it stands."""
    (piece,) = blocks("plan-again-from-readings", "toml")
    text = Path(example("ridge-string")).read_text(encoding="utf-8") + piece
    job = job_from_table(tomllib.loads(text))
    assert ["bare", "half"] == [reading.stage for reading in job.build.readings]
