"""The committed pages of docs/validation are what the published checks give today.

Each module's page is held to its checks in the very run that makes them, when the module is done
(``up_to_date`` in ``conftest.py``); here is what no module can see of itself.
"""

from __future__ import annotations

from pathlib import Path
from types import ModuleType

PAGES = Path(__file__).parents[2] / "docs" / "validation"
CHECK = {
    "page": "no_such_module",
    "about": "A title.\n\nWords.",
    "source": "A source",
    "item": "an item",
    "printed": "1.0",
    "ours": 1.0,
    "tolerance": 0.05,
    "reason": "half the last digit",
    "unit": "",
}


def test_every_module_of_checks_has_its_page_and_no_page_is_left_over(
    page_maker: ModuleType,
) -> None:
    """None is missing, none stays behind when its module goes."""
    modules = page_maker.recording()
    assert modules
    names = {path.stem.removeprefix("test_").replace("_", "-") + ".md" for path in modules}
    assert names <= {path.name for path in PAGES.glob("*.md")}
    assert [] == page_maker.left_over()


def test_a_page_that_differs_is_found(page_maker: ModuleType) -> None:
    """A digit that moved, a check that came or went, and a page that is not there."""
    assert ["no-such-module.md"] == page_maker.stale_pages([CHECK])
    moved = {**CHECK, "page": "si_conversions"}
    assert ["si-conversions.md"] == page_maker.stale_pages([moved])
