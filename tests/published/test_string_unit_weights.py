"""Unit weights of musical strings: tension from mass, length and pitch, as a chart prints it.

Source: a widely printed chart of unit weights of plain and wound steel strings, at a speaking
length of 25.5 in, tuned to equal temperament at A 440. The chart works with 386.4 in/s2 for
gravity, 0.08 % over the standard's, and rounds to 0.1 lbf.
"""

from __future__ import annotations

from typing import Any

import pytest

from strandwright.units import INCH, POUND
from strandwright.vibration.heard_load import heard_load
from strandwright.vibration.sounding_line import sounding_line

SOURCE = "Chart of unit weights: six strings of 25.5 in"
POUND_FORCE = POUND * 9.80665
#: Gauge, unit weight [lb/in], semitones from A 440, tension as printed [lbf].
ROWS = [
    (".010", 0.00002215, -5, "16.2"),
    (".013", 0.00003732, -10, "15.4"),
    (".017", 0.00006391, -14, "16.6"),
    (".026", 0.00012671, -19, "18.4"),
    (".036", 0.00023964, -24, "19.5"),
    (".046", 0.00038216, -29, "17.5"),
]


@pytest.mark.parametrize(("gauge", "weight", "semitones", "printed"), ROWS)
def test_tension_of_a_tuned_string(
    record: Any, gauge: str, weight: float, semitones: int, printed: str
) -> None:
    """Six strings, each to 0.1 lbf."""
    line = sounding_line([25.5 * INCH], weight * POUND / INCH, 50.0)
    pitch = 440.0 * 2.0 ** (semitones / 12)
    tension = float(heard_load(line, pitch).raise_for_failure().value[0]) / POUND_FORCE
    record(
        SOURCE, f"gauge {gauge}, {pitch:.2f} Hz", printed, tension, 0.1,
        "printed to 0.1 lbf, with gravity 0.08 % too high", "lbf",
    )  # fmt: skip
