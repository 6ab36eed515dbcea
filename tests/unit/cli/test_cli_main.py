"""The command itself: what it loads, what it says, and how it ends."""

from __future__ import annotations

import json
import subprocess
import sys
import tomllib
from pathlib import Path

import click
import pytest

import strandwright
from strandwright import errors
from strandwright.cli import main
from strandwright.cli.main import COMMANDS, EXIT_CODES, UNEXPECTED, exit_code

ROOT = Path(__file__).parents[3]
ON_LINUX = pytest.mark.skipif(not Path("/dev/zero").exists(), reason="it has no such device")
HEAVY = ("numpy", "pydantic", "typst", "pypdf", "segno", "scipy")


def loaded_after(*arguments: str) -> set[str]:
    """Run the command in a process of its own; give the modules it has loaded at its end."""
    code = (
        "import atexit, json, sys\n"
        "atexit.register(lambda: print(json.dumps(sorted(sys.modules)), file=sys.stderr))\n"
        f"sys.argv = ['strandwright', *{list(arguments)!r}]\n"
        "from strandwright.cli.main import main\n"
        "main()\n"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(json.loads(done.stderr.splitlines()[-1]))


@pytest.mark.parametrize("option", ["--help", "--version"])
def test_help_and_version_load_nothing_heavy(option):
    """Asking for help costs about a bare start of Python: no numerics, no job file, no sheet."""
    loaded = loaded_after(option)
    assert [] == [name for name in HEAVY if name in loaded]
    assert [] == [name for name in loaded if name.startswith("strandwright.cli.p")]


def test_planning_loads_no_scipy_and_no_sheet(example):
    """A plan on screen loads neither SciPy nor what only the sheet needs."""
    loaded = loaded_after("plan", example("ridge-string"))
    assert "numpy" in loaded
    assert [] == [name for name in ("scipy", "typst", "pypdf", "segno") if name in loaded]


def test_nobody_looks_for_bows_who_was_not_asked(example):
    """Planning and the bench sheet load nothing of the bow's answers, which take seconds."""
    for arguments in (("plan",), ("sheet", "--json"), ("check",)):
        loaded = loaded_after(*arguments, example("scree-string"))
        assert [] == [name for name in loaded if name.startswith("strandwright.planning.bow.")]
        assert "strandwright.bow.family" not in loaded


def test_importing_the_package_loads_nothing():
    """``import strandwright`` loads none of its own modules and nothing of anybody else's."""
    code = "import sys; before = set(sys.modules); import strandwright; "
    code += "print(*(set(sys.modules) - before))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    new = set(done.stdout.split())
    assert {"strandwright"} == {name for name in new if name.startswith("strandwright")}
    assert [] == [name for name in HEAVY if name in new]


def test_the_version_is_that_of_the_project(run):
    """The version is written in two places, which agree."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert project["version"] == strandwright.__version__
    assert f"strandwright {strandwright.__version__}\n" == run("--version").output


def test_every_command_is_listed_and_has_a_file(run):
    """One file a command, and none that the help does not know."""
    folder = Path(main.__file__).parent
    help_text = run("--help").output
    for name, line in COMMANDS.items():
        assert (folder / f"{name.replace('-', '_')}.py").is_file()
        assert f"  {name}" in help_text
        assert line in help_text
    holding = {
        path.stem for path in folder.glob("*.py") if "@click.command(" in path.read_text("utf-8")
    }
    assert {name.replace("-", "_") for name in COMMANDS} == holding


@pytest.mark.parametrize("name", sorted(COMMANDS))
def test_every_command_has_its_name_and_help(run, name):
    """The table's name is the command's own, and its help opens with a sentence."""
    loaded = main.Commands().get_command(click.Context(main.command), name)
    assert loaded is not None
    assert name == loaded.name
    result = run(name, "--help")
    assert 0 == result.exit_code
    assert f"Usage: strandwright {name} " in result.output


def test_an_unknown_command_is_refused(run):
    """A command that does not exist ends as wrong use does."""
    result = run("plot")
    assert 2 == result.exit_code
    assert "No such command 'plot'" in result.stderr


@pytest.mark.parametrize(
    ("error", "code"),
    [
        (errors.UnitError("line.finished", "57", "needs a unit", "add in"), 2),
        (errors.InputErrors((errors.SpecError("a", "b", "c", "d"),)), 2),
        (errors.NotConverged("no length was found; set the posts wider", 1e-3, 40), 3),
        (errors.SheetError("the sheet could not be set"), 4),
        (errors.StrandwrightError("something else"), 1),
    ],
)
def test_each_error_has_one_exit_code(run, monkeypatch, error, code):
    """What went wrong decides the exit code, and its own words go to the error stream."""

    @click.command("check")
    def failing() -> None:
        raise error

    monkeypatch.setattr(main.Commands, "get_command", lambda *_: failing)
    result = run("check")
    assert code == result.exit_code == exit_code(error)
    assert f"{error}\n" == result.stderr
    assert "" == result.stdout


def test_the_exit_codes_cover_the_error_tree():
    """Every branch of the error tree stands in the mapping."""
    branches = set(errors.StrandwrightError.__subclasses__())
    assert branches == {kind for kind, _ in EXIT_CODES}


def test_a_fault_of_the_program_says_how_to_find_it(run, monkeypatch):
    """An unexpected error ends with 1 and names --traceback; with it, the error itself comes."""

    @click.command("check")
    def failing() -> None:
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr(main.Commands, "get_command", lambda *_: failing)
    result = run("check")
    assert UNEXPECTED == result.exit_code
    assert "ZeroDivisionError: division by zero" in result.stderr
    assert "--traceback" in result.stderr
    assert "Traceback" not in result.stderr
    assert isinstance(run("--traceback", "check").exception, ZeroDivisionError)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="only Linux has a disk always full")
@pytest.mark.parametrize("arguments", [("shorthand", "55: 0-18"), ("schema",), ("--help",)])
def test_a_full_disk_is_no_fault_of_the_program(arguments):
    """What cannot be printed ends with 1 and one line, and is not called a fault."""
    with open("/dev/full", "w", encoding="utf-8") as full:
        done = subprocess.run(
            [sys.executable, "-m", "strandwright", *arguments],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
        )
    assert 1 == done.returncode
    assert 1 == len(done.stderr.splitlines())
    assert "could not print all of it: no space left on device" in done.stderr


@pytest.mark.parametrize(
    ("arguments", "value"),
    [
        (("convert", "-62 in"), "-62 in"),
        (("shorthand", "-55: 0-18"), "-55: 0-18"),
        (("convert", "57 in", "-.5 in"), "-.5 in"),
    ],
)
def test_a_value_with_a_minus_sign_is_not_an_unknown_option(run, arguments, value):
    """A length that looks like an option is told as the value it is."""
    result = run(*arguments)
    assert 2 == result.exit_code
    assert f"argument: '{value}': must not begin with a minus sign" in result.stderr
    assert "No such option" in run("convert", "-x").stderr


def test_what_cannot_be_seen_is_shown_by_its_number(run, tmp_path):
    """Characters without a shape, and those that turn text round, are written as numbers."""
    (tmp_path / "job.toml").write_text('"hand\u200b" = "a\u202eb"\n', encoding="utf-8")
    lines = run("check", "job.toml").stderr.splitlines()
    assert any(line.startswith("hand<U+200B>: 'a<U+202E>b': ") for line in lines)
    assert all(line.isprintable() for line in lines)
    assert "bow: is missing; add it" in lines


@pytest.mark.parametrize("path", [".", pytest.param("/dev/zero", marks=ON_LINUX)])
def test_what_is_no_job_file_is_told_soon(run, path):
    """A folder or an endless device is refused, not read for ever."""
    result = run("check", path)
    assert 2 == result.exit_code
    assert result.stderr.startswith(f"job file: '{path}': must be ")


def test_the_module_runs_as_the_command_does():
    """``python -m strandwright`` is the same command."""
    done = subprocess.run(
        [sys.executable, "-m", "strandwright", "--version"],
        capture_output=True,
        text=True,
        check=True,
    )
    assert f"strandwright {strandwright.__version__}\n" == done.stdout


def test_a_terminal_without_the_sign_gets_plain_letters():
    """Where the terminal has no plus-minus sign or en dash, plain letters stand for them."""
    done = subprocess.run(
        [sys.executable, "-X", "utf8=0", "-m", "strandwright", "convert", "57 in",
         "--from-load", "hand-tight", "--strand", "hmpe", "--strands", "18"],
        capture_output=True,
        env={"PYTHONIOENCODING": "ascii", "PYTHONPATH": str(ROOT / "src")},
        check=True,
    )  # fmt: skip
    assert b" +- " in done.stdout
