"""Cells: whatever text there is comes back as it was, and no spreadsheet works it out."""

from __future__ import annotations

import csv
import io

from hypothesis import example, given
from hypothesis import strategies as st

from strandwright.planning.spreadsheet.cells import guarded, read_rows, unguarded, write_row
from strandwright.planning.spreadsheet.measures import (
    STOCK,
    UNITS,
    agrees,
    number_in,
    plain_number,
    slug,
    unit_of_slug,
)
from strandwright.units import Dimension, units_of

TEXT = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=30)
SIGNS = st.text(st.sampled_from("=+-@'\t\r\n \uff1d\uff0b\uff0d\uff20\ufeffab1,;\""), max_size=8)


@given(text=TEXT | SIGNS)
@example("=1+1")
@example("'=1+1")
@example("''-2")
@example("'t mill")
@example("\t=x")
def test_a_text_comes_back_as_it_was(text):
    """Guarded and taken off again."""
    assert text == unguarded(guarded(text))


@given(text=TEXT | SIGNS)
def test_no_cell_begins_as_a_formula_does(text):
    """Neither as it is, nor behind blanks that a spreadsheet may take off."""
    cell = guarded(text)
    assert not cell.lstrip().startswith(
        ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20")
    )
    assert not cell.startswith(("\t", "\r", "\n"))


@given(one=TEXT | SIGNS, other=TEXT | SIGNS)
def test_two_texts_never_become_one_cell(one, other):
    """What differs before differs after."""
    assert (one == other) == (guarded(one) == guarded(other))


@given(rows=st.lists(st.lists(TEXT | SIGNS, min_size=2, max_size=4), min_size=1, max_size=5))
def test_rows_come_back_as_they_were(rows):
    """Through the file as RFC 4180 has it; any CSV reader reads the same cells."""
    file = io.StringIO(newline="")
    write_row(file, ["a", "b", "c", "d"])
    for row in rows:
        write_row(file, map(guarded, row))
    text = file.getvalue()
    read = list(read_rows(text, "x"))
    assert rows == [[unguarded(cell) for cell in row] for row in read[1:]]
    assert read == list(csv.reader(io.StringIO(text, newline="")))
    assert text.endswith("\r\n")


@given(
    number=st.floats(0.001, 1e5),
    dimension=st.sampled_from(sorted(UNITS)),
    system=st.sampled_from([0, 1]),
)
def test_a_number_beside_a_quantity_says_the_same(number, dimension, system):
    """In every unit of the table: what was typed, and the plain number, agree."""
    unit = UNITS[dimension][system]
    text = f"{plain_number(number)} {unit}"
    beside = number_in(dimension, text, unit)
    assert agrees(dimension, text, float(beside), unit)
    assert not agrees(dimension, text, float(beside) * 1.01 + 0.01, unit)
    assert "e" not in beside


def test_every_unit_is_found_by_the_end_of_its_column():
    """Whatever unit a list has its numbers in, the header says which."""
    for dimension in (*UNITS, *STOCK):
        for unit in units_of(dimension):
            if unit:
                assert unit == unit_of_slug(dimension, slug(unit))
    assert unit_of_slug(Dimension.LENGTH, "furlong") is None
