"""The bow's answers as plain text: each answer under its heading, cautions where they belong."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from strandwright.cli.layout import columns, heading, paragraph, rows
from strandwright.planning.bow.answers import BowAnswers
from strandwright.planning.bow.data import bow_data
from strandwright.workshop.job import Job

Fields = dict[str, Any]
#: Readings that may be given, on a bow with wheels and on one without.
_NOW = 'now = { brace_height = "6 3/4 in", axle_to_axle = "33 1/8 in", draw_length = "29 1/4 in" }'
_NOW_BENT = 'now = { brace_height = "8 1/8 in" }'
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
        *_turns(data["turns"]),
        *_home(data, _NOW if answers.model.family.strung.bow.wheels else _NOW_BENT),
        *_speed(data["speed"]),
        *_left_out(data),
    ]


def _top(job: Job, data: Fields) -> Iterator[str]:
    bow = f"{job.bow.name}, {job.bow.kind}" if job.bow.name else job.bow.kind
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
    yield from columns(
        ("on", "from", "to", "long", "of it at brace"),
        [
            (row["on"], row["start_text"], row["stop_text"], row["long_text"], row["brace_text"])
            for row in data["touches"]
        ],
    )
    yield from paragraph(
        f"On the finished line, from the loop at its zero end, {job.line.zero_end.name}."
    )
    if data["servings"]:
        yield ""
        yield from columns(
            ("serving", "wanted from and to"),
            [(row["name"], row["wanted_text"] or "-") for row in data["servings"]],
        )
    for row in data["servings"]:
        yield from paragraph(f"{row['name']}: {row['text']}.", mark="!" if row["short"] else "-")


def _turns(turns: Fields) -> Iterator[str]:
    yield from heading("What one turn put in does")
    yield from columns(
        ("", *turns["lines"]),
        [
            ("shorter by", *turns["shorter_text"]),
            *((row["label"], *row["per_turn"]) for row in turns["rows"]),
        ],
    )
    yield from paragraph(f"A turn taken out does the opposite. Known from {turns['source_text']}.")
    other = [
        (row["label"], *row["per_turn"])
        for row, spread in zip(turns["held_rows"], turns["rows"], strict=True)
        if row["per_turn"] != spread["per_turn"]
    ]
    if other:
        yield ""
        yield from paragraph(
            "Where the twist stays between the end it is put in at and the nocking point:"
        )
        yield from columns(("", *turns["lines"]), other)


def _home(data: Fields, now: str) -> Iterator[str]:
    yield from heading("Which turns bring it home")
    home = data["home"]
    if home is None:
        yield from paragraph(_MEASURE.format(now=now), mark="-")
        return
    yield from paragraph(data["caution"], mark="!")
    half, whole = home["half"], home["whole"]
    yield from rows([("turns", half["text"]), ("in whole turns", whole["text"])])
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


def _speed(speed: Fields | None) -> Iterator[str]:
    yield from heading("What the string costs in arrow speed")
    if speed is None:
        yield from paragraph("A cable's mass sits at the wheels and hardly counts.", mark="-")
        return
    yield from rows([("speed", f"{speed['text']}, {speed['by']}")])
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


def _left_out(data: Fields) -> Iterator[str]:
    yield from heading("What this leaves out")
    for text in data["neglects"]:
        yield from paragraph(f"{text[0].upper()}{text[1:]}.", mark="-")
