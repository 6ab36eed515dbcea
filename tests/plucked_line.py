"""The string of the ridge bow, plucked on a jig: built here from its drawing, apart from src.

Edges in inches and materials as they are drawn; what is not known of them (mass, wax, thread,
stiffness, how the pins hold) is thrown anew for each string, and the load is hidden in it. The
string is then plucked in time by :mod:`plucked_strings`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from plucked_strings import Pluck, in_the_shop, ringing
from strandwright.vibration.sound import Sound

LBF, INCH = 4.4482216152605, 0.0254
#: Served stretches of the finished string and the diameter of their thread, from its zero end [in]
SERVED = ((0.0, 17.0, 0.018), (20.5, 22.25, 0.018), (26.75, 30.5, 0.021), (40.25, 57.25, 0.018))
FINISHED, PIN, STRANDS = 57.25, 0.25, 24
#: Strand: mass without wax [kg/m], EA [N], density [kg/m^3], share of the section that is fibre
STRAND, STIFFNESS, DENSITY, PACKING = 0.192e-3, 16.5e3, 1000.0, 0.75
FINEST = 0.05


@dataclass(frozen=True)
class HiddenString:
    """One string as it truly is."""

    load: float
    mass: float
    thread: float
    bending: float
    lean: float
    nodes: float


def thrown(seed: int, load: float | None = None) -> HiddenString:
    """Throw a string whose unknowns lie as the tables say they do."""
    rng = np.random.default_rng(seed)
    z = rng.standard_normal(4)
    lean = rng.uniform(0.0, 1.0)
    pulled = float(LBF * np.exp(rng.uniform(math.log(70.0), math.log(140.0))))
    return HiddenString(
        load=pulled if load is None else load,
        mass=float(np.exp(0.066 * z[0])),
        thread=float(np.exp(0.22 * z[1])),
        bending=float(0.2 * np.exp(0.8 * z[2])),
        lean=float(lean),
        nodes=float(0.0015 * z[3]),
    )


def pluck_of(hidden: HiddenString, seed: int = 0, **shop: float) -> Pluck:
    """The string on its pins as the simulation of plucks takes it."""
    core = math.sqrt(4.0 * STRANDS * STRAND / DENSITY / (math.pi * PACKING))
    fibre = STRANDS * STRAND * 1.08 * 1.004 * hidden.mass
    solid = STRANDS * STIFFNESS * core**2 / 16.0 * hidden.bending
    held = hidden.lean * math.sqrt(0.5 * solid / hidden.load)
    # The swing ends at the pins' middles, where legs that reach round them leave them.
    begin = 0.5 * PIN * INCH + held + 0.5 * hidden.nodes + 0.0008
    end = FINISHED * INCH - begin
    places = np.arange(begin, end, FINEST * INCH)
    middle = (places + 0.5 * FINEST * INCH) / INCH
    masses = np.full(len(places), fibre)
    for start, stop, diameter in SERVED:
        inside = (middle > start) & (middle < stop)
        masses[inside] += served_mass(core, diameter * INCH) * hidden.thread
    # The loops' legs are served over all their length, each for itself.
    for near in (middle < 1.0, middle > FINISHED - 1.0):
        masses[near] = (
            fibre + 2.0 * served_mass(core / math.sqrt(2.0), 0.018 * INCH) * hidden.thread
        )
    return Pluck(
        length=end - begin,
        masses=tuple(masses),
        parts=tuple(np.full(len(places), 1.0)),
        tension=hidden.load,
        bending=solid,
        stretch=STRANDS * STIFFNESS,
        swing=2e-3,
        pick=0.22,
        heard=0.4,
        decay=1.6,
        rate=12000.0,
        seed=seed,
        **shop,  # pyright: ignore[reportArgumentType]
    )


def served_mass(core: float, diameter: float) -> float:
    """Thread on a length of serving: round wraps that touch, flattened to four fifths [kg/m]."""
    thick, wide = 0.8 * diameter, diameter / 0.8
    density = 0.112048e-3 * (diameter / (0.018 * INCH)) ** 2
    return density * math.hypot(math.pi * (core + thick) / wide, 1.0)


def recorded(strings: list[HiddenString], seed: int = 0, **shop: float) -> list[Sound]:
    """What a microphone records of each."""
    plucks = [pluck_of(one, seed + i, **shop) for i, one in enumerate(strings)]
    swings, _, _ = ringing(plucks)
    return [in_the_shop(pluck, swing) for pluck, swing in zip(plucks, swings, strict=True)]
