"""Text of stock: the shelf ware by ware, one spool with its log, spools to wind from."""

from __future__ import annotations

from typing import Any

from strandwright.cli.layout import columns, heading, paragraph, rows

Fields = dict[str, Any]

#: Goals are written in feet and not in what the solver counts in [ft]
_FEET = {"mm": 1.0 / 304.8, "dm": 1.0 / 3.048}


def shelf_lines(told: Fields) -> list[str]:
    """Write what lies on the shelf, as lines."""
    if not told["wares"]:
        return [
            *paragraph("Nothing is on the shelf yet.", ""),
            *paragraph("Take in a spool by its label, such as:", ""),
            "  strandwright stock --take-in 'strand hmpe-lcp #2F6B57' --mass '1/4 lb'",
        ]
    number, lines = 0, []
    for ware in told["wares"]:
        if not ware["spools"] and not ware["order_now"]:
            continue
        body = []
        for one in ware["spools"]:
            number += 1
            body.append(_spool_row(number, one))
        lines += heading(_named(ware))
        head = ("no", "left", "", "promised", "free", "lot", "place", "worth")
        lines += columns(head, body) or paragraph("None is left.")
        lines += paragraph(ware["reorder_text"])
        if ware["prices"]:
            last = ware["prices"][-1]
            lines += paragraph(f"Paid last: {last['text']}, that is {last['each_text']}.")
    if told["worth_text"]:
        lines += ["", *paragraph(f"All of it is worth {told['worth_text']} at what was paid.", "")]
    return lines[1:] if lines and lines[0] == "" else lines


def _named(ware: Fields) -> str:
    colour = ware["ware"].get("colour")
    said = [ware["label"], ware["called"] or "", colour or ""]
    return " ".join(part for part in said if part)


def _spool_row(number: int, one: Fields) -> tuple[str, ...]:
    return (
        str(number), one["left_text"], one["mass_text"], one["reserved_text"] or "-",
        one["free_text"], one["lot"] or "-", one["place"] or "-", one["worth_text"] or "-",
    )  # fmt: skip


def spool_lines(told: Fields) -> list[str]:
    """Write one spool, or small parts, with their log, as lines."""
    what = " ".join(p for p in (told["label"], told["called"], told["colour"]) if p)
    facts = [
        ("left", ", ".join(t for t in (told["left_text"], told["mass_text"]) if t)),
        ("came with", told["full_text"]),
        ("free", told["free_text"]),
        ("lot", told["lot"]),
        ("lies", told["place"]),
        ("from", told["supplier"]),
        ("paid", told["price_text"]),
        ("worth now", told["worth_text"]),
        ("a metre weighs", told["learned"].get("density_text", "")),
        ("empty spool", told["learned"].get("tare_text", "")),
        ("identity", told["id"]),
    ]
    lines = [what, *rows([(name, text) for name, text in facts if text])]
    for warning in told["warnings"]:
        lines += ["", *paragraph(warning, mark="!")]
    if told["reserved"]:
        lines += heading("Promised")
        body = [(r["text"], r["number"], r["job"] or "-") for r in told["reserved"]]
        lines += columns(("", "order", "job"), body)
    lines += heading("What happened to it")
    body = [
        (str(number), e["at"][:10], e["text"], _state(e))
        for number, e in enumerate(told["entries"][::-1], 1)
    ]
    return lines + columns(("no", "day", "what", ""), body)


def _state(entry: Fields) -> str:
    if entry["taken_back"]:
        return "taken back"
    return "does not fit the rest" if entry["doubted"] else ""


def choice_lines(told: Fields) -> list[str]:
    """Write which spools lines are best wound from, as lines."""
    lines = [*paragraph(told["said"], "")]
    body = []
    for line in told["lines"]:
        name = " ".join(p for p in (line["label"], line["name"] or line["ware"]["colour"]) if p)
        for piece in line["pieces"]:
            what = _rounds(piece["rounds"], line)
            where = (piece["lot"] or "-", piece["place"] or "-", piece["spool"][:8])
            body.append((line["job"], name, what, piece["text"], *where))
        if line["missing"]:
            what = _rounds(line["missing"], line)
            body.append((line["job"], name, what, line["missing_text"], "not at hand", "-", "-"))
    lines += ["", *columns(("line", "ware", "", "", "lot", "place", "spool"), body)]
    if told["remnants"]:
        lines += heading("Left on them afterwards")
        left = [(r["spool"][:8], r["lot"] or "-", r["text"]) for r in told["remnants"]]
        lines += columns(("spool", "lot", "free"), left)
    lines += heading("How good the choice is")
    goals = [(g["name"], _goal(g, "value"), _goal(g, "bound")) for g in told["goals"][:-1]]
    return lines + columns(("goal", "reached", "no choice has less"), goals)


def _rounds(count: int, line: Fields) -> str:
    if line["rounds"] == 1:
        return "in one piece"
    return f"{count} of {line['rounds']} rounds"


def _goal(goal: Fields, which: str) -> str:
    size = _FEET.get(goal["unit"])
    return str(goal[which]) if size is None else f"{goal[which] * size:.0f} ft"
