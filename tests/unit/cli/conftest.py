"""What the tests of the commands share: a runner in an empty folder, and the example jobs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

import strandwright
from strandwright.cli.main import command

EXAMPLES = Path(strandwright.__file__).parent / "examples"

Run = Callable[..., Result]


@pytest.fixture
def run(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Run:
    """Run the command line in an empty folder, as somebody in a shell there would."""
    monkeypatch.chdir(tmp_path)

    def invoke(*arguments: str, stdin: str | None = None) -> Result:
        return CliRunner().invoke(command, list(arguments), input=stdin)

    return invoke


@pytest.fixture(scope="session")
def example() -> Callable[[str], str]:
    """Give the path of an example job."""

    def path(name: str) -> str:
        return str(EXAMPLES / f"{name}.toml")

    return path
