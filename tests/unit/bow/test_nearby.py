"""Nearby bows: what a change of a size does to a draw, as following the changed bows has it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from sample_bows import FULL, INCH, Floats, sizes

from strandwright.bow.following import Followed, follow
from strandwright.bow.nearby import follow_nearby
from strandwright.bow.strung import Strung
from strandwright.bow.systems import SYSTEMS, Sizes, System, lay_out

#: Sizes that move every part there is: pivots, tracks, pegs, springs and lines.
CHANGED = ("link", "lean", "limb_stiffness", "string_tension", "cable_throw", "cable_lag", "turn")
NUDGE = 1e-6
ROLLER = {"roller_x": 1.5 * INCH, "roller_radius": 0.4 * INCH, "roller_side": 1.0}


def nudged(of: Sizes, by: float) -> Sizes:
    """Bows of which each has one size changed by a share of itself."""
    each = len(CHANGED)
    named = {name: np.repeat(getattr(of, name), each) for name in of.__dataclass_fields__}
    for i, name in enumerate(CHANGED):
        named[name][i::each] *= 1.0 + by
    return Sizes(**named)


def followed(standing: Strung) -> Followed:
    """Follow bows to the full draw."""
    full = np.full(len(standing.brace), FULL)
    return follow(standing.rig, standing.brace, standing.directions, full)


def slopes(of: Sizes, system: System, name: str) -> tuple[Floats, Floats]:
    """Changes by each size, foretold and by central differences of draws followed."""
    old = lay_out(system, of)
    was = followed(old)
    new = lay_out(system, nudged(of, NUDGE))
    told = getattr(follow_nearby(old.rig, was, new.rig, len(CHANGED)), name)
    before = np.repeat(getattr(was, name), len(CHANGED), axis=0)
    wide = 1e-4
    ends = [getattr(followed(lay_out(system, nudged(of, by))), name) for by in (-wide, wide)]
    return (told - before) / NUDGE, (ends[1] - ends[0]) / (2.0 * wide)


@pytest.mark.parametrize("system", SYSTEMS)
def test_states_and_forces_move_as_those_of_the_changed_bows(system: System) -> None:
    """Two bows at once, seven sizes of each: to 0.1 % of the largest change at any state."""
    of = sizes(system, cable_throw=np.array([0.7, 0.66]))
    for name in ("q", "force"):
        told, found = slopes(of, system, name)
        assert np.abs(found).max() > 0.1
        scale = np.abs(found).max(axis=1, keepdims=True)
        assert np.all(np.abs(told - found) < 1e-3 * scale + 1e-5), name


def test_a_roller_that_cables_pass_or_touch_is_followed_too() -> None:
    """The spans either side of a roller that is passed turn as one."""
    of = sizes("two-cam", **ROLLER)
    old = lay_out("two-cam", of)
    touching = old.rig.potential(old.brace, old.directions).spans.touching
    assert len(old.rig.paths.links) > 0
    assert not touching.all(), "at brace the cables pass it"
    told, found = slopes(of, "two-cam", "force")
    scale = np.abs(found).max(axis=1, keepdims=True)
    assert np.all(np.abs(told - found) < 1e-3 * scale + 1e-5)


def test_the_slope_of_the_force_moves_too() -> None:
    """Between the ends it is the change of force along the draw, to some per cent."""
    told, found = slopes(sizes("one-cam"), "one-cam", "stiffness")
    inner = slice(2, -2)
    scale = np.abs(found).max(axis=1, keepdims=True)
    off = (np.abs(told - found) / scale)[:, inner]
    assert np.median(off) < 0.03
    assert off.max() < 0.3


def test_a_bow_that_could_not_be_followed_has_no_neighbour() -> None:
    """What means nothing is passed on as meaning nothing."""
    of = sizes("two-cam")
    old = lay_out("two-cam", of)
    was = followed(old)
    lost = replace(was, ok=np.array([False]))
    new = lay_out("two-cam", nudged(of, NUDGE))
    assert follow_nearby(old.rig, was, new.rig, len(CHANGED)).ok.all()
    assert not follow_nearby(old.rig, lost, new.rig, len(CHANGED)).ok.any()
