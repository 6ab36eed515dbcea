"""What a job knows of its bow: what is needed, what is refused, and what goes into the question."""

from __future__ import annotations

from typing import Any

import pytest

from sample_job import INCH, LBF, RIDGE, example_plan, job_of
from strandwright.bow.family import Known
from strandwright.errors import InputErrors, SpecError
from strandwright.planning.bow.known import BowQuestion, question, system_of

NEEDED = ("axle_to_axle", "brace_height", "draw_length", "draw_weight")


def asked(**changes: Any) -> BowQuestion:
    """Put the question of the ridge bow with some of its figures changed."""
    job = job_of(RIDGE, {f"bow.{name}": value for name, value in changes.items()})
    return question(job, example_plan())


def known(**changes: Any) -> Known:
    """Give what the ridge bow is known by, some of its figures changed."""
    found = asked(**changes).known
    assert isinstance(found, Known)
    return found


def test_every_missing_figure_is_named() -> None:
    """All that is left out is told at once, each at its field."""
    with pytest.raises(InputErrors) as caught:
        asked(**dict.fromkeys(NEEDED))
    assert [f"bow.{name}" for name in NEEDED] == [error.field for error in caught.value.errors]
    assert all("measure it" in error.remedy for error in caught.value.errors)


@pytest.mark.parametrize("name", NEEDED)
def test_one_missing_figure_is_an_error_of_its_own(name: str) -> None:
    """A single one is no list of one."""
    with pytest.raises(SpecError) as caught:
        asked(**{name: None})
    assert f"bow.{name}" == caught.value.field


@pytest.mark.parametrize(
    ("kind", "cables", "system"),
    [
        ("two-cam", "to the axles", "two-cam"),
        ("two-cam", "wheel to wheel", "slaved two-cam"),
        ("hybrid-cam", "to the axles", "hybrid-cam"),
        ("one-cam", "to the axles", "one-cam"),
        ("crossbow", "to the axles", None),
    ],
)
def test_the_kind_says_how_the_lines_run(kind: str, cables: str, system: str | None) -> None:
    """Only of a two-cam bow must be said where its cables end."""
    assert system == system_of(job_of(RIDGE, {"bow.kind": kind, "bow.cables": cables}))


@pytest.mark.parametrize(
    ("field", "changes"),
    [
        ("bow.draw_length", {"draw_length": "15 in"}),
        ("bow.draw_length", {"draw_length": "46 in"}),
        ("bow.brace_height", {"brace_height": "2 1/2 in"}),
        ("bow.brace_height", {"brace_height": "13 in"}),
        ("bow.axle_to_axle", {"axle_to_axle": "13 in"}),
        ("bow.axle_to_axle", {"axle_to_axle": "60 in"}),
    ],
)
def test_a_figure_out_of_reach_is_refused_at_its_field(
    field: str, changes: dict[str, str]
) -> None:
    """What no bow with wheels measures is told before any bow is looked for."""
    with pytest.raises(SpecError) as caught:
        asked(**changes)
    assert field == caught.value.field


def test_a_point_past_the_wall_is_refused_by_its_number() -> None:
    """The point is named, counted from 1 as every place of a job is."""
    board = [{"draw": "20 in", "force": "60 lbf"}, {"draw": "31 in", "force": "20 lbf"}]
    with pytest.raises(SpecError) as caught:
        asked(draw_board=board)
    assert "bow.draw_board[2].draw" == caught.value.field
    assert "past the wall" in caught.value.remedy


def test_board_points_are_carried_from_the_pivot_with_their_doubt() -> None:
    """True draw counts 1 3/4 in more; force is doubtful by a hundredth, its step, or its +-."""
    board = [
        {"draw": "20 in", "force": "60 lbf"},
        {"draw": "12 in", "force": "20 lbf"},
        {"draw": "25 in", "force": "40 lbf +- 1"},
    ]
    found = known(draw_board=board).board
    assert [18.25 * INCH, 10.25 * INCH, 23.25 * INCH] == pytest.approx([d for d, _, _ in found])
    assert [60 * LBF, 20 * LBF, 40 * LBF] == pytest.approx([f for _, f, _ in found])
    assert [0.6 * LBF, 0.25 * LBF, 0.5 * LBF] == pytest.approx([u for _, _, u in found], rel=0.03)


def test_a_board_takes_the_place_of_the_usual_energy() -> None:
    """What bows of a kind store is a guess that nobody needs once the draw has been read."""
    names = {name for name, _ in known().figures}
    board = [{"draw": "20 in", "force": "60 lbf"}]
    told = {name for name, _ in known(draw_board=board).figures}
    always = {"peak", "holding", "timing", "timing_midway", "limb_bend"}
    assert always | {"stored_energy"} == names
    assert always == told
    assert "holding" not in {name for name, _ in known(let_off=None).figures}


def test_what_is_measured_goes_before_what_is_usual() -> None:
    """The nocking point's height and the wheel of a one-cam bow are taken as they are given."""
    exact = dict(known(nock_height="3/4 in", upper_wheel="3 in").exact)
    usual = dict(known().exact)
    assert exact["nock_height"] == pytest.approx(0.75 * INCH)
    assert exact["idler"] == pytest.approx(1.5 * INCH)
    assert usual["nock_height"] != exact["nock_height"]
    assert usual["idler"] != exact["idler"]


def test_only_what_bears_on_the_bow_makes_another_question() -> None:
    """Names, readings and trials do not send anybody looking for bows again; figures do."""
    same = {
        "name": "lake bow",
        "now": {"brace_height": "6 3/4 in"},
        "wanted": {"brace_height": "7 in"},
        "arrow": "400 gr",
        "trials": [{"turns": [{"line": "string", "turns": 1}], "before": {}, "after": {}}],
    }
    assert asked() == asked(**same)
    assert hash(asked()) == hash(asked(**same))
    assert asked() != asked(brace_height="7 in")
