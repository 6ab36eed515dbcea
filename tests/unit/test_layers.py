"""The import contracts of pyproject.toml hold, and each of them can fail."""

from __future__ import annotations

import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
CONFIG = ROOT / "pyproject.toml"

RUN = """
import sys
from importlinter.cli import lint_imports
sys.exit(lint_imports(config_filename=sys.argv[1], no_cache=True))
"""


def _lint(source: Path, folder: Path) -> subprocess.CompletedProcess[str]:
    """Hold the contracts against the package that lies in ``source``."""
    return subprocess.run(
        [sys.executable, "-c", RUN, str(CONFIG)],
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(source), "NO_COLOR": "1"},
        capture_output=True,
        text=True,
        check=False,
    )


def _layers() -> list[str]:
    """Every layer that must exist, high to low, from the contract itself."""
    tools = tomllib.loads(CONFIG.read_text(encoding="utf-8"))["tool"]
    contracts = tools["importlinter"]["contracts"]
    rows = next(contract["layers"] for contract in contracts if contract["id"] == "layers")
    peers = (peer.strip() for row in rows for peer in row.split("|"))
    return [peer for peer in peers if not peer.startswith("(")]


def _skeleton(source: Path) -> Path:
    """Write a package with the same layers and nothing in them."""
    package = source / "strandwright"
    for layer in _layers():
        (package / layer).mkdir(parents=True)
        (package / layer / "__init__.py").write_text("", encoding="utf-8")
    (package / "__init__.py").write_text("", encoding="utf-8")
    return package


def test_contracts_hold_in_the_package(tmp_path: Path) -> None:
    """Imports run one way, the core stays pure and no outside library strays from its home."""
    result = _lint(ROOT / "src", tmp_path)
    assert result.returncode == 0, result.stdout + result.stderr


def test_an_empty_skeleton_passes(tmp_path: Path) -> None:
    """The skeleton used below breaks nothing by itself."""
    _skeleton(tmp_path)
    result = _lint(tmp_path, tmp_path)
    assert result.returncode == 0, result.stdout + result.stderr


@pytest.mark.parametrize(
    ("layer", "line"),
    [
        ("line", "from strandwright import cli"),
        ("errors", "from strandwright import units"),
        ("numerics", "import scipy"),
        ("statistics", "import pathlib"),
        ("planning", "import typst"),
        ("reference", "import pydantic"),
        ("web", "from strandwright import cli"),
        ("helpers", ""),
    ],
)
def test_a_breach_is_caught(tmp_path: Path, layer: str, line: str) -> None:
    """An upward import, a forbidden library, a leaning peer and an unplaced module all fail."""
    folder = _skeleton(tmp_path) / layer
    folder.mkdir(exist_ok=True)
    (folder / "__init__.py").write_text(line + "\n", encoding="utf-8")
    result = _lint(tmp_path, tmp_path)
    assert result.returncode == 1, result.stdout + result.stderr


def test_the_contract_names_every_layer_of_the_design() -> None:
    """The order that the documentation promises is the order that is enforced."""
    assert _layers() == [
        "cli",
        "web",
        "sheets",
        "store",
        "planning",
        "drawing",
        "workshop",
        "reference",
        "bow",
        "vibration",
        "statistics",
        "line",
        "fibre",
        "geometry",
        "numerics",
        "units",
        "errors",
    ]
