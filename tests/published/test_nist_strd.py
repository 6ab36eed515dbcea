"""NIST Statistical Reference Datasets: Norris, Pontius and Misra1a, by update and by pool.

NIST, Statistical Reference Datasets (StRD), Information Technology Laboratory: Norris (straight
line, 36 readings of an ozone monitor), Pontius (parabola, 40 readings of a load cell) and Misra1a
(two parameters, not linear, 14 readings, both of its starting points). Certified values of Norris
and Pontius agree with several public test suites; all data, and Misra1a, are quoted from memory,
and every set is solved by NumPy or SciPy as well, so that a slip would show.

With a prior so wide that it says nothing, a reading update and a pool are least squares. An update
holds prior and readings in one matrix, which costs digits: the prior is 10^2 to 10^4 standard
errors wide, and values are held to a thousandth of their standard errors. A pool keeps information:
its prior is 10^6 standard errors wide, and values are held to 1e-7 of them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import curve_fit

from strandwright.numerics.model import Model
from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.statistics.lesson import Lesson
from strandwright.statistics.pooling import pool_of
from strandwright.statistics.spreads import Spreads
from strandwright.statistics.update import update

Floats = NDArray[np.float64]

NORRIS = """
0.1 0.2  338.8 337.4  118.1 118.2  888.0 884.6  9.2 10.1  228.1 226.5  668.5 666.3  998.5 996.3
449.1 448.6  778.9 777.0  559.2 558.2  0.3 0.4  0.1 0.6  778.1 775.5  668.8 666.9  339.3 338.0
448.9 447.5  10.8 11.6  557.7 556.0  228.3 228.1  998.0 995.8  888.8 887.6  119.6 120.2  0.3 0.3
0.6 0.3  557.6 556.8  339.3 339.1  888.0 887.2  998.5 999.0  778.9 779.0  10.2 11.1  117.6 118.3
228.9 229.2  668.4 669.1  449.2 448.9  0.2 0.5
"""
PONTIUS = """
.11019 .21956 .32949 .43899 .54803 .65694 .76562 .87487 .98292 1.09146
1.20001 1.30822 1.41599 1.52399 1.63194 1.73947 1.84646 1.95392 2.06128 2.16844
.11052 .22018 .32939 .43886 .54798 .65739 .76596 .87474 .98300 1.09150
1.20004 1.30818 1.41613 1.52408 1.63159 1.73965 1.84696 1.95445 2.06177 2.16829
"""
MISRA = """
10.07 77.6  14.73 114.9  17.94 141.1  23.93 190.8  29.61 239.9  35.18 289.0  40.02 332.8
44.82 378.4  50.76 434.8  55.05 477.3  61.01 536.8  66.40 593.1  75.47 689.1  81.78 760.0
"""


@dataclass(frozen=True)
class Certified:
    """What NIST certifies: values, standard errors, residual deviation, and powers of ten."""

    value: tuple[str, ...]
    error: tuple[str, ...]
    scatter: str
    power: tuple[int, ...]
    scatter_power: int = 0


@dataclass(frozen=True)
class Fitted:
    """Estimates, their standard errors and the residual standard deviation."""

    value: Floats
    error: Floats
    scatter: float


CERTIFIED = {
    "Norris": Certified(
        ("-0.262323073774029", "1.00211681802045"),
        ("0.232818234301152", "0.000429796848199937"),
        "0.884796396144373",
        (0, 0),
    ),
    "Pontius": Certified(
        ("0.673565789473684", "0.732059160401003", "-0.316081871345029"),
        ("0.107938612033077", "0.000157817399981659", "0.00486652849992036"),
        "0.205177424076185",
        (3, 6, 14),
        3,
    ),
    "Misra1a": Certified(
        ("238.94212918", "5.5015643181"),
        ("2.7070075241", "0.072668688436"),
        "0.10187876330",
        (0, 4),
    ),
}


def columns(name: str) -> tuple[Floats, Floats]:
    """Readings and the columns of a linear set."""
    if name == "Norris":
        y, x = pairs(NORRIS)
        return y, np.stack([np.ones_like(x), x], axis=1)
    load = np.array([*range(1, 21)] * 2, dtype=np.float64) * 150000.0
    return np.array(PONTIUS.split(), dtype=np.float64), np.stack(
        [np.ones_like(load), load, load**2], axis=1
    )


def pairs(text: str) -> tuple[Floats, Floats]:
    """Readings and what they were read at."""
    both = np.array(text.split(), dtype=np.float64).reshape(-1, 2)
    return both[:, 0], both[:, 1]


def by_update(model: Model, vague: ParameterVector, y: Floats, noise: float, step: float) -> Fitted:
    """Least squares by a reading update: noise only scales it, the prior says next to nothing."""
    learned = update(vague, model, y, np.full(y.size, noise**2), step=step)
    assert learned.converged
    known = learned.parameters
    scatter = math.sqrt(float(learned.residual @ learned.residual) / (y.size - len(known.names)))
    return Fitted(known.mean, known.deviations * scatter / noise, scatter)


def by_pool(table: Floats, y: Floats, wide: Floats, noise: float) -> Fitted:
    """Least squares by a pool of one shop whose every reading is a build."""
    names = tuple(f"b{i}" for i in range(wide.size))
    spreads = Spreads(("shop", "build"), names, np.stack([wide**2, np.zeros(wide.size)]))
    lessons = [
        Lesson((), row[None, :], np.array([reading]), np.array([[noise**2]]))
        for row, reading in zip(table, y, strict=True)
    ]
    value, covariance = pool_of(spreads, np.zeros(wide.size), lessons).effect("shop", "")
    residual = y - table @ value
    scatter = math.sqrt(float(residual @ residual) / (y.size - wide.size))
    return Fitted(value, np.sqrt(np.diagonal(covariance)) * scatter / noise, scatter)


def vague(middle: tuple[float, ...], wide: tuple[float, ...]) -> ParameterVector:
    """A prior that says next to nothing."""
    names = [f"b{i}" for i in range(len(middle))]
    return ParameterVector.from_parameters(
        [Parameter(*given) for given in zip(names, middle, wide, strict=True)]
    )


def hold(record, name: str, way: str, fitted: Fitted, share: float) -> None:
    """Hold values to a share of their standard errors; errors and scatter to half of that."""
    source, certified = f"{name}, {way}", CERTIFIED[name]
    for i, (value, error) in enumerate(zip(certified.value, certified.error, strict=True)):
        power = certified.power[i]
        times = f" x 10^{power}" if power else ""
        reason = f"{share:.0e} of its standard error"
        allowed = share * float(error)
        record(source, f"B{i}{times}", value, fitted.value[i] * 10.0**power, allowed, reason)
        ours = fitted.error[i] * 10.0**power
        record(source, f"standard error of B{i}{times}", error, ours, 0.5 * allowed, "half of that")
    power = certified.scatter_power
    times = f" x 10^{power}" if power else ""
    allowed = 0.5 * share * float(certified.scatter)
    item = f"residual standard deviation{times}"
    ours = fitted.scatter * 10.0**power
    record(source, item, certified.scatter, ours, allowed, f"{0.5 * share:.0e} of it")


@pytest.mark.parametrize(
    ("name", "wide", "noise"),
    [("Norris", (100.0, 10.0), 0.88), ("Pontius", (0.03, 3e-6, 3e-14), 2e-4)],
)
def test_linear_sets_by_a_reading_update(record, name, wide, noise):
    """Certified values to a thousandth of their standard errors."""
    y, table = columns(name)
    names = [f"b{i}" for i in range(len(wide))]

    def model(q: dict[str, Floats]) -> Floats:
        return np.stack([q[key] for key in names], axis=1) @ table.T

    fitted = by_update(model, vague((0.0,) * len(wide), wide), y, noise, 0.1)
    hold(record, name, "by a reading update", fitted, 1e-3)


@pytest.mark.parametrize(
    ("name", "wide", "noise"),
    [("Norris", (2.3e5, 4e2), 0.88), ("Pontius", (1e2, 1.6e-4, 5e-11), 2e-4)],
)
def test_linear_sets_by_a_pool(record, name, wide, noise):
    """Certified values to 1e-7 of their standard errors."""
    y, table = columns(name)
    hold(record, name, "by a pool", by_pool(table, y, np.array(wide), noise), 1e-7)


@pytest.mark.parametrize("start", [(500.0, 1e-4), (250.0, 5e-4)], ids=["start 1", "start 2"])
def test_a_set_that_is_not_linear(record, start):
    """Certified values from both of NIST's starting points.

    The noise is stated a tenth of the scatter: an update lays the model straight over the width of
    what stays unknown, and least squares has no width. What is left of it is 2e-4 standard errors.
    """
    y, x = pairs(MISRA)

    def model(q: dict[str, Floats]) -> Floats:
        return q["b0"][:, None] * -np.expm1(-q["b1"][:, None] * x)

    fitted = by_update(model, vague(start, (1e3, 1e-3)), y, 1e-2, 1e-6)
    hold(record, "Misra1a", f"by a reading update from {start[0]:g} and {start[1]:g}", fitted, 1e-3)


@pytest.mark.parametrize("name", ["Norris", "Pontius"])
def test_the_linear_data_are_the_certified_ones(name):
    """NumPy's own least squares finds the certified values in the data as quoted here."""
    y, table = columns(name)
    scale = np.abs(table).max(axis=0)
    theirs = np.linalg.lstsq(table / scale, y)[0] / scale * 10.0 ** np.array(CERTIFIED[name].power)
    assert theirs == pytest.approx([float(v) for v in CERTIFIED[name].value], rel=1e-9)


def test_the_data_that_are_not_linear_are_the_certified_ones():
    """SciPy, too, finds the certified values and standard errors."""
    y, x = pairs(MISRA)
    best, covariance = curve_fit(
        lambda x, b1, b2: b1 * -np.expm1(-b2 * x), x, y, p0=[250.0, 5e-4], xtol=1e-14, ftol=1e-14
    )
    power = 10.0 ** np.array(CERTIFIED["Misra1a"].power)
    assert best * power == pytest.approx([float(v) for v in CERTIFIED["Misra1a"].value], rel=1e-7)
    errors = [float(v) for v in CERTIFIED["Misra1a"].error]
    assert np.sqrt(np.diagonal(covariance)) * power == pytest.approx(errors, rel=1e-5)
