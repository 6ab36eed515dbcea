"""Layout of plain text: headings, named rows and aligned columns, for paper and any terminal."""

from __future__ import annotations

import json
import sys
import textwrap
from collections.abc import Iterable, Sequence
from typing import Any

import click

from strandwright.units.typography import plain_text

#: Widest line; a terminal half the screen still holds it.
WIDTH = 92
_INDENT = "  "
_GAP = 2


def say(lines: Iterable[str]) -> None:
    """Print lines; what the terminal has no letter for is written plainly."""
    for line in lines:
        click.echo(_printable(line))


def say_json(data: Any) -> None:
    """Print data as JSON, in ASCII so that every pipe carries it."""
    click.echo(json.dumps(data, indent=2, allow_nan=False))


def heading(title: str) -> list[str]:
    """Set a section off from what is above it."""
    return ["", title, "-" * len(title)]


def paragraph(text: str, indent: str = _INDENT, mark: str = "") -> list[str]:
    """Wrap a text; a mark such as ``-`` hangs before its first line."""
    first = f"{indent}{mark} " if mark else indent
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=" " * len(first),
        break_long_words=False,
        break_on_hyphens=False,
    )


def rows(pairs: Sequence[tuple[str, str]]) -> list[str]:
    """Set names beside their texts, wrapped under themselves."""
    width = max((len(name) for name, _ in pairs), default=0) + _GAP
    lines: list[str] = []
    for name, text in pairs:
        first = f"{_INDENT}{name:<{width}}"
        lines += textwrap.wrap(
            text or "-",
            WIDTH,
            initial_indent=first,
            subsequent_indent=" " * len(first),
            break_long_words=False,
            break_on_hyphens=False,
        )
    return lines


def columns(head: Sequence[str], body: Sequence[Sequence[str]]) -> list[str]:
    """Align columns under their heads; a column of numbers stands to the right."""
    if not body:
        return []
    table = [list(head), *(list(row) for row in body)]
    widths = [max(len(row[k]) for row in table) for k in range(len(head))]
    right = [all(_is_number(row[k]) for row in body) for k in range(len(head))]
    return [_INDENT + _aligned(row, widths, right) for row in table]


def _aligned(row: Sequence[str], widths: Sequence[int], right: Sequence[bool]) -> str:
    cells = [
        cell.rjust(width) if to_right else cell.ljust(width)
        for cell, width, to_right in zip(row, widths, right, strict=True)
    ]
    return (" " * _GAP).join(cells).rstrip()


def _is_number(text: str) -> bool:
    return text.removesuffix("%").strip().replace(".", "", 1).removeprefix("-").isdigit()


def _printable(line: str) -> str:
    """Keep a line as it is where the terminal can show it, else write it in plain letters."""
    encoding = getattr(sys.stdout, "encoding", None) or "utf-8"
    try:
        line.encode(encoding)
    except (UnicodeEncodeError, LookupError):
        lead = len(line) - len(line.lstrip(" "))
        plain = plain_text(line[lead:]).encode(encoding, "replace").decode(encoding)
        return line[:lead] + plain
    return line
