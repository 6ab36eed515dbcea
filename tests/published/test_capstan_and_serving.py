"""Friction over posts, serving geometry and hold, uneven strands, warmth: worked examples.

Sources: L. Euler, Remarques sur l'effet du frottement dans l'equilibre, *Memoires de l'academie
des sciences de Berlin* 18 (1769) 265-278, for the capstan; elementary helix geometry and rope
mechanics for the rest. The digits were computed apart from this program.
"""

from dataclasses import replace

import numpy as np
import pytest

from sample_line import BENCH, BLEND, INCH, LBF, LOADS, line, unknowns
from strandwright.fibre.evenness import (
    capstan_ratio,
    share_load,
    tension_deviation,
    wound_lengths,
)
from strandwright.line.convert import Condition, length_at
from strandwright.line.model import LineModel
from strandwright.line.route import Order, Pins, make_route
from strandwright.line.serving_geometry import served_span, slip_force, torsion_stiffness
from strandwright.reference import fibre

MM = 1e-3


@pytest.mark.parametrize(
    ("friction", "row"),
    [
        (0.05, ("1.170", "1.369", "1.874", "2.566", "4.810", "23.14", "81.3")),
        (0.07, ("1.246", "1.552", "2.410", "3.741", "9.017", "81.31", "472")),
        (0.10, ("1.369", "1.874", "3.514", "6.586", "23.14", "535.5", "6611")),
        (0.15, ("1.602", "2.566", "6.586", "16.90", "111.3")),
        (0.20, ("1.874", "3.514", "12.35", "43.38", "535.5")),
        (0.30, ("2.566", "6.586", "43.38", "285.7")),
    ],
)
def test_capstan(record, friction: float, row: tuple[str, ...]) -> None:
    """Ratio of tensions for half a turn to fourteen turns."""
    for turns, printed in zip((0.5, 1, 2, 3, 5, 10, 14), row, strict=False):
        digits = len(printed.partition(".")[2])
        record(
            "Capstan, ratio of tensions",
            f"friction {friction:g}, {turns:g} turns",
            printed,
            float(capstan_ratio(friction, 2 * np.pi * turns)),
            0.5 * 10.0**-digits,
            "half the last digit",
        )


@pytest.mark.parametrize(
    ("core", "thread", "per_inch", "used", "outside", "angle"),
    [
        (2.2, 0.356, "71.3", "22.578", "2.912", "87.46"),
        (2.2, 0.4572, "55.56", "18.28598", "3.114", "86.87"),
        (2.2, 0.533, "47.65", "16.140", "3.266", "86.45"),
        (2.6, 0.4572, "55.56", "21.031", "3.514", "87.27"),
    ],
)
def test_serving_geometry(
    record, core: float, thread: float, per_inch: str, used: str, outside: str, angle: str
) -> None:
    """Round thread, wraps touching: wraps an inch, thread used, diameter, angle of the wraps."""
    span = served_span(core * MM, thread * MM, 1.0, 10.0)
    source = f"Serving of {thread:g} mm thread on a core of {core:g} mm"
    for item, printed, ours, unit in (
        ("wraps per inch", per_inch, INCH / float(span.pitch), ""),
        ("thread per served length", used, float(span.thread_per_length), "m/m"),
        ("outside diameter", outside, float(span.outside_diameter) / MM, "mm"),
        ("angle to the axis", angle, np.degrees(np.arcsin(float(span.angle_sine))), "deg"),
    ):
        half = 0.5001 * 10.0 ** -len(printed.partition(".")[2])
        record(source, item, printed, ours, half, "half the last digit", unit)


def test_serving_forces(record) -> None:
    """Core 2.2 mm, thread 0.018 in at 10 N: pressure, torque on the core, pull along, hold."""
    span = served_span(2.2 * MM, 0.018 * INCH, 1.0, 10.0)
    source, half = "Serving of 0.4572 mm thread at 10 N on a core of 2.2 mm", "half the last digit"
    record(source, "pressure on the core", "19.9", float(span.pressure) / 1e6, 0.05, half, "MPa")
    at_thread = float(span.pressure * 0.5 * span.core_diameter / span.radius)
    record(source, "pressure at the thread's middle", "16.4", at_thread / 1e6, 0.1,
           "printed value rounded before the division", "MPa")  # fmt: skip
    torque = 10.0 * float(span.radius * span.angle_sine)
    record(source, "torque on the core", "13.3", torque / MM, 0.05, half, "N mm")
    cosine = float(np.sqrt(1 - span.angle_sine**2))
    record(source, "pull along the line", "0.55", 10 * cosine, 5e-3, half, "N")
    hold = float(slip_force(span, INCH, 10.0, 0.1))
    record(source, "hold of one inch, friction 0.1", "349", hold, 0.5, half, "N")


def test_torsion_stiffness_is_the_threads_energy() -> None:
    """Second difference of the thread's strain energy, wound on a rigid core that is twisted."""
    span = served_span(2.2 * MM, 0.018 * INCH, 0.8, 10.0)
    radius, pitch, stiffness = float(span.radius), float(span.pitch), 1530.0

    def energy(twist: float) -> float:
        # Thread laid without tension, one metre of line; twist in rad/m adds wraps.
        natural = 2 * np.pi * radius / pitch
        strain = (1 / pitch + twist / (2 * np.pi)) * 2 * np.pi * radius / natural - 1
        return 0.5 * stiffness * strain**2 * natural

    h = 1.0
    curvature = (energy(h) - 2 * energy(0.0) + energy(-h)) / h**2
    assert float(torsion_stiffness(span, stiffness)) == pytest.approx(curvature, rel=1e-9)


def test_uneven_strands(record) -> None:
    """24 strands of 16.5 kN, 1500 mm, 300 lbf: 19.8 % a millimetre, and the largest tension."""
    source = "24 strands of 1500 mm, EA 16.5 kN each, 300 lbf"
    mean = 300 * LBF / 24
    slope = 100 * float(tension_deviation(-1 * MM, 1.5, 16500.0, mean))
    record(source, "more for 1 mm shorter", "19.8", slope, 0.05, "half the last digit", "%")
    half = "half the last digit, and the exact law for the straight one"
    for spread, printed in (
        (0.25, "1.050"), (0.5, "1.099"), (1.0, "1.199"), (2.0, "1.397"), (3.0, "1.596"),
    ):  # fmt: skip
        lengths = wound_lengths(1.5, 2 * spread * MM / 1.5, 24)
        shared = share_load(lengths, 16500.0, 300 * LBF)
        item = f"largest over mean, evenly spread by +-{spread:g} mm"
        record(source, item, printed, float(shared.greatest), 6e-4, half)
        assert int(shared.slack_count) == 0
    at_100 = share_load(wound_lengths(1.5, 4 * MM / 1.5, 24), 16500.0, 100 * LBF)
    assert int(at_100.slack_count) > 0
    per_newton = 1500.0 * 1.0 / 16500.0
    record(source, "length from 1 N of winding tension", "0.091", per_newton, 5e-4,
           "half the last digit", "mm")  # fmt: skip
    record(source, "load from 1 N of winding tension", "1.8", per_newton * slope, 0.05,
           "half the last digit", "%")  # fmt: skip


@pytest.mark.parametrize(
    ("name", "printed"), [("hmpe-high", "-0.36"), ("lcp-ht", "-0.14"), ("aramid", "-0.06")]
)
def test_warmth_at_constant_tension(record, name: str, printed: str) -> None:
    """A body of 1500 mm warmed by 20 K at the measuring load, by the program's conversion."""
    expansion = fibre(name).expansion
    assert expansion is not None
    stock = replace(BLEND, expansion=expansion.value)
    pins = Pins(BENCH.zero_post, BENCH.far_post, BENCH.loop_pin, 0.25 * INCH)
    route = make_route(Order.SERVE_THEN_TWIST, LOADS, pins)
    model = LineModel(line(), stock, replace(BENCH, tape_expansion=0.0), route)
    q = unknowns()
    naturals = model.layout.lengths[None, :] * (1.5 / model.layout.lengths.sum())
    load = np.array([100 * LBF])
    cold, warm = (
        float(length_at(model, q, naturals, np.zeros(1), Condition(load, 0.00635, 0.00635, w))[0])
        for w in (0.0, 20.0)
    )
    record("1500 mm warmed by 20 K at constant tension", name, printed, 1e3 * (warm - cold), 5e-3,
           "half the last digit", "mm")  # fmt: skip
