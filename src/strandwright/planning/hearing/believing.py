"""Believing: whether a pluck that was heard can be of the line, or is a mistaken octave."""

from __future__ import annotations

import math

import numpy as np

from strandwright.planning.hearing.heard_load import Listened
from strandwright.vibration.heard import Heard, Refusal
from strandwright.vibration.series import Series

#: With fewer modes than this a series may have been met by chance [-]
FEW = 4
#: The same where none of them is the first or the second [-]
MANY = 6
#: Nothing that is not known of a line is so many sigma off, below and above: a stiffness that is
#: known to a factor is put as a straight line, on which three sigma more are twelve [-]
_ODD = (-5.0, 12.0)
#: Few modes whose pitch is likelier than another by less than this, as a logarithm, tell nothing
_LIKELIER = 3.0
#: What a line may be refused for because its modes were looked for at the wrong load
_MISSED = (Refusal.NO_PITCH, Refusal.UNDECIDED)


def believable(heard: Heard) -> bool:
    """Whether the modes that were heard speak for the pitch they are said to have.

    Parameters
    ----------
    heard : Heard
        A pluck that gave a pitch.

    Returns
    -------
    bool
        False where they are every second or third mode alone, which is how a line sounds at four
        or nine times the load; where they are few and fit another pitch nearly as well; or where
        the line would have to be none like the one planned.
    """
    modes = [partial.mode for partial in heard.partials]
    if modes and math.gcd(*modes) > 1:
        return False
    if len(modes) < FEW and heard.octave is not None and heard.octave.worse < _LIKELIER:
        return False
    return bool(np.all((heard.shape > _ODD[0]) & (heard.shape < _ODD[1])))


def strayed(heard: Heard, series: Series) -> float:
    """How far the modes that were heard lie off those of the line.

    Parameters
    ----------
    heard : Heard
        A pluck that gave a pitch.
    series : Series
        What the line promises at the load that was heard.

    Returns
    -------
    float
        Root mean square of the logarithm, pitch and shapes taken as heard; 0 for few modes [-]
    """
    if len(heard.partials) < FEW:
        return 0.0
    row = np.array([partial.mode - 1 for partial in heard.partials])
    found = np.log([partial.frequency / heard.pitch for partial in heard.partials])
    off = found - np.log(series.ratio[row]) - series.shaping[row] @ heard.shape
    return float(np.sqrt(np.mean((off - np.mean(off)) ** 2)))


def may_be_elsewhere(listened: Listened) -> bool:
    """Whether a sound is worth listening to again with the modes of another load.

    Parameters
    ----------
    listened : Listened
        What was heard with those of the load asked for.

    Returns
    -------
    bool
        False where every pluck is of several modes that fit no other pitch, or where what stood
        in the way is the sound itself.
    """
    if listened.refused is not None:
        return listened.refused.refusal in _MISSED
    return not all(_clear(heard) for heard, _ in listened.plucks)


def _clear(heard: Heard) -> bool:
    """Whether several modes, the lowest two or many above them, fit no other pitch."""
    modes = [partial.mode for partial in heard.partials]
    enough = FEW if modes and min(modes) <= 2 else MANY
    return len(modes) >= enough and heard.octave is None
