"""Every row of the built-in tables is complete, in a known unit, and physically sane."""

from __future__ import annotations

import math
import tomllib
from collections.abc import Iterator
from importlib.resources import files
from typing import Any

import pytest

from strandwright.reference import fibres, practice, practice_table, strands, threads
from strandwright.reference.si import ROW_UNITS
from strandwright.reference.values import Datum, SteadyCreep

GRAIN_PER_INCH = 64.79891e-6 / 0.0254
FOOT = 0.3048
POUND = 0.45359237


def _rows(table: dict[str, Any], prefix: str) -> Iterator[tuple[str, dict[str, Any]]]:
    for key, entry in table.items():
        if not isinstance(entry, dict):
            continue
        if "value" in entry:
            yield f"{prefix}{key}", entry
        else:
            yield from _rows(entry, f"{prefix}{key}.")


def _all_rows() -> list[tuple[str, dict[str, Any]]]:
    found: list[tuple[str, dict[str, Any]]] = []
    for file in sorted(files("strandwright.reference").iterdir(), key=lambda item: item.name):
        if file.name.endswith(".toml"):
            table = tomllib.loads(file.read_text(encoding="utf-8"))
            found += _rows(table, f"{file.name}: ")
    return found


ROWS = _all_rows()


def _data(thing: object) -> list[tuple[str, Datum]]:
    names = getattr(type(thing), "__dataclass_fields__", {})
    found: list[tuple[str, Datum]] = []
    for name in names:
        entry = getattr(thing, name)
        if isinstance(entry, Datum):
            found.append((name, entry))
        elif isinstance(entry, SteadyCreep):
            found += _data(entry)
    return found


def test_every_table_is_seen() -> None:
    """The scan reads each of the tables, so no row escapes the checks below."""
    seen = {name.split(":")[0] for name, _ in ROWS}
    wanted = "bows crossbows families fibres fitting launch makeup marks practice quote "
    wanted += "riser settling stock strands threads wheels work"
    assert seen == {f"{name}.toml" for name in wanted.split()}


def test_every_row_is_complete() -> None:
    """Each row says value, unit, kind, source and exactly one uncertainty, and nothing unknown."""
    needed = {"value", "unit", "kind", "source"}
    for name, row in ROWS:
        assert needed <= row.keys(), name
        assert ("u" in row) != ("u_relative" in row), name
        assert row.keys() <= needed | {"u", "u_relative", "low", "high", "note"}, name
        assert row["unit"] in ROW_UNITS, name
        assert row["kind"] in {"published", "measured", "practice", "memory"}, name
        assert row["source"].strip(), name
        assert not row["source"].rstrip().endswith("\\"), name


def test_uncertainties_are_finite_and_not_negative() -> None:
    """An uncertainty is a size; a relative one belongs to a positive value."""
    for name, row in ROWS:
        spread: float = row["u"] if "u" in row else row["u_relative"]
        assert math.isfinite(spread), name
        assert spread >= 0.0, name
        assert row["value"] > 0.0 or "u_relative" not in row, name


def test_only_definitions_and_decisions_have_no_uncertainty() -> None:
    """A zero uncertainty is kept for definitions, tolerances, limits and a fixed softening."""
    exact = ("measuring.", "tolerance.", "tuning.", "half_turns", "safety.", "label.bow")
    exact = (*exact, "draw.pivot", "floor_ratio", "evenness.tolerated", "settling.rule.", "rules.")
    allowed = (*exact, "softening", "steady_creep.stress", "steady_creep.temperature")
    for name, row in ROWS:
        if row.get("u") == 0.0:
            assert any(part in name for part in allowed), name


def test_ranges_hold_their_value() -> None:
    """Where a range is given the default lies in it."""
    for name, row in ROWS:
        assert row.get("low", row["value"]) <= row["value"] <= row.get("high", row["value"]), name


@pytest.mark.parametrize("table", [strands(), threads(), fibres()])
def test_ids_match_their_keys(table: dict[str, Any]) -> None:
    """A value knows the id it is found under, and every number in it is in an SI unit."""
    si = {"1", "m", "kg/m", "kg/m3", "N", "N m/kg", "1/K", "Pa", "K", "J/mol", "m3", "1/s"}
    for key, thing in table.items():
        assert key == thing.id
        assert {datum.unit for _, datum in _data(thing)} <= si, key


def test_positive_quantities_are_positive() -> None:
    """Nothing but an expansion may be zero or negative."""
    for table in (strands(), threads(), fibres()):
        for key, thing in table.items():
            for name, datum in _data(thing):
                assert datum.value > 0.0 or name == "expansion", (key, name)


def test_shares_lie_between_zero_and_one() -> None:
    """Packing, flattening and the shares of bedding-in and recovery are proper fractions."""
    names = "packing served_packing bedding_reopened delayed_recovery strength_variation friction"
    for key, strand in strands().items():
        for name in names.split():
            assert 0.0 < getattr(strand, name).value < 1.0, (key, name)
        assert strand.packing.value < strand.served_packing.value, key
        assert strand.softening.value >= 1.0, key
    for key, thread in threads().items():
        assert 0.0 < thread.flattening.value <= 1.0, key


def test_stiffness_is_the_secant_to_break() -> None:
    """EA equals break load over break strain to half a per cent, as its definition says."""
    for key, strand in strands().items():
        secant = strand.break_load.value / strand.break_strain.value
        assert strand.stiffness.value == pytest.approx(secant, rel=5e-3), key


def test_strands_are_weaker_than_their_fibres() -> None:
    """No strand row exceeds the best tenacity of its chemistry's fibres."""
    best = {"polyester": "polyester-ht", "hmpe": "hmpe-high", "hmpe-lcp": "hmpe-high"}
    for key, strand in strands().items():
        fibre = fibres()[best.get(strand.fibre, "aramid-copolymer")]
        tenacity = strand.break_load.value / strand.linear_density.value
        assert tenacity < fibre.tenacity.value, key


def test_thin_strands_follow_their_parents() -> None:
    """A thin strand is 20/24 of the standard one in mass, strength and stiffness."""
    for name in ("hmpe", "hmpe-lcp"):
        standard, thin = strands()[name], strands()[f"{name}-thin"]
        for field in ("linear_density", "break_load", "stiffness"):
            ratio = getattr(thin, field).value / getattr(standard, field).value
            assert ratio == pytest.approx(20 / 24, rel=1e-5), field
        assert thin.stiffness.kind == "memory"


@pytest.mark.parametrize(
    ("name", "grains_per_inch"), [("polyester", 0.145), ("hmpe", 0.069), ("hmpe-lcp", 0.075)]
)
def test_strand_mass_in_grains(name: str, grains_per_inch: float) -> None:
    """Workshop figures in grains per inch follow from the linear density to the last digit."""
    ours = strands()[name].linear_density.value / GRAIN_PER_INCH
    assert ours == pytest.approx(grains_per_inch, abs=0.5e-3)


@pytest.mark.parametrize(
    ("name", "feet"),
    [("polyester", 1005), ("hmpe", 2110), ("hmpe-lcp", 1940)],
)
def test_spool_yield(name: str, feet: float) -> None:
    """A quarter-pound spool holds the feet that workshops reckon with, to 5 ft of rounding."""
    ours = POUND / 4 / strands()[name].linear_density.value / FOOT
    assert ours == pytest.approx(feet, abs=5.0)


def test_measuring_condition() -> None:
    """Lengths are read over 1/4 in pins at 100 lbf after 20 s, light bows at 50 lbf."""
    assert practice("measuring.pin_diameter").value == pytest.approx(0.00635)
    assert practice("measuring.load").value == pytest.approx(444.82216)
    assert practice("measuring.light_load").value == pytest.approx(222.41108)
    assert practice("measuring.dwell").value == 20.0


def test_prestretch_stays_under_the_warning() -> None:
    """The default stretch of a usual line stays under the load the program warns at."""
    warn = practice("safety.warn").value * practice("safety.end_efficiency").value
    usual = {
        "prestretch.hmpe-lcp.compound.load": ("hmpe-lcp", 24),
        "prestretch.hmpe.recurve.load": ("hmpe", 16),
        "prestretch.polyester.recurve.load": ("polyester", 14),
    }
    for key, (name, count) in usual.items():
        share = practice(key).value / (count * strands()[name].break_load.value)
        assert share < warn, key


def test_every_bow_kind_is_complete() -> None:
    """Six kinds of bow, each with the four numbers a chooser needs; cabled ones have two more."""
    table = practice_table()
    kinds = {key.split(".")[1] for key in table if key.startswith("bow.")}
    cabled = {"one-cam", "two-cam", "hybrid-cam", "crossbow"}
    assert kinds - {"default"} == cabled | {"recurve", "longbow"}
    kinds.discard("default")
    for kind in cabled:
        cable = f"bow.{kind}.cable"
        highest, resting = table[f"{cable}.highest_tension"], table[f"{cable}.rest_tension"]
        assert highest.value > resting.value
        # A cable takes less than the string at brace, and nobody has measured how much.
        assert resting.value < table[f"bow.{kind}.rest_tension"].value
        assert min(highest.relative_uncertainty, resting.relative_uncertainty) > 0.3
    for kind in kinds:
        assert table[f"bow.{kind}.highest_tension"].value >= table[f"bow.{kind}.rest_tension"].value
        assert 0.0 < table[f"bow.{kind}.efficiency"].value < 1.0
        assert 0.0 < table[f"bow.{kind}.fill"].value < 1.0
