"""NIST Statistical Reference Datasets by the fitter of settling: BoxBOD, Rat43 and Misra1a.

NIST, Statistical Reference Datasets (StRD), nonlinear regression: BoxBOD (Box, Hunter and Hunter
1978, biochemical oxygen demand, 6 readings, of higher difficulty), Rat43 (Ratkowsky 1983, onion
bulbs, 15 readings, of higher difficulty) and Misra1a (14 readings). Data and certified values are
quoted from memory; SciPy finds the same in the data as quoted, so that a slip would show.

BoxBOD is the law of bedding-in itself, b1 (1 - exp(-b2 x)), and is fitted through it as well: no
creep, an exponent of 1, so little known before that it says nothing. Priors are 1e6 standard
errors wide, and values are held to a millionth of their standard errors; through the law, whose
other unknowns are held, to a thousandth.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import curve_fit

from strandwright.statistics.settling import Prior, most_probable
from strandwright.statistics.settling.law import with_slopes

Floats = NDArray[np.float64]

BOD = "109 1  149 2  149 3  191 5  213 7  224 10"
ONIONS = """
16.08 1  33.83 2  65.80 3  97.20 4  191.55 5  326.20 6  386.87 7  520.53 8  590.03 9  651.92 10
724.93 11  699.56 12  689.96 13  637.56 14  717.41 15
"""
MISRA = """
10.07 77.6  14.73 114.9  17.94 141.1  23.93 190.8  29.61 239.9  35.18 289.0  40.02 332.8
44.82 378.4  50.76 434.8  55.05 477.3  61.01 536.8  66.40 593.1  75.47 689.1  81.78 760.0
"""


def rising(b: Floats, x: Floats) -> tuple[Floats, Floats]:
    """BoxBOD and Misra1a."""
    left = np.exp(-b[1] * x)
    return b[0] * -np.expm1(-b[1] * x), np.stack([-np.expm1(-b[1] * x), b[0] * x * left], axis=1)


def growing(b: Floats, x: Floats) -> tuple[Floats, Floats]:
    """Rat43: b1 / (1 + exp(b2 - b3 x))^(1/b4)."""
    e = np.exp(b[1] - b[2] * x)
    value = b[0] * (1.0 + e) ** (-1.0 / b[3])
    inner = -value * e / ((1.0 + e) * b[3])
    slopes = [value / b[0], inner, -x * inner, value * np.log1p(e) / b[3] ** 2]
    return value, np.stack(slopes, axis=1)


SETS: dict[str, tuple[str, Callable[[Floats, Floats], tuple[Floats, Floats]]]] = {
    "BoxBOD": (BOD, rising),
    "Rat43": (ONIONS, growing),
    "Misra1a": (MISRA, rising),
}
#: Values, standard errors, residual standard deviation; powers of ten they are printed over.
CERTIFIED = {
    "BoxBOD": (
        ("213.80940889", "0.54723748542"),
        ("12.354515176", "0.10455993237"),
        "17.088072423",
        (0, 0),
    ),
    "Rat43": (
        ("699.64151270", "5.2771253025", "0.75962938329", "1.2792483859"),
        ("16.302297817", "2.0828735829", "0.19566123451", "0.68761936385"),
        "28.262414662",
        (0, 0, 0, 0),
    ),
    "Misra1a": (
        ("238.94212918", "5.5015643181"),
        ("2.7070075241", "0.072668688436"),
        "0.10187876330",
        (0, 4),
    ),
}
STARTS = [
    ("BoxBOD", (100.0, 0.75)),
    ("Rat43", (700.0, 5.0, 0.75, 1.3)),
    ("Misra1a", (500.0, 1e-4)),
    ("Misra1a", (250.0, 5e-4)),
]


def pairs(text: str) -> tuple[Floats, Floats]:
    """Readings and what they were read at."""
    both = np.array(text.split(), dtype=np.float64).reshape(-1, 2)
    return both[:, 0], both[:, 1]


@pytest.mark.parametrize(("name", "start"), STARTS)
def test_certified_values_are_found(record, name, start):
    """From NIST's starting points, to a millionth of their standard errors."""
    y, x = pairs(SETS[name][0])
    values, errors, scatter, power = CERTIFIED[name]
    scale = 10.0 ** np.array(power)
    wide = 1e6 * np.array([float(e) for e in errors]) / scale
    noise = np.full(y.size, float(scatter) ** 2)

    def curve(b: Floats) -> tuple[Floats, Floats]:
        return SETS[name][1](b, x)

    found = most_probable(curve, y, noise, np.array(start), wide, np.array(start))
    mode = found.raise_for_failure("the set").value
    left = np.sqrt(float(((y - mode.value) ** 2).sum()) / (y.size - len(values)))
    source = f"{name} from {', '.join(f'{b:g}' for b in start)}"
    for k, (value, error) in enumerate(zip(values, errors, strict=True)):
        times = f" x 10^{power[k]}" if power[k] else ""
        allowed = 1e-6 * float(error)
        reason = "a millionth of its standard error"
        record(source, f"b{k + 1}{times}", value, mode.point[k] * scale[k], allowed, reason)
        ours = float(np.sqrt(mode.covariance[k, k])) * left / float(scatter) * scale[k]
        reason = "a hundred-thousandth of it"
        record(
            source, f"standard error of b{k + 1}{times}", error, ours, 1e-5 * float(error), reason
        )
    record(
        source, "residual standard deviation", scatter, left, 1e-8 * float(scatter), "1e-8 of it"
    )


def test_oxygen_demand_by_the_law_of_settling(record):
    """BoxBOD as bedding-in: amplitude b1, and 1/b2 shots in which 1 - 1/e of it comes."""
    y, x = pairs(BOD)
    values, errors, scatter, _ = CERTIFIED["BoxBOD"]
    prior = Prior(0.0, 1e-6, 100.0, 1e3, 1.0 / 0.75, 1e3, 1.0, 1e-6, 1e-9, 1e-6, 1e-30, 1e-6, 1.0)

    def curve(point: Floats) -> tuple[Floats, Floats]:
        return with_slopes(point, x, np.zeros_like(x), prior.start)

    noise = np.full(y.size, float(scatter) ** 2)
    mode = most_probable(curve, y, noise, prior.mean, prior.u).raise_for_failure().value
    found = np.exp(mode.point[1]), np.exp(-mode.point[2])
    for k, ours in enumerate(found):
        allowed, reason = 1e-3 * float(errors[k]), "a thousandth of its standard error"
        record("BoxBOD by the law of settling", f"b{k + 1}", values[k], ours, allowed, reason)


@pytest.mark.parametrize(("name", "start"), STARTS)
def test_the_data_are_the_certified_ones(name, start):
    """SciPy, too, finds the certified values in the data as quoted here."""
    y, x = pairs(SETS[name][0])
    values, _, _, power = CERTIFIED[name]
    theirs = curve_fit(
        lambda x, *b: SETS[name][1](np.array(b), x)[0], x, y, p0=start, xtol=1e-14, ftol=1e-14,
        maxfev=10000,
    )[0]  # fmt: skip
    assert theirs * 10.0 ** np.array(power) == pytest.approx([float(v) for v in values], rel=1e-6)
