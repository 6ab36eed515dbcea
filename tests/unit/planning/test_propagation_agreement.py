"""The +- of packaged examples, every kind and making, against a simulation of the same build."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from sample_job import example_plan, model_of, prepared_of, settings_of
from strandwright.line.build import build
from strandwright.numerics.propagation import propagate
from strandwright.numerics.sampling import monte_carlo
from strandwright.planning.forecast import INTERACTING
from strandwright.planning.readings.noise import read_noise

#: A string and a cable of two cams, one long line, a bow of wood without a known drag; laid in,
#: parted in two legs, reinforced, on four posts
NAMES = (
    "ridge-string",
    "ridge-upper-cable",
    "scree-at-the-old-mark",
    "scree-string",
    "fell-string",
    "tarn-string",
    "mere-string",
    "heath-string",
    "crag-upper-cable",
    "quarry-crossbow-string",
)
SAMPLES, SEED = 40_000, 20250611
#: What a plan promises: its +- is that of a simulation to 2 %.
PROMISE = 0.02
#: Relative standard deviation of a simulated standard deviation, twice.
SAMPLING = 2.0 / np.sqrt(2.0 * SAMPLES)


@pytest.mark.parametrize("name", NAMES)
def test_uncertainties_agree_with_a_simulation(name):
    """The +- of the finished length and of each asked reading is a simulation's to 2 %."""
    plan = example_plan(name)
    model, settings = model_of(plan), settings_of(plan)
    asked = [s for s in plan.stages if s.reading]

    def lengths(q):
        outcome = build(model, q, settings)
        return {s.key: outcome.stages[s.key].length for s in asked} | {
            "finished": outcome.finished.length
        }

    simulated = monte_carlo(lengths, plan.parameters, SAMPLES, SEED)
    stated = [_of_the_line(plan, s) for s in asked] + [plan.landing.blind]

    assert simulated.outputs == (*(s.key for s in asked), "finished")
    assert not simulated.failures.any()
    u = np.array([e.u for e in stated])
    np.testing.assert_allclose(u / simulated.standard_deviation, 1.0, atol=PROMISE + SAMPLING)
    # The mean is stated with its curvature; what is left over is far below the +-.
    error = np.array([e.value for e in stated]) - simulated.mean
    assert np.abs(error / simulated.standard_deviation).max() < PROMISE + 4.0 / np.sqrt(SAMPLES)


def _of_the_line(plan, stage):
    """What a reading is expected to be, without the noise of reading it."""
    noise = read_noise(prepared_of(plan.job), stage.load, turns=stage.turns)
    return replace(stage.length, u=math.sqrt(stage.length.u**2 - noise**2))


def test_interactions_are_needed():
    """Without the named interactions the +- of a gauge-less bench would fall short of 2 %."""
    plan = example_plan("tarn-string")
    model, settings = model_of(plan), settings_of(plan)

    def finished(q):
        return {"finished": build(model, q, settings).finished.length}

    alone = propagate(finished, plan.parameters).second_order[0]
    together = propagate(finished, plan.parameters, interacting=INTERACTING).second_order[0]

    assert together == pytest.approx(plan.landing.blind.u, rel=1e-9)
    assert alone < 0.99 * together
