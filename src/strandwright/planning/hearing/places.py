"""Places: where to pluck a line as it stands, where to listen, and how softly."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.planning.hearing.standing import Standing
from strandwright.vibration.modes import modes
from strandwright.vibration.placing import best_place, gentlest_pluck
from strandwright.vibration.sounding_line import SoundingLine
from strandwright.vibration.swing import run_stiffness

#: Modes that are to be heard well, and those whose swing stretches the line [-]
_HEARD, _SWINGING = 5, 8
#: How near a finger comes to a serving or a throat, and a microphone to the line [m]
_FINGER, _MICROPHONE = 0.015, 0.08
#: A pluck is soft where it raises the pitch by no more than this [-]
_SOFT = 0.003


@dataclass(frozen=True)
class Places:
    """Where to pluck and to listen.

    Attributes
    ----------
    pluck, listen : float
        From where the line begins to swing [m].
    aside : float
        How far the line may be pulled aside there [m].
    """

    pluck: float
    listen: float
    aside: float


def places_on(standing: Standing, line: SoundingLine) -> Places:
    """Find where to pluck and to listen.

    Parameters
    ----------
    standing : Standing
        The line.
    line : SoundingLine
        The same, at the load asked for, its unknowns at their means.

    Returns
    -------
    Places
        On its longest bare stretch, clear of servings and loops.
    """
    whole = float(line.length.sum())
    low, high = (min(max(x, 0.0), whole) for x in standing.free)
    room = min(_FINGER, 0.25 * (high - low))
    low, high = low + room, high - room
    found = modes(line, _SWINGING).value
    few = modes(line, _HEARD).value
    pluck = float(best_place(few, low, high).place[0])
    listen = float(best_place(few, room, whole - room, _MICROPHONE).place[0])
    run = run_stiffness(line.length, standing.stretch)
    aside = gentlest_pluck(found, pluck, _SOFT, run)
    return Places(pluck, listen, float(aside[0]))
