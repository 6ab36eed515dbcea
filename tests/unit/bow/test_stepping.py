"""Bows stepped along their draw: as drawn all at once, round kinks, and given up in words."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from sample_bows import FULL, INCH, bent, bow, drawn, sizes, to_wall, with_stops

from strandwright.bow.draw_cycle import DrawCycle, draw_to_wall
from strandwright.bow.equilibrium import Trouble, stand
from strandwright.bow.figures import figures
from strandwright.bow.rig import Rig
from strandwright.bow.strung import Strung
from strandwright.bow.systems import SYSTEMS, System, lay_out
from strandwright.bow.tables import QuickDraw, laid_out, quick_draw

Floats = np.ndarray


def stepped(standing: Strung, full: float = FULL, *, to_stops: bool = False) -> QuickDraw:
    """Draw by single steps."""
    whole = np.full(len(standing.brace), full)
    start = standing.brace, standing.directions
    found = quick_draw(standing.rig, *start, whole, 41, to_stops=to_stops)
    assert found is not None
    return found


def agree(found: QuickDraw, cycle: DrawCycle) -> None:
    """Hold everything the steps give to what was solved all at once."""
    assert np.all(found.done)
    np.testing.assert_allclose(found.draw, cycle.draw, atol=1e-9)
    for name, within in (
        ("q", 1e-9), ("direction", 1e-9), ("span_length", 1e-7), ("normal", 1e-9),
        ("force", 1e-5), ("tension", 1e-5), ("stop_excess", 1e-9),
    ):  # fmt: skip
        np.testing.assert_allclose(
            getattr(found, name), getattr(cycle, name), atol=within, err_msg=name
        )
    np.testing.assert_allclose(found.energy - found.energy[:, :1], cycle.energy, atol=1e-8)
    assert np.all(found.residual < 1e-5)


@pytest.mark.parametrize("system", SYSTEMS)
def test_as_drawn_all_at_once(system: System) -> None:
    """Every state and what is read off it."""
    agree(stepped(bow(system)), drawn(bow(system)))


@pytest.mark.parametrize("system", SYSTEMS)
def test_the_wall_is_where_the_last_stop_is_touched(system: System) -> None:
    """As Newton's method along the draw has it, without a kink in the way."""
    standing = with_stops(system)
    agree(stepped(standing, FULL + 0.05, to_stops=True), to_wall(standing, longest=FULL + 0.05))


def test_a_batch_is_drawn_bow_by_bow() -> None:
    """Each of several bows as if it were alone."""
    many = lay_out("one-cam", sizes("one-cam", link=np.array([9.0, 10.0, 10.5]) * INCH))
    agree(stepped(many), drawn(many))


def parted(early: float, first: int = 0) -> Strung:
    """A bow with two wheels, one of whose stops is met early."""
    both = with_stops("hybrid-cam")
    stops = list(both.bow.stops)
    stops[first] = replace(stops[first], limit=stops[first].limit - early)
    parts = replace(both.bow, stops=tuple(stops))
    return replace(both, bow=parts, rig=Rig(parts))


@pytest.mark.parametrize("first", [0, 1])
@pytest.mark.parametrize("early", [0.002, 0.05])
def test_round_the_kink_of_an_early_stop(early: float, first: int) -> None:
    """Past the first touch the states are those of a bow that one stop holds."""
    standing = parted(early, first)
    found = stepped(standing, FULL + 0.05, to_stops=True)
    agree(found, to_wall(standing, longest=FULL + 0.05))
    assert found.stop_excess[0, -1].max() > 0.0
    assert found.stop_excess[0, -1].min() == pytest.approx(0.0, abs=1e-9)


def test_where_a_held_line_hangs_slack_the_draw_ends() -> None:
    """A wheel far out of time: drawn until a line is slack, and the peak is not the wall's."""
    standing = parted(1.2)
    out = draw_to_wall(
        standing.rig, standing.brace, standing.directions, np.array([FULL + 0.08])
    ).raise_for_failure("the draw")
    cycle = out.value
    assert cycle.trouble == (Trouble.NONE,)
    least = cycle.tension[0].min(axis=1)
    assert cycle.stop_excess[0, -1].min() < -1e-6, "the last stop was touched"
    assert 0.0 < least[-1] < 10.0
    free = cycle.stop_excess[0].max(axis=1) <= 0.0
    assert figures(cycle).peak[0] == pytest.approx(cycle.force[0, free].max(), rel=2e-3)


def test_a_bow_that_goes_slack_is_given_up() -> None:
    """One of two, drawn past where its cable hangs loose, without a stop to hold anything."""
    lags = np.array([0.0, 0.5])
    many = lay_out("slaved two-cam", sizes("slaved two-cam", cable_lag=lags))
    found = stepped(many, 26.5 * INCH)
    np.testing.assert_array_equal(found.done, [False, True])


def test_energy_is_the_work_of_the_steps() -> None:
    """Simpson's rule over the forces of 41 steps gives the energy, but for its own fault."""
    found = stepped(bow("one-cam"))
    force, draw = found.force[0], found.draw[0]
    step = draw[1] - draw[0]
    work = step / 3 * (force[0] + 4 * force[1:-1:2].sum() + 2 * force[2:-1:2].sum() + force[-1])
    assert work == pytest.approx(found.energy[0, -1] - found.energy[0, 0], rel=1e-5)


def test_a_start_beside_rest_is_brought_to_it() -> None:
    """The brace of a bow whose string was made longer, from where it stood before."""
    standing = bow("one-cam")
    natural = standing.rig.natural.copy()
    natural[:, :2] += 5e-4
    rig = standing.rig.taken(np.arange(1), natural)
    braced = stand(rig, standing.brace, standing.directions, hold_draw=False).value
    near = braced.q + 1e-3 * np.array([1.0, -1.0, 1.0, 0.0, 0.3])
    near[:, rig.draw] = braced.q[:, rig.draw]
    whole = np.array([FULL])
    found = quick_draw(rig, near, standing.directions, whole, 41, to_stops=False)
    assert found is not None and found.done[0]
    np.testing.assert_allclose(found.q[:, 0], braced.q, atol=1e-9)


def test_bent_limbs_are_not_stepped() -> None:
    """Tables are made of links on pivots alone."""
    assert laid_out(bent(bow("two-cam")).rig) is None
