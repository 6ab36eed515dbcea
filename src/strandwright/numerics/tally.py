"""Tally: what many draws came to, in whole numbers, so that the order of adding never shows.

Sums of floating-point numbers depend on their order in the last bits. Here everything is counted:
draws by what they are, values by the cell of a ruler they fall in, and moments in grains, a fine
step of that ruler. Whole numbers add up to the same whatever was added first.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import InputError

#: Grains in the length of a ruler [-]
_GRAINS = 2**20
#: Grains from the middle past which a value counts as lying there: its square, times a batch,
#: still is a 64-bit number [-]
_FARTHEST = 2**24
#: Values of which the squares are added in one go [-]
_AT_ONCE = 2**14


@dataclass(frozen=True)
class Ruler:
    """Cells of one size, and one more at either end for what lies beyond.

    Attributes
    ----------
    low, high : float
        Where the cells begin and end, low < high [unit of the values]
    cells : int
        How many between them, >= 1 [-]
    """

    low: float
    high: float
    cells: int = 2000

    def __post_init__(self) -> None:
        """Refuse a ruler without length."""
        if not (math.isfinite(self.low) and math.isfinite(self.high) and self.low < self.high):
            raise InputError(
                "ruler", (self.low, self.high), "must end past its beginning", "widen it"
            )
        if self.cells < 1:
            raise InputError("cells", self.cells, "must be 1 at least", "give some thousand")

    @property
    def grain(self) -> float:
        """Step to which values are rounded for their moments [unit of the values]."""
        return (self.high - self.low) / _GRAINS

    @property
    def middle(self) -> float:
        """Middle, from which moments are taken [unit of the values]."""
        return 0.5 * (self.low + self.high)

    def counted(self, values: NDArray[np.float64]) -> Counted:
        """Count values.

        Parameters
        ----------
        values : ndarray, shape (B,)
            What is counted; what is not a number is left out [unit of the values]

        Returns
        -------
        Counted
            Of these values alone.
        """
        good = values[np.isfinite(values)]
        place = np.floor((good - self.low) * (self.cells / (self.high - self.low)))
        cell = place.clip(-1.0, self.cells).astype(np.int64) + 1
        found = np.bincount(cell, minlength=self.cells + 2).tolist()
        grains = np.rint((good - self.middle) / self.grain).clip(-_FARTHEST, _FARTHEST)
        whole = grains.astype(np.int64)
        parts = [whole[i : i + _AT_ONCE] for i in range(0, len(whole), _AT_ONCE)]
        return Counted(
            self,
            tuple(found),
            sum(int(part.sum()) for part in parts),
            sum(int((part * part).sum()) for part in parts),
        )


@dataclass(frozen=True)
class Counted:
    """Values counted on a ruler.

    Attributes
    ----------
    ruler : Ruler
        The ruler.
    cells : tuple of int
        Values in each cell, the first and the last what lies beyond [-]
    total, square : int
        Sum of the values from the middle of the ruler, and of their squares, in grains [-]
    """

    ruler: Ruler
    cells: tuple[int, ...]
    total: int = 0
    square: int = 0

    @property
    def count(self) -> int:
        """How many values [-]."""
        return sum(self.cells)

    @property
    def beyond(self) -> int:
        """How many of them off the ruler [-]."""
        return self.cells[0] + self.cells[-1]

    @property
    def mean(self) -> float:
        """Their mean; NaN of none [unit of the values]."""
        if not self.count:
            return math.nan
        return self.ruler.middle + self.ruler.grain * (self.total / self.count)

    @property
    def standard_deviation(self) -> float:
        """Their standard deviation; NaN of fewer than two [unit of the values]."""
        n = self.count
        if n < 2:
            return math.nan
        # Whole numbers to the last step: nothing is lost where the mean is far from the middle.
        return self.ruler.grain * math.sqrt((n * self.square - self.total**2) / (n * (n - 1)))

    def quantile(self, probability: float) -> float:
        """Give the value below which a share of them lies, straight within a cell.

        Parameters
        ----------
        probability : float
            The share, from 0 to 1 [-]

        Returns
        -------
        float
            To a cell; an end of the ruler where it lies beyond, NaN of no values
            [unit of the values]
        """
        if not 0.0 <= probability <= 1.0:
            raise InputError("probability", probability, "must be 0 to 1", "give a share of one")
        if not self.count:
            return math.nan
        wanted, below = probability * self.count, self.cells[0]
        if wanted < below:
            return self.ruler.low
        step = (self.ruler.high - self.ruler.low) / self.ruler.cells
        for place, inside in enumerate(self.cells[1:-1]):
            if inside and wanted <= below + inside:
                return self.ruler.low + step * (place + (wanted - below) / inside)
            below += inside
        return self.ruler.high

    def merged(self, other: Counted) -> Counted:
        """Add what was counted elsewhere.

        Parameters
        ----------
        other : Counted
            On the same ruler.

        Returns
        -------
        Counted
            Both together.
        """
        if other.ruler != self.ruler:
            raise InputError("ruler", other.ruler, "must be the same", "count on one ruler")
        cells = tuple(a + b for a, b in zip(self.cells, other.cells, strict=True))
        return Counted(self.ruler, cells, self.total + other.total, self.square + other.square)


def _no_counts() -> dict[str, int]:
    return {}


def _none_counted() -> dict[str, Counted]:
    return {}


@dataclass(frozen=True)
class Tally:
    """What draws came to.

    Attributes
    ----------
    counts : mapping of str to int
        How many of them are what [-]
    spreads : mapping of str to Counted
        Their values by name.
    """

    counts: Mapping[str, int] = field(default_factory=_no_counts)
    spreads: Mapping[str, Counted] = field(default_factory=_none_counted)

    def merged(self, other: Tally) -> Tally:
        """Add other draws.

        Parameters
        ----------
        other : Tally
            What they came to; a name that one of them lacks counts nothing there.

        Returns
        -------
        Tally
            Both together, the same whichever comes first.
        """
        names = sorted({*self.counts, *other.counts})
        counts = {n: self.counts.get(n, 0) + other.counts.get(n, 0) for n in names}
        spreads = dict(self.spreads)
        for name, counted in other.spreads.items():
            spreads[name] = spreads[name].merged(counted) if name in spreads else counted
        return Tally(counts, {name: spreads[name] for name in sorted(spreads)})
