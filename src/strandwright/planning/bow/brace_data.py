"""Brace height against turns as plain data: every number also as text, and what is drawn."""

from __future__ import annotations

from typing import Any

import numpy as np

from strandwright.drawing.brace_turns import BracePlot
from strandwright.planning.bow.brace_turns import TABLE_STEP, BraceTurns
from strandwright.planning.bow.words import change_text, force_text
from strandwright.planning.desk.advice import turns_text
from strandwright.planning.estimate import Estimate
from strandwright.planning.written import Written
from strandwright.units import Dimension, to_unit

Fields = dict[str, Any]
#: Ends of a range are in it, to rounding [m]
_EDGE = 1e-6


def braces_data(braces: BraceTurns | None, to: Written) -> Fields | None:
    """Write brace height against turns as plain data.

    Parameters
    ----------
    braces : BraceTurns or None
        What turns do to the brace height.
    to : Written
        How quantities are written.

    Returns
    -------
    dict or None
        A row for every few turns, what is wanted, what practice gives; None on a bow with wheels.
    """
    if braces is None:
        return None
    start = braces.start
    return {
        "start_text": f"{to.estimate(start.brace)} with {turns_text(start.turns)} in",
        "from_text": start.source,
        "measured": start.measured,
        "one_turn_text": change_text("brace_height", braces.one_turn, braces.one_turn_u, to),
        "on_bow_text": _on_bow(braces, to),
        "rows": [_row(braces, int(k), to) for k in _shown(braces)],
        "wanted_text": "" if braces.wanted is None else to.fine(braces.wanted),
        "turns": None if braces.turns is None else braces.turns.value,
        "turns_text": _turns(braces),
        "usual_text": _usual(braces, to),
    }


def _shown(braces: BraceTurns) -> list[int]:
    """Rows of the table: every few turns, and both ends of the range."""
    put = braces.put
    even = np.abs(put / TABLE_STEP - np.round(put / TABLE_STEP)) < 1e-9
    # An end next to a row says nothing of its own.
    first = put[0] < put[even][0] - 0.4 * TABLE_STEP
    last = put[-1] > put[even][-1] + 0.4 * TABLE_STEP
    ends = [0] * bool(first) + [len(put) - 1] * bool(last)
    return sorted({*np.flatnonzero(even).tolist(), *ends})


def _row(braces: BraceTurns, k: int, to: Written) -> Fields:
    put, high = float(braces.put[k]), float(braces.brace[k])
    longer = float(braces.longer[k])
    usual = braces.usual.low - _EDGE <= high <= braces.usual.high + _EDGE
    tension = Estimate(float(braces.tension[k]), braces.tension_now.u, "N")
    return {
        "put": put,
        "put_text": _put_text(put),
        "turns_text": f"{braces.start.turns + put + 0.0:g}",
        "longer": longer,
        "longer_text": change_text("length", longer, float(braces.longer_u[k]), to),
        "brace": high,
        "brace_plus_minus": 2.0 * float(braces.u[k]),
        "brace_text": to.estimate(Estimate(high, float(braces.u[k]), "m")),
        "tension_text": force_text(tension, to),
        "usual": bool(usual),
    }


def _put_text(put: float) -> str:
    if put == 0.0:
        return "as it is"
    return f"{abs(put):g} {'in' if put > 0 else 'out'}"


def _on_bow(braces: BraceTurns, to: Written) -> str:
    zero, far = braces.nocks
    nocks = to.fine(zero) if abs(zero - far) < _EDGE else f"{to.fine(zero)} and {to.fine(far)}"
    return (
        f"at brace the string pulls {force_text(braces.tension_now, to)} and is "
        f"{to.fine(braces.length.value)} long, outside to outside of limb nocks of {nocks}"
    )


def _turns(braces: BraceTurns) -> str:
    if braces.wanted is None:
        return ""
    if braces.turns is None:
        return "no turns within reach: another string, longer or shorter"
    turns, half = braces.turns.value, max(braces.turns.u95, 0.5)
    near = round(2.0 * turns) / 2.0
    sure = f"\u00b1 {half:.1f}" if half < 2.0 else f"\u00b1 {half:.0f}"
    if near == 0.0:
        return f"leave it as it is, {sure} turns"
    return f"{'put in' if near > 0 else 'take out'} {turns_text(abs(near))}, {sure}"


def _usual(braces: BraceTurns, to: Written) -> str:
    usual = braces.usual
    said = f"practice gives {to.fine(usual.low)} to {to.fine(usual.high)} for {usual.of}"
    at, word = braces.wanted, "what is wanted"
    if at is None:
        at, word = braces.start.brace.value, "as it is, it"
    inside = usual.low - _EDGE <= at <= usual.high + _EDGE
    return f"{said}: {word} lies {'in' if inside else 'outside'} that range"


def brace_plot(braces: BraceTurns, to: Written) -> BracePlot:
    """Give what is drawn of brace height over turns.

    Parameters
    ----------
    braces : BraceTurns
        What turns do to the brace height.
    to : Written
        How quantities are written.

    Returns
    -------
    BracePlot
        In the units it is shown in.
    """

    def shown(metres: float) -> float:
        return to_unit(Dimension.LENGTH, metres, to.system)

    low, high = braces.brace - 2.0 * braces.u, braces.brace + 2.0 * braces.u
    wanted = None if braces.wanted is None else shown(braces.wanted)
    return BracePlot(
        put=tuple(float(v) for v in braces.put),
        brace=tuple(shown(float(v)) for v in braces.brace),
        low=tuple(shown(float(v)) for v in low),
        high=tuple(shown(float(v)) for v in high),
        usual=(shown(braces.usual.low), shown(braces.usual.high)),
        wanted=wanted,
        turns=None if braces.turns is None else braces.turns.value,
        unit=to.system,
    )
