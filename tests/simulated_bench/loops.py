"""A closed loop over a pin in the simulated world, solved from its own triangle and arc."""

from __future__ import annotations

import math


def throat(perimeter: float, pin: float, leg: float, half_gap: float) -> float:
    """Distance of the throat from the outside of the pin for a loop of a perimeter.

    From the throat each leg runs straight to its tangent point and then round the pin's back:
    ``perimeter`` along the legs' centrelines [m], ``pin`` diameter [m], ``leg`` thickness on the
    pin [m], ``half_gap`` distance of the legs' centres from the axis at the throat [m].
    """
    radius = 0.5 * (pin + leg)

    def half(centre: float) -> float:
        away = math.hypot(centre, half_gap)
        straight = math.sqrt(max(away**2 - radius**2, 0.0))
        to_throat = math.pi - math.atan2(half_gap, centre)
        return straight + radius * (to_throat - math.acos(min(radius / away, 1.0)))

    low, high = math.sqrt(max(radius**2 - half_gap**2, 0.0)), perimeter
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if half(middle) < 0.5 * perimeter else (low, middle)
    return 0.5 * (low + high) + 0.5 * pin
