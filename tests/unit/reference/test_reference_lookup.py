"""Looking things up in the built-in tables, and refusing bad rows."""

from __future__ import annotations

import copy
import dataclasses
import pickle
from collections.abc import Callable
from typing import Any

import pytest

from strandwright.errors import SpecError, UnitError
from strandwright.reference import (
    fibre,
    has_practice,
    practice,
    practice_table,
    strand,
    strands,
    thread,
)
from strandwright.reference.load import datum
from strandwright.reference.si import spread_to_si, to_si

ROW: dict[str, Any] = {
    "value": 10.0, "unit": "lbf", "kind": "memory", "source": "invented for a test", "u": 2.0,
}  # fmt: skip


@pytest.mark.parametrize(
    ("look_up", "wrong", "near", "known"),
    [
        (strand, "hmpe-lpc", "hmpe-lcp", "polyester"),
        (thread, "braid-18", "braid-018", "nylon-017"),
        (fibre, "hmpe-hi", "hmpe-high", "nylon-66"),
        (practice, "measuring.laod", "measuring.load", "bow.*"),
    ],
)
def test_unknown_names_are_answered_with_near_ones(
    look_up: Callable[[str], object], wrong: str, near: str, known: str
) -> None:
    """The error names what there is, and its remedy what was probably meant."""
    with pytest.raises(SpecError) as caught:
        look_up(wrong)
    assert near in caught.value.remedy
    assert known in caught.value.rule


def test_a_name_like_nothing_still_gets_a_remedy() -> None:
    """With no near name the remedy points at the list."""
    with pytest.raises(SpecError) as caught:
        strand("zzzzzz")
    assert caught.value.remedy == "choose one of these"


def test_tables_are_copies() -> None:
    """Emptying the dictionary that was given out leaves the tables whole."""
    strands().clear()
    practice_table().clear()
    assert strand("hmpe") == strands()["hmpe"]
    assert practice("measuring.load").unit == "N"


def test_whether_there_is_a_row_can_be_asked_without_an_error() -> None:
    """Every key of the table is there, and none that is only near to one."""
    assert all(has_practice(key) for key in practice_table())
    assert not has_practice("measuring.laod")
    assert not has_practice("measuring")


def test_relative_and_absolute_uncertainty() -> None:
    """``u`` is in the row's unit, ``u_relative`` a share of the value; both come out in SI."""
    absolute = datum(ROW, "row")
    relative = datum({key: v for key, v in ROW.items() if key != "u"} | {"u_relative": 0.2}, "row")
    assert absolute.standard_uncertainty == pytest.approx(2.0 * 4.4482216152605)
    assert relative.standard_uncertainty == pytest.approx(absolute.standard_uncertainty)
    assert absolute.relative_uncertainty == pytest.approx(0.2)
    assert float(absolute) == absolute.value


def test_an_uncertain_zero_has_no_relative_uncertainty() -> None:
    """A correction of 0 +- something is infinitely uncertain in relative terms, an exact 0 not."""
    assert datum(ROW | {"value": 0.0}, "row").relative_uncertainty == float("inf")
    assert datum(ROW | {"value": 0.0, "u": 0.0}, "row").relative_uncertainty == 0.0


@pytest.mark.parametrize(
    "broken",
    [
        {key: v for key, v in ROW.items() if key != "source"},
        {key: v for key, v in ROW.items() if key != "u"},
        ROW | {"u_relative": 0.1},
        ROW | {"sigma": 0.1},
        ROW | {"kind": "guess"},
    ],
    ids=["no source", "no uncertainty", "two uncertainties", "unknown key", "unknown kind"],
)
def test_bad_rows_are_refused_by_name(broken: dict[str, Any]) -> None:
    """A row that is incomplete or says too much is refused, and the error says where it is."""
    with pytest.raises(SpecError) as caught:
        datum(broken, "strands.made-up")
    assert caught.value.field == "strands.made-up"


def test_unknown_units_are_refused() -> None:
    """A row in a unit outside the list is refused rather than taken as SI."""
    with pytest.raises(UnitError):
        datum(ROW | {"unit": "stone"}, "row")


def test_a_temperature_takes_its_offset_and_its_spread_does_not() -> None:
    """71.1 degC is 344.25 K, and an uncertainty of 1 degC is 1 K."""
    assert to_si(71.1, "degC") == pytest.approx(344.25)
    assert spread_to_si(1.0, "degC") == 1.0


def test_values_are_frozen_and_travel() -> None:
    """A strand cannot be changed in place, and survives copying, pickling and replacing."""
    blend = strand("hmpe-lcp")
    with pytest.raises(dataclasses.FrozenInstanceError):
        blend.name = "other"  # type: ignore[misc]
    assert copy.deepcopy(blend) == blend == pickle.loads(pickle.dumps(blend))
    weighed = dataclasses.replace(blend.linear_density, value=0.0002, kind="measured")
    assert dataclasses.replace(blend, linear_density=weighed).linear_density.value == 0.0002


def test_steady_creep_only_where_there_are_data() -> None:
    """HMPE carries plateau creep; the blend, polyester and aramid carry none."""
    having = {name for name, row in strands().items() if row.steady_creep is not None}
    assert having == {"hmpe", "hmpe-thin"}
