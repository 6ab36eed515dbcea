"""The strands of a bundle as the twist sees them: where they run, their law, how far they share."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.numerics.few_points import FewPoints, few_points


@dataclass(frozen=True)
class StrandSet:
    """The strands of a bundle as the twist sees them, one row per case of a batch.

    Attributes
    ----------
    radii : ndarray
        Shape (n,) or (..., n); each strand's radius about the axis over the bundle radius [-]
    stiffness : ndarray
        Shape (...); secant stiffness of one strand [N]
    softening : ndarray
        Shape (...); slope at zero over secant [-]
    break_strain : float
        Strain at break [-]
    share : ndarray
        Shape (...); 0 strands fixed in place, 1 fully shared [-]
    """

    radii: FloatArray
    stiffness: FloatArray
    softening: FloatArray
    break_strain: float
    share: FloatArray

    @property
    def count(self) -> int:
        """Number of strands."""
        return int(self.radii.shape[-1])

    @property
    def law(self) -> tuple[FloatArray, FloatArray, float]:
        """Stiffness [N], softening [-] and break strain [-], as a strand's law takes them."""
        return self.stiffness, self.softening, self.break_strain

    def own_naturals(self, path: FloatArray) -> FloatArray:
        """Natural length of each strand over that of the bundle, by how far they share.

        Parameters
        ----------
        path : ndarray
            Shape (..., n); path of each strand over length of the bundle [-]

        Returns
        -------
        ndarray
            Shape (..., n); 1 where strands stay in place [-]
        """
        share = self.share[..., None]
        return (1.0 - share) + share * path / path.mean(axis=-1, keepdims=True)

    def few(self, count: int) -> FewPoints:
        """Give a few squares of radii that stand for those of all strands alike in every case.

        Parameters
        ----------
        count : int
            How many, where there are more [-]

        Returns
        -------
        FewPoints
            Squares of radii over the bundle radius, the innermost and the outermost with them [-]
        """
        return _few(self.radii.tobytes(), count)


@lru_cache(maxsize=256)
def _few(radii: bytes, count: int) -> FewPoints:
    """Work them out once for each bundle."""
    return few_points(np.frombuffer(radii) ** 2, count)
