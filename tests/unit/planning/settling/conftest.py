"""A finished line, made once; each test has a record of its own."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bench_work import Work
from finished_line import FITTED, Life, finish
from strandwright.planning.settling.answer import settling_of
from strandwright.workshop.service import entry_from_table


@pytest.fixture(scope="session")
def finished() -> Work:
    """Give the ridge string, finished."""
    return finish(Work())


@pytest.fixture
def life() -> Life:
    """Give a maker of entries."""
    return Life()


@pytest.fixture
def answer(finished):
    """Answer for the ridge string by some entries, some days after it went onto its bow."""
    advice = finished.desk.advice(finished.build)

    def answered(rows, days=30.0, **given):
        entries = [entry_from_table({"shots": 0} | row) for row in rows]
        now = FITTED + timedelta(days=days)
        return settling_of(advice.plan, advice.state.locked.turns, entries, now, **given)

    return answered
