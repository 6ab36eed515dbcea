"""Spare data: a matched spare as plain values and texts."""

from __future__ import annotations

from typing import Any

from strandwright.planning.sets.spare import Spare
from strandwright.planning.written import Written, half_turns

Fields = dict[str, Any]


def spare_data(spare: Spare) -> Fields:
    """Give a matched spare as plain values.

    Parameters
    ----------
    spare : Spare
        The spare.

    Returns
    -------
    dict
        JSON-ready: what was taken from the record, and the differences.
    """
    to, taken = Written.on(spare.job.paper), spare.taken
    return {
        "id": spare.job.id,
        "name": spare.job.name,
        "of": spare.of,
        "proved_m": taken.proved,
        "length_m": taken.length,
        "turns": taken.turns,
        "turns_on_bow": taken.turns_on_bow,
        "hand": taken.hand,
        "posts_m": taken.posts,
        "facts": [
            {"name": name, "text": text}
            for name, text in (
                ("proved at", "" if taken.proved is None else to.fine(taken.proved)),
                ("asks for", to.fine(taken.length)),
                ("turns", f"{half_turns(taken.turns)} {taken.hand}"),
                ("wound at", to.fine(spare.plan.winding.posts_outside.value)),
                ("bench", spare.job.bench.name),
                ("fibre", " ".join(w for w in (spare.job.makeup.strand, _lot(spare)) if w)),
            )
            if text
        ],
        "differences": [
            {"of": d.of, "said": d.said, "remedy": d.remedy} for d in spare.differences
        ],
    }


def _lot(spare: Spare) -> str:
    lot = spare.job.makeup.lot.strip()
    return f"lot {lot}" if lot else ""
