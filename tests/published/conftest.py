"""Printed value beside ours: asserted in the test, and kept for the pages in docs/validation.

``tools/make_validation_pages.py`` runs these tests with STRANDWRIGHT_VALIDATION set to a file
name and writes the pages from what they kept; without it the checks are asserted and forgotten.
"""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path

import pytest

KEPT = pytest.StashKey[list[dict[str, object]]]()
VARIABLE = "STRANDWRIGHT_VALIDATION"

Record = Callable[..., None]


def pytest_configure(config: pytest.Config) -> None:
    """Start an empty list of checks."""
    config.stash[KEPT] = []


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
