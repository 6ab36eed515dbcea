"""Step cautions: what is told at the steps told apart, and marks for what is told at several."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from string import ascii_uppercase
from typing import Any

from strandwright.planning import cautions
from strandwright.sheets.prose import prose

#: Cautions that steps tell, one or more at a step
KNOWN = (
    cautions.FIRST_LOAD,
    cautions.AT_THE_LINE,
    cautions.TURNING,
    cautions.RETENSION,
    cautions.STRETCH,
    cautions.SLIDING,
    cautions.SWING,
    cautions.MARRIED,
    cautions.PRESS,
    cautions.UNSTRING,
    cautions.FIRST_DRAW,
    cautions.CROSSBOW_PRESS,
    cautions.CROSSBOW_UNSTRING,
    cautions.FIRST_COCKING,
    cautions.STRUNG,
)
_APART = re.compile("(" + "|".join(map(re.escape, KNOWN)) + ")")


def step_cautions(told: Sequence[str]) -> list[list[dict[str, Any]]]:
    """Tell the cautions of each step apart, and mark those that come at more than one.

    Parameters
    ----------
    told : sequence of str
        All that each step of a route cautions of; empty where it cautions of nothing.

    Returns
    -------
    list of list of dict
        For each step its cautions as ``text``, ``short``, what it begins with, and ``mark``,
        a letter, or empty where no other step tells it.
    """
    apart = [_told_apart(text) for text in told]
    times = Counter(text for texts in apart for text in texts)
    again = [text for text, often in times.items() if often > 1]
    # More than there are letters are told in full each time.
    marks = dict(zip(again, ascii_uppercase, strict=False))
    return [[_marked(text, marks.get(text, "")) for text in texts] for texts in apart]


def _told_apart(text: str) -> list[str]:
    """Split at the cautions that are known; what stands between them is one of its own."""
    parts = (part.strip() for part in _APART.split(text))
    return list(dict.fromkeys(part for part in parts if part))


def _marked(text: str, mark: str) -> dict[str, Any]:
    """Give a caution with its mark and, to be known by where it comes again, its beginning."""
    short = re.split(r"[:.;]", text, maxsplit=1)[0]
    return {"text": prose(text, caution=True), "short": prose(short, caution=True), "mark": mark}
