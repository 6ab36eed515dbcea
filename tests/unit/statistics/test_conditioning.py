"""A forecast made to agree with readings of the same build."""

import pytest

from strandwright.errors import InputError
from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.numerics.propagation import propagate
from strandwright.statistics.conditioning import conditioned
from strandwright.statistics.update import update

PRIOR = ParameterVector.from_parameters([Parameter("a", 1.0, 1.0), Parameter("b", 2.0, 0.5)])
NOISE = [0.01]


def bent(q):
    """Read the product; forecast it and more of the same."""
    return {"read": q["a"] * q["b"] ** 2}


def both(q):
    """Forecast what was read and twice of it, beside something of its own."""
    read = bent(q)["read"]
    return {"same": read, "twice": 2.0 * read, "own": q["b"], "read": read}


def known():
    """Give the propagation after a reading of 6 by a model that bends."""
    after = update(PRIOR, bent, [6.0], NOISE).parameters
    return propagate(both, after)


def test_a_forecast_of_what_was_read_is_the_reading():
    """Read again the same thing comes out as read, as sure as one reading and no surer."""
    plain = known()
    agreed = conditioned(plain, ["read"], [6.0], NOISE)
    assert agreed.outputs == ("same", "twice", "own")
    assert agreed.mean[0] == pytest.approx(6.0, abs=0.01)
    assert agreed.mean[1] == pytest.approx(2.0 * agreed.mean[0], rel=1e-12)
    assert agreed.second_order[0] == pytest.approx(0.1, rel=0.05)
    assert agreed.second_order[1] == pytest.approx(2.0 * agreed.second_order[0], rel=1e-9)
    assert plain.second_order[0] > 1.5 * agreed.second_order[0]


def test_a_straight_model_is_left_as_it_is():
    """Where nothing bends the update has said all there is."""
    after = update(PRIOR, lambda q: {"read": q["a"] + q["b"]}, [3.4], NOISE).parameters
    spread = propagate(lambda q: {"out": q["a"] - q["b"], "read": q["a"] + q["b"]}, after)
    agreed = conditioned(spread, ["read"], [3.4], NOISE)
    assert agreed.mean == pytest.approx(spread.mean[:1], abs=1e-9)
    assert agreed.second_order == pytest.approx(spread.second_order[:1], rel=1e-9)


def test_readings_need_their_variances():
    """One variance for each reading, above 0."""
    for variances in ([0.01, 0.02], [0.0]):
        with pytest.raises(InputError, match="variances above 0"):
            conditioned(known(), ["read"], [6.0], variances)
