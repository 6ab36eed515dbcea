"""JCGM 101:2008 (GUM Supplement 1), example 9.2: the additive model, by batches of draws.

Joint Committee for Guides in Metrology, Evaluation of measurement data: Supplement 1 to the Guide
to the expression of uncertainty in measurement: Propagation of distributions using a Monte Carlo
method, JCGM 101:2008.

Y is the sum of four inputs of mean 0 and standard deviation 1: normal in 9.2.2, rectangular in
9.2.3. The printed intervals, 3.92 and 3.88 to either side, are quoted from memory; the second is
the tail of the sum of four rectangular inputs, 2 sqrt(3) (2 - (3/5)^(1/4)) = 3.8794 by hand.
The draws are cut into batches, counted and added as those of a tolerance study are.
"""

import math

import numpy as np
import pytest

from strandwright.numerics.batches import Batches
from strandwright.numerics.tally import Counted, Ruler

DRAWS = 1_000_000
RULER = Ruler(-8.0, 8.0, 8000)
BY_HAND = 2.0 * math.sqrt(3.0) * (2.0 - 0.6**0.25)


def summed(rectangular: bool) -> Counted:
    """Draw the four inputs, add them, and count the sums, the last batch first."""
    batches, whole = Batches(DRAWS, seed=2008), None
    for index in reversed(range(batches.count)):
        stream, shape = batches.stream(index), (4, batches.drawn_in(index))
        half = math.sqrt(3.0)
        inputs = stream.uniform(-half, half, shape) if rectangular else stream.normal(size=shape)
        counted = RULER.counted(inputs.sum(axis=0))
        whole = counted if whole is None else whole.merged(counted)
    assert whole is not None and DRAWS == whole.count
    return whole


def _error(share: float, density: float) -> float:
    """Four standard errors of a quantile, and half a cell."""
    return 4.0 * math.sqrt(share * (1.0 - share) / DRAWS) / density + 0.001


@pytest.mark.parametrize(
    ("rectangular", "printed", "source"),
    [(False, "3.92", "9.2.2, normal inputs"), (True, "3.88", "9.2.3, rectangular inputs")],
)
def test_example_9_2_intervals(record, rectangular, printed, source):
    """Printed u(y) 2.00 and intervals of 95 %."""
    counted = summed(rectangular)
    # Densities at the ends: of N(0, 2), and of the sum's last stretch, z^3 / 6 over 2 sqrt(3).
    density = 0.6**0.75 / (6.0 * 2.0 * math.sqrt(3.0)) if rectangular else 0.0292
    allowed = 0.005 + _error(0.025, density)
    why = "half the last digit and four standard errors of the draws"
    record(source, "u(y)", "2.00", counted.standard_deviation, 0.005 + 8.0 / math.sqrt(2 * DRAWS),
           why)  # fmt: skip
    for side, share in ((-1.0, 0.025), (1.0, 0.975)):
        name = "lower end, sign changed" if side < 0.0 else "upper end"
        record(source, name, printed, side * counted.quantile(share), allowed, why)


def test_the_rectangular_interval_by_hand():
    """The closed form rounds to what is printed, and the draws agree with all its digits."""
    assert "3.88" == f"{BY_HAND:.2f}"
    counted = summed(rectangular=True)
    allowed = _error(0.025, 0.6**0.75 / (12.0 * math.sqrt(3.0)))
    assert counted.quantile(0.975) == pytest.approx(BY_HAND, abs=allowed)
    assert -counted.quantile(0.025) == pytest.approx(BY_HAND, abs=allowed)


def test_the_share_inside_the_interval():
    """95 % of the draws lie in it, within four standard errors."""
    batches = Batches(DRAWS, seed=2008)
    half, inside = math.sqrt(3.0), 0
    for index in range(batches.count):
        inputs = batches.stream(index).uniform(-half, half, (4, batches.drawn_in(index)))
        inside += int(np.count_nonzero(np.abs(inputs.sum(axis=0)) <= BY_HAND))
    assert inside / DRAWS == pytest.approx(0.95, abs=4.0 * math.sqrt(0.95 * 0.05 / DRAWS))
