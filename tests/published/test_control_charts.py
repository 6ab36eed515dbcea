"""Control charts: handbook examples of individuals, averages and capability, and run lengths.

The examples are those of the NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2
(individuals), 6.3.2.4 (EWMA) and 7.1.6 (capability). Data and results are quoted from memory; the
averages and their limits were worked out from the data once more, apart from this program, to the
digits that stand here.

Run lengths: with limits known beforehand a rule of three standard
deviations gives a false alarm once in 1/(2 Q(3)) values, by the normal tail alone; those of run
rules are after Champ and Woodall, Technometrics 29 (1987) 393-399, and that of the average that
forgets after Lucas and Saccucci, Technometrics 32 (1990) 1-12, both from memory. Ours are found by
letting a bench in control run, with a fixed seed; four of its own standard errors are allowed.
Limits of capability have no printed example here: they are held to the quantiles of SciPy.
"""

import math

import numpy as np
import pytest
from scipy import stats

from strandwright.statistics.control import (
    RULES,
    Series,
    Tolerance,
    capability,
    ewma_chart,
    individuals_chart,
    tripped,
)

FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]
LONG = [52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, *FLOW]
AVERAGES = """
    50.60 49.52 50.56 50.18 50.16 49.21 49.75 49.85 50.26 50.33
    50.11 49.36 49.52 50.05 49.38 49.92 50.73 51.23 51.94 51.99
"""
HALF = "half the last digit"


def test_individuals(record):
    """6.3.2.2: ten flow rates, limits by the mean moving range over 1.128."""
    source = "Handbook 6.3.2.2, individuals (from memory)"
    chart = individuals_chart(Series.of(FLOW))
    record(source, "mean", "50.81", chart.centre, 0.005, HALF)
    record(source, "mean moving range", "1.8778", float(chart.ranges.mean()), 0.00005, HALF)
    record(source, "upper limit", "55.8041", float(chart.high[0]), 0.00005, HALF)
    record(source, "lower limit", "45.8159", float(chart.low[0]), 0.00005, HALF)


def test_average_that_forgets(record):
    """6.3.2.4: lambda 0.3, target 50, s 2.0539, limits at three standard deviations."""
    source = "Handbook 6.3.2.4, EWMA (from memory)"
    series = Series.of(LONG)
    chart = individuals_chart(series, centre=50.0, sigma=2.0539)
    found = ewma_chart(series, chart, weight=0.3, width=3.0)
    for i, (printed, ours) in enumerate(zip(AVERAGES.split(), found.averages, strict=True)):
        record(source, f"average {i + 1}", printed, float(ours), 0.005, HALF)
    record(source, "upper limit", "52.5884", found.steady_high, 0.0001, "s is printed rounded")
    record(source, "lower limit", "47.4116", found.steady_low, 0.0001, "s is printed rounded")
    assert found.beyond == ()


def test_capability(record):
    """7.1.6: limits 8 and 20, mean 16, standard deviation 2."""
    source = "Handbook 7.1.6, capability (from memory)"
    found = capability(16.0, 2.0, 50, Tolerance(8.0, 20.0, 14.0))
    record(source, "Cp", "1.0", found.cp, 0.05, HALF)
    record(source, "Cpk", "0.667", found.cpk, 0.0005, HALF)


@pytest.mark.parametrize("count", [5, 20, 50, 200])
def test_limits_of_capability(record, count):
    """Those of Cp and Cpm by chi-square, those of Cpk by the normal quantile, as SciPy has them."""
    source = "Limits of capability, quantiles of SciPy"
    found = capability(16.0, 2.0, count, Tolerance(8.0, 20.0, 14.0))
    about = count * (1.0 + 1.0) ** 2 / (1.0 + 2.0)
    for name, index, degrees, limits in (
        ("Cp", 1.0, count - 1.0, found.cp_limits),
        ("Cpm", 1.0 / math.sqrt(2.0), about, found.cpm_limits),
    ):
        for side, chance, ours in zip(("lower", "upper"), (0.025, 0.975), limits, strict=True):
            theirs = index * math.sqrt(stats.chi2.ppf(chance, degrees) / degrees)
            item = f"{name}, {side}, {count} values"
            record(source, item, f"{theirs:.10f}", ours, 1e-9, "another's quantile")
    reach = stats.norm.ppf(0.975) * math.sqrt(1.0 / (9.0 * count) + 4.0 / 9.0 / (2.0 * count - 2.0))
    theirs = f"{2.0 / 3.0 - reach:.10f}"
    item = f"Cpk, lower, {count} values"
    record(source, item, theirs, found.cpk_limits[0], 1e-9, "another's quantile")


def first_alarms(alarms: np.ndarray) -> np.ndarray:
    """How many values each row took until its first alarm; every row has one."""
    assert alarms.any(axis=1).all()
    return alarms.argmax(axis=1) + 1.0


def run_length(record, source: str, item: str, printed: str, found: np.ndarray, half: float):
    """Hold a mean of run lengths to a printed one."""
    error = float(found.std() / math.sqrt(len(found)))
    reason = "four standard errors of the mean of ours, and half the last digit"
    record(source, item, printed, float(found.mean()), 4.0 * error + half, reason)


def scores(seed: int, rows: int, count: int) -> np.ndarray:
    """Give rows of a bench in control; long enough that next to none is left without an alarm."""
    return np.random.default_rng(seed).standard_normal((rows, count))


def test_run_length_of_three_sigma(record):
    """One over the two normal tails beyond 3."""
    exact = 1.0 / math.erfc(3.0 / math.sqrt(2.0))
    source = "Values to a false alarm, three standard deviations"
    record(source, "by the normal tail", "370.4", exact, 0.05, HALF)
    drawn = np.abs(scores(1, 2000, 8000))
    run_length(record, source, "let run", "370.4", first_alarms(drawn > 3.0), 0.05)


@pytest.mark.parametrize(
    ("rules", "printed"),
    [((0, 1), "225.44"), ((0, 2), "166.05"), ((0, 3), "152.73"), ((0, 1, 2, 3), "91.75")],
)
def test_run_length_of_run_rules(record, rules, printed):
    """Sets of the four rules, each with the one beyond three."""
    drawn = scores(2, 2000, 5000)
    alarms = np.zeros(drawn.shape, dtype=bool)
    for number in rules:
        for side in (1, -1):
            alarms |= tripped(drawn, RULES[number], side)
    source = "Values to a false alarm, run rules (from memory)"
    names = ("1 of 1", "2 of 3", "4 of 5", "8 of 8")
    item = ", ".join(names[number] for number in rules)
    run_length(record, source, item, printed, first_alarms(alarms), 0.005)


def test_run_length_of_the_average(record):
    """Lambda 0.2 and L 2.962 with steady limits: about 500."""
    drawn = scores(3, 2000, 9000)
    series = Series.of([0.0, 1.0])
    chart = individuals_chart(series, centre=0.0, sigma=1.0)
    limit = ewma_chart(series, chart).steady_high
    average, found = np.zeros(len(drawn)), np.zeros(len(drawn))
    for i in range(drawn.shape[1]):
        average = 0.2 * drawn[:, i] + 0.8 * average
        found[(found == 0.0) & (np.abs(average) > limit)] = i + 1.0
    assert (found > 0.0).all()
    source = "Values to a false alarm, average that forgets (from memory)"
    run_length(record, source, "lambda 0.2, L 2.962, steady limits", "500", found, 5.0)


@pytest.mark.parametrize(
    ("values", "rule", "where"),
    [
        ([0.5, -0.5, 3.1, 0.2], 0, {2}),
        ([0.5, 2.1, -0.3, 2.2, 0.1], 1, {3}),
        ([0.5, 2.1, -0.3, 0.1, 2.2], 1, set()),
        ([0.5, 2.1, -2.2, 0.1], 1, set()),
        ([1.1, 1.2, 0.3, 1.4, 1.5, -0.1], 2, {4}),
        ([1.1, 1.2, 0.3, 0.4, 1.5, 1.6], 2, set()),
        ([0.1] * 7 + [-0.1], 3, set()),
        ([-0.2] + [0.1] * 9, 3, {8, 9}),
    ],
)
def test_constructed_sequences(values, rule, where):
    """Each rule at the value that completes it, on its own side, and mirrored on the other."""
    drawn = np.array(values)
    assert set(np.flatnonzero(tripped(drawn, RULES[rule], 1))) == where
    assert set(np.flatnonzero(tripped(-drawn, RULES[rule], -1))) == where
    assert not tripped(drawn, RULES[rule], -1).any()
