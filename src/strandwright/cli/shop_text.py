"""Text of a shop: what it knows by group, how steady its bench is, and what is doubted."""

from __future__ import annotations

import textwrap
from typing import Any

from strandwright.cli.layout import heading

Fields = dict[str, Any]

#: It is read in a terminal that was never widened [-]
WIDTH = 80
_LEVELS = {
    "bench": "bench",
    "family": "family of fibres",
    "fibre": "fibre",
    "lot": "lot",
    "builder": "builder",
}


def shop_lines(told: Fields) -> list[str]:
    """Write what a shop knows, as lines of at most :data:`WIDTH` letters."""
    builds = told["builds"]
    if builds == 0:
        return _wrapped("No build is finished yet: each one that is proved and locked teaches "
                        "the next.", "")  # fmt: skip
    out = builds - told["teaching"]
    are = "build is" if builds == 1 else "builds are"
    first = f"{builds} finished {are} kept" + (f", {out} of them left out" if out else "") + "."
    lines = _wrapped(first, "")
    lines += _doubts(told)
    lines += heading("In control?")
    if not told["charts"]:
        lines += _wrapped("Charts begin with the second finished build.")
    for chart in told["charts"]:
        lines += _hung(chart["title"], chart["headline"])
        for sentence in chart["sentences"]:
            lines += _wrapped(sentence, "    ")
    lines += heading("What the builds have taught")
    for group in told["groups"]:
        lines += _group(group)
    return lines


def _doubts(told: Fields) -> list[str]:
    said = [d["text"] for d in told["doubts"]]
    said += [told["doubts_said"]] if told["doubts_said"] else []
    said += [
        f"Left out: {o['name']}, because: {o['because']}. {o['text']}" for o in told["left_out"]
    ]
    return (
        [*heading("In doubt"), *(line for text in said for line in _wrapped(text))] if said else []
    )


def _group(group: Fields) -> list[str]:
    level = _LEVELS.get(group["level"])
    name = f"{level} {group['name']}" if level else group["name"]
    count = "1 build" if group["builds"] == 1 else f"{group['builds']} builds"
    if not group["learned"]:
        return _wrapped(f"{name}, {count}: as the tables have it, so far")
    lines = _wrapped(f"{name}, {count}:")
    for row in group["learned"]:
        lines += _wrapped(f"{row['label']}: {row['text']}", "    ")
    return lines + (_wrapped(group["next"], "    ") if group["next"] else [])


def _hung(name: str, text: str) -> list[str]:
    return _wrapped(f"{name}: {text}")


def _wrapped(text: str, indent: str = "  ") -> list[str]:
    return textwrap.wrap(
        text,
        WIDTH,
        initial_indent=indent,
        subsequent_indent=f"{indent}  " if indent else "",
        break_long_words=False,
        break_on_hyphens=False,
    )
