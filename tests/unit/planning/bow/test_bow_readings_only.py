"""Turns from a bow's own readings alone, where it is not modelled or not known."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from sample_job import INCH, LBF, job_of
from strandwright.errors import InputErrors, SpecError
from strandwright.planning.bow.answers import BowAnswers, answer_or_readings
from strandwright.planning.bow.readings_data import readings_data
from strandwright.planning.bow.readings_only import (
    FromReadings,
    from_readings,
    goes_by_readings,
    has_wheels,
    lines_of,
)
from strandwright.planning.plan_line import plan_line
from strandwright.reference import practice

#: A bow nobody can be asked of: its axle-to-axle is not known.
UNKNOWN = {"bow.axle_to_axle": None}


def trial(line: str, turns: float, **read: tuple[str, str]) -> dict[str, Any]:
    """Give a trial of one line with what was read before and after."""
    return {
        "turns": [{"line": line, "turns": turns}],
        "before": {name: pair[0] for name, pair in read.items()},
        "after": {name: pair[1] for name, pair in read.items()},
    }


def asked(changes: dict[str, Any], name: str = "ridge-string") -> FromReadings:
    """Ask a job by its readings."""
    job = job_of(name, changes)
    return from_readings(job, plan_line(job))


def test_before_any_trial_no_turns_are_advised_but_one_trial() -> None:
    """Where a figure is off, what is said is which trial to make; nothing of the table is known."""
    found = asked(UNKNOWN | {"bow.now": {"brace_height": "6 1/2 in", "draw_weight": "62 lbf"}})
    assert (found.turning.home, found.turning.whole) == (None, None)
    assert "put 2 turns into the string" in found.trial
    assert "brace height" in found.trial
    assert np.all(found.turning.passing.mean == 0.0)
    assert len(found.turning.untried) == 4 * 3


def test_a_trial_is_the_formula_of_one_reading() -> None:
    """One line, one figure: the mean and spread are those of a Gaussian met by one reading.

    By hand: before it nothing give or take s, n turns read d give or take u, so that the mean is
    n d s^2 / (n^2 s^2 + u^2) and the variance s^2 u^2 / (n^2 s^2 + u^2).
    """
    read = {"draw_weight": ("62 lbf +- 0.4", "60.8 lbf +- 0.4")}
    found = asked(UNKNOWN | {"bow.trials": [trial("string", 3.0, **read)]})
    known = found.turning.passing
    k, j = known.figures.index("draw_weight"), known.lines.index("string")
    s = practice("turn.draw_weight").standard_uncertainty
    n, d, u = 3.0, -1.2 * LBF, 0.2 * LBF * np.sqrt(2.0)
    assert known.mean[k, j] == pytest.approx(n * d * s**2 / (n**2 * s**2 + u**2))
    spread = np.sqrt(s**2 * u**2 / (n**2 * s**2 + u**2))
    assert known.uncertainty[k, j] == pytest.approx(spread)
    assert known.source == "your readings only; 1 trial on this bow"
    # Nothing was learnt of any other line or figure.
    assert ("draw_weight", "string") not in found.turning.untried
    assert ("draw_weight", "upper cable") in found.turning.untried
    assert ("brace_height", "string") in found.turning.untried


def test_trials_bring_a_bow_home_and_leave_what_nobody_tried() -> None:
    """A bow that answers straight is brought within what was asked by what its trial showed."""
    per_turn = -0.5
    now = 62.0
    read = {"draw_weight": ("64 lbf +- 0.2", "62 lbf +- 0.2")}
    found = asked(
        UNKNOWN
        | {
            "bow.now": {"draw_weight": f"{now} lbf +- 0.2"},
            "bow.wanted": {"draw_weight": "60 lbf +- 0.5"},
            "bow.trials": [trial("string", 4.0, **read)],
        }
    )
    home = found.turning.home
    assert home is not None
    turns = dict(zip(found.turning.passing.lines, home.turns, strict=True))
    assert turns["upper cable"] == turns["lower cable"] == 0.0
    assert abs(now + per_turn * turns["string"] - 60.0) <= 0.5
    assert "upper cable and the lower cable" in found.trial


def test_a_figure_that_no_trial_read_is_named() -> None:
    """A trial that read the weight alone leaves brace height to be learnt."""
    read = {"draw_weight": ("62 lbf", "61 lbf")}
    found = asked(
        UNKNOWN
        | {"bow.now": {"brace_height": "6 3/4 in"}, "bow.trials": [trial("string", 3.0, **read)]}
    )
    start = "What turns in the string do to brace height, axle to axle and draw length is not known"
    assert found.trial.startswith(start)


def test_axle_to_axle_off_asks_for_the_cables_first() -> None:
    """Cables set it; they are turned alike. A brace too high asks to take turns out."""
    now = {"axle_to_axle": "33 1/2 in", "brace_height": "6 7/8 in"}
    found = asked({"bow.draw_length": None, "bow.now": now})
    assert "put 2 turns each into the upper cable and the lower cable" in found.trial
    high = asked({"bow.draw_length": None, "bow.now": {"brace_height": "7 1/2 in"}})
    assert "take 2 turns out of the string" in high.trial


@pytest.mark.parametrize(
    ("kind", "now", "wheels", "lines"),
    [
        ("crossbow", {}, True, ("string", "right cable", "left cable")),
        ("one-cam", {}, True, ("string", "cable")),
        ("hybrid-cam", {}, True, ("string", "buss cable", "control cable")),
        ("recurve", {}, False, ("string",)),
    ],
)
def test_lines_go_by_the_kind_of_bow(
    kind: str, now: dict[str, str], wheels: bool, lines: tuple[str, ...]
) -> None:
    """The ridge bow has an axle-to-axle, so as a crossbow it has cables."""
    job = job_of("ridge-string", {"bow.kind": kind, "bow.now": now})
    assert has_wheels(job) is wheels
    assert tuple(line for group in lines_of(job) for line in group) == lines


@pytest.mark.parametrize("name", ["two_cam", "one_cam"])
def test_lines_have_the_names_of_the_model(request: pytest.FixtureRequest, name: str) -> None:
    """A trial logged by readings alone is understood once the bow is known."""
    bow = request.getfixturevalue(name)
    assert bow.model.lines == tuple(line for group in lines_of(bow.job) for line in group)


def test_a_crossbow_without_axles_has_a_string_alone() -> None:
    """Nothing is said of a press or of wheels, and why it is not asked is told."""
    changes = {"bow.kind": "crossbow", "bow.axle_to_axle": None}
    job = job_of("ridge-string", changes | {"bow.now": {"brace_height": "6 3/4 in"}})
    found = answer_or_readings(job, plan_line(job))
    assert isinstance(found, FromReadings)
    data = readings_data(job, found)
    assert data["turns"]["lines"] == ["string"]
    assert "stringer" in data["caution"]
    assert "press" not in data["caution"]
    assert not any("wheels" in text for text in data["neglects"])
    assert "bow.crossbow" in [error["field"] for error in data["not_modelled"]]


def test_a_kind_that_is_not_modelled_is_answered_for_unasked() -> None:
    """It has nothing else to go by; a bow whose figures are missing has."""
    job = job_of("ridge-string")
    kind = SpecError("bow.kind", "sling", "is not modelled", "go by its readings")
    missing = SpecError("bow.draw_length", "left out", "is needed", "measure it")
    assert goes_by_readings(job, kind)
    assert goes_by_readings(job, InputErrors((missing, kind)))
    assert not goes_by_readings(job, missing)


def test_figures_left_out_are_still_refused_where_nothing_was_read() -> None:
    """With no reading to go by, what is needed is named; with one, readings answer."""
    job = job_of("ridge-string", UNKNOWN)
    with pytest.raises(SpecError) as caught:
        answer_or_readings(job, plan_line(job))
    assert caught.value.field == "bow.axle_to_axle"
    read = job_of("ridge-string", UNKNOWN | {"bow.now": {"brace_height": "6 3/4 in"}})
    found = answer_or_readings(read, plan_line(read))
    assert isinstance(found, FromReadings)
    assert [error.field for error in found.refused] == ["bow.axle_to_axle"]


def test_a_bow_that_is_known_is_asked_with_its_trials(two_cam: Any) -> None:
    """Both are combined as ever: the source names the bows and the trial."""
    read = {"draw_weight": ("62 lbf", "61 lbf")}
    job = job_of("ridge-string", {"bow.trials": [trial("string", 3.0, **read)]})
    found = answer_or_readings(job, plan_line(job))
    assert isinstance(found, BowAnswers)
    assert found.turning.passing.source == (
        f"{two_cam.model.family.members} bows that agree with what is known; 1 trial on this bow"
    )


def test_a_trial_of_a_line_the_bow_has_not_is_refused() -> None:
    """The line is named with those there are."""
    with pytest.raises(SpecError) as caught:
        asked(UNKNOWN | {"bow.trials": [trial("cable", 1.0, draw_weight=("60 lbf", "61 lbf"))]})
    assert caught.value.field == "bow.trials[1].turns[1].line"
    assert "upper cable" in caught.value.rule


def test_what_practice_meets_with_is_broad(two_cam: Any) -> None:
    """The spread before any trial covers what bows of the family do by a turn, twice over."""
    known = from_readings(two_cam.job, two_cam.plan).turning.passing
    from strandwright.planning.bow.turning import turning

    family = turning(two_cam.job, two_cam.plan, two_cam.model).passing
    for name in known.figures:
        spread = practice(f"turn.{name}").standard_uncertainty
        most = np.abs(family.mean[family.figures.index(name)]).max()
        assert most < 2.0 * spread, name
    assert practice("turn.draw_length").standard_uncertainty == pytest.approx(0.12 * INCH)
