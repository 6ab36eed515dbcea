"""Written quantities: the numbers of a plan as people read them, in the job's units.

A value and its +- are one text, and the +- is a 95 % half-range rounded up to a readable size.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache

from strandwright.planning.estimate import Estimate
from strandwright.units import (
    INCH,
    Dimension,
    System,
    format_estimate,
    format_length,
    format_length_decimal,
    format_plus_minus,
    to_unit,
)
from strandwright.workshop.job import Paper

#: Posts, pins and predictions are written and set to this fraction of an inch at least [1/in]
FINEST_SETTING = 32
_MOST_DIGITS = 6
_MINUTE, _HOUR = 60.0, 3600.0


@dataclass(frozen=True)
class Written:
    """How quantities are written for one job.

    Attributes
    ----------
    system : {"in", "mm"}
        Inches, lbf and grains, or millimetres, newtons and grams.
    fraction : int
        Finest fraction of an inch [1/in]
    """

    system: System
    fraction: int

    @classmethod
    def on(cls, paper: Paper) -> Written:
        """Write as a job's paper asks.

        Parameters
        ----------
        paper : Paper
            Units and fraction.

        Returns
        -------
        Written
            The way of writing.
        """
        return cls(paper.units, paper.fraction)

    def length(self, metres: float) -> str:
        """Write a length.

        Parameters
        ----------
        metres : float
            The length [m]

        Returns
        -------
        str
            ``57 1/4 in``.
        """
        return format_length(metres, system=self.system, fraction=self.fraction)

    def fine(self, metres: float) -> str:
        """Write a length to a thirty-second of an inch at least, as posts are set.

        Parameters
        ----------
        metres : float
            The length [m]

        Returns
        -------
        str
            ``57 9/32 in``.
        """
        finer = max(self.fraction, FINEST_SETTING)
        return format_length(metres, system=self.system, fraction=finer)

    def small(self, metres: float) -> str:
        """Write a small length, such as a diameter or what one turn does.

        Parameters
        ----------
        metres : float
            The length [m]

        Returns
        -------
        str
            ``0.118 in``; ``3.00 mm``.
        """
        digits = 3 if self.system == "in" else 2
        return format_length_decimal(metres, self.system, digits)

    def size(self, metres: float) -> str:
        """Write a size that something is fitted by: as a tape reads it, or a caliper below 1/4 in.

        Parameters
        ----------
        metres : float
            The size [m]

        Returns
        -------
        str
            ``1 11/16 in``; ``0.118 in``.
        """
        return self.small(metres) if metres < INCH / 4.0 else self.fine(metres)

    def half_range(self, metres: float) -> str:
        """Write a half-range that stands alone, rounded up to what a tape shows.

        Parameters
        ----------
        metres : float
            The half-range [m]

        Returns
        -------
        str
            ``3/8 in``; ``8.9 mm``.
        """
        return f"{format_plus_minus(metres, self.system)} {self.system}"

    def small_estimate(self, estimate: Estimate) -> str:
        """Write a small length with its +-.

        Parameters
        ----------
        estimate : Estimate
            The length [m]

        Returns
        -------
        str
            ``0.118 ± 0.006 in``; ``no more than 0.002 in`` where the +- is more than the length.
        """
        size = INCH if self.system == "in" else 1e-3
        fewest = 3 if self.system == "in" else 2
        if _is_swamped(estimate):
            most = math.ceil((estimate.value + estimate.u95) / size * 10.0**fewest - 1e-9)
            return f"no more than {most / 10.0**fewest:.{fewest}f} {self.system}"
        return _joined(estimate.value / size, estimate.u95 / size, self.system, fewest)

    def long(self, estimate: Estimate) -> str:
        """Write a length of thread, as it is measured off a spool.

        Parameters
        ----------
        estimate : Estimate
            The length, with no uncertainty where it has none [m]

        Returns
        -------
        str
            ``22 ± 7 ft``; ``6.8 ± 2.1 m``.
        """
        size, unit = (12.0 * INCH, "ft") if self.system == "in" else (1.0, "m")
        return _joined(estimate.value / size, estimate.u95 / size, unit, 1)

    def force(self, newtons: float) -> str:
        """Write a force without decimals.

        Parameters
        ----------
        newtons : float
            The force [N]

        Returns
        -------
        str
            ``100 lbf`` or ``445 N``.
        """
        unit = self._force_unit
        number = to_unit(Dimension.FORCE, newtons, unit)
        return f"{number:.{0 if number >= 10.0 else 1}f} {unit}"

    def mass(self, kilograms: float) -> str:
        """Write a mass.

        Parameters
        ----------
        kilograms : float
            The mass [kg]

        Returns
        -------
        str
            ``118 gr`` or ``7.65 g``.
        """
        unit = self._mass_unit
        number = to_unit(Dimension.MASS, kilograms, unit)
        return f"{number:.{0 if self.system == 'in' else 2}f} {unit}"

    def rate(self, per_metre: float) -> str:
        """Write turns or wraps over length.

        Parameters
        ----------
        per_metre : float
            The rate [1/m]

        Returns
        -------
        str
            ``0.50 per in``; per 100 mm where lengths are in millimetres.
        """
        if self.system == "in":
            number, unit = per_metre * INCH, "per in"
        else:
            number, unit = per_metre * 0.1, "per 100 mm"
        return f"{number:.{2 if number < 10.0 else 0}f} {unit}"

    def duration(self, seconds: float) -> str:
        """Write a time.

        Parameters
        ----------
        seconds : float
            The time [s]

        Returns
        -------
        str
            ``20 s``, ``30 min`` or ``12 h``.
        """
        if seconds < 2.0 * _MINUTE:
            return f"{seconds:.0f} s"
        if seconds < 2.0 * _HOUR:
            return f"{seconds / _MINUTE:.0f} min"
        return f"{seconds / _HOUR:.3g} h"

    def share(self, share: float) -> str:
        """Write a share of one in per cent.

        Parameters
        ----------
        share : float
            The share [-]

        Returns
        -------
        str
            ``91 %``, one decimal below ten.
        """
        percent = 100.0 * share
        return f"{percent:.{0 if percent >= 10.0 or percent == 0.0 else 1}f} %"

    def chance(self, chance: float) -> str:
        """Write a chance in per cent; no chance is ever certain.

        Parameters
        ----------
        chance : float
            The chance [-]

        Returns
        -------
        str
            ``91 %``, ``over 99 %``, ``under 1 %``.
        """
        if chance > 0.99:
            return "over 99 %"
        return "under 1 %" if chance < 0.01 else f"{100.0 * chance:.0f} %"

    def share_estimate(self, estimate: Estimate) -> str:
        """Write a share of one with its +- in per cent.

        Parameters
        ----------
        estimate : Estimate
            The share [-]

        Returns
        -------
        str
            ``14.2 ± 1.8 %``.
        """
        return _joined(100.0 * estimate.value, 100.0 * estimate.u95, "%", 0)

    def estimate(self, estimate: Estimate) -> str:
        """Write an estimate as its unit asks: lengths as fractions, forces, masses, counts.

        Parameters
        ----------
        estimate : Estimate
            The value with its uncertainty [SI]

        Returns
        -------
        str
            ``57 1/4 ± 1/32 in``; ``no more than 42 lbf`` where the +- is more than that.
        """
        if estimate.unit == "m":
            # A prediction is written finer than a setting: it is compared, not set.
            finer = max(self.fraction, FINEST_SETTING)
            return format_estimate(estimate.value, estimate.u95, self.system, finer, pretty=True)
        size, unit = self._scale(estimate.unit)
        if estimate.unit in ("N", "kg") and _is_swamped(estimate):
            return f"no more than {_rounded_up((estimate.value + estimate.u95) * size)} {unit}"
        return _joined(estimate.value * size, estimate.u95 * size, unit, 0)

    @property
    def _force_unit(self) -> str:
        return "lbf" if self.system == "in" else "N"

    @property
    def _mass_unit(self) -> str:
        return "gr" if self.system == "in" else "g"

    def _scale(self, unit: str) -> tuple[float, str]:
        """Give the factor from SI and the unit to write."""
        if unit == "N":
            return to_unit(Dimension.FORCE, 1.0, self._force_unit), self._force_unit
        if unit == "kg":
            return to_unit(Dimension.MASS, 1.0, self._mass_unit), self._mass_unit
        if unit == "N m" and self.system == "in":
            return to_unit(Dimension.FORCE, 1.0, "lbf") / INCH, "lbf in"
        return 1.0, {"1": "", "turn": "turns"}.get(unit, unit)


def half_turns(turns: float) -> str:
    """Write a number of turns to the half.

    Parameters
    ----------
    turns : float
        Turns [turn]

    Returns
    -------
    str
        ``38 1/2``.
    """
    whole, rest = divmod(round(2.0 * turns), 2)
    if not rest:
        return f"{whole:.0f}"
    return f"{whole:.0f} 1/2" if whole else "1/2"


def as_set(text: str) -> str:
    """Write fractions so that the font sets them as fractions.

    Parameters
    ----------
    text : str
        Text with fractions such as ``57 1/4``.

    Returns
    -------
    str
        The same with the fraction slash.
    """
    return re.sub(r"(?<=[0-9])/(?=[0-9])", "\u2044", text)


# As with lengths: the same numbers are written again and again.
@lru_cache(maxsize=8192)
def _joined(value: float, half: float, unit: str, fewest: int) -> str:
    """Write value and +- to the same decimals, the +- rounded up to one or two digits."""
    digits = fewest if half <= 0.0 else _digits(half)
    if half <= 0.0:
        text = f"{value:.{_count_digits(value, fewest)}f}"
        return f"{text} {unit}".rstrip()
    step = 10.0**-digits
    # What rounding the value takes away is added, so that the written range holds the true one.
    shown = round(value, digits)
    up = math.ceil(round((half + abs(shown - value)) / step, 6)) * step
    places = max(digits, 0)
    return f"{shown:.{places}f} \u00b1 {up:.{places}f} {unit}".rstrip()


def _is_swamped(estimate: Estimate) -> bool:
    """Whether the +- is more than the value: then only the most it may be tells anything."""
    return 0.0 < estimate.value < estimate.u95


def _rounded_up(most: float) -> str:
    """Write a number rounded up to two digits."""
    places = 1 - math.floor(math.log10(most))
    shown = math.ceil(round(most * 10.0**places, 6)) / 10.0**places
    return f"{shown:.{max(1 - math.floor(math.log10(shown)), 0)}f}"


def _count_digits(value: float, fewest: int) -> int:
    """Decimals for a number without +-: none if it is whole."""
    return fewest if fewest or value == round(value) else 1


def _digits(half: float) -> int:
    """Decimals that show one digit of the +-, or two where the first is a 1 or a 2."""
    place = math.floor(math.log10(half))
    first = half / 10.0**place
    return min((1 if first < 3.0 else 0) - place, _MOST_DIGITS)
