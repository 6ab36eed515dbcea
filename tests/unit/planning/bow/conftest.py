"""Bows that are looked for once and asked by every test here: each takes some seconds."""

from __future__ import annotations

import pytest
from asked_bow import Asked, asked

from sample_job import RIDGE


@pytest.fixture(scope="session")
def two_cam() -> Asked:
    """The ridge bow: its cables run to the axles."""
    return asked(RIDGE)


@pytest.fixture(scope="session")
def one_cam() -> Asked:
    """The scree bow, with a draw board."""
    return asked("scree-string")
