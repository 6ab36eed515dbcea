"""A bow drawn again from where it stood is the bow drawn anew."""

from __future__ import annotations

import numpy as np
import pytest
from sample_bows import to_wall, with_stops

from strandwright.bow.draw_cycle import draw_cycle, draw_to_wall, redraw
from strandwright.bow.equilibrium import stand
from strandwright.bow.systems import SYSTEMS, System


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("longer", [0.0, 4e-4, -1.5e-3])
def test_as_drawn_anew(system: System, longer: float) -> None:
    """The same brace, wall and force, for a last line made longer or shorter."""
    standing = with_stops(system)
    cycle = to_wall(standing)
    natural = standing.rig.natural.copy()
    natural[:, -1] += longer
    again = redraw(cycle, natural).raise_for_failure("the draw again").value
    rig = standing.rig.taken(np.arange(1), natural)
    braced = stand(rig, standing.brace, standing.directions, hold_draw=False).value
    ways = braced.potential.spans.direction
    longest = cycle.draw[:, -1] + 0.04
    anew = draw_to_wall(rig, braced.q, ways, longest).raise_for_failure("the draw anew").value
    np.testing.assert_allclose(again.draw, anew.draw, atol=1e-8)
    np.testing.assert_allclose(again.force, anew.force, atol=1e-5)
    np.testing.assert_allclose(again.q, anew.q, atol=1e-6)


def test_to_the_same_draw_where_nothing_stops_it() -> None:
    """A bow without stops is drawn as far as before."""
    standing = with_stops("one-cam")
    free = standing.rig.unstopped()
    full = np.array([0.6])
    cycle = draw_cycle(free, standing.brace, standing.directions, full).value
    again = redraw(cycle, free.natural + 5e-4).raise_for_failure("the draw again").value
    np.testing.assert_allclose(again.draw[:, -1], full, atol=1e-12)
    assert np.all(np.abs(again.force[:, -1] - cycle.force[:, -1]) > 0.01)
