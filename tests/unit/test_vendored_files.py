"""Files taken from elsewhere are unchanged, complete and carry their licence."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
MANIFESTS = sorted(
    path for folder in ("docs", "src", "tests") for path in (ROOT / folder).rglob("vendor.json")
    if "_build" not in path.parts
)


@pytest.mark.parametrize("manifest", MANIFESTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_each_file_has_the_digest_it_was_taken_with(manifest: Path) -> None:
    """No file beside a vendor.json was edited, added or lost since it was recorded."""
    entries = json.loads(manifest.read_text(encoding="utf-8"))
    recorded = {name: digest for entry in entries for name, digest in entry["sha256"].items()}
    found = {
        path.relative_to(manifest.parent).as_posix(): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in manifest.parent.rglob("*")
        if path.is_file() and path != manifest
    }
    assert found == recorded


@pytest.mark.parametrize("manifest", MANIFESTS, ids=lambda path: str(path.relative_to(ROOT)))
def test_each_entry_names_version_and_licence(manifest: Path) -> None:
    """Every vendored package says what it is and brings its licence text."""
    for entry in json.loads(manifest.read_text(encoding="utf-8")):
        assert entry["name"] and entry["version"] and entry["licence"]
        assert entry["licence_file"] in entry["sha256"]


def test_there_is_something_to_check() -> None:
    """The search finds the manifest of the documentation's formulas."""
    assert ROOT / "docs/_static/vendor/vendor.json" in MANIFESTS
