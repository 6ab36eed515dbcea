"""Relations that belts, eyes and bundles must keep for any sizes."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from strandwright.geometry.belt import belt_length, centre_distance
from strandwright.geometry.eye import fit_eye, outside_offset, shortest_perimeter

RADIUS = st.floats(0.001, 0.05)
SCALE = st.floats(1e-3, 1e3)
LEG = st.floats(0.0, 0.006)
PIN = st.floats(0.003, 0.02)
SLACK = st.floats(1.02, 20.0)
OPEN = st.floats(0.0, 1.0)


@given(RADIUS, RADIUS, st.floats(0.0, 3.0))
def test_belt_round_trip(r1: float, r2: float, gap: float) -> None:
    """Length to centre distance and back gives the length."""
    c = r1 + r2 + gap
    length = belt_length(c, r1, r2)
    np.testing.assert_allclose(centre_distance(length, r1, r2), c, rtol=1e-10)


@given(RADIUS, RADIUS, st.floats(0.0, 3.0))
def test_belt_lies_between_its_bounds(r1: float, r2: float, gap: float) -> None:
    """Never shorter than straights and half turns, never longer than over two thick posts."""
    c = r1 + r2 + gap
    length = float(belt_length(c, r1, r2))
    least = 2 * c + np.pi * (r1 + r2)
    most = 2 * c + 2 * np.pi * max(r1, r2)
    assert least * (1 - 1e-14) <= length <= most * (1 + 1e-14)


@given(RADIUS, RADIUS, SCALE)
def test_belt_scales(r1: float, r2: float, scale: float) -> None:
    """All sizes times a factor give the length times that factor."""
    one = belt_length(0.5, r1, r2)
    np.testing.assert_allclose(belt_length(0.5 * scale, r1 * scale, r2 * scale), scale * one)


@given(LEG, PIN, SLACK, OPEN, SCALE)
def test_eye_scales(leg: float, pin: float, slack: float, throat: float, scale: float) -> None:
    """All sizes times a factor give distances times that factor and the same angles."""
    h = throat * 0.5 * (leg + pin)
    p = slack * float(shortest_perimeter(leg, pin, h))
    one, other = fit_eye(p, leg, pin, h), fit_eye(p * scale, leg * scale, pin * scale, h * scale)
    assert one.ok and other.ok
    np.testing.assert_allclose(other.throat_distance, scale * one.throat_distance, rtol=1e-9)
    np.testing.assert_allclose(other.half_angle, one.half_angle, rtol=1e-7, atol=1e-7)


@given(LEG, PIN, SLACK, OPEN)
def test_eye_keeps_its_perimeter(leg: float, pin: float, slack: float, throat: float) -> None:
    """Straights and wrap, put together from the fit, make up the perimeter."""
    rho = 0.5 * (leg + pin)
    h = throat * rho
    p = slack * float(shortest_perimeter(leg, pin, h))
    fit = fit_eye(p, leg, pin, h)
    tangent_point = rho * np.array([np.sin(fit.half_angle), np.cos(fit.half_angle)])
    straight = np.hypot(*(np.array([float(fit.throat_distance), h]) - tangent_point))
    np.testing.assert_allclose(2 * straight + rho * fit.wrap_angle, p, rtol=1e-9)
    assert np.pi - 1e-9 <= fit.wrap_angle <= 2 * np.pi


@given(LEG, PIN, st.floats(1.05, 2.0), SLACK)
def test_a_thicker_pin_reads_shorter(leg: float, pin: float, thicker: float, slack: float) -> None:
    """More so than for a bare ring, the limit of a very long eye."""
    p = slack * float(shortest_perimeter(leg, thicker * pin))
    change = outside_offset(p, leg, pin) - outside_offset(p, leg, thicker * pin)
    assert change > (np.pi / 2 - 1) / 2 * (thicker - 1) * pin
