"""The small commands: check, convert and shorthand."""

from __future__ import annotations

import json
import math

import pytest

INCH = 0.0254


def test_check_says_posts_and_chance(run, example):
    """A sound job is told in a line or two what it comes to."""
    output = run("check", example("ridge-string")).output
    assert "String for the ridge bow [RIDGE-1] can be planned: posts at" in output
    data = json.loads(run("check", example("ridge-string"), "--json").output)
    assert ("RIDGE-1", True) == (data["job"], data["can_be_planned"])


def test_check_counts_what_the_plan_warns_of(run, example):
    """What is to be settled first is counted and shown, and the JSON holds the same."""
    job = example("fell-string")
    output = run("check", job).output
    warnings = json.loads(run("check", job, "--json").output)["warnings"]
    assert len(warnings) > 1
    assert f"It has {len(warnings)} warnings; look at the plan" in output
    said = " ".join(output.split())
    assert all(warning in said for warning in warnings[:6])
    assert len(warnings[:6]) == sum(line.startswith("  ! ") for line in output.splitlines())


@pytest.mark.parametrize(
    ("arguments", "first"),
    [
        ((), "55 7/16: 0–18, 21–22 5/8, 18–0"),
        (("--mirror",), "55 7/16: 0–18, 22 5/8–21, 18–0"),
        (("--mm",), "1408.1 mm: 0–457.2, 533.4–574.7, 457.2–0"),
        (("--fraction", "8"), "55 1/2: 0–18, 21–22 5/8, 18–0"),
    ],
)
def test_shorthand_is_written_as_asked(run, arguments, first):
    """The line is read, turned end for end, or written in other units."""
    output = run("shorthand", "55 7/16: 0-18, 21-22 5/8, 18-0", *arguments).output
    assert first == output.splitlines()[0]


def test_shorthand_is_laid_out_from_the_zero_end(run):
    """The table counts every edge from one end; the JSON says the same in metres."""
    output = run("shorthand", "55 7/16: 0-18, 18-0").output
    assert "2  37 7/16 in  55 7/16 in  18 in" in output
    data = json.loads(run("shorthand", "55 7/16: 0-18, 18-0", "--json").output)
    assert 37.4375 * INCH == pytest.approx(data["servings"][1]["start_m"])
    assert data["servings"][1]["from_far_end"]


def test_a_shorthand_that_can_be_read_twice_is_refused(run):
    """A hyphen inside a fraction shows both readings and ends with 2."""
    result = run("shorthand", "55 7/16: 0-18, 21-22-5/8")
    assert 2 == result.exit_code
    assert result.stderr.startswith("shorthand: '21-22-5/8': can be read as")


def converted(run, *arguments: str) -> dict:
    """Convert for 24 strands of blend with 27 turns."""
    result = run(
        "convert", *arguments, "--strand", "hmpe-lcp", "--strands", "24", "--turns", "27", "--json"
    )
    assert 0 == result.exit_code, result.stderr
    return json.loads(result.output)


def test_the_same_condition_changes_nothing(run):
    """Read and wanted alike, the length stays; its doubt is that of reading and tape."""
    data = converted(run, "57 1/4 in +- 1/32", "--from-load", "100 lbf +- 0.001")
    assert 57.25 * INCH == pytest.approx(data["length_m"], abs=2e-5)
    steel = 2 * 0.0002 * 57.25 * INCH
    whole = math.hypot(INCH / 32, steel)
    assert whole == pytest.approx(data["length_plus_minus_m"], rel=0.02)


def test_a_hand_tight_reading_is_short(run):
    """More load lengthens, and a load nobody measured leaves more doubt than a stated one."""
    loose = converted(run, "57 1/4 in", "--from-load", "hand-tight")
    stated = converted(run, "57 1/4 in", "--from-load", "15 lbf +- 1")
    assert loose["shift_m"] > 0.0
    assert stated["shift_m"] > 0.0
    assert loose["length_plus_minus_m"] > stated["length_plus_minus_m"]


def test_thicker_pins_read_shorter(run):
    """What was read over 1/2 in posts is longer over 1/4 in pins, by more than a belt gives."""
    data = converted(run, "57 1/4 in", "--from-pins", "1/2 in")
    belt = 0.57 * 0.25 * INCH
    assert data["shift_m"] > belt
    mixed = converted(run, "57 1/4 in", "--from-pins", "1/2 in, 1/4 in")
    assert 0.0 < mixed["shift_m"] < data["shift_m"]


def test_a_warm_reading_is_longer_when_cool(run):
    """Fibre that shrinks by warmth and steel that grows: read warm, the line is longer at 68."""
    warm = converted(run, "57 1/4 in", "--from-temperature", "104 degF")
    assert warm["shift_m"] == pytest.approx(57.25 * INCH * 20.0 * 2.2e-5, rel=0.1)
    back = converted(run, "57 1/4 in", "--to-temperature", "40 degC")
    assert back["shift_m"] == pytest.approx(-warm["shift_m"], rel=0.05)


def test_stated_loops_are_surer_than_none(run):
    """A loop size that was given leaves less doubt over thick pins than one that was assumed."""
    given = converted(run, "57 1/4 in", "--from-pins", "1/2 in", "--loops", "7/8 in")
    assumed = converted(run, "57 1/4 in", "--from-pins", "1/2 in")
    assert given["length_plus_minus_m"] < assumed["length_plus_minus_m"]


def test_there_and_back_again(run):
    """What is converted to another load and back is the length it was."""
    there = converted(run, "1454.2 mm", "--from-load", "445 N", "--to-load", "200 N")
    back = converted(run, f"{1000 * there['length_m']:.6f} mm",
                     "--from-load", "200 N", "--to-load", "445 N")  # fmt: skip
    assert 1.4542 == pytest.approx(back["length_m"], abs=2e-5)


def test_a_job_gives_the_line(run, example):
    """With --job the make-up, loops, servings and gauge are the job's own."""
    result = run("convert", "56 15/16 in +- 1/32", "--from-load", "100 lbf +- 3",
                 "--from-pins", "1/2 in", "--job", example("ridge-string"))  # fmt: skip
    assert 0 == result.exit_code, result.stderr
    assert "at 100 lbf over 1/4 in pins" in result.output
    assert "longer by" in result.output
    assert "what makes the ±" in result.output


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("57 1/4",), "LENGTH: '57 1/4': a length needs a unit"),
        (("57 in", "--from-load", "100"), "--from-load: '100': a force needs a unit"),
        (("57 in", "--to-load", "0 lbf"), "--to-load: '0 lbf': must lie between"),
        (("57 in", "--from-pins", "1/4 in, 1/4 in, 1/4 in"), "--from-pins: "),
        (("57 in", "--from-temperature", "300 degF"), "--from-temperature: '300 degF': must lie"),
        (("57 in", "--to-temperature", "20"), "--to-temperature: '20': a temperature needs"),
        (("57 in", "--strand", "hmpe", "--strands", "18", "--from-pins", "1 in"), "--from-pins: "),
        (("57 in",), "--strand: is needed without --job"),
        (("57 in", "--strand", "hmpe"), "--strands: is needed without --job"),
        (("57 in", "--strand", "wool", "--strands", "18"), "makeup.strand: 'wool': "),
        (("57 in", "--strand", "hmpe", "--strands", "18", "--loops", "big"), "--loops: 'big': "),
    ],
)
def test_a_conversion_that_cannot_be_meant_is_refused(run, arguments, said):
    """The option that cannot be used is named, and the exit code is 2."""
    result = run("convert", *arguments)
    assert 2 == result.exit_code
    assert said in result.stderr
