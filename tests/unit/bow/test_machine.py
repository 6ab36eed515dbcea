"""Machine code: the very answers of plain Python, and back again when it is switched off."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from types import ModuleType

import numpy as np
import pytest
from sample_bows import FULL, INCH, bow, drawn, sizes, to_wall, with_stops
from test_stepping import parted

from strandwright.bow import machine, stepping
from strandwright.bow.draw_cycle import DrawCycle, draw_cycle
from strandwright.bow.equilibrium import Trouble
from strandwright.bow.systems import SYSTEMS, System, lay_out


@pytest.fixture(scope="module")
def machine_code(need_library: Callable[[str], ModuleType]) -> Iterator[None]:
    """Make it, which takes half a minute, and switch it off again."""
    need_library("numba")
    assert machine.make() is not None
    yield
    machine.switch_off()


def both(draw: Callable[[], DrawCycle]) -> tuple[DrawCycle, DrawCycle]:
    """Draw a bow in machine code and in plain Python."""
    assert machine.switch_on()
    quick = draw()
    machine.switch_off()
    plain = draw()
    return quick, plain


@pytest.mark.usefixtures("machine_code")
@pytest.mark.parametrize("system", SYSTEMS)
def test_the_same_draw_to_the_wall(system: System) -> None:
    """States, forces and tensions, with stops and without."""
    for draw in (lambda: drawn(bow(system)), lambda: to_wall(with_stops(system))):
        quick, plain = both(draw)
        np.testing.assert_allclose(quick.draw, plain.draw, atol=1e-9)
        np.testing.assert_allclose(quick.q, plain.q, atol=1e-9)
        np.testing.assert_allclose(quick.force, plain.force, atol=1e-5)
        np.testing.assert_allclose(quick.tension, plain.tension, atol=1e-5)
        np.testing.assert_allclose(quick.energy, plain.energy, atol=1e-8)


@pytest.mark.usefixtures("machine_code")
@pytest.mark.parametrize("early", [0.05, 1.2])
def test_the_same_end_where_wheels_are_out_of_time(early: float) -> None:
    """A wheel held early, and one so early that a line hangs slack."""
    quick, plain = both(lambda: to_wall(parted(early)))
    np.testing.assert_allclose(quick.draw, plain.draw, atol=1e-7)
    np.testing.assert_allclose(quick.force, plain.force, atol=2e-3)


@pytest.mark.usefixtures("machine_code")
def test_a_bow_given_up_is_told_as_ever() -> None:
    """The reason comes from the bow solved all at once; its neighbour is drawn."""
    lags = np.array([0.0, 0.5])
    many = lay_out("slaved two-cam", sizes("slaved two-cam", cable_lag=lags))
    machine.switch_on()
    out = draw_cycle(many.rig, many.brace, many.directions, np.full(2, 26.5 * INCH))
    np.testing.assert_array_equal(out.ok, [False, True])
    assert out.value.trouble == (Trouble.SLACK, Trouble.NONE)
    assert float(out.value.draw[0, -1]) > FULL


def test_without_it_the_code_is_plain_python() -> None:
    """Off until somebody switches it on, and off again after."""
    machine.switch_off()
    assert not machine.is_on()
    assert not hasattr(stepping.drawn, "signatures")
