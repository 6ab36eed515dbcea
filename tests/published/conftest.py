"""Printed value beside ours: asserted in the test, and kept for the pages in docs/validation.

``tools/make_validation_pages.py`` runs these tests with STRANDWRIGHT_VALIDATION set to a file
name and writes the pages from what they kept. Without it each module's page is held to what its
checks gave, as soon as the last of them is done.
"""

from __future__ import annotations

import importlib.util
import json
import os
from collections.abc import Callable, Generator, Sequence
from pathlib import Path
from types import ModuleType

import pytest

KEPT = pytest.StashKey[list[dict[str, object]]]()
#: Modules of which a test was left out, failed or was skipped: their checks make no whole page.
PARTLY = pytest.StashKey[set[Path]]()
ROOT = Path(__file__).parents[2]
VARIABLE = "STRANDWRIGHT_VALIDATION"

Record = Callable[..., None]


def pytest_configure(config: pytest.Config) -> None:
    """Start an empty list of checks."""
    config.stash[KEPT] = []
    config.stash[PARTLY] = set()
    for argument in config.args:
        path, one_test, _ = argument.partition("::")
        if one_test:
            config.stash[PARTLY].add(Path(path).resolve())


def pytest_deselected(items: Sequence[pytest.Item]) -> None:
    """Note the modules of which a test is left out."""
    for item in items:
        item.config.stash[PARTLY].add(item.path)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(
    item: pytest.Item,
) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Note the modules of which a test failed or was skipped."""
    report = yield
    if not report.passed:
        item.config.stash[PARTLY].add(item.path)
    return report


@pytest.fixture(scope="session")
def page_maker() -> ModuleType:
    """Give the tool that makes the pages."""
    path = ROOT / "tools" / "make_validation_pages.py"
    spec = importlib.util.spec_from_file_location("make_validation_pages", path)
    assert spec is not None and spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module", autouse=True)
def up_to_date(
    request: pytest.FixtureRequest, page_maker: ModuleType
) -> Generator[None, None, None]:
    """Hold a module's page to what its checks gave, once all of them have passed."""
    yield
    stash, name = request.config.stash, request.path.stem.removeprefix("test_")
    checks = [check for check in stash[KEPT] if check["page"] == name]
    if os.environ.get(VARIABLE) or not checks or request.path in stash[PARTLY]:
        return
    # Compared as it is kept: as numbers of JSON.
    stale = page_maker.stale_pages(json.loads(json.dumps(checks)))
    assert [] == stale, "out of date; run tools/make_validation_pages.py"


@pytest.fixture
def record(request: pytest.FixtureRequest) -> Record:
    """Hold our value to a printed one: ``record(source, item, printed, ours, tolerance, reason)``.

    ``printed`` is text, so that its digits are kept as they are printed; ``unit`` is for the
    page only. The page is named after the test's module and opens with that module's docstring.
    """

    def check(
        source: str,
        item: str,
        printed: str,
        ours: float,
        tolerance: float,
        reason: str,
        unit: str = "",
    ) -> None:
        request.config.stash[KEPT].append(
            {
                "page": request.path.stem.removeprefix("test_"),
                "about": str(request.module.__doc__),
                "source": source,
                "item": item,
                "printed": printed,
                "ours": float(ours),
                "tolerance": tolerance,
                "reason": reason,
                "unit": unit,
            }
        )
        difference = float(ours) - float(printed)
        assert abs(difference) <= tolerance, (
            f"{source}, {item}: printed {printed} {unit}, ours {float(ours)!r}, "
            f"difference {difference:.3g}, allowed {tolerance:.3g} ({reason})"
        )

    return check


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Write what was kept where the page maker asked for it."""
    target = os.environ.get(VARIABLE)
    if target:
        Path(target).write_text(json.dumps(session.config.stash[KEPT]), encoding="utf-8")
