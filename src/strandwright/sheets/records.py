"""Numbers of a sheet: each is a typed record, so that a test can find every one on the paper.

A record is ``{"kind", "text", "si", "unit"}`` and, where it is a value, ``"u"``: its standard
uncertainty. ``kind`` says what the number is for: a *value* with its +-, a *count*, a *setting*
to be made, an *identifier*, a *tolerance* to judge by, or a *caution limit*.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Literal

from strandwright.planning.estimate import Estimate
from strandwright.planning.written import Written
from strandwright.units import FOOT, INCH, format_length, format_length_decimal, format_plus_minus

Record = dict[str, Any]
Kind = Literal["value", "count", "setting", "identifier", "tolerance", "caution limit"]

_MINUS = "\u2212"


def record(kind: Kind, text: str, si: float | str, unit: str, u: float | None = None) -> Record:
    """Make the record of one number.

    Parameters
    ----------
    kind : str
        What it is for.
    text : str
        As it is printed.
    si : float or str
        Its value in SI; the text itself for an identifier [unit]
    unit : str
        SI unit, ``1`` for a pure number, empty for an identifier.
    u : float or None
        Standard uncertainty of a value [unit]

    Returns
    -------
    dict
        The record.
    """
    # A minus that a line break could part from its figure, or that reads as a hyphen, misleads.
    printed = _MINUS + text[1:] if text.startswith("-") else text
    found: Record = {"kind": kind, "text": printed, "si": si, "unit": unit}
    return found if u is None else found | {"u": u}


def identifier(text: str) -> Record:
    """Give the record of a name that contains figures but measures nothing.

    Parameters
    ----------
    text : str
        The name.

    Returns
    -------
    dict
        The record.
    """
    return record("identifier", text, text, "") | {"text": text}


def count(number: float, noun: str = "") -> Record:
    """Give the record of a whole or half number of things.

    Parameters
    ----------
    number : float
        How many; rounded to a half [-]
    noun : str
        What is counted, in the singular, if it is to be written.

    Returns
    -------
    dict
        The record.
    """
    whole, half = divmod(round(2.0 * number), 2)
    text = f"{whole} 1/2" if half and whole else "1/2" if half else f"{whole}"
    if noun:
        text += f" {noun}" if 2 * whole + half <= 2 and number > 0 else f" {_plural(noun)}"
    return record("count", text, number, "1")


def _plural(noun: str) -> str:
    """Add the s, or the es of passes."""
    return noun + ("es" if noun.endswith("s") else "s")


@dataclass(frozen=True)
class Pen:
    """Writes quantities as this job's paper wants them.

    Attributes
    ----------
    written : Written
        How a plan's quantities are written everywhere.
    """

    written: Written

    @property
    def is_inches(self) -> bool:
        """Whether lengths are in inches."""
        return self.written.system == "in"

    def length(self, metres: float, kind: Kind = "setting") -> Record:
        """Write a length to the tape's fraction.

        Parameters
        ----------
        metres : float
            The length [m]
        kind : str
            What it is for.

        Returns
        -------
        dict
            The record.
        """
        return record(kind, self.written.length(metres), metres, "m")

    def estimate(self, found: Estimate) -> Record:
        """Write a value with its +- as its unit asks.

        Parameters
        ----------
        found : Estimate
            The value [unit]

        Returns
        -------
        dict
            The record.
        """
        return record("value", self.written.estimate(found), found.value, found.unit, found.u)

    def small(self, found: Estimate) -> Record:
        """Write a small length with its +-, such as a diameter.

        Parameters
        ----------
        found : Estimate
            The length [m]

        Returns
        -------
        dict
            The record.
        """
        return record("value", self.written.small_estimate(found), found.value, "m", found.u)

    def size(self, metres: float, kind: Kind = "setting") -> Record:
        """Write a small length without +-.

        Parameters
        ----------
        metres : float
            The length [m]
        kind : str
            What it is for.

        Returns
        -------
        dict
            The record.
        """
        return record(kind, self.written.small(metres), metres, "m")

    def force(self, newtons: float, kind: Kind = "setting") -> Record:
        """Write a load without +-.

        Parameters
        ----------
        newtons : float
            The load [N]
        kind : str
            What it is for.

        Returns
        -------
        dict
            The record.
        """
        return record(kind, self.written.force(newtons), newtons, "N")

    def share(self, share: float, kind: Kind = "setting") -> Record:
        """Write a share of one in per cent.

        Parameters
        ----------
        share : float
            The share [-]
        kind : str
            What it is for.

        Returns
        -------
        dict
            The record.
        """
        return record(kind, self.written.share(share), share, "1")

    def share_estimate(self, found: Estimate) -> Record:
        """Write a share of one with its +- in per cent.

        Parameters
        ----------
        found : Estimate
            The share [-]

        Returns
        -------
        dict
            The record.
        """
        return record("value", self.written.share_estimate(found), found.value, "1", found.u)

    def within(self, metres: float, kind: Kind = "tolerance") -> Record:
        """Write a half-width with its sign, rounded up where it cannot be written exactly.

        Parameters
        ----------
        metres : float
            The half-width, >= 0 [m]
        kind : str
            What it is for.

        Returns
        -------
        dict
            The record.
        """
        system = self.written.system
        return record(kind, f"\u00b1 {format_plus_minus(metres, system)} {system}", metres, "m")

    def limit(self, metres: float, inwards: bool) -> Record:
        """Write a limit to judge by, rounded so that rounding never favours acceptance.

        Parameters
        ----------
        metres : float
            The limit's size, >= 0 [m]
        inwards : bool
            True to round down, for an acceptance limit; False to round up.

        Returns
        -------
        dict
            The record, to 1/64 in or 0.1 mm, and below that to 0.001 in or 0.01 mm.
        """
        coarse, fine = (INCH / 64.0, INCH / 1000.0) if self.is_inches else (1e-4, 1e-5)
        step = coarse if metres >= coarse else fine
        steps = metres / step
        rounded = step * (math.floor(steps + 1e-6) if inwards else math.ceil(steps - 1e-6))
        if step == coarse:
            text = format_length(rounded, system=self.written.system, fraction=64)
        else:
            digits = 3 if self.is_inches else 2
            text = format_length_decimal(rounded, self.written.system, digits)
        return record("tolerance", text, metres, "m")

    def thread(self, found: Estimate) -> Record:
        """Write a length to cut or to have on the spool, rounded up, in feet or metres.

        Parameters
        ----------
        found : Estimate
            The length; its +- is added before rounding up [m]

        Returns
        -------
        dict
            The record.
        """
        size, unit = (FOOT, "ft") if self.is_inches else (1.0, "m")
        digits = 0 if self.is_inches else 1
        most = (found.value + found.u95) / size
        shown = math.ceil(most * 10**digits - 1e-9) / 10**digits
        return record("value", f"{shown:.{digits}f} {unit}", found.value, "m", found.u)
