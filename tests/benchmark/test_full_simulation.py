"""Every packaged example against a simulation of 100 000 builds: what the suite does with fewer."""

from __future__ import annotations

import numpy as np
import pytest

from sample_job import EXAMPLE_NAMES, example_plan, model_of, settings_of
from strandwright.line.build import build
from strandwright.numerics.sampling import monte_carlo

SAMPLES, SEED = 100_000, 1


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_uncertainties_agree_with_the_full_simulation(name):
    """The +- of the finished length and each asked reading is a simulation's to 2 %."""
    plan = example_plan(name)
    model, settings = model_of(plan), settings_of(plan)
    asked = [s for s in plan.stages if s.reading]

    def lengths(q):
        outcome = build(model, q, settings)
        return {s.key: outcome.stages[s.key].length for s in asked} | {
            "finished": outcome.finished.length
        }

    simulated = monte_carlo(lengths, plan.parameters, SAMPLES, SEED)
    stated = np.array([s.length.u for s in asked] + [plan.landing.blind.u])
    # 2 % as promised, and twice the simulation's own standard deviation.
    allowed = 0.02 + 2.0 / np.sqrt(2.0 * SAMPLES)
    np.testing.assert_allclose(stated / simulated.standard_deviation, 1.0, atol=allowed)
