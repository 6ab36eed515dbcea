"""Strands laid in beside a stretched bundle: they follow from the grip on, by less than it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from strandwright.fibre.beside import LaidBeside, following_tension, gripped_tension

ONE = np.ones(1)
STRANDS = LaidBeside(
    stiffness=11e3 * ONE,
    softening=1.0 * ONE,
    break_strain=0.029,
    bedding=0.0022 * ONE,
    bedding_scale=17.8 * ONE,
    gripped=28.0 * ONE,
    bedded=42.0 * ONE,
)


@given(
    load=st.floats(0.0, 300.0),
    many=st.floats(0.0, 1.0),
    softening=st.floats(1.0, 1.6),
    bedding=st.floats(0.0, 0.01),
)
def test_tension_closes_the_gap_of_strain(
    load: float, many: float, softening: float, bedding: float
) -> None:
    """Where they bear, both have stretched alike since the grip; SciPy finds the same tension."""
    strands = replace(STRANDS, softening=softening * ONE, bedding=bedding * ONE)
    found = float(following_tension(load * ONE, many, strands)[0])

    def apart(late: float) -> float:
        return float(strands.apart(load * ONE - many * late, late * ONE)[0])

    most = load / (1.0 + many)
    expected = 0.0 if apart(0.0) <= 0.0 else float(np.asarray(brentq(apart, 0.0, most)))
    assert found == pytest.approx(expected, rel=1e-9, abs=1e-9)


def test_nothing_is_borne_up_to_the_load_of_the_grip() -> None:
    """Let down below it, pieces lie in waves."""
    loads = np.array([0.0, 10.0, 28.0])
    assert following_tension(loads, 0.5, STRANDS) == pytest.approx(0.0, abs=1e-12)
    assert (following_tension(np.array([28.1, 60.0]), 0.5, STRANDS) > 0.0).all()


def test_what_the_bundle_did_before_is_what_pieces_lag_by() -> None:
    """Far above every load so far both have bedded in: the lag is elastic strain and bedding."""
    wound = 300.0
    late = float(following_tension(wound * ONE, 0.0, STRANDS)[0])
    full = 1.0 - np.exp(-55.602770190756 / 17.8)
    bedded = 0.0022 * (1.0 - np.exp(-42.0 / 17.8)) / full
    assert (wound - late) / 11e3 == pytest.approx(28.0 / 11e3 + bedded, rel=1e-4)


@given(st.floats(1.0, 300.0), st.floats(1.0, 300.0))
def test_more_load_is_more_on_a_piece_and_never_more_than_on_a_wound_strand(
    one: float, other: float
) -> None:
    """Rising with the load, under the bundle's own tension."""
    loads = np.array(sorted((one, other)))
    late = following_tension(loads, 0.5, STRANDS)
    assert late[0] <= late[1] + 1e-9
    assert (late <= loads - 0.5 * late + 1e-9).all()


def test_pieces_gripped_slack_beside_a_slack_new_bundle_are_like_it() -> None:
    """No load at the grip and none before: all strands bear alike."""
    new = replace(STRANDS, gripped=0.0 * ONE, bedded=0.0 * ONE)
    assert following_tension(90.0 * ONE, 0.5, new) == pytest.approx(60.0)


def test_friction_brings_the_tension_in_from_the_end() -> None:
    """In a straight line, until the piece follows."""
    lengths = np.array([0.0, 0.02, 0.05, 0.2])
    assert gripped_tension(100.0, 2000.0, lengths) == pytest.approx([0.0, 40.0, 100.0, 100.0])
