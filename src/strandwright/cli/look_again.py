"""The command ``look-again``: which lines on bows are due to be looked at, and why."""

from __future__ import annotations

from datetime import datetime
from typing import Any

import click

from strandwright.cli.store_option import store_option

Fields = dict[str, Any]
_HEADS = {"due": "Due", "later": "Later"}


@click.command("look-again", short_help="Say which lines on bows are due to be looked at.")
@click.option("--words", default="", metavar="WORDS", help="Only those with these in their names.")
@click.option("--due", "only_due", is_flag=True, help="Only those that are due.")
@click.option("--sources", is_flag=True, help="Say of each line what every source says.")
@store_option
@click.option("--json", "as_json", is_flag=True, help="Print the list as JSON.")
def command(words: str, only_due: bool, sources: bool, place: str | None, as_json: bool) -> None:
    """Say which lines on bows are due to be looked at again, which soon, which later, and why.

    A line is due by what was seen on it, by how it settles, or by what sources say of its age;
    where those disagree, --sources gives each for itself. Nothing is written.

    A line that is cut, or whose serving has come apart, is not drawn, not even to see. Press the
    bow only as its maker's manual says, or leave it to a qualified technician.
    """
    from strandwright.cli.layout import say, say_json
    from strandwright.planning.desk.builds import Desk
    from strandwright.planning.register.data import look_again_data
    from strandwright.planning.register.forecasts import Forecasts
    from strandwright.sheets import sheet_data
    from strandwright.store.open import open_store

    store = open_store(place)
    try:
        desk = Desk(store, sheet=sheet_data)
        now = datetime.fromisoformat(desk.now())
        told = look_again_data(Forecasts(desk), now, words)
    finally:
        store.close()
    if as_json:
        say_json(told)
        return
    say(_lines(told, only_due=only_due, sources=sources))


def _lines(told: Fields, *, only_due: bool, sources: bool) -> list[str]:
    from strandwright.cli.layout import columns, heading, paragraph

    counts = told["counts"]
    lines = [f"{counts['due']} due, {counts['soon']} soon, {counts['later']} later"]
    for when in ("due",) if only_due else ("due", "soon", "later"):
        rows = told[when]
        if not rows:
            continue
        lines += heading(_HEADS.get(when, f"Within {told['soon_days']} days"))
        if sources:
            for row in rows:
                lines += _with_sources(row)
        else:
            cells = [
                (row["due_at"][:10] or "-", row["customer"] or "-", row["bow"], row["name"],
                 row["why"])
                for row in rows
            ]  # fmt: skip
            lines += columns(("day", "customer", "bow", "line", "why"), cells)
    if told["retired"] and not only_due:
        lines += heading("Taken off for good")
        off = [
            (row["retired_at"][:10], row["customer"] or "-", row["bow"], row["name"], row["why"])
            for row in told["retired"]
        ]
        lines += columns(("day", "customer", "bow", "line", "why"), off)
    if sources and any(counts.values()):
        lines += ["", *paragraph(told["disagree"], indent="")]
    return lines


def _with_sources(row: Fields) -> list[str]:
    from strandwright.cli.layout import paragraph

    who = ", ".join(text for text in (row["customer"], row["bow"], row["name"]) if text)
    lines = ["", *paragraph(f"{row['due_at'][:10] or 'no day'}  {who}", indent="")]
    lines += paragraph(f"{row['why']}; {row['shots']:,} shots, {row['turns_text']}")
    for group in row["groups"]:
        for one in group["intervals"]:
            days = " to ".join(dict.fromkeys(day for day in (one["first"], one["last"]) if day))
            now = f"; {one['now']}" if one["now"] else ""
            holds = "" if one["holds"] else "; not told of one shot so little"
            text = f"{group['title']}: {one['said']} ({one['source']}; {one['kind']}{now}{holds})"
            lines += paragraph(f"{text}{': ' + days if days else ''}", indent="    ", mark="-")
    return lines
