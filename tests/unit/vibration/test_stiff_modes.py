"""Counting modes of stiff lines: none missed, none twice, however parts of the line resonate."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import brentq

from strandwright.vibration.modes import modes
from strandwright.vibration.sounding_line import SoundingLine, sounding_line
from strandwright.vibration.stiff_modes import in_two
from strandwright.vibration.stiff_whole import count_below, whole_line

Floats = np.ndarray


def angular(line: SoundingLine, count: int) -> Floats:
    """Angular frequencies of the first case."""
    return 2 * np.pi * modes(line, count).raise_for_failure("the modes").value.frequency[0]


def counted(line: SoundingLine, omega: Floats) -> Floats:
    """Modes of the first case below each of many frequencies."""
    return count_below(in_two(line), np.zeros(len(omega), dtype=np.intp), omega)


def test_a_mode_beside_one_of_half_the_line_is_not_jumped() -> None:
    """Short, limp and light of spring; its halves clamped sound between its modes."""
    numbers = (8.41881e-3, 2280.85036481)
    how: dict[str, Any] = {
        "bending_stiffness": 2.9583e-4, "end_spring": [12379.97453369, 3952.23518988],
        "clamped": (True, False),
    }  # fmt: skip
    whole = angular(sounding_line([0.0067968], *numbers, **how), 8)
    parts = angular(sounding_line(0.0067968 * np.array([0.31, 0.22, 0.47]), *numbers, **how), 8)
    np.testing.assert_allclose(whole, parts, rtol=1e-8)
    steps = np.diff(whole)[1:]
    assert np.all(np.diff(steps) > 0.0)


@settings(max_examples=40)
@given(
    st.lists(
        st.tuples(
            st.floats(0.02, 1.0), st.floats(2e-3, 2e-2), st.floats(1e-4, 0.5),
            st.floats(0.0, 5e-3), st.sampled_from([0.0, 1e3, 1e5]),
        ),
        min_size=1, max_size=6,
    ),
    st.floats(50.0, 3000.0),
    st.tuples(st.booleans(), st.booleans()),
)  # fmt: skip
def test_the_count_steps_by_one_at_each_mode(
    parts: list[tuple[float, ...]], tension: float, clamped: tuple[bool, bool]
) -> None:
    """Just below the n-th there are n - 1, just above it n; and between two it stays."""
    long, mass, bending, weight, spring = (np.array(v) for v in zip(*parts, strict=True))
    line = sounding_line(
        long, mass, tension, bending_stiffness=bending, weight=weight[:-1],
        joint_spring=spring[:-1], clamped=clamped,
    )  # fmt: skip
    omega = angular(line, 6)
    assert np.all(np.diff(omega) > 0.0)
    n = np.arange(1, 7)
    apart = np.minimum(1e-9, 0.2 * np.diff(omega, append=2 * omega[-1]) / omega)
    np.testing.assert_array_equal(counted(line, omega * (1 - apart)), n - 1)
    np.testing.assert_array_equal(counted(line, omega * (1 + apart)), n)


def test_where_the_whole_is_soft_it_sounds() -> None:
    """Its determinant changes sign at each mode: by Brent's method, without the count."""
    line = sounding_line(
        [0.3, 0.7, 0.45], [7e-3, 4e-3, 7e-3], 900.0, weight=[1e-3, 0.0],
        joint_spring=[0.0, 5e3], bending_stiffness=[0.2, 0.05, 0.2], clamped=(True, False),
    )  # fmt: skip
    one = np.zeros(1, dtype=np.intp)

    def soft(omega: float) -> float:
        w = whole_line(line, one, np.array([omega]))
        size = 2 * w.across.shape[1]
        full = np.zeros((size, size))
        for j in range(w.across.shape[1]):
            at = slice(2 * j, 2 * j + 2)
            own = [[w.across[0, j], w.turn[0, j]], [w.turn[0, j], w.lean[0, j]]]
            full[at, at] = own
            if j < w.far.shape[1]:
                after = slice(2 * j + 2, 2 * j + 4)
                full[at, after] = [[w.far[0, j], w.over[0, j]], [w.back[0, j], w.carry[0, j]]]
                full[after, at] = full[at, after].T
        sign, size_of = np.linalg.slogdet(full / np.abs(full).max())
        return float(sign * np.exp(size_of / size))

    for omega in angular(line, 5):
        near = brentq(soft, omega * (1 - 1e-6), omega * (1 + 1e-6), xtol=1e-13)
        assert near == pytest.approx(omega, rel=1e-10)


def test_springs_between_the_ends_of_a_line_that_does_not_bend() -> None:
    """Tan of both halves: 2 T k cot(k/2) = -K, and modes with a node there pass it by."""
    for spring in (0.1, 7.0, 1e4):

        def left(k: float, firm: float = spring) -> float:
            return 2 * k * np.cos(k / 2) + firm * np.sin(k / 2)

        line = sounding_line([0.5, 0.5], 1.0, 1.0, joint_spring=spring)
        odd: list[Any] = [brentq(left, (2 * j + 1) * np.pi, (2 * j + 2) * np.pi) for j in (0, 1)]
        wanted = np.sort([*odd, 2 * np.pi, 4 * np.pi])
        np.testing.assert_allclose(angular(line, 4), wanted, rtol=1e-10)


def test_a_firm_spring_parts_a_line() -> None:
    """As it grows the line becomes two of their own."""
    line = sounding_line([0.4, 0.9], 4e-3, 700.0, joint_spring=1e12)
    speed = np.sqrt(700.0 / 4e-3)
    wanted = np.sort(np.concatenate([speed * np.pi * np.arange(1, 5) / v for v in (0.4, 0.9)]))[:5]
    np.testing.assert_allclose(angular(line, 5), wanted, rtol=1e-7)


def test_fixed_ends_beside_ends_that_give() -> None:
    """In one batch each case keeps its own ends, as if alone."""
    springs = np.array([[np.inf, np.inf], [4e4, np.inf], [np.inf, 900.0], [4e4, 900.0]])
    parts: dict[str, Any] = {"length": [0.3, 0.7], "mass_per_length": [7e-3, 4e-3]}
    more: dict[str, Any] = {"bending_stiffness": 0.05, "clamped": (True, False)}
    loads = np.full(4, 600.0)
    many = sounding_line(tension=loads, end_spring=springs, **parts, **more)
    found = 2 * np.pi * modes(many, 4).raise_for_failure().value.frequency
    for row, spring in zip(found, springs, strict=True):
        alone = sounding_line(tension=600.0, end_spring=spring, **parts, **more)
        np.testing.assert_allclose(angular(alone, 4), row, rtol=1e-10)
    assert np.all(found[0] > found[1:].max(axis=0) * (1 - 1e-12))
