"""The page of a shop: charts of its builds, words, and what was learned of what."""

from __future__ import annotations

import re

import pytest
from test_shop_memory import build

from bench_work import Work
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
        for theme in ("light", "dark", "sun"):
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
    assert page == {"builds": 0, "charts": [], "groups": []}
