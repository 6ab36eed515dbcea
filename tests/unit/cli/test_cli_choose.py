"""The command ``choose``: make-ups side by side for one job."""

from __future__ import annotations

import json

import pytest


def rows(run, *arguments: str) -> list[dict]:
    """Give the rows of a choice as data."""
    result = run("choose", *arguments, "--json")
    assert 0 == result.exit_code, result.stderr
    return json.loads(result.output)["rows"]


def test_more_strands_are_thicker_stronger_and_heavier(run, example):
    """Along the counts of one strand, what it costs and what it gives both grow."""
    blend = [row for row in rows(run, example("ridge-string")) if row["strand"] == "hmpe-lcp"]
    assert len(blend) > 4
    for name, sign in (
        ("strands", 1), ("bare_diameter_m", 1), ("derated_n", 1), ("mass_kg", 1),
        ("resting_share", -1), ("creep_month_m", -1),
    ):  # fmt: skip
        values = [sign * row[name] for row in blend]
        assert sorted(set(values)) == values


def test_the_present_make_up_is_starred_and_shown(run, example):
    """The row the job has now is in the table even where something speaks against it."""
    output = run("choose", example("ridge-string")).output
    starred = [line for line in output.splitlines() if line.startswith("  *")]
    assert 1 == len(starred)
    assert ["*", "hmpe-lcp", "24"] == starred[0].split()[:3]


def test_all_shows_what_is_left_out(run, example):
    """--all shows every row of the JSON; without it the number hidden is said."""
    whole = run("choose", example("ridge-string"), "--all").output
    part = run("choose", example("ridge-string")).output
    count = len(rows(run, example("ridge-string")))
    table = [line for line in whole.splitlines() if line.endswith(" gr")]
    shown = [line for line in part.splitlines() if line.endswith(" gr")]
    assert count == len(table)
    assert f"{count - len(shown)} more that something speaks against" in part


def test_a_cable_has_no_share_at_release(run, example):
    """What the arrow leaves behind falls on the string, so a cable's row says nothing of it."""
    found = rows(run, example("ridge-upper-cable"), "--count", "20")
    assert found
    assert all(row["release_share"] is row["release_share_text"] is None for row in found)
    assert 0 == run("choose", example("ridge-upper-cable"), "--all").exit_code


def test_counts_can_be_named(run, example):
    """Only the counts asked for are compared."""
    found = rows(run, example("ridge-string"), "--count", "20", "--count", "26")
    assert {20, 26} == {row["strands"] for row in found}


def test_an_old_bow_is_warned_of_stiff_strands(run, example):
    """On an old or wooden bow every strand but polyester has that against it."""
    for row in rows(run, example("tarn-string")):
        stiff = "too stiff for an old or wooden bow" in row["remarks"]
        assert stiff == (row["strand"] != "polyester")


def test_a_choice_needs_a_load(run, example, tmp_path):
    """Without draw weight or loads nothing can be compared, and the field is named."""
    from pathlib import Path

    text = Path(example("ridge-string")).read_text(encoding="utf-8")
    text = text.replace('draw_weight = "60 lbf"\n', "")
    (tmp_path / "weightless.toml").write_text(text, encoding="utf-8")
    result = run("choose", "weightless.toml")
    assert 2 == result.exit_code
    assert result.stderr.startswith("bow.draw_weight: ")


@pytest.mark.parametrize("name", ["ridge-string", "mere-string"])
def test_the_table_stays_within_a_wide_terminal(run, example, name):
    """No row is wider than 116 columns."""
    output = run("choose", example(name), "--all").output
    assert max(len(line) for line in output.splitlines()) <= 116
