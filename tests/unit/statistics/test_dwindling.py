"""What is left on a spool agrees with a general solver, with simulation, and with plain sums."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.optimize import least_squares

from strandwright.statistics.dwindling import Beginning, Taken, Told, Weighing, left_on

#: A quarter of a pound of a strand of 0.19 g/m, wax and all.
DENSITY = Told(1.9e-4, 0.066)
TARE = Told(0.040, 0.020)
LABEL = Told(0.1134, 0.0034)
STEP = 1e-4 / math.sqrt(12.0)


def test_a_label_alone_says_its_length():
    """Nothing taken: the label's mass over the table's mass per length, with both spreads."""
    left = left_on(Beginning(DENSITY, TARE, mass=LABEL), [])
    assert left.length == pytest.approx(0.1134 / 1.9e-4, rel=1e-12)
    assert left.length_u / left.length == pytest.approx(math.hypot(0.066, 0.0034 / 0.1134), 1e-9)
    assert left.mass == pytest.approx(0.1134)
    assert left.mass_u == pytest.approx(0.0034)


def test_what_is_taken_is_taken_off():
    """Lengths are summed, their spreads added in square."""
    beginning = Beginning(DENSITY, TARE, length=Told(600.0, 6.0))
    left = left_on(beginning, [Taken(100.0, 3.0), Taken(50.0, 4.0)])
    assert left.length == pytest.approx(450.0)
    assert left.length_u == pytest.approx(math.sqrt(6.0**2 + 3.0**2 + 4.0**2))
    assert left.full == pytest.approx(600.0)


def test_a_weighing_with_a_known_tare_tells_the_mass():
    """The mass left is gross less tare to the scale, however little is known of the length."""
    beginning = Beginning(DENSITY, Told(0.0385, 5e-5), mass=LABEL)
    left = left_on(beginning, [Taken(200.0, 20.0), Weighing(0.1001, STEP)])
    assert left.mass == pytest.approx(0.0616, abs=1e-4)
    assert left.mass_u < 8e-5


def test_repeated_weighings_learn_mass_per_length_and_tare():
    """Weighings with known lengths between them give g per m; the label then gives the tare."""
    truth, tare, full = 2.05e-4, 0.0523, 550.0
    beginning = Beginning(DENSITY, TARE, mass=Told(0.1134, 0.0034))
    history: list[Taken | Weighing] = []
    gone = 0.0
    for _ in range(5):
        history.append(Weighing(tare + truth * (full - gone), STEP))
        history.append(Taken(100.0, 0.3))
        gone += 100.0
    history.append(Weighing(tare + truth * (full - gone), STEP))
    before, after = left_on(beginning, []), left_on(beginning, history)
    assert after.density == pytest.approx(truth, rel=0.004)
    assert after.density_u < 0.05 * before.density_u
    # Nothing but the label parts strand from spool, so the tare is as sure as its mass.
    assert after.tare_u == pytest.approx(0.0034, rel=0.03)
    assert abs(after.tare - tare) < 2.5 * after.tare_u
    assert abs(after.length - 50.0) < 2.5 * after.length_u


def general(beginning: Beginning, history):
    """Solve the same problem with a general solver, its unknowns the plain quantities."""

    def rows(x):
        full, log_density, tare, *offs = x
        density, found = math.exp(log_density), []
        found.append((log_density - math.log(beginning.density.value)) / beginning.density.u)
        found.append((tare - beginning.tare.value) / beginning.tare.u)
        if beginning.label_density is not None:
            label = beginning.label_density
            found.append((log_density - math.log(label.value)) / label.u)
        if beginning.length is not None:
            found.append((full - beginning.length.value) / beginning.length.u)
        if beginning.mass is not None:
            found.append((density * full - beginning.mass.value) / beginning.mass.u)
        left, place = full, 0
        for each in history:
            if isinstance(each, Taken):
                left -= each.length + offs[place]
                found.append(offs[place] / each.u)
                place += 1
            else:
                found.append((tare + density * left - each.gross) / each.u)
        return np.array(found)

    takings = [t for t in history if isinstance(t, Taken)]
    start = [500.0, math.log(beginning.density.value), beginning.tare.value, *[0.0] * len(takings)]
    scale = [100.0, 0.05, 0.02, *[t.u for t in takings]]
    found = least_squares(rows, start, x_scale=scale, xtol=1e-15, ftol=1e-15, gtol=1e-15)
    covariance = np.linalg.inv(found.jac.T @ found.jac)
    direction = np.array([1.0, 0.0, 0.0, *[-1.0] * len(takings)])
    length = found.x[0] - sum(found.x[3:]) - sum(t.length for t in takings)
    return length, math.sqrt(direction @ covariance @ direction), math.exp(found.x[1])


@pytest.mark.parametrize("seed", range(12))
def test_a_general_solver_says_the_same(seed):
    """An unknown for every length taken, plain units, finite differences: the same answer."""
    random = np.random.default_rng(seed)
    told = {"length": Told(random.uniform(400, 700), 15.0), "mass": LABEL}
    kept = [name for name in told if random.random() < 0.7] or ["mass"]
    label = Told(2.0e-4, 0.03) if random.random() < 0.3 else None
    beginning = Beginning(DENSITY, TARE, label_density=label, **{name: told[name] for name in kept})
    history: list[Taken | Weighing] = []
    left = 580.0
    for _ in range(int(random.integers(3, 9))):
        if random.random() < 0.5:
            length = float(random.uniform(10, 60))
            left -= length
            history.append(Taken(length, 0.01 * length))
        else:
            gross = 0.045 + 1.95e-4 * left + float(random.normal(0, 1e-4))
            history.append(Weighing(gross, 1e-4))
    ours = left_on(beginning, history)
    length, spread, density = general(beginning, history)
    assert ours.converged
    assert ours.length == pytest.approx(length, rel=2e-6)
    assert ours.length_u == pytest.approx(spread, rel=2e-3)
    assert ours.density == pytest.approx(density, rel=2e-6)


def test_the_range_holds_the_truth_as_often_as_it_says():
    """Of 400 spools made by chance as the spreads say, about 95 in 100 lie within two of them."""
    random = np.random.default_rng(20260101)
    held = 0
    for _ in range(400):
        density = DENSITY.value * math.exp(random.normal(0, DENSITY.u))
        tare = max(random.normal(*TARE), 0.001)
        full = LABEL.value * (1.0 + random.normal(0, 0.03)) / density
        left, history = full, list[Taken | Weighing]()
        for _ in range(int(random.integers(1, 6))):
            length = float(random.uniform(20, 80))
            left -= length * (1.0 + random.normal(0, 0.01))
            history.append(Taken(length, 0.01 * length))
            history.append(Weighing(tare + density * left + random.normal(0, STEP), STEP))
        found = left_on(Beginning(DENSITY, TARE, mass=LABEL), history)
        held += abs(found.length - left) <= 2.0 * found.length_u
    # Two standard deviations of a count of 400 at 95.4 per cent are 4.2; three are 6.3.
    assert abs(held - 0.954 * 400) < 3.5 * math.sqrt(400 * 0.954 * 0.046)


def test_more_taken_than_was_there_leaves_nothing():
    """Length and mass are 0, and it is said by how much."""
    left = left_on(Beginning(DENSITY, TARE, length=Told(100.0, 3.0)), [Taken(110.0, 1.0)])
    assert (left.length, left.mass) == (0.0, 0.0)
    assert left.beyond == pytest.approx(10.0)


def test_a_weighing_that_fits_nothing_is_seen():
    """A slip of 30 g stands out by many standard deviations; without it none does."""
    beginning = Beginning(DENSITY, Told(0.040, 1e-4), length=Told(600.0, 6.0), mass=LABEL)
    good: list[Taken | Weighing] = [
        Weighing(0.1534, STEP), Taken(50.0, 0.5), Weighing(0.14395, STEP),
        Taken(50.0, 0.5), Weighing(0.1345, STEP),
    ]  # fmt: skip
    assert max(abs(m) for m in left_on(beginning, good).misfits) < 3.0
    slip = [*good[:2], Weighing(0.17395, STEP), *good[3:]]
    assert abs(left_on(beginning, slip).misfits[1]) > 10.0


def test_nothing_told_is_hardly_known():
    """No label at all: a length with a spread as wide as itself, until it is weighed."""
    nothing = left_on(Beginning(DENSITY, TARE), [])
    assert nothing.length_u == pytest.approx(nothing.length)
    weighed = left_on(Beginning(DENSITY, Told(0.04, 1e-3)), [Weighing(0.154, STEP)])
    assert weighed.length == pytest.approx(600.0, rel=0.03)
    assert weighed.length_u < 0.08 * weighed.length


def test_the_order_between_weighings_says_nothing():
    """Lengths taken between two weighings may be told in any order."""
    beginning = Beginning(DENSITY, TARE, mass=LABEL)
    first = [Taken(30.0, 0.3), Taken(60.0, 0.6), Weighing(0.13, STEP)]
    second = [first[1], first[0], first[2]]
    ours, other = left_on(beginning, first), left_on(beginning, second)
    assert ours.length == pytest.approx(other.length, rel=1e-12)
    assert ours.length_u == pytest.approx(other.length_u, rel=1e-12)
