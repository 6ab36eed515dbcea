"""A new line: from start-stop shorthand and a few words to a whole job."""

from __future__ import annotations

from typing import Any, cast

from strandwright.errors import SpecError
from strandwright.reference import practice
from strandwright.units import INCH, Dimension, Entered, format_length, parse
from strandwright.workshop.job import Job, job_from_table
from strandwright.workshop.shorthand import Shorthand, parse_shorthand

Table = dict[str, Any]

#: A serving whose middle is no further from the line's, over its length, may be the centre's [-]
_ABOUT_MIDDLE = 0.15
#: The throat's run stops so near where the legs part [m]
_AT_PARTING = 0.125 * INCH
#: One that begins so near an end, over the length, is that end's [-]
_AT_END = 0.02


def job_from_shorthand(entry: Table, bench: Table) -> Job:
    """Make a job from the shorthand of a line, or from a bow, and what else cannot be guessed.

    Parameters
    ----------
    entry : dict
        ``id``, ``name``, ``shorthand``; ``kind`` (string or cable), ``bow`` (tables as in the
        job file), ``strand``, ``strands`` or ``colours``, ``thread``, ``centre_thread``,
        ``loop`` and, if wanted, ``customer``, ``tolerance``, ``twist``, ``paper``, ``laid``,
        ``yoke``, ``reinforced`` (strands laid in at each loop).
    bench : dict
        Tables of the bench.

    Returns
    -------
    Job
        A job that can be edited further. Servings that begin or end the line are end
        servings, one about the middle of a string is its centre serving, others are free. Without
        a shorthand the string of a recurve or longbow whose length is given has its loops and,
        where the nocking point is given too, its centre served as practice does.

    Raises
    ------
    InputError
        For one thing that cannot be used.
    InputErrors
        For several of them.
    """
    text, kind = entry.get("shorthand", ""), entry.get("kind", "string")
    bow = entry.get("bow", {})
    thread = entry.get("thread", "braid-018")
    centre = entry.get("centre_thread") or thread
    line: Table
    if isinstance(text, str) and text.strip():
        named = _served_centre(_servings(text, kind, thread, centre), bow, kind, centre)
        line = {"shorthand": text, **with_fork(named, text, entry.get("yoke"))}
    elif _is_enough(bow, kind):
        served = _by_bow(entry.get("loop", ""), bow, thread, centre)
        # Laid loops and married parts have no serving round them.
        line = {"servings": [s for s in served if s["use"] == "centre" or not entry.get("laid")]}
    else:
        remedy = (
            "write it like 57 1/4: 0-17, 26 3/4-30 1/2, 17-0; of a recurve or longbow the length "
            "of the bow does too"
        )
        raise SpecError("line.shorthand", text, "must be the line's shorthand", remedy)
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
    if entry.get("reinforced"):
        loop["reinforced"] = entry["reinforced"]
    if entry.get("laid"):
        # A laid loop has no serving round it to begin with.
        loop, line = {"size": entry.get("loop", "")}, line | {"laid": entry["laid"]}
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
                "zero_end": {"name": names[0], **loop},
                "far_end": {"name": names[1], **loop},
                **({"tolerance": entry["tolerance"]} if entry.get("tolerance") else {}),
                **line,
            },
            "makeup": makeup,
            "bench": bench,
        }
    )


def _is_enough(bow: object, kind: object) -> bool:
    """Tell whether a string can be made from its bow alone."""
    if not isinstance(bow, dict) or kind != "string":
        return False
    table = cast("Table", bow)
    return table.get("kind") in ("recurve", "longbow") and bool(table.get("bow_length"))


def _by_bow(loop: object, bow: Table, thread: object, centre: object) -> list[Table]:
    """Serve both loops with their legs, and the centre where the nocking point places it."""
    size = parse(Dimension.LENGTH, str(loop), field="line.zero_end.size")
    served_for = float(size.value) + practice("loop.served_leg").value
    long = f"{served_for / INCH:.4g} in"
    served: Table = {"use": "loop", "thread": thread}
    zero: Table = {"name": "lower loop", **served, "start": "0 in", "stop": long}
    far: Table = {"name": "upper loop", **served, "start": long, "stop": "0 in"}
    far["from_far_end"] = True
    middle: list[Table] = [{"name": "centre", "use": "centre", "thread": centre}]
    return [zero, *(middle if bow.get("nock_height") else []), far]


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


def _served_centre(
    servings: list[Table], bow: object, kind: object, thread: object
) -> list[Table]:
    """Add the centre serving of a crossbow's string, about its middle, where no run is it."""
    of = cast("Table", bow).get("kind") if isinstance(bow, dict) else None
    if of != "crossbow" or kind != "string" or any(s["use"] == "centre" for s in servings):
        return servings
    after = sum(s["name"] != "far end" for s in servings)
    return [
        *servings[:after],
        {"name": "centre", "use": "centre", "thread": thread},
        *servings[after:],
    ]


def with_fork(servings: list[Table], text: str, yoke: object) -> Table:
    """Give a line its fork: the run that stops where the legs part is the throat's.

    Parameters
    ----------
    servings : list of dict
        A table for each run of the shorthand, in order.
    text : str
        The shorthand.
    yoke : object
        The yoke's table as it was given; nothing of a line without one. A strap needs no throat.

    Returns
    -------
    dict
        ``servings`` and, of a line with a yoke, ``yoke``.
    """
    if not yoke:
        return {"servings": servings}
    told = cast("Table", yoke) if isinstance(yoke, dict) else {}
    leg = told.get("leg")
    if not isinstance(leg, str) or not leg.strip():
        rule = "must say how far the legs part from their pins"
        raise SpecError("line.yoke.leg", leg or "nothing", rule, "measure it, such as 8 in")
    if told.get("made") == "strap":
        return {"servings": servings, "yoke": yoke}
    shorthand = parse_shorthand(text, field="line.shorthand")
    typed = parse(Dimension.LENGTH, leg, field="line.yoke.leg")
    parting = float(shorthand.length) - typed.si
    _refuse_untied(shorthand, typed, parting)
    found: list[Table] = []
    for table, run in zip(servings, shorthand.runs, strict=True):
        if abs(float(run.stop) - parting) <= _AT_PARTING:
            table = table | {"name": "throat", "use": "throat"}
        elif float(run.start) > parting and table["use"] == "end":
            table = table | {"name": "leg ends"}
        found.append(table)
    return {"servings": found, "yoke": yoke}


def _refuse_untied(shorthand: Shorthand, leg: Entered, parting: float) -> None:
    """Refuse legs that part where no run stops: that one is their throat."""
    stops = [float(run.stop) for run in shorthand.runs]
    near = min(stops, key=lambda stop: abs(stop - parting), default=None)
    if near is not None and abs(near - parting) <= _AT_PARTING:
        return
    system = "in" if leg.unit in ("in", "ft") else "mm"
    at = ""
    if near is not None:
        off = format_length(float(shorthand.length) - near, system=system, fraction=32)
        at = f", the nearest {off}"
    rule = f"must be where a serving of the shorthand stops{at} from the far end"
    raise SpecError("line.yoke.leg", leg.text, rule, "measure to where the throat's serving stops")


def _centre_run(shorthand: Shorthand) -> int | None:
    """Find the run nearest the middle of the line, if one lies about there."""
    length = float(shorthand.length)
    off = [abs(0.5 * float(r.start + r.stop) / length - 0.5) for r in shorthand.runs]
    nearest = min(range(len(off)), key=off.__getitem__, default=None)
    return nearest if nearest is not None and off[nearest] < _ABOUT_MIDDLE else None
