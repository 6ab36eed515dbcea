"""Plan data: a plan as JSON, every quantity in SI, with its half-range, and as text."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import strandwright
from strandwright.planning.plan_data import FORMAT, plan_data
from strandwright.planning.plan_line import plan_line
from strandwright.planning.result import Plan
from strandwright.units import Dimension, parse
from strandwright.workshop.job import Paper, read_job

EXAMPLES = Path(strandwright.__file__).parent / "examples"

# A field that ends so is a number in that unit.
UNITS = ("_m", "_n", "_n_per_k", "_kg", "_s", "_per_m", "_turns", "_n_m", "_n_per_tex")


@pytest.fixture(scope="module")
def plan() -> Plan:
    """Plan the two-cam string."""
    text = (EXAMPLES / "ridge-string.toml").read_text(encoding="utf-8")
    return plan_line(read_job(text))


@pytest.fixture(scope="module")
def data(plan: Plan) -> dict[str, Any]:
    """Give its data."""
    return plan_data(plan)


def walk(value: Any, place: str = "") -> Iterator[tuple[str, dict[str, Any]]]:
    """Give every dictionary inside, with its place."""
    if isinstance(value, dict):
        yield place, value
        for name, inner in value.items():
            yield from walk(inner, f"{place}.{name}")
    elif isinstance(value, list):
        for number, inner in enumerate(value):
            yield from walk(inner, f"{place}[{number}]")


def test_it_is_plain_json(data):
    """Nothing but what JSON has, and no number that JSON has not; it reads back the same."""
    assert data == json.loads(json.dumps(data, allow_nan=False))


def test_the_same_plan_gives_the_same_data(plan, data):
    """No clock, no order of hashing enters."""
    assert json.dumps(data) == json.dumps(plan_data(plan))


def test_the_sections_stand_as_documented(data):
    """These names hold while the format is 1; a change of them needs a new number."""
    assert 1 == FORMAT == data["format"]
    assert [
        "format", "program", "plan", "carried", "job", "line", "units", "baseline", "target",
        "order", "winding", "stages", "servings", "loops", "marks", "throats", "twist", "bare",
        "strength", "fits", "mass", "landing", "rest", "yoke", "laid", "peeps",
        "details", "steps", "warnings", "learned", "unknowns",
    ] == list(data)  # fmt: skip


def test_a_half_range_stands_beside_its_value_and_text(data):
    """Each ``x_plus_minus_unit`` has an ``x_unit`` and an ``x_text`` beside it."""
    checked = 0
    for place, fields in walk(data):
        for name in fields:
            match = re.fullmatch(r"(.+)_plus_minus(_.+)?", name)
            if match is None:
                continue
            checked += 1
            assert f"{match[1]}{match[2] or ''}" in fields, f"{place}.{name}"
            assert f"{match[1]}_text" in fields, f"{place}.{name}"
            assert fields[name] >= 0.0, f"{place}.{name}"
    assert checked > 60


def test_every_real_number_says_its_unit(data):
    """A float is in a field whose name ends in a unit, or is a plain number of a known kind."""
    plain = re.compile(
        r"tightest|share|chance(_blind|_first|_of_original)?|gain(_first)?|alone|"
        r"turns|turns_low|turns_high|most_turns|rounds|wraps|"
        r"(twist|bundle|ends)_keeps?|strength_kept|value|standard_uncertainty_on_scale"
    )
    for place, fields in walk(data):
        for name, value in fields.items():
            if isinstance(value, float):
                bare = name.replace("_plus_minus", "")
                assert name.endswith(UNITS) or plain.fullmatch(bare), f"{place}.{name}"


def test_the_texts_can_be_read_again(data):
    """A length's text, read as anybody's entry is, gives the value within its rounding."""
    checked = 0
    for place, fields in walk(data):
        for name, text in fields.items():
            value = fields.get(f"{name.removesuffix('_text')}_m")
            if not name.endswith("_text") or value is None:
                continue
            entered = parse(Dimension.LENGTH, text, field=place, signed=True)
            half = fields.get(f"{name.removesuffix('_text')}_plus_minus_m", 0.0)
            # Half of 1/16 in, or half a foot of thread where feet are written whole.
            rounding = 0.16 if entered.unit == "ft" else 0.0254 / 32.0
            assert abs(entered.si - value) <= rounding + 1e-9, f"{place}.{name}: {text}"
            if entered.half_range is not None:
                assert float(entered.half_range) >= half - 1e-9, f"{place}.{name}: {text}"
            checked += 1
    assert checked > 40


def test_the_numbers_are_the_plan_s(plan, data):
    """Some numbers, straight from the plan."""
    assert plan.winding.posts_outside.value == data["winding"]["posts_outside_m"]
    assert 2.0 * plan.bare_diameter.u == data["bare"]["diameter_plus_minus_m"]
    assert plan.twist.next_half.value == data["twist"]["next_half_m"]
    assert [s.length.value for s in plan.stages] == [s["length_m"] for s in data["stages"]]
    assert math.isclose(1.0, sum(row["share"] for row in data["landing"]["budget"]), abs_tol=1e-9)


def test_units_change_the_texts_and_no_number(plan):
    """In millimetres every text changes with the units; every number stays as it is."""
    from dataclasses import replace

    metric_job = plan.job.model_copy(update={"paper": Paper(units="mm")})
    inch, metric = plan_data(plan), plan_data(replace(plan, job=metric_job))
    for (place, one), (_, other) in zip(walk(inch), walk(metric), strict=True):
        for name, value in one.items():
            if isinstance(value, float):
                assert value == other[name], f"{place}.{name}"
    assert inch["target"]["length_text"].endswith(" in")
    assert metric["target"]["length_text"].endswith(" mm")
    assert metric["strength"]["derated_text"].endswith(" N")
