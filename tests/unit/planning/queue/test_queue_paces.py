"""Paces: minutes of the queue follow what the shop's finished builds took."""

from __future__ import annotations

from dataclasses import replace

import pytest

from strandwright.planning.desk.builds import Desk
from strandwright.planning.examples import examples
from strandwright.planning.planner import Planner
from strandwright.planning.queue import paces
from strandwright.planning.queue.paces import shop_paces
from strandwright.planning.quote.pace import TimedBuild
from strandwright.planning.quote.timings import Timing
from strandwright.planning.sets.tasks import time_of
from strandwright.store.memory import MemoryStore

PLANNER = Planner()


@pytest.fixture
def desk():
    """A desk over an empty store."""
    return Desk(MemoryStore(), planner=PLANNER)


def test_a_shop_without_builds_works_as_practice_says(desk):
    """Every factor is 1."""
    plan = PLANNER.plan(examples()["RIDGE-1"])
    assert {1.0} == set(shop_paces(desk, [plan])["RIDGE-1"].values())


def test_slow_builds_make_the_queue_slower(desk, monkeypatch):
    """Ten builds that took twice as long at serving: it is reckoned well over one and a half."""
    serving = Timing((("serving_time", 1.0),), 2.0 * time_of("serving_time"))
    builds = tuple(TimedBuild("", (replace(serving),)) for _ in range(10))
    monkeypatch.setattr(paces, "timed_builds", lambda store, planner: builds)
    plan = PLANNER.plan(examples()["RIDGE-1"])
    found = shop_paces(desk, [plan])["RIDGE-1"]
    assert 1.5 < found["serving_time"] < 2.2
    assert found["serving_time"] > found["winding"]
