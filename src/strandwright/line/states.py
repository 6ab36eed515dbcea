"""States: a line in one stage of its route, and what is to be solved there."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.fibre.strand_law import FloatArray
from strandwright.fibre.twist import TwistedSpan
from strandwright.line.route import Stage


@dataclass(frozen=True)
class StageState:
    """The line in one stage, for every case of a batch.

    Attributes
    ----------
    length : ndarray
        Shape (B,); outside to outside of the pins [m]
    edges : ndarray
        Shape (B, K + 1); segment edges from the outside of the zero pin, throats first and
        last [m]
    spans : TwistedSpan or None
        Per kind of segment, shape (B, kinds), lengths per natural length; None for a bare skein.
    turn_rates : ndarray
        Shape (B, kinds); turns per natural length of each kind [turn/m]
    """

    length: FloatArray
    edges: FloatArray
    spans: TwistedSpan | None
    turn_rates: FloatArray


@dataclass(frozen=True)
class ClosedCase:
    """A stage with closed loops and what is to be solved in it.

    Attributes
    ----------
    stage : Stage
        The stage.
    load : ndarray
        True load along the line, shape (B,) [N]
    naturals : ndarray
        Natural length of each segment, shape (B, K), or (B, 1) where nothing is served yet [m]
    turns : ndarray
        Turns throat to throat by then, shape (B,) [turn]
    """

    stage: Stage
    load: FloatArray
    naturals: FloatArray
    turns: FloatArray
