"""What a reading is worth: the unit normal loss integral, and how far a reading moves a mean.

The table of the integral is that of Raiffa and Schlaifer, Applied Statistical Decision Theory
(Harvard University, 1961), quoted from memory and worked out once more, apart from this program,
to the digits that stand here. With a prior worth n' observations and a sample of n, the posterior
mean is spread beforehand by the square root of n/(n' (n' + n)) of an observation's own spread
(same book, chapter 11, from memory); with a linear loss of slope k on the far side of a break-even
value that lies D of those spreads away, the sample is worth k times the spread times N(D).
"""

import math

import numpy as np
import pytest

from strandwright.statistics.preposterior import left_after, unit_normal_loss

HALF = "half the last digit"
TABLE = [
    (0.0, "0.3989", 5e-5), (0.5, "0.1978", 5e-5), (1.0, "0.08332", 5e-6), (1.5, "0.02931", 5e-6),
    (2.0, "0.008491", 5e-7), (2.5, "0.002004", 5e-7), (3.0, "0.0003822", 5e-8),
]  # fmt: skip


@pytest.mark.parametrize(("deviate", "printed", "half"), TABLE)
def test_the_table_of_the_loss_integral(record, deviate: float, printed: str, half: float) -> None:
    """N(D) = density less D times the upper tail."""
    ours = unit_normal_loss(deviate)
    record("Raiffa and Schlaifer, 1961 (from memory)", f"N({deviate:g})", printed, ours, half, HALF)


@pytest.mark.parametrize(("prior", "sample", "printed"), [(4, 12, "0.4330"), (1, 3, "0.8660")])
def test_how_far_a_sample_moves_the_mean(record, prior: int, sample: int, printed: str) -> None:
    """Observations of spread 1: the whole sample together, from what it leaves."""
    known = 1.0 / math.sqrt(prior)
    left = left_after([known], np.full((sample, 1), known), np.ones(sample))
    moved = math.sqrt(known**2 - left**2)
    record("Raiffa and Schlaifer, 1961, chapter 11 (from memory)",
           f"spread of the posterior mean, n' = {prior}, n = {sample}", printed, moved, 5e-5,
           HALF)  # fmt: skip


def test_a_sample_before_a_choice_of_two(record) -> None:
    """Worth of a sample before accepting or not, by draws: k m N(D), for n' = 4, n = 12, D = 0.6.

    The value printed is the closed one; ours are 400 000 draws of truth and sample mean.
    """
    generator = np.random.default_rng(11)
    count, moved = 400_000, math.sqrt(12.0 / (4.0 * 16.0))
    truth = 0.5 * generator.standard_normal(count)
    mean = truth + generator.standard_normal(count) / math.sqrt(12.0)
    posterior = 0.75 * mean
    gained = np.where(posterior > 0.6 * moved, truth - 0.6 * moved, 0.0)
    record("k m N(D), worked out from the table's formula", "worth of the sample", "0.07304",
           float(gained.mean()), 4.0 * float(gained.std()) / math.sqrt(count),
           "four standard errors of the draws")  # fmt: skip
    assert moved * unit_normal_loss(0.6) == pytest.approx(0.07304, abs=5e-6)
