"""Invented bows with wheels, one of each kind, and how to stop, change and draw them."""

from __future__ import annotations

from dataclasses import fields, replace
from functools import cache

import numpy as np

from strandwright.bow.draw_cycle import DrawCycle, draw_cycle, draw_to_wall
from strandwright.bow.elastica import ElasticaLimb
from strandwright.bow.equilibrium import stand
from strandwright.bow.limb import PivotLimb
from strandwright.bow.rig import Rig
from strandwright.bow.strung import Strung
from strandwright.bow.systems import Sizes, System, lay_out, stopped

Floats = np.ndarray

INCH = 0.0254
#: Full draw of the sample bows, from the pivot: so far no cable of theirs has gone slack [m].
FULL = 25.0 * INCH
_SIZES = {
    "axle_to_axle": 33 * INCH,
    "brace_height": 6.875 * INCH,
    "nock_height": 0.25 * INCH,
    "link": 10 * INCH,
    "lean": np.radians(40.0),
    "limb_stiffness": 250.0,
    "string_tension": 400.0,
    "string_lever": 2 * INCH,
    "string_throw": 0.35,
    "cable_lever": 0.85 * INCH,
    "cable_throw": 0.7,
    "cable_second": 0.0,
    "cable_third": 0.0,
    "cable_lag": 0.2,
    "control_lever": 0.3 * INCH,
    "control_throw": 0.0,
    "follower_lever": 1.05 * INCH,
    "follower_throw": 0.0,
    "turn": np.radians(200.0),
    "idler": 1.4 * INCH,
    "string_stiffness": 156e3,
    "cable_stiffness": 156e3,
    "thickness": 0.1 * INCH,
}
_ONE_CAM = {"control_lever": 1.5 * INCH, "control_throw": 0.35}


def sizes(system: System, **changed: float | Floats) -> Sizes:
    """Sizes of a sample bow, some of them changed; a batch where any is an array."""
    named = {**_SIZES, **(_ONE_CAM if system == "one-cam" else {}), **changed}
    # A size a later version of the layout asks for and this bow does without is nothing.
    wanted = {f.name: np.asarray(named.get(f.name, 0.0), dtype=float) for f in fields(Sizes)}
    spread = np.broadcast_arrays(*(np.atleast_1d(v) for v in wanted.values()))
    return Sizes(**dict(zip(wanted, (v.copy() for v in spread), strict=True)))


@cache
def bow(system: System) -> Strung:
    """A sample bow at its brace, without stops."""
    return lay_out(system, sizes(system))


@cache
def with_stops(system: System) -> Strung:
    """Give the sample bow with what ends its draw at its full draw."""
    standing = bow(system)
    return stopped(standing, drawn(standing, 9).q[:, -1])


def drawn(standing: Strung, points: int = 41, full: float = FULL) -> DrawCycle:
    """Draw a bow, all of whose states must stand."""
    whole = np.full(len(standing.brace), full)
    out = draw_cycle(standing.rig, standing.brace, standing.directions, whole, points)
    return out.raise_for_failure("the draw").value


def to_wall(standing: Strung, points: int = 41, longest: float = FULL + 0.08) -> DrawCycle:
    """Draw a bow to its wall."""
    whole = np.full(len(standing.brace), longest)
    out = draw_to_wall(standing.rig, standing.brace, standing.directions, whole, points)
    return out.raise_for_failure("the draw to the wall").value


def changed(standing: Strung, reach: int, longer: float) -> Strung:
    """Give the bow as it stands with one reach of its lines longer [m]."""
    natural = np.array(np.broadcast_to(standing.rig.natural, (1, standing.rig.natural.shape[1])))
    natural[:, reach] += longer
    rig = standing.rig.taken(np.array([0]), natural)
    found = stand(rig, standing.brace, standing.directions, hold_draw=False)
    at = found.raise_for_failure("the brace").value
    return replace(
        standing,
        rig=rig,
        brace=at.q,
        directions=at.potential.spans.direction,
        tension=at.potential.tension,
    )


def bent(standing: Strung, degree: int = 3) -> Strung:
    """Give the bow with bent beams in place of its links, as long and about as stiff."""
    mounts = []
    for mount in standing.bow.mounts:
        link = mount.limb
        assert isinstance(link, PivotLimb)
        length = float(np.asarray(link.length).flat[0])
        stiffness = float(np.asarray(link.stiffness).flat[0]) * length / 3.0
        mounts.append(replace(mount, limb=ElasticaLimb(length, stiffness, degree=degree)))
    parts = replace(standing.bow, mounts=tuple(mounts))
    rig = Rig(parts)
    state = np.zeros((1, rig.freedoms))
    state[:, rig.wheels] = standing.brace[:, standing.rig.wheels]
    state[:, rig.draw :] = standing.brace[:, standing.rig.draw :]
    return replace(standing, bow=parts, rig=rig, brace=state)
