"""Details of a sheet: peep, marks, ties on the strung bow, separator, rules."""

from __future__ import annotations

from typing import Any

from strandwright.planning.result import Plan
from strandwright.sheets.prose import prose, words

Section = dict[str, Any]


def detail_sections(plan: Plan) -> list[Section]:
    """Give the details of a plan's line, section by section.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    list of dict
        Title, rows and notes of each; every number in them typed.
    """
    return [
        {
            "key": section.key,
            "title": words(section.title),
            "rows": [
                {"name": words(name), "text": prose(text), "said": prose(said)}
                for name, text, said in section.rows
            ],
            "notes": [prose(f"{note[0].upper()}{note[1:]}.") for note in section.notes],
        }
        for section in plan.details
    ]
