"""The packaged examples: each can be planned, and together they show what a job may be."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest

import strandwright

EXAMPLES = sorted((Path(strandwright.__file__).parent / "examples").glob("*.toml"))


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_an_example_can_be_planned(run, path):
    """Every example passes the check and nothing in its plan is refused."""
    result = run("check", str(path))
    assert 0 == result.exit_code, result.stderr
    plan = json.loads(run("plan", str(path), "--json").output)
    verdicts = {check["verdict"] for check in plan["strength"]["checks"]}
    assert "refuse" not in verdicts
    assert 0.5 < plan["landing"]["chance"] <= 1.0


def plan_of(run, name: str) -> dict:
    """Plan one example."""
    path = next(path for path in EXAMPLES if path.stem == name)
    return json.loads(run("plan", str(path), "--json").output)


def test_the_one_cam_string_is_24_strands_over_90_in(run):
    """The long string has two colours of 12 strands and counts three ways alike."""
    plan = plan_of(run, "scree-string")
    assert 98.625 * 0.0254 == pytest.approx(plan["target"]["length_m"])
    assert 24 == plan["line"]["strands"] == plan["winding"]["passes"]
    assert 12 == plan["winding"]["rounds"]
    assert [12, 12] == [colour["strands"] for colour in plan["winding"]["colours"]]


def test_the_old_mark_is_kept_and_answered_with_turns(run):
    """Wound at 99 in on 1/2 in posts, the same string still comes to length, by its turns."""
    plan = plan_of(run, "scree-at-the-old-mark")
    assert 99.0 * 0.0254 == pytest.approx(plan["winding"]["posts_outside_m"])
    proof = next(stage for stage in plan["stages"] if stage["key"] == "proof")
    tolerance = plan["target"]["tolerance_m"]
    assert 98.625 * 0.0254 == pytest.approx(proof["length_m"], abs=tolerance)
    # Practice puts about one turn to 1.3 to 2.5 in into such a string.
    assert 98.6 / 2.5 < plan["twist"]["turns"] < 98.6 / 1.3


def test_the_recurve_string_takes_its_length_from_the_label(run):
    """A label of 66 in by the trade's standard stands for a string of 63 in."""
    plan = plan_of(run, "mere-string")
    assert 63.0 * 0.0254 == pytest.approx(plan["target"]["length_m"])
    assert "original" in plan["target"]["source"]


def test_a_hand_tight_reading_says_how_little_it_tells(run):
    """Polyester read hand-tight leaves the length asked for open by more than 1/8 in."""
    plan = plan_of(run, "tarn-string")
    assert plan["target"]["length_plus_minus_m"] > 0.125 * 0.0254
    # At the measuring load it is longer than it was in the hand.
    assert plan["target"]["length_m"] > 63.625 * 0.0254


def test_the_set_of_the_ridge_bow_shares_one_bench(run):
    """String and both cables are three jobs of one bow, and name it alike."""
    plans = [plan_of(run, f"ridge-{line}") for line in ("string", "upper-cable", "lower-cable")]
    assert ["string", "cable", "cable"] == [plan["line"]["kind"] for plan in plans]
    assert 3 == len({plan["plan"] for plan in plans})


def test_the_script_runs_and_shows_a_change():
    """The example script plans twice, and the reading changes what it says."""
    script = Path(__file__).parents[3] / "examples" / "replan_from_a_script.py"
    done = subprocess.run(
        [sys.executable, "-W", "error", str(script)], capture_output=True, text=True, check=True
    )
    lines = done.stdout.splitlines()
    assert "Before the first strand" in lines[0]
    assert "With the bare skein read" in lines[2]
    before, after = (line.partition(": ")[2] for line in (lines[0], lines[2]))
    assert before != after


def test_the_readme_names_every_example():
    """The list of examples is whole."""
    readme = (Path(__file__).parents[3] / "examples" / "README.md").read_text(encoding="utf-8")
    assert [] == [path.name for path in EXAMPLES if f"`{path.name}`" not in readme]
