"""Details of a line as plain text: peep, marks, ties, separator, patches, rules."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from strandwright.cli.layout import heading, paragraph, rows
from strandwright.planning.details.section import DetailSection


def detail_lines(sections: Iterable[DetailSection]) -> Iterator[str]:
    """Write each section under its heading."""
    for section in sections:
        yield from heading(section.title)
        told: list[tuple[str, str]] = []
        for name, text, said in section.rows:
            told += [(name, text), *([("", said)] if said else [])]
        yield from rows(told)
        for note in section.notes:
            yield from paragraph(f"{note[0].upper()}{note[1:]}.", mark="-")
