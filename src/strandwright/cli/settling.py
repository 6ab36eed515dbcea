"""The command ``settling``: a finished line on its bow, what is written of it and what to do."""

from __future__ import annotations

import re
import secrets
from datetime import UTC, datetime
from typing import TYPE_CHECKING, Any

import click

from strandwright.cli.store_option import store_option
from strandwright.errors import NotFound, SpecError

if TYPE_CHECKING:
    from strandwright.planning.desk.builds import Desk

Fields = dict[str, Any]

#: Names of options for the places in an entry, for errors.
_NAMED = {
    "length-off.length": "--length",
    "length-off.load": "--load",
    "length-off.zero_pin": "--pin",
    "length-off.far_pin": "--pin",
    "length": "--length",
    "figure-on.per_length": "--per-length",
    "figure-on.read": "--brace or --axles",
    "turns-changed.turns": "--turns",
    "looked-over.seen": "--seen",
    "replace-by.months": "--replace-after",
    "replace-by.shots": "--replace-after",
    "taken-back.entry": "--take-back",
    "service.shots": "--shots",
    "service.at": "--at",
    "service.by": "--by",
}


@click.command("settling", short_help="Say whether a finished line still moves on its bow.")
@click.argument("line", metavar="LINE")
@click.option("--on-bow", is_flag=True, help="Write: it came onto its bow; shots count from here.")
@click.option("--length", metavar="LENGTH", help="Write: its length, read off the bow over pins.")
@click.option("--load", metavar="LOAD", help="With --length: if not the measuring load.")
@click.option("--pin", metavar="DIAMETER", help="With --length: pins, if not the measuring pins.")
@click.option("--brace", metavar="LENGTH", help="Write: brace height, the line on the bow.")
@click.option("--axles", metavar="LENGTH", help="Write: axle to axle, the line on the bow.")
@click.option(
    "--per-length",
    type=float,
    metavar="NUMBER",
    help="With these: change of the figure by lengthening the line, if you read it.",
)
@click.option("--turns", type=float, metavar="TURNS", help="Write: turns put in; below 0, out.")
@click.option("--off-and-on", is_flag=True, help="Write: it was off the bow and on again.")
@click.option("--as-wanted", is_flag=True, help="Write: the bow is as wanted; hold it to that.")
@click.option("--waxed", is_flag=True, help="Write: the bare string was waxed.")
@click.option(
    "--seen",
    multiple=True,
    metavar="WEAR",
    help="Write: looked over, and seen: nothing, fuzzy strand, loose serving, separated "
    "serving, cut strand, peep turned.",
)
@click.option("--dry-fired", is_flag=True, help="Write: shot without an arrow, or a line jumped.")
@click.option(
    "--replace-after",
    metavar="LIMIT",
    help="Write: when this shop replaces it: '24 months' or '5000 shots'.",
)
@click.option("--retire", metavar="WHY", help="Write: it is off for good.")
@click.option("--take-back", type=int, metavar="NUMBER", help="Write: entry NUMBER was a slip.")
@click.option("--shots", type=int, metavar="COUNT", help="Shots since it came onto its bow.")
@click.option("--at", "moment", metavar="DAY", help="When: 2026-03-07, or a moment; else now.")
@click.option("--by", default="", metavar="NAME", help="Who writes it.")
@store_option
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def command(line: str, place: str | None, as_json: bool, **given: Any) -> None:
    """Say whether a finished line still moves on its bow, is done, or wants turns or replacing.

    LINE is a build, 32 hexadecimal digits, or the id of a job with one finished build. With one
    of the options that write, that entry is kept first; nothing is ever written over.

    A worn or cut line is not drawn, not even to see. Press the bow only as its maker's manual
    says, or leave it to a qualified technician.
    """
    from strandwright.cli.told import named
    from strandwright.planning.desk.builds import Desk
    from strandwright.planning.settling.data import settling_data
    from strandwright.planning.settling.keeping import answer_for, write
    from strandwright.planning.settling.record import written_of
    from strandwright.sheets import sheet_data
    from strandwright.store.open import open_store

    store = open_store(place)
    try:
        desk = Desk(store, sheet=sheet_data)
        build = _build(desk, line)
        entry = _entry(desk, build, given)
        if entry is not None:
            with named(_NAMED):
                write(desk, build, entry)
        written = written_of(store, build)
        told = settling_data(answer_for(desk, build, written), written)
    finally:
        store.close()
    _say(told, as_json)


def _build(desk: Desk, line: str) -> str:
    """Find the build that was meant."""
    builds = desk.builds()
    if any(build.head.id == line for build in builds):
        return line
    finished = [
        build.head.id
        for build in builds
        if build.head.job_id == line and build.state.locked is not None
    ]
    if len(finished) == 1:
        return finished[0]
    if not finished:
        raise NotFound("finished build of", line)
    rule = f"must name one of its {len(finished)} finished builds"
    raise SpecError("LINE", line, rule, f"give one of {', '.join(finished)}")


def _entry(desk: Desk, build: str, given: Fields) -> Fields | None:
    """Make the entry that was asked for; None where none was."""
    wanted = [pair for pair in _wanted(desk, build, given) if pair is not None]
    if len(wanted) > 1:
        rule = "must be one option that writes at a time"
        raise SpecError("options", " and ".join(kind for kind, _ in wanted), rule, "run it twice")
    if not wanted:
        return None
    kind, body = wanted[0]
    entry: Fields = {
        "id": secrets.token_hex(16),
        "type": kind,
        "at": _moment(given["moment"]),
        "by": given["by"],
        "body": {name: value for name, value in body.items() if value is not None},
    }
    if given["shots"] is not None:
        entry["shots"] = given["shots"]
    return entry


def _wanted(desk: Desk, build: str, given: Fields) -> list[tuple[str, Fields] | None]:
    pin, per = given["pin"], given["per_length"]
    figures = (("brace", "brace height"), ("axles", "axle to axle"))
    flags = ("on_bow", "off_and_on", "waxed", "dry_fired")
    return [
        *(((flag.replace("_", "-"), {}) if given[flag] else None) for flag in flags),
        ("set-as-wanted", {}) if given["as_wanted"] else None,
        None
        if given["length"] is None
        else (
            "length-off",
            {"length": given["length"], "load": given["load"], "zero_pin": pin, "far_pin": pin},
        ),
        *(
            None
            if given[option] is None
            else ("figure-on", {"figure": name, "read": given[option], "per_length": per})
            for option, name in figures
        ),
        None if given["turns"] is None else ("turns-changed", {"turns": given["turns"]}),
        ("looked-over", {"seen": list(given["seen"])}) if given["seen"] else None,
        None if given["replace_after"] is None else ("replace-by", _limit(given["replace_after"])),
        None if given["retire"] is None else ("retired", {"why": given["retire"]}),
        None
        if given["take_back"] is None
        else ("taken-back", {"entry": _numbered(desk, build, given["take_back"])}),
    ]


def _limit(text: str) -> Fields:
    found = re.fullmatch(r"\s*([0-9]{1,6})\s*(months?|shots?)\s*", text)
    if found is None:
        rule = "must be a whole number of months or shots"
        raise SpecError("--replace-after", text, rule, "write '24 months' or '5000 shots'")
    return {"months" if found[2].startswith("m") else "shots": int(found[1])}


def _numbered(desk: Desk, build: str, number: int) -> str:
    """Give the entry that stands in the list under a number."""
    from strandwright.planning.settling.record import written_of
    from strandwright.workshop.service import TakenBack

    rows = [e for e in written_of(desk.store, build) if not isinstance(e.body, TakenBack)]
    rows.sort(key=lambda e: (e.at, e.shots))
    if not 1 <= number <= len(rows):
        rule = f"must be a number of the list, 1 to {len(rows)}" if rows else "must be in the list"
        raise SpecError("--take-back", str(number), rule, "look at the list without it")
    return rows[number - 1].id


def _moment(text: str | None) -> str:
    if text is None:
        return datetime.now(UTC).isoformat()
    # A day by itself is its noon, so that no time zone moves it to another day.
    return f"{text}T12:00:00+00:00" if re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", text) else text


def _say(told: Fields, as_json: bool) -> None:
    from strandwright.cli.layout import columns, heading, paragraph, say, say_json

    if as_json:
        say_json(told)
        return
    lines = [told["headline"], ""]
    for sentence in told["sentences"]:
        lines += paragraph(sentence)
    for caution in told["cautions"]:
        lines += ["", *paragraph(caution, mark="!")]
    rows = [
        (str(number), row["at"][:10], str(row["shots"]), row["text"], _state(row))
        for number, row in enumerate(told["entries"], 1)
    ]
    if rows:
        lines += heading("What is written of it")
        lines += columns(("no", "day", "shots", "what", ""), rows)
    lines += heading("What is told of wear and age")
    wear = told["wear"]
    lines += paragraph(wear["disagree"])
    for group in wear["groups"]:
        lines += ["", *paragraph(f"{group['title'][:1].upper()}{group['title'][1:]}:")]
        for limit in group["limits"]:
            now = f"; {limit['now']} by this line" if limit["now"] else ""
            note = f". {limit['note']}" if limit["note"] else ""
            source = f"{limit['said']} ({limit['source']}; {limit['kind']}{now}){note}"
            lines += paragraph(source, indent="    ", mark="-")
    say(lines)


def _state(row: Fields) -> str:
    return "taken back" if row["taken_back"] else ""
