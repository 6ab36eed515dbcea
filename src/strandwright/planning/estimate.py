"""An estimate: a value with its standard uncertainty, as every answer of a plan is given."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Estimate:
    """A value and how sure it is.

    Attributes
    ----------
    value : float
        The value, in ``unit`` [unit]
    u : float
        Standard uncertainty; 0 for a setting or a count, in ``unit`` [unit]
    unit : str
        SI unit: m, N, kg, K, turn, 1.
    """

    value: float
    u: float
    unit: str

    @property
    def u95(self) -> float:
        """Half of the 95 % range, twice the standard uncertainty [unit]."""
        return 2.0 * self.u
