"""Write docs/validation/*.md: every published check with its printed value beside ours.

Runs the tests of ``tests/published`` that use the ``record`` fixture, collects what they
compared, and writes one page for each. Nothing is written unless all of them pass. Usage::

    python tools/make_validation_pages.py           write the pages
    python tools/make_validation_pages.py --check   only say which pages are out of date
"""

from __future__ import annotations

import argparse
import json
import math
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable
from itertools import groupby
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PUBLISHED = ROOT / "tests" / "published"
PAGES = ROOT / "docs" / "validation"
#: Pages written by hand.
BY_HAND = frozenset({"index.md", "simulated-bench.md"})
HEADER = "<!-- Written by tools/make_validation_pages.py; changes by hand are lost. -->"
#: A tolerance under this share of the printed value allows the rounding of arithmetic alone [-]
ROUNDING = 1e-10

Check = dict[str, str | float]


def recording() -> list[Path]:
    """Give the test modules that have a page."""
    return [
        path
        for path in sorted(PUBLISHED.glob("test_*.py"))
        if "record(" in path.read_text(encoding="utf-8")
    ]


def _file_of(name: str) -> str:
    return f"{name.replace('_', '-')}.md"


def run_checks() -> list[Check]:
    """Run the recording tests and give what they compared, in their order."""
    files = [str(path) for path in recording()]
    with tempfile.TemporaryDirectory() as folder:
        kept = Path(folder) / "kept.json"
        path = os.pathsep.join(filter(None, [str(ROOT / "src"), os.environ.get("PYTHONPATH", "")]))
        run = subprocess.run(
            [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", *files],
            cwd=ROOT,
            env={**os.environ, "STRANDWRIGHT_VALIDATION": str(kept), "PYTHONPATH": path},
            capture_output=True,
            text=True,
            check=False,
        )
        if run.returncode:
            sys.exit(f"the checks do not pass, so no page is written:\n{run.stdout[-4000:]}")
        return json.loads(kept.read_text(encoding="utf-8"))


def _numbers(printed: float, ours: float, tolerance: float) -> tuple[str, str]:
    """Write our value and the difference to a tenth of the tolerance; the rest would be noise.

    Where no more than rounding is allowed, twelve digits of ours, and no difference but zero.
    """
    if tolerance <= ROUNDING * abs(printed) or tolerance == 0.0:
        return f"{ours:.12g}", "0"
    digits = max(0, 1 - math.floor(math.log10(tolerance)))
    return f"{ours:.{digits}f}", _signless_zero(f"{ours - printed:.{digits}f}")


def _signless_zero(text: str) -> str:
    """Take the sign from a number whose digits are all zero."""
    return text.removeprefix("-") if float(text) == 0.0 else text


def _row(check: Check) -> str:
    """Write one line of a table."""
    ours, tolerance = float(check["ours"]), float(check["tolerance"])
    unit = f" [{check['unit']}]" if check["unit"] else ""
    cells = (
        f"{check['item']}{unit}",
        str(check["printed"]),
        *_numbers(float(check["printed"]), ours, tolerance),
        f"{tolerance:.2g}",
        str(check["reason"]),
    )
    return "| " + " | ".join(cells) + " |"


def page(checks: list[Check]) -> str:
    """Write one page from the checks of one test module."""
    title, _, about = str(checks[0]["about"]).strip().partition("\n")
    parts = [f"{HEADER}\n\n# {title.rstrip('.')}", about.strip().replace("::\n", ":\n")]
    for source, rows in groupby(checks, key=lambda c: c["source"]):
        table = [
            "| item | printed | ours | difference | allowed | why that much |",
            "| --- | ---: | ---: | ---: | ---: | --- |",
            *(_row(check) for check in rows),
        ]
        parts += [f"## {source}", "\n".join(table)]
    return "\n\n".join(part for part in parts if part) + "\n"


def pages(checks: list[Check]) -> dict[str, str]:
    """Give the text of the pages of these checks by file name."""
    names = sorted({str(c["page"]) for c in checks})
    by_name = {name: [c for c in checks if c["page"] == name] for name in names}
    return {_file_of(name): page(sorted(own, key=_order(own))) for name, own in by_name.items()}


def _order(checks: list[Check]) -> Callable[[Check], int]:
    """Sort by source in order of first appearance, so that each source has one table."""
    seen: dict[str, int] = {}
    for check in checks:
        seen.setdefault(str(check["source"]), len(seen))
    return lambda check: seen[str(check["source"])]


def stale_pages(checks: list[Check]) -> list[str]:
    """Give the pages of these checks that are missing or differ from what the checks give."""
    there = {p.name: p.read_text(encoding="utf-8") for p in PAGES.glob("*.md")}
    return [name for name, text in pages(checks).items() if there.get(name) != text]


def left_over() -> list[str]:
    """Give the pages that no module of checks has."""
    # A module skipped for want of its library still has its page.
    kept = BY_HAND | {_file_of(path.stem.removeprefix("test_")) for path in recording()}
    return [path.name for path in PAGES.glob("*.md") if path.name not in kept]


def main() -> None:
    """Write the pages, or check them."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--check", action="store_true", help="write nothing; fail if out of date")
    check_only = parser.parse_args().check
    checks = run_checks()
    wanted, stale, left = pages(checks), stale_pages(checks), left_over()
    if check_only:
        if stale or left:
            sys.exit(f"out of date: {', '.join(sorted([*stale, *left]))}; run this without --check")
        return
    for name in stale:
        (PAGES / name).write_text(wanted[name], encoding="utf-8")
    for name in left:
        (PAGES / name).unlink()
    print(f"{len(wanted)} pages, {len(stale)} changed, {len(left)} removed")


if __name__ == "__main__":
    main()
