"""The page on the commands says what the commands say."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from strandwright.cli.main import COMMANDS, EXIT_CODES, UNEXPECTED, command
from strandwright.planning.plan_data import plan_data
from strandwright.planning.plan_line import plan_line
from strandwright.workshop.job import read_job

PAGE = Path(__file__).parents[3] / "docs" / "reference" / "commands.md"


@pytest.fixture(scope="module")
def page() -> str:
    """Read the page."""
    return PAGE.read_text(encoding="utf-8")


def words(text: str) -> str:
    """Give a text's words with single blanks, so that only what is said is compared."""
    return " ".join(text.split())


@pytest.mark.parametrize("name", ["", *COMMANDS])
def test_the_help_of_each_command_stands_on_the_page(page, name):
    """What --help prints is on the page, word for word."""
    arguments = [name, "--help"] if name else ["--help"]
    said = CliRunner().invoke(command, arguments, terminal_width=90).output
    assert words(said) in words(page), f"put this under '{name or 'Commands'}':\n{said}"


def test_commands_stand_in_the_order_of_the_help(page):
    """Each command has its section, in the order of the help."""
    sections = [line.removeprefix("## ") for line in page.splitlines() if line.startswith("## ")]
    assert list(COMMANDS) == [name for name in sections if name in COMMANDS]


def test_every_exit_code_is_explained(page):
    """No code ends a command that the page does not list."""
    for code in {0, UNEXPECTED, *(code for _, code in EXIT_CODES)}:
        assert f"| {code} |" in page


def test_every_section_of_the_json_is_explained(page, example):
    """Each top-level name of a plan's data is on the page."""
    plan = plan_line(read_job(Path(example("ridge-string")).read_text(encoding="utf-8")))
    missing = [name for name in plan_data(plan) if f"`{name}`" not in page]
    assert [] == missing


def test_the_message_shown_is_a_real_one(page, run, example, tmp_path):
    """The example of an error is what the program says."""
    text = Path(example("ridge-string")).read_text(encoding="utf-8")
    text = text.replace('"#E3D3A5", strands = 12', '"#E3D3A5", strands = 11')
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    assert run("check", "job.toml").stderr.strip() in page
