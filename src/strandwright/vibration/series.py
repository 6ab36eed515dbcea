"""Series: at which ratios the modes of a line sound, and where its first is looked for."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import InputError

Floats = NDArray[np.float64]
_REMEDY = "check the line's numbers"


def _no_shapes() -> Floats:
    return np.zeros((0, 0))


@dataclass(frozen=True)
class Series:
    """What is known of a line's modes before it is heard.

    Attributes
    ----------
    ratio : ndarray, shape (modes,)
        Frequency of each mode over that of the first, rising from 1 [-].
    lowest, highest : float
        Where the frequency of mode 1 is looked for [Hz].
    shaping : ndarray, shape (modes, shapes)
        Change of the logarithm of each ratio for one standard uncertainty of each thing that
        shapes the series; may have no columns [-].
    expected : float
        Where mode 1 is expected; nan if nowhere [Hz].
    expected_spread : float
        Standard uncertainty of that, as a logarithm [-].

    Raises
    ------
    InputError
        If the ratios do not rise from 1, or nothing lies between lowest and highest.
    """

    ratio: Floats
    lowest: float
    highest: float
    shaping: Floats = field(default_factory=_no_shapes)
    expected: float = np.nan
    expected_spread: float = np.inf

    def __post_init__(self) -> None:
        ratio = np.asarray(self.ratio, dtype=np.float64)
        shaping = np.asarray(self.shaping, dtype=np.float64)
        if shaping.size == 0:
            shaping = np.zeros((len(ratio), 0))
        object.__setattr__(self, "ratio", ratio)
        object.__setattr__(self, "shaping", shaping)
        if len(ratio) == 0 or abs(ratio[0] - 1.0) > 1e-9 or not bool(np.all(np.diff(ratio) > 0)):
            rule = "must rise from 1"
            raise InputError("series.ratio", str(ratio[:4]), rule, _REMEDY)
        if shaping.shape[0] != len(ratio) or not bool(np.all(np.isfinite(shaping))):
            rule = "must be a finite number for each mode and shape"
            raise InputError("series.shaping", f"shape {shaping.shape}", rule, _REMEDY)
        if not 0.0 < self.lowest < self.highest < np.inf:
            given = f"{self.lowest:g} to {self.highest:g} Hz"
            raise InputError(
                "series.lowest", given, "must be over 0 and below the highest", _REMEDY
            )
        if not (np.isnan(self.expected) or (self.expected > 0.0 and self.expected_spread > 0.0)):
            given = f"{self.expected:g} Hz, spread {self.expected_spread:g}"
            raise InputError("series.expected", given, "must be over 0, with a spread", _REMEDY)

    @property
    def modes(self) -> int:
        """How many modes it names [-]."""
        return len(self.ratio)

    @property
    def shapes(self) -> int:
        """How many things shape it [-]."""
        return self.shaping.shape[1]


def plain_series(
    lowest: float,
    highest: float,
    *,
    modes: int = 16,
    stiffness: float = 1e-4,
    expected: float = np.nan,
    expected_spread: float = np.inf,
) -> Series:
    r"""Give the series of a bare line: whole ratios, and a little stiffness.

    Parameters
    ----------
    lowest : float
        Lowest frequency of mode 1 that is looked for [Hz]
    highest : float
        Highest [Hz]
    modes : int
        How many modes [-]
    stiffness : float
        Standard uncertainty of B in :math:`f_n = n f \\sqrt{1 + B n^2}` [-]
    expected : float
        Where mode 1 is expected; nan if nowhere [Hz]
    expected_spread : float
        Standard uncertainty of that, as a logarithm [-]

    Returns
    -------
    Series
        With one shape, the stiffness.
    """
    n = np.arange(1.0, modes + 1.0)
    shaping = 0.5 * stiffness * (n**2 - 1.0)
    return Series(n, lowest, highest, shaping[:, None], expected, expected_spread)
