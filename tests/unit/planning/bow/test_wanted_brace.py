"""The length of a string from the brace height wanted: relations, refusals and what is said."""

from __future__ import annotations

from typing import Any

import pytest

from strandwright.errors import InputErrors, SpecError
from strandwright.planning.bow.braces import usual_brace
from strandwright.planning.bow.wanted_brace import from_known_string
from strandwright.planning.entries.contradictions import contradictions
from strandwright.planning.estimate import Estimate
from strandwright.planning.examples import example
from strandwright.planning.result import Target
from strandwright.planning.take_off.target import find_target
from strandwright.workshop.job import Job, job_from_table

INCH = 0.0254
EDGES = [
    {"start": "0 in", "stop": "7 1/2 in"},
    {"start": "27 in", "stop": "35 in"},
    {"start": "0 in", "stop": "7 in", "from_far_end": True},
]


def asked(name: str = "MERE-1", **bow: Any) -> Job:
    """An example's job with other entries of its bow; None takes one out."""
    table = example(name).model_dump(mode="json", exclude_defaults=True)
    table["bow"] = {k: v for k, v in (table["bow"] | bow).items() if v is not None}
    return job_from_table(table)


def read(length: str, brace: str, wanted: str | None, load: str = "100 lbf") -> Job:
    """The mere bow with an old string that was read at the measuring load."""
    table = asked(brace_height=brace).model_dump(mode="json", exclude_defaults=True)
    table["original"] = {
        "readings": [{"length": length, "load": load, "zero_post": "1/4 in"}],
        "strands": [{"colour": "lake", "strands": 18}],
        "zero_loop": "3 in", "far_loop": "2 1/2 in", "turns": 25,
    }  # fmt: skip
    if wanted is not None:
        table["bow"]["wanted"] = {"brace_height": wanted}
    return job_from_table(table)


def bare(**bow: Any) -> Job:
    """The mere bow without any string or label: only the bow itself."""
    table = asked(**bow).model_dump(mode="json", exclude_defaults=True)
    del table["original"], table["line"]["shorthand"]
    for serving, edges in zip(table["line"]["servings"], EDGES, strict=True):
        serving |= edges
    return job_from_table(table)


def same(one: Target, other: Target) -> None:
    """Two targets of one length and one doubt."""
    assert one.length.value == pytest.approx(other.length.value, abs=1e-9)
    assert one.length.u == pytest.approx(other.length.u, rel=1e-6)


def test_the_height_measured_gives_the_old_length() -> None:
    """Wanting what was measured asks for the very string that was there, no surer and no less."""
    same(
        find_target(read("62 7/8 in", "8 3/8 in", "8 3/8 in")),
        find_target(read("62 7/8 in", "8 3/8 in", None)),
    )


def test_a_higher_brace_wants_a_shorter_string() -> None:
    """All along, and by about the inverse of the bow's slope; the +- grows with the distance."""
    found = [
        find_target(read("62 7/8 in", "8 3/8 in", w)).length
        for w in ("7 7/8 in", "8 1/8 in", "8 3/8 in", "8 5/8 in", "9 in")
    ]
    lengths = [one.value for one in found]
    assert lengths == sorted(lengths, reverse=True)
    assert 0.8 < (lengths[1] - lengths[3]) / (0.5 * INCH) < 1.3
    assert found[4].u > found[3].u > found[2].u


def test_going_there_and_back_gives_the_old_length() -> None:
    """The string worked out, taken as known at the height it was worked out for, leads back."""
    there = find_target(read("62 7/8 in", "8 3/8 in", "8 7/8 in")).length
    back = from_known_string(
        asked(brace_height="8 7/8 in", wanted={"brace_height": "8 3/8 in"}), there, "known"
    )
    old = find_target(read("62 7/8 in", "8 3/8 in", None)).length
    # The bows are looked for at the height measured, so both ways ask other bows.
    assert back.length.value == pytest.approx(old.value, abs=0.03 * INCH)


def test_it_is_said_what_was_moved() -> None:
    """The plan says from which height to which, by how much, and what practice gives."""
    target = find_target(read("62 7/8 in", "8 3/8 in", "8 3/4 in +- 1/16"))
    assert target.source.endswith("moved to the brace height wanted")
    said = " ".join(target.notes)
    assert "for 8 3/4 in it is" in said
    assert "shorter" in said
    assert "within 1/16 in wants the string within" in said
    assert "8 3/4 in lies in that range" in said


def test_a_length_of_its_own_comes_first() -> None:
    """line.finished stays what is asked for, whatever brace height is wanted."""
    table = asked(wanted={"brace_height": "9 in"}).model_dump(mode="json", exclude_defaults=True)
    table["line"]["finished"] = "62 3/4 in"
    target = find_target(job_from_table(table))
    assert target.length.value == pytest.approx(62.75 * INCH)
    assert target.source == "asked for in the job"


def test_only_the_bow_gives_the_length_by_the_standard() -> None:
    """3 in less than the bow at the height it has; practice's range makes its +-."""
    target = find_target(bare())
    assert target.length.value == pytest.approx(63.0 * INCH, abs=1e-6)
    assert 0.2 < target.length.u / INCH < 0.45
    assert "by the standard" in target.source
    higher = find_target(bare(wanted={"brace_height": "8 3/4 in"}))
    assert 0.3 < (target.length.value - higher.length.value) / INCH < 0.5


def test_without_a_height_the_usual_one_is_taken() -> None:
    """A bow of 66 in braces at 8 to 9 in, so 8 1/2 in wants what the standard says."""
    target = find_target(bare(brace_height=None, wanted={"brace_height": "8 1/2 in"}))
    assert target.length.value == pytest.approx(63.0 * INCH, abs=1e-6)


def test_neither_height_is_refused() -> None:
    """Only a bow length leaves the height open."""
    with pytest.raises(SpecError, match=r"bow\.wanted\.brace_height") as told:
        find_target(bare(brace_height=None))
    assert "maker names" in told.value.remedy


def test_a_known_string_needs_its_brace_height() -> None:
    """Where it braced the bow must be known to move it."""
    job = asked("TARN-1", brace_height=None, wanted={"brace_height": "6 3/4 in"})
    with pytest.raises(SpecError, match=r"bow\.brace_height"):
        find_target(job)


def test_a_height_out_of_reach_is_refused() -> None:
    """No string near this one braces a recurve of 66 in at 12 in."""
    with pytest.raises(SpecError, match=r"bow\.wanted\.brace_height"):
        find_target(bare(wanted={"brace_height": "12 in"}))


def test_a_bow_that_cannot_be_asked_is_told_what_it_lacks() -> None:
    """Without draw weight no bows can be looked for."""
    with pytest.raises((SpecError, InputErrors), match="draw_weight"):
        find_target(asked(draw_weight=None, wanted={"brace_height": "9 in"}))


def test_a_string_of_another_bow_is_refused() -> None:
    """An old string a foot too short is not this bow's, where both are to be used."""
    job = read("54 in", "8 3/8 in", "8 3/4 in")
    told = [error.field for error in contradictions(job)]
    assert told == ["original.readings[1].length"]
    assert not list(contradictions(read("54 in", "8 3/8 in", None)))


def test_string_and_bow_that_hardly_go_together_are_told() -> None:
    """Two inches off what the bow wants at that height: the string is believed, and it is said."""
    target = find_target(read("61 in", "8 3/8 in", "8 3/4 in"))
    assert any("contradict each other" in note for note in target.notes)
    fine = find_target(read("62 7/8 in", "8 3/8 in", "8 3/4 in"))
    assert not any("contradict each other" in note for note in fine.notes)


@pytest.mark.parametrize(
    ("kind", "long", "of", "low", "high"),
    [
        ("recurve", "66 in", "a recurve of 66 in", 8.0, 9.0),
        ("recurve", "69 in", "a recurve of 68 in", 8.0, 9.0),
        ("recurve", "48 in", "a recurve", 7.0, 10.0),
        ("recurve", None, "a recurve", 7.0, 10.0),
        ("longbow", "68 in", "a longbow", 6.0, 7.0),
    ],
)
def test_practice_is_found_by_kind_and_length(
    kind: str, long: str | None, of: str, low: float, high: float
) -> None:
    """The nearest even length, or the kind where there is none."""
    usual = usual_brace(asked(kind=kind, bow_length=long))
    assert usual.of == of
    assert (usual.low / INCH, usual.high / INCH) == pytest.approx((low, high))
    assert usual.row.kind == "practice"


def test_a_trade_label_keeps_its_own_doubt() -> None:
    """A label that does not say its convention is as vague as the trade, and more at a height."""
    table = asked(wanted={"brace_height": "8 3/4 in"}).model_dump(
        mode="json", exclude_defaults=True
    )
    table["original"]["label"].pop("convention")
    target = find_target(job_from_table(table))
    assert target.length.value < 62.3 * INCH
    known = Estimate(62.5 * INCH, 0.0073, "m")
    assert target.length.u > known.u
