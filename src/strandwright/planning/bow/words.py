"""Words of a bow's answers: its figures by name, each written with its +-, and what may hurt."""

from __future__ import annotations

import math

from strandwright.planning.bow.aims import TUNED
from strandwright.planning.estimate import Estimate
from strandwright.planning.written import Written
from strandwright.units import Dimension, to_unit

#: Names of figures as the trade says them.
LABELS = {
    "brace_height": "brace height",
    "axle_to_axle": "axle to axle",
    "axle_to_axle_drawn": "axle to axle, drawn",
    "draw_length": "draw length",
    "draw_weight": "draw weight",
    "peak": "draw weight, peak",
    "holding": "holding weight",
    "let_off": "let-off",
    "stored_energy": "stored energy",
    "string_angle": "string angle, drawn",
    "timing": "wheels apart",
    "power_stroke": "power stroke",
    "last_force": "force at the latch",
    "centring": "centre mark of the string",
}
#: A length that is given, and differs from bow to bow by no more than rounding, has no +- [m]
_EXACT = 5e-5
#: Stands for a change that nobody could read.
NOTHING = "none"
#: SI units of the figures that are tuned.
UNITS = {name: "m" for name, _, _ in TUNED} | {"draw_weight": "N", "timing": "rad"}
CAUTION_BENT = (
    "Turns are put in and taken out with the bow unstrung: use a stringer, and stand clear of the "
    "limbs' path. Never dry fire the bow, and never draw it past what its maker allows. A low "
    "stretch string on an old or wooden bow can break its nocks. Keep to the bow maker's manual; "
    "where it says otherwise, it is right. In doubt leave it to a qualified technician."
)
CAUTION = (
    "Turns are put in and taken out with the bow in a press made for it, the string relaxed. "
    "Never dry fire the bow: draw it on a draw board first, and never past its wall. Keep to the "
    "bow maker's manual for the press, the limb bolts and the limits of the bow; where it says "
    "otherwise, it is right. In doubt leave it to a qualified technician."
)


def figure_text(name: str, value: Estimate, to: Written) -> str:
    """Write one figure of a bow with its +-.

    Parameters
    ----------
    name : str
        Which figure.
    value : Estimate
        Its value [SI]
    to : Written
        How quantities are written.

    Returns
    -------
    str
        ``60.2 ± 1.1 lbf``.
    """
    if value.unit == "rad":
        digits = 1 if name == "timing" else 0
        number, half = math.degrees(value.value), max(math.degrees(value.u95), 0.5)
        # Adding nothing takes the sign from a number that rounds to nought.
        return f"{round(number, digits) + 0.0:.{digits}f} ± {half:.{digits}f}°"
    if value.unit == "J":
        unit = "ft lbf" if to.system == "in" else "J"
        number, half = (to_unit(Dimension.ENERGY, v, unit) for v in (value.value, value.u95))
        return f"{number:.0f} ± {max(half, 1.0):.0f} {unit}"
    if name == "let_off":
        return to.share_estimate(value)
    if name == "centring":
        return sideways(to.estimate(Estimate(abs(value.value), value.u, "m")), value.value)
    if value.unit == "m" and value.u95 < _EXACT:
        return to.fine(value.value)
    return force_text(value, to) if value.unit == "N" else to.estimate(value)


def sideways(text: str, value: float) -> str:
    """Say to which side of a rail's middle a length goes.

    Parameters
    ----------
    text : str
        The length, written without its sign.
    value : float
        The same, to the right where positive [m]

    Returns
    -------
    str
        ``1/16 ± 1/32 in right``; what is written as nothing goes to neither side.
    """
    nothing = not any(digit in text.split(" ± ")[0] for digit in "123456789")
    return text if nothing else f"{text} {'right' if value > 0 else 'left'}"


def force_text(value: Estimate, to: Written) -> str:
    """Write a force with its +-.

    Parameters
    ----------
    value : Estimate
        The force [N]
    to : Written
        How quantities are written.

    Returns
    -------
    str
        ``60.2 ± 1.1 lbf``.
    """
    unit = "lbf" if to.system == "in" else "N"
    number, half = (to_unit(Dimension.FORCE, v, unit) for v in (value.value, value.u95))
    digits = 1 if half < 2 else 0
    return f"{number:.{digits}f} ± {max(half, 0.1 if digits else 1.0):.{digits}f} {unit}"


def change_text(name: str, value: float, u: float, to: Written) -> str:
    """Write a change of a figure with its sign.

    Parameters
    ----------
    name : str
        Which figure.
    value, u : float
        Its change, and the standard uncertainty of that [SI]
    to : Written
        How quantities are written.

    Returns
    -------
    str
        ``+0.004 ± 0.002 in``; a change that is nothing as written is ``none``.
    """
    if name in ("draw_weight", "peak", "holding", "last_force"):
        unit, digits = ("lbf" if to.system == "in" else "N"), 2
        number, half = (to_unit(Dimension.FORCE, v, unit) for v in (value, 2 * u))
    elif name == "timing":
        unit, digits = "°", 2
        number, half = math.degrees(value), math.degrees(2 * u)
    else:
        unit, digits = to.system, 3 if to.system == "in" else 2
        number, half = (to_unit(Dimension.LENGTH, v, unit) for v in (value, 2 * u))
    least = 10.0**-digits
    if abs(number) + half < 0.5 * least:
        return NOTHING
    half = max(half, least) if half > 0.0 else half
    if name == "centring":
        return sideways(f"{abs(number):.{digits}f} ± {half:.{digits}f} {unit}", value)
    # What rounds to nothing has no direction.
    sign = "−" if round(number, digits) < 0 else "+"
    space = "" if unit == "°" else " "
    return f"{sign}{abs(number):.{digits}f} ± {half:.{digits}f}{space}{unit}"
