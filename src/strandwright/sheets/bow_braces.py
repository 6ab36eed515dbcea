"""The bow sheet's brace height against turns: picture, table, and what practice gives."""

from __future__ import annotations

from typing import Any

from strandwright.drawing.brace_turns import brace_turns_svg
from strandwright.planning.bow.answers import BowAnswers
from strandwright.planning.bow.brace_data import brace_plot
from strandwright.planning.result import Plan
from strandwright.planning.written import Written
from strandwright.sheets.prose import prose, words
from strandwright.sheets.records import record

Section = dict[str, Any]
#: Size it is drawn at, so that its lettering can be read once it is set [px]
_WIDE, _TALL = 340.0, 185.0
#: Most rows of turns put in or taken out that a sheet has room for.
_MOST_ROWS = 9


def braces_section(plan: Plan, answers: BowAnswers, braces: Section | None) -> Section | None:
    """Give brace height against turns, on a bow whose string sets it.

    Parameters
    ----------
    plan : Plan
        The plan of the job's line.
    answers : BowAnswers
        What its bow answers.
    braces : dict or None
        Brace height against turns of a bow's data.

    Returns
    -------
    dict or None
        JSON-ready; None on a bow with wheels.
    """
    found = answers.turning.braces
    if braces is None or found is None:
        return None
    to = Written.on(plan.job.paper)
    svg = brace_turns_svg(brace_plot(found, to), width=_WIDE, height=_TALL, theme="print")
    wanted = braces["wanted_text"]
    return {
        "picture": "\n".join(words(line) for line in svg.splitlines()),
        "start": prose(f"{braces['start_text']}; {braces['from_text']}"),
        "wanted": prose(f"{wanted}: {braces['turns_text']}" if wanted else ""),
        "usual": prose(f"P{braces['usual_text'].removeprefix('p')}"),
        "on_bow": prose(f"A{braces['on_bow_text'].removeprefix('a')}"),
        "rows": [
            {
                "put": words(row["put_text"]),
                "turns": words(row["turns_text"]),
                "longer": prose(row["longer_text"]),
                "brace": record(
                    "value", row["brace_text"], row["brace"], "m", 0.5 * row["brace_plus_minus"]
                ),
                "usual": row["usual"],
            }
            for row in _nearest(braces["rows"])
        ],
    }


def _nearest(rows: list[Section]) -> list[Section]:
    """Rows nearest to the string as it is, as many as fit, in their order."""
    near = sorted(rows, key=lambda row: abs(row["put"]))[:_MOST_ROWS]
    return [row for row in rows if row in near]
