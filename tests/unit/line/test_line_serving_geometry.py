"""Servings as a wound thread."""

import numpy as np
import pytest

from strandwright.line.serving_geometry import (
    CORE_RESISTANCE,
    served_span,
    slip_force,
    tail_length_to_hold,
    tension_after_twist,
    torsion_stiffness,
)

SPAN = served_span(2.2e-3, 0.4572e-3, 0.75, 27.0)


def test_thread_keeps_its_volume() -> None:
    """Flattened thread is thinner and wider; what it covers along the line is its pitch."""
    assert float(SPAN.outside_diameter - SPAN.core_diameter) == pytest.approx(1.5 * 0.4572e-3)
    assert float(SPAN.pitch) == pytest.approx(0.4572e-3 / 0.75)
    # Per length: thread times its section (a b over the box) fills the annulus, at this pitch.
    box = 0.75 * 0.4572e-3 * float(SPAN.pitch)
    annulus = np.pi / 4 * float(SPAN.outside_diameter**2 - SPAN.core_diameter**2)
    along = np.sqrt(float(SPAN.thread_per_length) ** 2 - 1.0)
    assert box * along == pytest.approx(annulus)


def test_hold_grows_with_length_tension_and_friction() -> None:
    """Slip force is proportional to each of them."""
    one = slip_force(SPAN, 0.0254, 27.0, 0.1)
    for changed in (slip_force(SPAN, 0.0508, 27.0, 0.1), slip_force(SPAN, 0.0254, 54.0, 0.1),
                    slip_force(SPAN, 0.0254, 27.0, 0.2)):  # fmt: skip
        assert float(changed) == pytest.approx(2 * float(one))


def test_the_hold_is_pressure_on_the_core() -> None:
    """Friction times pressure over the core's surface is the slip force."""
    surface = np.pi * float(SPAN.core_diameter) * 0.0254
    assert float(slip_force(SPAN, 0.0254, 27.0, 0.1)) == pytest.approx(
        0.1 * float(SPAN.pressure) * surface
    )


def test_twist_with_the_wraps_tightens() -> None:
    """Turns in the serving's hand add tension, against it they take it away, never below none."""
    tension = tension_after_twist(27.0, 1530.0, SPAN, np.array([20.0, 0.0, -20.0, -2000.0]))
    assert tension[0] > tension[1] == 27.0 > tension[2] >= tension[3] == 0.0
    gained = CORE_RESISTANCE * 1530.0 * 20.0 * float(SPAN.pitch)
    assert tension[0] - 27.0 == pytest.approx(gained)


def test_torsion_grows_with_the_thread() -> None:
    """Twice as stiff a thread is twice as stiff in torsion; a thicker core stiffer too."""
    one = torsion_stiffness(SPAN, 1530.0)
    assert float(torsion_stiffness(SPAN, 3060.0)) == pytest.approx(2 * float(one))
    assert torsion_stiffness(served_span(3e-3, 0.4572e-3, 0.75, 27.0), 1530.0) > one


def test_tail_by_hand() -> None:
    """Grip per length is both frictions times pressure times width."""
    length = tail_length_to_hold(SPAN, 55.6, 0.5e-3, 0.1, 0.12)
    assert float(length) == pytest.approx(55.6 / (0.22 * float(SPAN.pressure) * 0.5e-3))
