"""Sphinx configuration: builds offline, and writes the reference from the docstrings."""

from __future__ import annotations

import re
import sys
import tomllib
from pathlib import Path
from typing import Any

DOCS = Path(__file__).parent
ROOT = DOCS.parent
PACKAGE = ROOT / "src" / "strandwright"
sys.path.insert(0, str(ROOT / "src"))

_project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
project = _project["name"]
author = "strandwright contributors"
copyright = author
release = version = _project["version"]

extensions = [
    "myst_parser",
    "sphinx.ext.autodoc",
    "sphinx.ext.napoleon",
    "sphinx.ext.mathjax",
]
exclude_patterns = ["_build"]

myst_enable_extensions = ["colon_fence", "deflist", "dollarmath"]
myst_heading_anchors = 3

# The sidebar of every page would copy each function's entry only to drop it: half of the building.
toc_object_entries = False

html_theme = "furo"
html_title = f"strandwright {release}"
html_static_path = ["_static"]
html_theme_options = {
    "light_css_variables": {"color-brand-primary": "#8a5a00", "color-brand-content": "#8a5a00"},
    "dark_css_variables": {"color-brand-primary": "#e0a53a", "color-brand-content": "#e0a53a"},
}

# Formulas come from files beside the pages, so that they show without the network.
mathjax_path = "vendor/mathjax/startup.js"
mathjax3_config = {
    "loader": {"load": ["core", "input/tex-full", "output/svg"]},
    "tex": {"inlineMath": [["\\(", "\\)"]], "displayMath": [["\\[", "\\]"]]},
}

# A bow is one thing to a workshop and another to mechanics; a type named in a docstring is looked
# for by its last word, and either will do.
suppress_warnings = ["ref.python"]

napoleon_google_docstring = False
napoleon_use_ivar = True
napoleon_use_rtype = False
autodoc_typehints = "none"  # numpydoc already states each type, with its unit
autodoc_member_order = "bysource"
autodoc_default_options = {
    "members": True,
    "show-inheritance": True,
    # Re-exported names are documented once, in the module that defines them.
    "ignore-module-all": True,
}

API = DOCS / "reference" / "api"


def _modules() -> list[str]:
    """Dotted names of every module with something public in it; commands have ``--help``."""
    names: list[str] = []
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
        hidden = any(part.startswith("_") for part in parts[1:-1])
        if parts[1] == "cli" or "migrations" in parts or hidden:
            continue
        if parts[-1] == "__init__":
            parts = parts[:-1]
        elif parts[-1].startswith("_"):
            continue
        if len(parts) > 1:
            names.append(".".join(parts))
    return names


def _write_reference(_app: object) -> None:
    """Write one page for each package or single module directly under strandwright."""
    API.mkdir(parents=True, exist_ok=True)
    pages: dict[str, list[str]] = {}
    for name in _modules():
        pages.setdefault(name.split(".")[1], []).append(name)
    for stale in set(API.glob("*.rst")) - {API / f"{page}.rst" for page in pages}:
        stale.unlink()
    for page, names in pages.items():
        text = [page, "=" * len(page), ""]
        for name in names:
            if name != f"strandwright.{page}":
                text += [name, "-" * len(name), ""]
            text += [f".. automodule:: {name}", ""]
        target, content = API / f"{page}.rst", "\n".join(text)
        if not target.exists() or target.read_text(encoding="utf-8") != content:
            target.write_text(content, encoding="utf-8")


def _plain_references(
    _app: object, _what: str, _name: str, _obj: object, _options: object, lines: list[str]
) -> None:
    """Turn numbered references into a plain list, in place.

    Each docstring counts its own from 1, and one page holds many docstrings, so as link targets
    the numbers would clash. A quantity between bars is an absolute value, not a substitution.
    """
    inside = False
    for index, line in enumerate(lines):
        line = re.sub(r"\[(\d+)\]_", r"[\1]", line)
        line = re.sub(r"(?<![`\\|])\|(\w[^|`]*)\|", r"\\|\1\\|", line)
        start = re.match(r"( *)\.\. (\[\d+\] .*)", line)
        if start:
            inside, line = True, f"{start[1]}* {start[2]}"
        elif inside and line.startswith("   "):
            line = "  " + line.lstrip()
        else:
            inside = False
        lines[index] = line


def setup(app: Any) -> None:
    """Hook in the writing of the reference and the reading of docstrings before napoleon's."""
    app.connect("builder-inited", _write_reference)
    app.connect("autodoc-process-docstring", _plain_references, priority=400)
