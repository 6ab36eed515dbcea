"""What a number typed without a unit is meant in, by its field."""

from __future__ import annotations

import pytest

from strandwright.planning.entries.default_units import dimension_at, with_unit
from strandwright.planning.entries.editing import Change, edited
from strandwright.planning.examples import example
from strandwright.units import Dimension


@pytest.mark.parametrize(
    ("field", "typed", "inches", "metric"),
    [
        ("line.finished", "24", "24 in", "24 mm"),
        ("bow.wanted.draw_length", "29 +- 1/8", "29 in +- 1/8", "29 mm +- 1/8"),
        ("bow.wanted.draw_length", "29 1/4 \u00b1 1/8", "29 1/4 in +- 1/8", "29 1/4 mm +- 1/8"),
        ("bow.now.draw_weight", "60.5", "60.5 lbf", "60.5 N"),
        ("bow.wanted.draw_weight", "60 +- 0.5", "60 lbf +- 0.5", "60 N +- 0.5"),
        ("bow.draw_weight", "60 +- 2 %", "60 lbf +- 2 %", "60 N +- 2 %"),
        ("bow.draw_board[3].force", "41 +/- 1", "41 lbf +- 1", "41 N +- 1"),
        ("bow.draw_board[3].draw", "22", "22 in", "22 mm"),
        ("bow.arrow", "350", "350 gr", "350 g"),
        ("bow.shot", "290 +- 2", "290 ft/s +- 2", "290 m/s +- 2"),
        ("bow.stored_energy", "70", "70 ft lbf", "70 J"),
        ("bow.let_off", "80", "80 %", "80 %"),
        ("bow.let_off", "80 +- 2", "80 % +- 2", "80 % +- 2"),
        ("bow.nock_height", "1/4", "1/4 in", "1/4 mm"),
    ],
)
def test_a_bare_number_has_its_fields_unit(
    field: str, typed: str, inches: str, metric: str
) -> None:
    """The +- after it shares that unit."""
    assert with_unit(field, typed, "in") == inches
    assert with_unit(field, typed, "mm") == metric


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("makeup.twist", "24"),
        ("bow.let_off", "0.8"),
        ("bow.let_off", "0.8 +- 0.02"),
        ("bow.name", "60"),
        ("bow.kind", "60"),
        ("bow.nothing", "60"),
        ("bow.now.draw_weight", "60 kgf"),
        ("bow.now.draw_weight", "soon"),
        ("bow.now.draw_weight", ""),
        ("bow.now.draw_weight", "60 +- soon"),
        ("bow.now.draw_weight", "60 +- 1 lbf"),
        ("bow.now.draw_weight", "60 +- 1 +- 2"),
        ("bow.now.draw_weight", "1e400"),
        ("bow.now.draw_weight", "29,5"),
        ("bow.now.draw_weight", 60),
        ("bow.trials[1].turns[1].line", "2"),
    ],
)
def test_what_has_a_unit_or_is_no_number_is_left(field: str, typed: object) -> None:
    """Nothing is guessed; what cannot be read is refused where it is read."""
    assert with_unit(field, typed, "in") == typed


def test_tables_are_gone_through() -> None:
    """A point of a draw board and a trial are typed as a whole."""
    point = {"draw": "22", "force": "41 +- 1"}
    kept = with_unit("bow.draw_board[2]", point, "in")
    assert kept == {"draw": "22 in", "force": "41 lbf +- 1"}
    trial = {"turns": [{"line": "string", "turns": 1.0}], "before": {"draw_weight": "60"}}
    assert with_unit("bow.trials[1]", trial, "in") == {
        "turns": trial["turns"],
        "before": {"draw_weight": "60 lbf"},
    }


def test_the_unit_is_kept_with_what_was_typed() -> None:
    """A job so changed reads its tolerance in the field's unit."""
    job = edited(example("RIDGE-1"), [Change("bow.wanted.draw_length", "29 +- 1/8")])
    wanted = job.bow.wanted.draw_length
    assert wanted is not None and wanted.half_range is not None
    assert wanted.text == "29 in +- 1/8"
    assert float(wanted.half_range) == pytest.approx(0.0254 / 8)


def test_fields_are_found_by_their_names() -> None:
    """Through lists and through what may be left out."""
    assert dimension_at("bow.draw_board[12].force") is Dimension.FORCE
    assert dimension_at("bow.trials[1].after.brace_height") is Dimension.LENGTH
    assert dimension_at("bow.trials[1].after") is None
    assert dimension_at("nowhere.at.all") is None
