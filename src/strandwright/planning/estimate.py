"""An estimate: a value with its standard uncertainty, as every answer of a plan is given."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Estimate:
    """A value and how sure it is.

    Attributes
    ----------
    value : float
        The value [SI, see ``unit``]
    u : float
        Standard uncertainty; 0 for a setting or a count [SI, see ``unit``]
    unit : str
        SI unit: m, N, kg, K, turn, 1.
    """

    value: float
    u: float
    unit: str

    @property
    def u95(self) -> float:
        """Half of the 95 % range, twice the standard uncertainty [SI, see ``unit``]."""
        return 2.0 * self.u
