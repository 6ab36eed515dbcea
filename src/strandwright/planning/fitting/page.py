"""Page: everything the walk on the bow shows, and the one act that comes next."""

from __future__ import annotations

from typing import Any

from strandwright.planning.fitting.figures import Compared, compared
from strandwright.planning.fitting.keeping import KeptFit
from strandwright.planning.fitting.walk import Act, is_brought_back, next_act, walk
from strandwright.planning.orders.looking import figures_of
from strandwright.planning.written import Written, half_turns
from strandwright.units import Entered

Fields = dict[str, Any]


def fit_page(kept: KeptFit) -> Fields:
    """Give everything the walk on the bow shows.

    Parameters
    ----------
    kept : KeptFit
        The fit.

    Returns
    -------
    dict
        JSON-ready.
    """
    state = kept.state
    acts = walk(state, kept.plans)
    act = next_act(state, acts)
    begun = state.begun
    figures = () if begun is None else figures_of(begun.bow)
    return {
        "id": kept.id,
        "subject": kept.subject,
        "order": None if begun is None else begun.order,
        "bow": None if begun is None else begun.bow,
        "begun_at": state.begun_at,
        "shots": state.shots,
        "next": None if act is None else act.name,
        "acts": [_act(one) for one in acts],
        "lines": _lines(kept),
        "figures": [_compared(one, kept) for one in compared(state)],
        "asked": [{"name": f.name, "label": f.label, "such": f.such} for f in figures],
        "brought_back": is_brought_back(state),
        "measured": [
            {"event": one.event, "at": one.at, "shots": one.body.shots,
             "figures": one.body.figures.model_dump(mode="json", exclude_unset=True)}
            for one in state.measured
        ],
        "turned": [
            {"event": one.event, "at": one.at, "build": one.build, "shots": one.shots,
             "turns": one.turns, "text": _signed(one.turns)}
            for one in state.turned
        ],
        "ended": None if state.ended is None
        else {"is_right": state.ended.is_right, "said": state.ended.said, "at": state.ended_at},
        "notes": list(state.notes),
    }  # fmt: skip


def _lines(kept: KeptFit) -> list[Fields]:
    begun = kept.state.begun
    lines = () if begun is None else begun.lines
    found: list[Fields] = []
    for line, plan in zip(lines, kept.plans, strict=True):
        turns = kept.state.turns(line.build)
        to = Written.on(plan.job.paper)
        found.append(
            {
                "job": line.job,
                "build": line.build,
                "name": plan.job.line.name,
                "turns": turns,
                "turns_text": _signed(turns) if turns else "none",
                "one_turn": f"{to.small(abs(plan.twist.next_turn.value))} shorter",
                "hand": plan.twist.hand,
            }
        )
    return found


def _signed(turns: float) -> str:
    return f"{half_turns(abs(turns))} {'in' if turns > 0 else 'out'}"


def _act(act: Act) -> Fields:
    return {
        "name": act.name,
        "title": act.title,
        "how": list(act.how),
        "caution": act.caution,
        "asks": act.asks,
        "shots": act.shots,
        "done_at": act.done_at,
        "source": act.source,
    }


def _compared(one: Compared, kept: KeptFit) -> Fields:
    plans = kept.plans
    to = Written.on(plans[0].job.paper) if plans else None
    is_length = isinstance(one.now, Entered) and one.off is not None and one.name not in _OTHER
    off = ""
    if one.off is not None and to is not None:
        off = to.fine(abs(one.off)) if is_length else _plain(one, abs(one.off), to)
        off = f"{off} {'more' if one.off > 0 else 'less'}" if one.off else "the same"
    return {
        "name": one.name,
        "label": one.label,
        "before": _text(one.before),
        "now": _text(one.now),
        "off": off,
        "is_right": one.is_right,
        "needed": one.needed,
    }


_OTHER = ("draw_weight", "let_off")


def _plain(one: Compared, off: float, to: Written) -> str:
    return to.force(off) if one.name == "draw_weight" else f"{100.0 * off:.0f} %"


def _text(value: Entered | str | None) -> str:
    return value.text if isinstance(value, Entered) else value or ""
