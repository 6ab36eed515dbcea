"""Rate: how often something happens, with the range its count leaves open."""

from __future__ import annotations

import math
from dataclasses import dataclass

#: The two-sided 95 % point of the normal distribution [-]
_Z = 1.959963984540054


@dataclass(frozen=True)
class Rate:
    """How often something happened.

    Attributes
    ----------
    count, of : int
        How often, of how many times it could have [-]
    low, high : float
        Ends of the 95 % range of the rate [-]
    """

    count: int
    of: int
    low: float
    high: float

    @property
    def mean(self) -> float:
        """The share that was counted [-]; 0 of none."""
        return self.count / self.of if self.of else 0.0


def rate_of(count: int, of: int) -> Rate:
    """Give a rate with its 95 % range by Wilson's score interval.

    Parameters
    ----------
    count : int
        How often it happened, 0 to ``of`` [-]
    of : int
        How many times it could have, >= 0 [-]

    Returns
    -------
    Rate
        Of none, anything from never to always.

    Notes
    -----
    E. B. Wilson, J. Am. Stat. Assoc. 22 (1927) 209-212. Unlike the count's own standard
    deviation it holds for small counts and for none at all.
    """
    if of <= 0:
        return Rate(0, 0, 0.0, 1.0)
    share, part = count / of, _Z**2 / of
    middle = (share + part / 2.0) / (1.0 + part)
    half = _Z * math.sqrt(share * (1.0 - share) / of + part / (4.0 * of)) / (1.0 + part)
    low = 0.0 if count == 0 else max(middle - half, 0.0)
    high = 1.0 if count == of else min(middle + half, 1.0)
    return Rate(count, of, low, high)
