"""A line, a bench and middle values of the unknowns for tests: invented, in inches and pounds.

Built from the parts of ``strandwright.line`` alone, so that the tests of the model do not hang
on job files, tables or plans.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.model import LineModel
from strandwright.line.parts import (
    Bench,
    Hand,
    Line,
    Loop,
    Mark,
    Serving,
    ServingKind,
    ServingThread,
    StrandStock,
)
from strandwright.line.route import Loads, Order, Pins, make_route
from strandwright.line.unknowns import UNKNOWNS
from strandwright.numerics.parameters import Parameter, ParameterVector

INCH = 0.0254
LBF = 4.4482216152605
MINUTE = 60.0

THREAD = ServingThread("braid", 0.018 * INCH, 0.75, 1.1e-4, 1530.0, 0.1, 6.0 * LBF)
BLEND = StrandStock(
    "blend", "hmpe-lcp", 1.92e-4, 309.0, 0.025, 1030.0, -1.08e-5, 0.08, 0.1
)  # fmt: skip
BENCH = Bench("bench", 0.5 * INCH, 0.5 * INCH, 0.25 * INCH, 110 * INCH, 0.0, None, 1.15e-5, 20.0)
LOADS = Loads(
    equalise=200 * LBF, stretch=300 * LBF, stretch_dwell=30 * MINUTE,
    second_dwell=15 * MINUTE, settle=300 * LBF,
    serve=200 * LBF, measure=100 * LBF, rest=45 * MINUTE, serve_dwell=30 * MINUTE,
)  # fmt: skip

#: Name, middle value, standard uncertainty, scale.
KNOWN: tuple[tuple[str, float, float, str], ...] = (
    ("stiffness", 12360.0, 0.05, "log"),
    ("softening", 1.2, 0.1, "linear"),
    ("packing", 0.72, 0.05, "log"),
    ("squeeze", 0.80 / 0.72, 0.04, "log"),
    ("share", 0.7, 0.7, "logit"),
    ("bedding", 0.0015, 0.3, "log"),
    ("bedding_scale", 4.0 * LBF, 0.3, "log"),
    ("reopening", 0.000525, 0.3, "log"),
    ("recovery", 0.1, 0.3, "log"),
    ("creep", 0.0003, 0.4, "log"),
    ("drag", 5.0 * LBF, 0.15, "log"),
    ("post_stiffness", 4e5, 0.3, "log"),
    ("layers", 2.0, 0.3, "linear"),
    ("setting_error", 0.0, INCH / 64, "linear"),
    ("tape_scale", 0.0, 1e-4, "linear"),
    ("gauge", 1.0, 0.05, "log"),
    ("warmth", 0.0, 3.0, "linear"),
    ("loop_error", 0.0, INCH / 32, "linear"),
    ("leg", 1.0, 0.1, "log"),
    ("grip", 1.0, 0.3, "log"),
    ("flattening", 1.0, 0.1, "log"),
    ("wrap_tension", 1.0, 0.2, "log"),
    ("thread_stiffness", 1.0, 0.3, "log"),
    ("own_bare", 0.0, 2e-4, "linear"),
    ("own_half", 0.0, 2e-4, "linear"),
    ("own_twisted", 0.0, 2e-4, "linear"),
    ("own_proof", 0.0, 2e-4, "linear"),
)


def parameters() -> ParameterVector:
    """Every unknown of the model with a spread."""
    units = {name: unit for name, unit, _ in UNKNOWNS}
    return ParameterVector.from_parameters(
        [
            Parameter(name, mean, spread, scale, unit=units[name])  # pyright: ignore[reportArgumentType]
            for name, mean, spread, scale in KNOWN
        ]
    )


def unknowns(batch: int = 1, **changes: float | FloatArray) -> dict[str, FloatArray]:
    """Middle values of the unknowns, some of them changed, as arrays of shape (batch,)."""
    values = {name: mean for name, mean, _, _ in KNOWN} | {"relaxed": 0.2} | changes
    return {name: np.broadcast_to(value, (batch,)).astype(float) for name, value in values.items()}


def serving(name: str, start: float, stop: float, **changes: object) -> Serving:
    """Serve from start to stop, in inches."""
    made = Serving(name, ServingKind.FREE, start * INCH, stop * INCH, THREAD, Hand.S)
    return replace(made, **changes)  # pyright: ignore[reportArgumentType]


def loop(name: str, size: float) -> Loop:
    """Make a served loop of a size in inches."""
    return Loop.from_size(name, size * INCH, 0.1 * INCH, 0.02 * INCH, THREAD)


def line(**changes: object) -> Line:
    """A string of 57 1/4 in with four servings that do not lie symmetrically."""
    made = Line(
        length=57.25 * INCH,
        zero=loop("lower", 7 / 8),
        far=loop("upper", 1.0),
        servings=(
            serving("lower end", 0.0, 15.0),
            serving("stop", 20.5, 22.25),
            serving("centre", 26.75, 30.5),
            serving("upper end", 40.25, 57.25),
        ),
        marks=(Mark("nock", 28.625 * INCH), Mark("peep", 34.0 * INCH)),
        strand_count=24,
        hand=Hand.S,
        measuring_load=100 * LBF,
        pin_diameter=0.25 * INCH,
    )
    return replace(made, **changes)  # pyright: ignore[reportArgumentType]


def model(
    order: Order = Order.SERVE_THEN_TWIST,
    bench: Bench = BENCH,
    loads: Loads = LOADS,
    **changes: object,
) -> LineModel:
    """Give the model of that line on a bench by an order of work."""
    made = line(**changes)
    pins = Pins(bench.zero_post, bench.far_post, bench.loop_pin, made.pin_diameter)
    return LineModel(made, BLEND, bench, make_route(order, loads, pins))
