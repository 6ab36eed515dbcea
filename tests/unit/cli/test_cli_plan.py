"""The command ``plan``: the whole plan in words or JSON, and again from readings."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from strandwright.planning.plan_data import plan_data
from strandwright.planning.plan_line import plan_line
from strandwright.sheets import sheet_data
from strandwright.units import Dimension, parse
from strandwright.workshop.job import read_job

SECTIONS = (
    "Wind", "Read the tape at", "Twist", "Serve: mark now, finished at", "How surely it lands",
    "Strength and mass", "Fit", "Take care",
)  # fmt: skip


@pytest.fixture
def ridge(example) -> str:
    """Give the two-cam string's job file."""
    return example("ridge-string")


def turns_in(text: str) -> float:
    """Read the planned turns off a printed plan."""
    match = re.search(r"put in +(\d+)( 1/2)? turns", text)
    assert match is not None, text
    return float(match[1]) + (0.5 if match[2] else 0.0)


def test_a_plan_has_every_section_in_order(run, ridge):
    """What to do comes first, how sure it is after, and no section is left out."""
    result = run("plan", ridge)
    assert 0 == result.exit_code
    lines = result.output.splitlines()
    places = [lines.index(title) for title in SECTIONS]
    assert sorted(places) == places
    assert "" == result.stderr


def test_a_plan_says_what_the_plan_says(run, ridge):
    """The printed numbers are those of the plan, read as people write them."""
    output = run("plan", ridge).output
    plan = plan_line(read_job(Path(ridge).read_text(encoding="utf-8")))
    data = plan_data(plan)
    assert plan.twist.turns == turns_in(output)
    assert data["winding"]["after_winding_text"] in output
    assert data["twist"]["next_turn_text"] in output
    assert data["strength"]["derated_text"] in output
    for colour in data["winding"]["colours"]:
        assert colour["spool_loses_text"] in output
    for stage in plan.stages:
        assert f"{stage.key}: {stage.title}" in output
    for serving in data["servings"]:
        assert serving["outside_diameter_text"] in output


def test_lines_stay_within_a_terminal(run, ridge):
    """No line is wider than a hundred columns."""
    output = run("plan", ridge).output
    assert [] == [line for line in output.splitlines() if len(line) > 100]


def test_json_is_the_plan_data(run, ridge):
    """``--json`` prints exactly what plan_data gives, in ASCII."""
    result = run("plan", ridge, "--json")
    plan = plan_line(read_job(Path(ridge).read_text(encoding="utf-8")))
    assert plan_data(plan) == json.loads(result.output)
    assert result.output.isascii()


def test_standard_input_is_a_job_file_too(run, ridge):
    """A file named - is read from standard input."""
    text = Path(ridge).read_text(encoding="utf-8")
    assert run("plan", ridge).output == run("plan", "-", stdin=text).output


def test_a_long_reading_asks_for_more_turns(run, ridge):
    """A bare skein that reads longer than expected needs more turns, and less doubt is left."""
    before = json.loads(run("plan", ridge, "--json").output)
    bare = next(stage for stage in before["stages"] if stage["key"] == "bare")
    long_mm = 1000.0 * (bare["length_m"] + 0.5 * bare["length_plus_minus_m"])
    result = run("plan", ridge, "--json", "--read", f"bare={long_mm:.1f} mm")
    after = json.loads(result.output)
    assert after["twist"]["turns"] > before["twist"]["turns"]
    assert ["bare"] == [reading["stage"] for reading in after["learned"]]
    assert after["landing"]["blind_plus_minus_m"] < before["landing"]["blind_plus_minus_m"]
    # Nobody said where it was wound: where the plan had put the posts.
    assert before["winding"]["posts_outside_m"] == pytest.approx(
        after["winding"]["posts_outside_m"], abs=1e-9
    )


@pytest.mark.parametrize(
    "paper", ["fraction = 8", "fraction = 16", "fraction = 64", 'units = "mm"']
)
@pytest.mark.parametrize("name", ["ridge-string", "scree-string", "mere-string"])
def test_every_face_sets_the_posts_alike(run, example, tmp_path, name, paper):
    """Words, JSON, the steps and the sheet print one post setting, the one that is computed."""
    kept = re.sub(r"(?ms)^\[paper\].*?(?=^\[|\Z)", "", Path(example(name)).read_text("utf-8"))
    job_file = tmp_path / "job.toml"
    job_file.write_text(f"{kept}\n[paper]\n{paper}\n", "utf-8")

    data = json.loads(run("plan", str(job_file), "--json").output)
    outside, centres = (data["winding"][f"posts_{key}_text"] for key in ("outside", "centres"))
    step = data["steps"][0]
    sheet = sheet_data(plan_line(read_job(job_file.read_text("utf-8"))))["winding"]

    assert parse(Dimension.LENGTH, outside, field="posts").si == pytest.approx(
        data["winding"]["posts_outside_m"], abs=0.06e-3 if "mm" in paper else 1e-6
    )
    assert (outside, True) == (step["headline"], step["lines"][0].endswith(f" {centres}"))
    assert (outside, centres) == (sheet["outside"]["text"], sheet["centres"]["text"])
    words = " ".join(run("plan", str(job_file)).output.split())
    assert f"set the posts {outside} outside to outside {centres} between centres" in words
    assert f"posts at {outside}, " in " ".join(run("check", str(job_file)).output.split())


def test_what_a_reading_changed_is_said(run, ridge):
    """The printed plan opens with what was read and what moved."""
    output = run("plan", ridge, "--read", "bare=57 5/8 in at 98 lbf").output
    assert "What the readings changed" in output
    assert "bare: read 57 5/8 in at 98 lbf" in output


def test_a_reading_on_the_command_line_replaces_the_file_s(run, ridge, tmp_path):
    """The same stage is not read twice: what is typed last holds."""
    text = Path(ridge).read_text(encoding="utf-8")
    text += '\n[build]\nwound_at = "57 9/16 in"\n'
    text += 'readings = [{ stage = "bare", length = "57 1/2 in" }]\n'
    (tmp_path / "again.toml").write_text(text, encoding="utf-8")
    plain = json.loads(run("plan", "again.toml", "--json").output)
    typed = json.loads(run("plan", "again.toml", "--json", "--read", "bare=57 5/8 in").output)
    assert [57.5 * 0.0254] == pytest.approx([r["read_m"] for r in plain["learned"]])
    assert [57.625 * 0.0254] == pytest.approx([r["read_m"] for r in typed["learned"]])


def test_a_line_wound_elsewhere_gets_other_turns(run, ridge):
    """Posts set wider than planned are made up for with turns."""
    planned = json.loads(run("plan", ridge, "--json").output)
    wider = json.loads(run("plan", ridge, "--json", "--wound-at", "57 11/16 in").output)
    assert wider["twist"]["turns"] > planned["twist"]["turns"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--read", "bare=57 m"), "--read: '57 m': must lie between"),
        (("--wound-at", "57"), "--wound-at: '57': "),
        (("--wound-at", "130 in"), "--wound-at: '130 in': must be within the reach"),
    ],
)
def test_what_was_typed_as_an_option_is_named_as_one(run, ridge, arguments, said):
    """A value that can be read and cannot be meant is told under its option, not under [build]."""
    result = run("plan", ridge, *arguments)
    assert 2 == result.exit_code
    assert result.stderr.startswith(said)


def test_the_second_reading_is_not_blamed_for_the_file_s(run, ridge, tmp_path):
    """A reading of the job file keeps its place there, whatever is typed beside it."""
    text = Path(ridge).read_text(encoding="utf-8")
    text += '\n[build]\nwound_at = "57 9/16 in"\n'
    text += 'readings = [{ stage = "bare", length = "57 m" }]\n'
    (tmp_path / "again.toml").write_text(text, encoding="utf-8")
    result = run("plan", "again.toml", "--read", "half=57 1/2 in")
    assert result.stderr.startswith("build.readings[1].length: '57 m'")


def test_where_it_was_wound_goes_before_where_it_was_to_be(run, example):
    """--wound-at answers for a job that had fixed its post setting otherwise."""
    job = example("scree-at-the-old-mark")
    data = json.loads(run("plan", job, "--json", "--wound-at", "98 15/16 in").output)
    assert 98.9375 * 0.0254 == pytest.approx(data["winding"]["posts_outside_m"])


@pytest.mark.parametrize(
    ("reading", "said"),
    [
        ("bare", "--read: 'bare': must be a stage, = and a length"),
        ("bare=", "--read: 'bare=': must be a stage, = and a length"),
        ("bare=57 5/8", "--read: '57 5/8': a length needs a unit"),
        ("first=57 5/8 in", "--read: 'first': must be 'bare', 'half'"),
        ("half=57 in at 100", "--read: '100': a force needs a unit"),
    ],
)
def test_a_reading_that_cannot_be_read_is_named(run, ridge, reading, said):
    """A reading that cannot be used ends with 2 and its own words."""
    result = run("plan", ridge, "--read", reading)
    assert 2 == result.exit_code
    assert said in result.stderr
    assert "" == result.stdout
