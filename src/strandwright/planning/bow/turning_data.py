"""What turns do and which bring a bow home, as plain data: every number also as text."""

from __future__ import annotations

from typing import Any

from strandwright.bow.tuning import Coefficients, Homeward
from strandwright.planning.bow.turning import HeldRun, Turning
from strandwright.planning.bow.words import LABELS, UNITS, change_text, figure_text
from strandwright.planning.desk.advice import turns_text
from strandwright.planning.estimate import Estimate
from strandwright.planning.written import Written

Fields = dict[str, Any]
#: Ends the order of work. As practice has it, cables set the wheels, then the string sets the draw.
_LAST = "settle, and read again"
#: Free runs that differ by less than this are one and the same [m]
_ALIKE = 1e-6
#: Stands where tracks take nothing from the twist.
AS_MUCH = "as much"
#: Stands where no trial says what a turn does.
UNTRIED = "not tried"


def turns_data(turning: Turning, to: Written) -> Fields:
    """Write what one turn does as plain data.

    Parameters
    ----------
    turning : Turning
        What turns do.
    to : Written
        How quantities are written.

    Returns
    -------
    dict
        A table with one column a line; ``held`` has the other limit of how far twist spreads,
        one column for each end whose free run is another; None where it is the same limit.
    """
    lines = turning.passing.lines
    return {
        "lines": list(lines),
        "shorter_text": [to.small(abs(turning.per_turn[line])) for line in lines],
        "rows": _rows(turning.passing, to, turning.untried),
        "held": _held(turning, to),
        "source_text": turning.passing.source,
    }


def _rows(known: Coefficients, to: Written, untried: frozenset[tuple[str, str]]) -> list[Fields]:
    def text(name: str, k: int, j: int) -> str:
        if (name, known.lines[j]) in untried:
            return UNTRIED
        return change_text(name, float(known.mean[k, j]), float(known.uncertainty[k, j]), to)

    return [
        {
            "name": name,
            "label": LABELS[name],
            "change": [float(v) for v in known.mean[k]],
            "change_plus_minus": [2.0 * float(u) for u in known.uncertainty[k]],
            "unit": UNITS[name],
            "per_turn": [text(name, k, j) for j in range(len(known.lines))],
        }
        for k, name in enumerate(known.figures)
        # The one wheel of a one-cam bow has no other to stand apart from.
        if known.mean[k].any() or known.uncertainty[k].any()
    ]


def _held(turning: Turning, to: Written) -> Fields | None:
    """Set the limits from both ends side by side, what is the same from both only once."""
    if not turning.held:
        return None
    places = [
        (side, j)
        for j, runs in enumerate(zip(*(one.runs for one in turning.held), strict=True))
        for side, run in enumerate(runs)
        if not side or abs(run.length - runs[0].length) > _ALIKE
    ]
    tables = [_rows(one.known, to, frozenset()) for one in turning.held]
    passing = _rows(turning.passing, to, frozenset())
    keys = ("change", "change_plus_minus", "per_turn")
    columns = [
        _column(turning.held[side].runs[j], turning.per_turn, to, side=side) for side, j in places
    ]
    rows = [
        {
            **{name: row[name] for name in ("name", "label", "unit")},
            **{key: [tables[side][k][key][j] for side, j in places] for key in keys},
            "differs": any(
                tables[side][k]["per_turn"][j] != row["per_turn"][j] for side, j in places
            ),
        }
        for k, row in enumerate(passing)
    ]
    same = all(column["more_text"] == AS_MUCH for column in columns)
    # A string that runs free from end to end has no other limit.
    if same and not any(row["differs"] for row in rows):
        return None
    return {"columns": columns, "rows": rows}


def _column(run: HeldRun, passing: dict[str, float], to: Written, *, side: int) -> Fields:
    more = 100.0 * (run.per_turn / passing[run.line] - 1.0)
    by = AS_MUCH if abs(more) < 0.05 else f"{abs(more):.1f} % {'more' if more > 0 else 'less'}"
    return {
        "line": run.line,
        "label": f"{run.line}, from its other end" if side else run.line,
        "free_m": run.length,
        "free_text": f"{to.length(run.length)}, {run.from_body} to {run.to_body}",
        "shorter_text": to.small(abs(run.per_turn)),
        "more_text": by,
    }


def home_data(turning: Turning, to: Written) -> Fields | None:
    """Write the turns that bring a bow home as plain data.

    Parameters
    ----------
    turning : Turning
        What turns do.
    to : Written
        How quantities are written.

    Returns
    -------
    dict or None
        In half turns and in whole ones, and the order of work; None where there are none.
    """
    if turning.home is None or turning.whole is None:
        return None
    return {
        "half": _homeward(turning, turning.home, to),
        "whole": _homeward(turning, turning.whole, to),
        "order": _order(turning.passing.lines, turning.home, turning.whole),
    }


def _order(lines: tuple[str, ...], half: Homeward, whole: Homeward) -> list[str]:
    """Give the order of work for lines that are turned at all."""
    puts = {line: (float(a), float(b))
            for line, a, b in zip(lines, half.turns, whole.turns, strict=True)}  # fmt: skip
    cables = [put for line, put in puts.items() if line != "string"]
    moved = [put for put in cables if any(put)]
    found: list[str] = []
    if moved and len(moved) == len(cables) > 1 and len(set(moved)) == 1:
        found.append("the cables first, both alike")
    elif moved:
        found.append("the cables first" if len(moved) > 1 else "the cable first")
    if any(puts.get("string", ())):
        found.append("the string")
    return [*found, _LAST] if found else []


def _homeward(turning: Turning, home: Homeward, to: Written) -> Fields:
    # As the work goes: cables before the string.
    order = sorted(
        zip(turning.passing.lines, home.turns, home.at_limit, strict=True),
        key=lambda act: act[0] == "string",
    )
    acts = [
        {"line": line, "turns": turns, "at_limit": most, "text": _act(line, turns, most=most)}
        for line, turns, most in order
    ]
    rows = []
    for k, aim in enumerate(turning.aims):
        unit = UNITS[aim.figure]

        def text(value: float, u: float, figure: str = aim.figure, unit: str = unit) -> str:
            return figure_text(figure, Estimate(value, u, unit), to)

        rows.append(
            {
                "label": LABELS[aim.figure],
                "now_text": text(aim.now, aim.now_u),
                "wanted_text": text(aim.wanted, 0.5 * aim.within),
                "expected_text": text(home.expected[k], home.expected_u[k]),
                "chance_text": to.chance(home.chance[k]),
            }
        )
    moved = [_act(line, turns, most=most) for line, turns, most in order if turns]
    return {"acts": acts, "rows": rows, "text": "; ".join(moved) or "leave every line as it is"}


def _act(line: str, turns: float, *, most: bool) -> str:
    if turns == 0:
        return f"{line}: leave it"
    count = turns_text(abs(turns))
    act = f"{line}: put in {count}" if turns > 0 else f"{line}: take out {count}"
    return f"{act}, then read again" if most else act
