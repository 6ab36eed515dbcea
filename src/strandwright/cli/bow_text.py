"""The bow's answers as plain text: each answer under its heading, cautions where they belong."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from strandwright.cli.bow_riser_text import bare_lines, bolts_lines, guard_lines
from strandwright.cli.detail_text import detail_lines
from strandwright.cli.layout import columns, heading, paragraph, rows
from strandwright.planning.bow.answers import BowAnswers
from strandwright.planning.bow.data import bow_data
from strandwright.workshop.job import Job

Fields = dict[str, Any]
#: Readings that may be given, on a bow with wheels and on one without.
NOW = 'now = { brace_height = "6 3/4 in", axle_to_axle = "33 1/8 in", draw_length = "29 1/4 in" }'
NOW_BENT = 'now = { brace_height = "8 1/8 in" }'
_MEASURE = (
    "Measure the bow with the line on and write it under [bow], such as {now}; what it should "
    "measure instead of the figures of [bow] goes under wanted."
)


def bow_lines(job: Job, answers: BowAnswers) -> list[str]:
    """Write all that a job's bow answers."""
    data = bow_data(job, answers)
    return [
        *_top(job, data),
        *_figures(data),
        *_touched(job, data),
        *guard_lines(data["guard"]),
        *turns_lines(data["turns"]),
        *braces_lines(data["braces"]),
        *bolts_lines(data["bolts"]),
        *home_lines(data, NOW if answers.model.family.strung.bow.wheels else NOW_BENT),
        *_speed(data),
        *detail_lines(answers.details),
        *left_out_lines(data),
    ]


def _top(job: Job, data: Fields) -> Iterator[str]:
    bow = ", ".join(word for word in (job.bow.name, data["kind"]) if word)
    line = job.line.name if job.line.name == data["line"] else f"{job.line.name}: {data['line']}"
    yield f"{job.name}   [{job.id}]"
    yield from rows([("bow", bow), ("line", line), ("known from", data["source_text"])])


def _figures(data: Fields) -> Iterator[str]:
    yield from heading("The bow")
    yield from rows([(row["label"], row["text"]) for row in data["figures"]])
    yield ""
    yield from columns(
        ("line", "tension at brace", "highest in a slow draw"),
        [(row["line"], row["brace_text"], row["highest_text"]) for row in data["tensions"]],
    )


def _touched(job: Job, data: Fields) -> Iterator[str]:
    yield from heading(f"What the bow touches of the {data['line']}")
    if data["untouched_text"]:
        yield from paragraph(f"{data['untouched_text']}.", mark="-")
    else:
        yield from columns(
            ("on", "from", "to", "long", "of it at brace"),
            [
                (
                    row["on"],
                    row["start_text"],
                    row["stop_text"],
                    row["long_text"],
                    row["brace_text"],
                )
                for row in data["touches"]
            ],
        )
        yield from paragraph(
            f"On the finished line, from the loop at its zero end, {job.line.zero_end.name}."
        )
    if any(row["wanted_text"] for row in data["servings"]):
        yield ""
        yield from columns(
            ("serving", "needed from and to", "served"),
            [
                (row["name"], row["wanted_text"] or "-", row["times_text"] or "-")
                for row in data["servings"]
            ],
        )
    yield from bare_lines(data["bare"])
    for row in data["servings"]:
        said = f"{row['name']}: {row['verdict_text']}."
        yield from paragraph(said, mark="!" if row["short"] else "-")


def turns_lines(turns: Fields) -> Iterator[str]:
    """Write what one turn does."""
    yield from heading("What one turn put in does")
    yield from columns(
        ("", *turns["lines"]),
        [
            ("shorter by", *turns["shorter_text"]),
            *((row["label"], *row["per_turn"]) for row in turns["rows"]),
        ],
    )
    yield from paragraph(f"A turn taken out does the opposite. Known from {turns['source_text']}.")
    if turns["held"] is not None:
        yield from _held(turns["held"])


def braces_lines(braces: Fields | None) -> Iterator[str]:
    """Write brace height against turns, on a bow whose string sets it."""
    if braces is None:
        return
    yield from heading("Brace height against turns")
    asked: list[tuple[str, str]] = []
    if braces["wanted_text"]:
        asked = [("wanted", braces["wanted_text"]), ("for it", braces["turns_text"])]
    yield from rows(
        [("stands at", f"{braces['start_text']}; {braces['from_text']}"), *asked,
         ("the next turn", braces["one_turn_text"])]
    )  # fmt: skip
    yield ""
    yield from columns(
        ("turns", "then in", "string longer by", "brace height", "pulls at brace", "practice"),
        [
            (
                row["put_text"],
                row["turns_text"],
                row["longer_text"],
                row["brace_text"],
                row["tension_text"],
                "in its range" if row["usual"] else "outside",
            )
            for row in braces["rows"]
        ],
    )
    for key in ("usual_text", "on_bow_text"):
        text = braces[key]
        yield from paragraph(f"{text[0].upper()}{text[1:]}.", mark="-")


def _held(held: Fields) -> Iterator[str]:
    yield ""
    yield from paragraph(
        "So it is where the twist passes every track. Where tracks hold it, only what is in the "
        "air next to the end it is put in at takes the turn:"
    )
    yield from columns(
        ("", "in the air", "shorter by", "than passing"),
        [
            (column["label"], column["free_text"], column["shorter_text"], column["more_text"])
            for column in held["columns"]
        ],
    )
    other = [(row["label"], *row["per_turn"]) for row in held["rows"] if row["differs"]]
    if other:
        yield ""
        yield from columns(("", *(column["label"] for column in held["columns"])), other)


def home_lines(data: Fields, now: str) -> Iterator[str]:
    """Write which turns bring the bow home."""
    yield from heading("Which turns bring it home")
    home = data["home"]
    if home is None:
        yield from paragraph(_MEASURE.format(now=now), mark="-")
        return
    yield from paragraph(data["caution"], mark="!")
    half, whole = home["half"], home["whole"]
    yield from rows([("turns", half["text"]), ("in whole turns", whole["text"])])
    if home["order"]:
        yield from rows([("order", "; ".join(home["order"]))])
    yield ""
    yield from columns(
        ("", "now", "wanted", "expected then", "chance"),
        [
            (
                row["label"],
                row["now_text"],
                row["wanted_text"],
                row["expected_text"],
                row["chance_text"],
            )
            for row in half["rows"]
        ],
    )
    yield from paragraph(
        "Write what the bow read before and after under [[bow.trials]]: the next answer learns it."
    )


def _speed(data: Fields) -> Iterator[str]:
    speed: Fields | None = data["speed"]
    yield from heading(f"What the string costs in {data['missile']} speed")
    if speed is None:
        yield from paragraph("A cable's mass sits at the wheels and hardly counts.", mark="-")
        return
    yield from rows([("speed", f"{speed['text']}, {speed['by']}")])
    if speed["assumed_text"]:
        yield from paragraph(f"{speed['assumed_text']}.", mark="!")
    yield ""
    yield from columns(
        ("on the string", "mass", "takes off"),
        [(row["name"], row["mass_text"], row["lost_text"]) for row in speed["rows"]],
    )
    if not all(row["told"] for row in speed["rows"]):
        yield from paragraph(
            "Cannot tell: near a wheel a small weight may gain speed, which stored energy alone "
            "does not show. Shoot it with and without."
        )


def left_out_lines(data: Fields) -> Iterator[str]:
    """Write what is left out of account."""
    yield from heading("What this leaves out")
    for text in data["neglects"]:
        yield from paragraph(f"{text[0].upper()}{text[1:]}.", mark="-")
