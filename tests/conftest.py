"""What every test shares: a marker from its folder, Hypothesis profiles, outside tools."""

from __future__ import annotations

import importlib
import os
import shutil
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest
from hypothesis import HealthCheck, settings

# The matrices here are small: threads of the linear algebra only wait for one another, and on cores
# that are busy with other tests one takes thirty times as long. Read when NumPy is first imported.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

TESTS = Path(__file__).parent
KINDS = frozenset(
    {"unit", "published", "property", "contract", "browser", "simulated_bench", "benchmark"}
)

# The same cases on every run and every machine, so that a failure is the change's fault.
settings.register_profile(
    "ci",
    derandomize=True,
    deadline=None,
    max_examples=60,
    database=None,
    suppress_health_check=[HealthCheck.too_slow],
)
# New cases each time: HYPOTHESIS_PROFILE=explore make test
settings.register_profile("explore", deadline=None, max_examples=1000, print_blob=True)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark each test by the folder it lies in: a whole part of its path, never a substring."""
    for item in items:
        if not item.path.is_relative_to(TESTS):
            continue
        folder = item.path.relative_to(TESTS).parts[0]
        if folder in KINDS:
            item.add_marker(folder)


@pytest.fixture(scope="session")
def need_tool() -> Callable[[str], str]:
    """Find an outside program: ``need_tool("pdftoppm")`` gives its path.

    Where it is missing the test is skipped and says so; with STRANDWRIGHT_REQUIRE_ALL=1, as in
    the full run, it fails instead, so that nothing goes unproved unseen.
    """

    def find(name: str) -> str:
        path = shutil.which(name)
        if path is not None:
            return path
        if os.environ.get("STRANDWRIGHT_REQUIRE_ALL") == "1":
            pytest.fail(f"the program '{name}' is not installed and this run requires it")
        pytest.skip(f"the program '{name}' is not installed")

    return find


# Making machine code takes half a minute: only tests that hold it to plain Python make it.
os.environ["STRANDWRIGHT_MACHINE_CODE"] = "off"


@pytest.fixture(scope="session")
def need_library() -> Callable[[str], ModuleType]:
    """Import a library that tests alone use: ``need_library("exudyn")`` gives the module.

    Where it is missing, as where it has no build for the machine, the same holds as for a
    program.
    """

    def find(name: str) -> ModuleType:
        try:
            return importlib.import_module(name)
        except ImportError:
            if os.environ.get("STRANDWRIGHT_REQUIRE_ALL") == "1":
                pytest.fail(f"the library '{name}' is not installed and this run requires it")
            pytest.skip(f"the library '{name}' is not installed")

    return find
