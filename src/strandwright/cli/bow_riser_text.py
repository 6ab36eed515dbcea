"""Cable guard and limb bolts as plain text, cautions before what they belong to."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from strandwright.cli.layout import columns, heading, paragraph

Fields = dict[str, Any]


def guard_lines(guard: Fields | None) -> Iterator[str]:
    """Write what the cable guard bears and takes up; nothing without one."""
    if guard is None:
        return
    yield from heading("What the cable guard bears")
    yield from columns(
        ("", "at brace", "at the peak", "at full draw"),
        [(row["label"], *row["text"]) for row in guard["rows"]],
    )
    for note in guard["notes"]:
        yield from paragraph(f"{note[0].upper()}{note[1:]}.", mark="-")


def bolts_lines(bolts: Fields | None) -> Iterator[str]:
    """Write what a turn of the limb bolts does; nothing where there are none."""
    if bolts is None:
        return
    yield from heading("What one turn out of the limb bolts does")
    yield from paragraph(bolts["caution"], mark="!")
    yield ""
    yield from columns(
        ("", *bolts["columns"]), [(row["label"], *row["text"]) for row in bolts["rows"]]
    )
    yield from paragraph(
        f"A turn in does the opposite. Known from the same bows; {bolts['source_text']}."
    )
    for note in bolts["notes"]:
        yield from paragraph(f"{note[0].upper()}{note[1:]}.", mark="-")


def bare_lines(bare: list[Fields]) -> Iterator[str]:
    """Write what is touched and has no serving."""
    for part in bare:
        yield from paragraph(f"{part['text']}.", mark="!")
