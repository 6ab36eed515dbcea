"""The page of a shop: charts of its builds, words, and what was learned of what."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace

import numpy as np
import pytest
from test_shop_memory import build

from bench_work import Work
from strandwright.planning.shop.charts import shop_charts
from strandwright.planning.shop.outcome import Outcome
from strandwright.planning.shop.page import shop_page
from strandwright.planning.written import Written
from strandwright.units import INCH

TO = Written("in", 32)


@pytest.fixture(scope="module")
def shop() -> Work:
    """A desk at which four lines of one lot were built, the third read long."""
    work = Work(makeup=Work().desk.job("RIDGE-1").document.table["makeup"] | {"lot": "A7"})
    for long in (0.0, INCH / 64.0, INCH / 8.0, 0.0):
        build(work, long)
        work.build = work.id()
        work.advice = work.desk.start(
            "RIDGE-1", work.build, work.id(), at=work.now.isoformat(timespec="milliseconds")
        )
    return work


def test_each_measure_that_was_taken_has_its_chart(shop):
    """Lengths and turns of every build; masses and diameters that nobody took are left out."""
    page = shop_page(shop.desk.memory, TO)
    assert page["builds"] == 4
    assert [chart["name"] for chart in page["charts"]] == ["length", "turns"]
    for chart in page["charts"]:
        assert [p["job"] for p in chart["points"]] == ["RIDGE-1"] * 4
        for theme in ("light", "dark", "sun", "print"):
            marks = re.findall(r'data-build="([^"]+)"', chart["svg"][theme])
            assert sorted(set(marks)) == [p["label"] for p in chart["points"]]


def test_turns_are_told_in_turns(shop):
    """Not in inches: each point says how many."""
    turns = shop_page(shop.desk.memory, TO)["charts"][1]
    words = re.findall(r"build \d: [+-][0-9.]+ turns", turns["svg"]["light"])
    assert len(words) >= 4
    outcomes = shop.desk.memory.outcomes()
    assert f"build 3: {outcomes[2].turns:+.1f} turns" in turns["svg"]["light"]


def test_few_builds_are_said_to_be_few(shop):
    """Four lines tell nothing of control yet, and the page says so."""
    length = shop_page(shop.desk.memory, TO)["charts"][0]
    assert "four" in length["headline"].lower()


def test_groups_stand_with_their_builds(shop):
    """The whole shop, its bench, its fibre and its lot, each with four builds."""
    groups = shop_page(shop.desk.memory, TO)["groups"]
    assert {g["level"] for g in groups} == {"shop", "bench", "fibre", "lot"}
    assert {g["builds"] for g in groups} == {4}
    assert "hmpe-lcp, lot A7" in [g["name"] for g in groups]


def test_an_empty_shop_shows_nothing_and_breaks_nothing():
    """No build, no chart."""
    page = shop_page(Work().desk.memory, TO)
    assert page == {
        "builds": 0,
        "teaching": 0,
        "charts": [],
        "groups": [],
        "doubts": [],
        "left_out": [],
        "doubts_said": "",
    }


def test_builds_are_numbered_alike_in_every_chart(shop):
    """A measure that some builds lack keeps the numbers of those that have it."""
    outcomes = list(shop.desk.memory.outcomes())
    weighed = [replace(o, mass=0.01 * i if i != 1 else None) for i, o in enumerate(outcomes)]
    (masses,) = shop_charts(weighed, TO, ["mass"])
    assert [label for label, _ in masses.points] == ["1", "3", "4"]
    assert masses.picture is not None
    assert [b.label for b in masses.picture.builds] == ["1", "3", "4"]


def test_neighbours_are_charted_with_their_limit(shop):
    """Each build's distance from the one before, in the unit of the chart."""
    (lengths,) = shop_charts(shop.desk.memory.outcomes(), TO, ["length"])
    assert lengths.picture is not None
    values = [b.value for b in lengths.picture.builds]
    moved = [b.moved for b in lengths.picture.builds]
    assert moved[0] is None
    assert moved[1:] == pytest.approx([abs(b - a) for a, b in itertools.pairwise(values)])
    limit = 3.267 * sum(m for m in moved if m is not None) / 3
    assert lengths.picture.builds[2].moved_most == pytest.approx(limit, rel=1e-3)
    turns = shop_charts(shop.desk.memory.outcomes(), TO, ["turns"])[0].picture
    assert turns is not None
    assert turns.builds[2].moved == pytest.approx(
        abs(turns.builds[2].value - turns.builds[1].value)
    )


def made(count: int, drift: float, bench: str, start: int = 0) -> list[Outcome]:
    """Outcomes at one bench whose lengths get longer from build to build."""
    noise = np.random.default_rng(start).normal(0.0, 2e-4, count)
    return [
        Outcome(f"{start + i:032x}", "RIDGE-1", f"2026-03-{1 + i:02d}T{start:02d}:00:00+00:00",
                bench, "hmpe-lcp", "", "", float(drift * i + noise[i]), 1e-4, INCH / 16, 0.0,
                None, 0.0, None)
        for i in range(count)
    ]  # fmt: skip


def test_a_bench_that_drifts_by_itself_is_told():
    """Of two benches one drifts; the words name that one, and not the other."""
    outcomes = sorted([*made(14, 4e-4, "long beam", 1), *made(14, 0.0, "short beam", 2)],
                      key=lambda o: o.at)  # fmt: skip
    (chart,) = shop_charts(outcomes, TO, ["length"])
    alone = [s for s in chart.sentences if " alone: " in s]
    assert len(alone) == 1
    assert alone[0].startswith("Bench long beam alone: The lines get longer")
    steady = sorted([*made(14, 0.0, "long beam", 1), *made(14, 0.0, "short beam", 2)],
                    key=lambda o: o.at)  # fmt: skip
    (chart,) = shop_charts(steady, TO, ["length"])
    assert "No bench with eight builds or more moves by itself." in chart.sentences


def test_what_was_learned_is_told_in_the_unit_of_the_thing(shop):
    """No standard uncertainties any more; the table alone stands beside it."""
    groups = shop_page(shop.desk.memory, TO)["groups"]
    rows = [row for group in groups for row in group["learned"]]
    assert rows
    for row in rows:
        assert "standard uncertainties" not in row["text"]
        assert "; the table alone " in row["text"]
    assert {g["by_tables_of"] for g in groups if g["learned"]} == {"RIDGE-1"}


def test_a_build_left_out_stands_on_the_page_with_its_reason(shop):
    """Its number, its job and why; the charts keep it."""
    memory = shop.desk.memory
    third = memory.outcomes()[2].build
    memory.leave_out(third, "one strand too many")
    page = shop_page(memory, TO)
    memory.take_in(third)
    (left,) = page["left_out"]
    assert (left["number"], left["job"], left["because"]) == (3, "RIDGE-1", "one strand too many")
    assert (page["builds"], page["teaching"]) == (4, 3)
    assert len(page["charts"][0]["points"]) == 4
