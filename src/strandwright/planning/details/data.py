"""Details as plain data: peeps with their numbers, and every section as rows of texts."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from strandwright.planning.details.peep import PeepAnswer, PeepTurn
from strandwright.planning.details.peep_words import angle_text
from strandwright.planning.details.section import DetailSection
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan

Fields = dict[str, Any]


def peeps_data(plan: Plan) -> list[Fields]:
    """Give the peeps of a plan as plain data.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    list of dict
        One for each, angles in turns, their texts in degrees.
    """
    return [_peep(answer) for answer in plan.peeps]


def _peep(answer: PeepAnswer) -> Fields:
    split, loads = answer.split, answer.loads
    return {
        "name": answer.name,
        "groups": [list(group) for group in split.groups],
        "strands": list(split.strands),
        "by_colour": split.by_colour,
        "even": split.is_even,
        "load_braced_n": None if loads is None else loads.braced.value,
        "load_drawn_n": None if loads is None else loads.drawn.value,
        "turns": [_turn(turn) for turn in answer.turns],
    }


def _turn(turn: PeepTurn) -> Fields:
    return {
        "hold": turn.hold.name,
        "from_m": turn.hold.start,
        "to_m": turn.hold.stop,
        **_angle("turn", turn.turn),
        **_angle("half_turn_at_zero_end", turn.by_zero_end),
        **_angle("half_turn_at_far_end", turn.by_far_end),
        "budget": [
            {"name": row.parameter, "label": row.label, "share": row.share} for row in turn.budget
        ],
    }


def _angle(name: str, angle: Estimate) -> Fields:
    return {
        f"{name}_turns": angle.value,
        f"{name}_plus_minus_turns": angle.u95,
        f"{name}_text": angle_text(angle),
    }


def details_data(plan: Plan) -> list[Fields]:
    """Give the details of a plan as rows of texts.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    list of dict
        Section by section.
    """
    return sections_data(plan.details)


def sections_data(sections: Iterable[DetailSection]) -> list[Fields]:
    """Give sections of details as rows of texts.

    Parameters
    ----------
    sections : iterable of DetailSection
        The sections.

    Returns
    -------
    list of dict
        Section by section.
    """
    return [
        {
            "key": section.key,
            "title": section.title,
            "rows": [
                {"name": name, "text": text, "said": said} for name, text, said in section.rows
            ],
            "notes": list(section.notes),
        }
        for section in sections
    ]
