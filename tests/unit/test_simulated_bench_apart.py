"""The simulated bench stays a world of its own: it shares no physics with the program."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

BENCH = Path(__file__).parents[1] / "simulated_bench"
WORLD = ("bench", "fibres", "loops", "settling", "strands", "winding", "world")
PHYSICS = ("line", "fibre", "geometry", "numerics")


def _imported(path: Path) -> set[str]:
    """Every part of the program that a module imports, wherever in it."""
    names: set[str] = set()
    for node in ast.walk(ast.parse(path.read_text("utf-8"))):
        if isinstance(node, ast.Import):
            names |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module} | {f"{node.module}.{alias.name}" for alias in node.names}
    parts = [name.split(".") for name in names]
    return {part[1] for part in parts if part[0] == "strandwright" and len(part) > 1}


@pytest.mark.parametrize("path", sorted(BENCH.glob("*.py")), ids=lambda p: p.stem)
def test_no_module_imports_the_physics_it_judges(path):
    """Neither the world nor who works in it takes physics from the program."""
    assert set() == _imported(path) & set(PHYSICS)


@pytest.mark.parametrize("name", WORLD)
def test_the_world_knows_nothing_of_the_program_but_its_units(name):
    """What is true at the bench is told without the program."""
    assert set() == _imported(BENCH / f"{name}.py") - {"units"}
