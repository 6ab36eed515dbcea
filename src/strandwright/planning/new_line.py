"""A new line: from start-stop shorthand and a few words to a whole job."""

from __future__ import annotations

from typing import Any

from strandwright.errors import SpecError
from strandwright.workshop.job import Job, job_from_table
from strandwright.workshop.shorthand import Shorthand, parse_shorthand

Table = dict[str, Any]

#: A serving whose middle is no further from the line's, over its length, may be the centre's [-]
_ABOUT_MIDDLE = 0.15
#: One that begins so near an end, over the length, is that end's [-]
_AT_END = 0.02


def job_from_shorthand(entry: Table, bench: Table) -> Job:
    """Make a job from the shorthand of a line and what else cannot be guessed.

    Parameters
    ----------
    entry : dict
        ``id``, ``name``, ``shorthand``; ``kind`` (string or cable), ``bow`` (tables as in the
        job file), ``strand``, ``strands`` or ``colours``, ``thread``, ``centre_thread``,
        ``loop`` and, if wanted, ``customer``, ``twist``, ``paper``.
    bench : dict
        Tables of the bench.

    Returns
    -------
    Job
        A job that can be edited further. Servings that begin or end the line are end
        servings, one about the middle of a string is its centre serving, others are free.

    Raises
    ------
    InputError
        For one thing that cannot be used.
    InputErrors
        For several of them.
    """
    text = entry.get("shorthand", "")
    if not isinstance(text, str) or not text.strip():
        remedy = "write it like 57 1/4: 0-17, 26 3/4-30 1/2, 17-0"
        raise SpecError("line.shorthand", text, "must be the line's shorthand", remedy)
    kind = entry.get("kind", "string")
    thread = entry.get("thread", "braid-018")
    colours = entry.get("colours") or []
    counts = [c.get("strands", 0) for c in colours if isinstance(c, dict)]
    makeup: Table = {
        "strand": entry.get("strand", ""),
        "strands": entry.get("strands", sum(counts) if counts else 0),
        "colours": colours,
    }
    if entry.get("twist"):
        makeup["twist"] = entry["twist"]
    loop = {"size": entry.get("loop", ""), "thread": thread}
    bow = entry.get("bow", {})
    names = _end_names(kind, bow.get("kind") if isinstance(bow, dict) else None)
    return job_from_table(
        {
            "id": entry.get("id", ""),
            "name": entry.get("name", ""),
            "customer": entry.get("customer", ""),
            **({"paper": entry["paper"]} if entry.get("paper") else {}),
            "bow": bow,
            "line": {
                "name": kind if kind in ("string", "cable") else "string",
                "kind": kind,
                "shorthand": text,
                "zero_end": {"name": names[0], **loop},
                "far_end": {"name": names[1], **loop},
                "servings": _servings(text, kind, thread, entry.get("centre_thread") or thread),
            },
            "makeup": makeup,
            "bench": bench,
        }
    )


def _end_names(kind: object, bow: object) -> tuple[str, str]:
    if bow in ("recurve", "longbow"):
        return "lower limb", "upper limb"
    if bow == "crossbow":
        return "left limb", "right limb"
    return ("lower cam", "upper cam") if kind != "cable" else ("cam", "axle")


def _servings(text: str, kind: object, thread: object, centre: object) -> list[Table]:
    """Name the shorthand's runs by where they lie."""
    shorthand = parse_shorthand(text, field="line.shorthand")
    length = float(shorthand.length)
    middle = _centre_run(shorthand) if kind == "string" else None
    servings: list[Table] = []
    for i, run in enumerate(shorthand.runs):
        if float(run.start) < _AT_END * length:
            servings.append({"name": "zero end", "use": "end", "thread": thread})
        elif float(run.stop) > (1.0 - _AT_END) * length:
            servings.append({"name": "far end", "use": "end", "thread": thread})
        elif i == middle:
            servings.append({"name": "centre", "use": "centre", "thread": centre})
        else:
            servings.append({"name": f"serving {i + 1}", "use": "free", "thread": thread})
    return servings


def _centre_run(shorthand: Shorthand) -> int | None:
    """Find the run nearest the middle of the line, if one lies about there."""
    length = float(shorthand.length)
    off = [abs(0.5 * float(r.start + r.stop) / length - 0.5) for r in shorthand.runs]
    nearest = min(range(len(off)), key=off.__getitem__, default=None)
    return nearest if nearest is not None and off[nearest] < _ABOUT_MIDDLE else None
