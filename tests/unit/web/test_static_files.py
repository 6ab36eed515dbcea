"""The pages need nothing but what the package ships."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

STATIC = Path(__file__).parents[3] / "src/strandwright/web/static"
VENDOR = STATIC / "vendor"
SCRIPTS = sorted(path for path in STATIC.rglob("*.js") if VENDOR not in path.parents)
#: A module's name after ``import``, ``from`` at the end of a list, or in a later ``import(...)``.
_IMPORT = re.compile(
    r'''(?:^import |^(?:import|export)? ?[^"'`\n]*\bfrom |\bimport\()"([^"\n]+)"''', re.MULTILINE
)
_PAGE = (STATIC / "index.html").read_text(encoding="utf-8")


def _import_map() -> dict[str, str]:
    """Read the page's import map."""
    found = re.search(r'<script type="importmap">(.*?)</script>', _PAGE, re.DOTALL)
    assert found is not None
    return json.loads(found[1])["imports"]


def test_import_map_names_only_recorded_files() -> None:
    """Every library of the import map is a vendored file with a digest in vendor.json."""
    entries = json.loads((VENDOR / "vendor.json").read_text(encoding="utf-8"))
    recorded = {f"/static/vendor/{name}" for entry in entries for name in entry["sha256"]}
    assert set() == set(_import_map().values()) - recorded


def test_page_links_only_shipped_files() -> None:
    """Every stylesheet, icon and script the page names lies in the package."""
    named = re.findall(r'(?:href|src)="/static/([^"]+)"', _PAGE)
    assert named
    assert [] == [name for name in named if not (STATIC / name).is_file()]


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.relative_to(STATIC).as_posix())
def test_imports_of_a_script_lead_somewhere(script: Path) -> None:
    """A module imports files that are there, or names of the import map."""
    text = script.read_text(encoding="utf-8")
    named = _IMPORT.findall(text)
    beside = [name for name in named if name.startswith(".")]
    assert [] == [name for name in beside if not (script.parent / name).is_file()]
    assert set() == set(named) - set(beside) - set(_import_map())


@pytest.mark.parametrize("script", SCRIPTS, ids=lambda path: path.relative_to(STATIC).as_posix())
def test_script_puts_no_markup_into_the_page(script: Path) -> None:
    """Text of users reaches the page as text only, and nothing is fetched from elsewhere."""
    text = script.read_text(encoding="utf-8")
    forbidden = (
        r"innerHTML|outerHTML|insertAdjacentHTML|dangerouslySetInnerHTML|document\.write|eval\("
    )
    assert [] == re.findall(forbidden, text)
    assert [] == re.findall(r"https?://(?!www\.w3\.org/)[^\s\"'`]+", text)
