"""Places: where to pluck a line as it stands, where to listen, and how softly."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.planning.hearing.standing import Standing

#: Place of the pluck, over the length: the first four modes sound, none at a node [-]
_PLUCK = 0.22
#: Swing over the length that raises the pitch by a thousandth at most [-]
_SWING = 0.002


@dataclass(frozen=True)
class Places:
    """Where to pluck and to listen.

    Attributes
    ----------
    pluck, listen : float
        From where the line begins to swing [m].
    swing : float
        Largest swing to either side [m].
    """

    pluck: float
    listen: float
    swing: float


def places_on(standing: Standing) -> Places:
    """Find where to pluck and to listen.

    Parameters
    ----------
    standing : Standing
        The line.

    Returns
    -------
    Places
        On its bare body.
    """
    whole = float(standing.length.sum())
    low, high = standing.free
    pluck = min(max(_PLUCK * whole, low), high)
    return Places(pluck, min(max(0.4 * whole, low), high), _SWING * whole)
