"""The builds of the suite, made once and shared by every test of this folder."""

from __future__ import annotations

import pytest

from simulated_bench.table import Row, build_many

#: Seeds of the suite: the first of the four hundred that the benchmark folder builds, and asks the
#: same of.
SEEDS = range(200)


@pytest.fixture(scope="session")
def rows() -> list[Row]:
    """Build every case by the plan and by the rule of thumb."""
    return build_many(SEEDS)
