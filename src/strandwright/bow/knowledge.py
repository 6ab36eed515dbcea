"""Knowledge: what is known of a bow whose wheels nobody has measured, and what is met with."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.bow.systems import System

#: Sizes that are positive, so that their logarithm is spread.
LOGARITHMIC = frozenset(
    {
        "link", "limb_stiffness", "string_tension", "string_lever", "cable_lever",
        "control_lever", "follower_lever", "turn",
    }
)  # fmt: skip


@dataclass(frozen=True)
class Spread:
    """What is met with on bows of a kind: a middle and a spread.

    Attributes
    ----------
    middle : float
        Median [unit of the size].
    spread : float
        Standard deviation; of the logarithm, so relative, for a size that is positive [unit].
    """

    middle: float
    spread: float


@dataclass(frozen=True)
class Known:
    """What is known of the bow.

    Attributes
    ----------
    system : str
        How its lines run.
    exact : tuple of (str, float)
        Sizes that are taken as known: axle-to-axle, brace height, nock height, EA of the lines,
        their thickness, the idler [SI].
    figures : tuple of (str, (float, float))
        Figures of the draw with their standard uncertainties: ``peak``, ``holding``,
        ``stored_energy``, ``axle_to_axle_drawn``; and how far the nocking point strays and the
        wheels part, ``nock_travel``, ``timing``, each also ``_midway``; how far the limbs are
        bent at brace, ``limb_bend`` [SI].
    full : (float, float)
        Nocking point to pivot at full draw, and its standard uncertainty, both [m].
    board : tuple of (float, float, float)
        Draw board: draw from the pivot [m], force and its standard uncertainty [N].
    rail : (float, float) or None
        Width of the rail a crossbow's string slides on, and its standard uncertainty; None for a
        bow held upright, which draws to a wall. A crossbow ends at its latch, wherever its wheels
        then are [m].
    """

    system: System
    exact: tuple[tuple[str, float], ...]
    figures: tuple[tuple[str, tuple[float, float]], ...]
    full: tuple[float, float]
    board: tuple[tuple[float, float, float], ...] = ()
    rail: tuple[float, float] | None = None
