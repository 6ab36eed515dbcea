"""Length standards: what a length, a label, a draw length and a let-off mean.

Definitions of the archery trade association's Field Publication FP-3 (2000) and of ASTM
F1880-09. The numbers here define words; they are not estimates.
"""

from __future__ import annotations

import math
from typing import Final

from strandwright.errors import GeometryError, SpecError
from strandwright.units import INCH, LBF

MEASURING_PIN_DIAMETER: Final = 0.25 * INCH
MEASURING_LOAD: Final = 100.0 * LBF
LIGHT_MEASURING_LOAD: Final = 50.0 * LBF
LIGHT_BOW_BELOW: Final = 40.0 * LBF
MEASURING_DWELL: Final = 20.0
BOW_LENGTH_ALLOWANCE: Final = 3.0 * INCH
PIVOT_OFFSET: Final = 1.75 * INCH


def measuring_load(draw_weight: float) -> float:
    """Load under which the lines of a bow are measured.

    Parameters
    ----------
    draw_weight : float
        Peak draw weight, > 0 [N]

    Returns
    -------
    float
        100 lbf for bows of 40 lbf and over, 50 lbf for lighter ones [N]

    Raises
    ------
    SpecError
        If the draw weight is not positive.

    Notes
    -----
    The light load has one source, which says "over" and "under" 40 lb; a bow of exactly 40 lbf
    is given the usual load here.
    """
    bad = not draw_weight > 0.0
    _refuse(bad, SpecError, "draw_weight", draw_weight, "give the peak draw weight")
    return LIGHT_MEASURING_LOAD if draw_weight < LIGHT_BOW_BELOW else MEASURING_LOAD


def string_length(bow_length: float, allowance: float = BOW_LENGTH_ALLOWANCE) -> float:
    """Length of the string that a bow length on a label stands for (recurve and longbow).

    Parameters
    ----------
    bow_length : float
        Bow length as labelled, > allowance [m]
    allowance : float
        Bow length less string length; 3 in by the standard, 3 to 4 in in the trade [m]

    Returns
    -------
    float
        Outside to outside over the measuring pins at the measuring load [m]

    Raises
    ------
    GeometryError
        If nothing is left.

    Examples
    --------
    FP-3 prints 63 in for a 66 in bow:

    >>> round(string_length(66 * 0.0254) / 0.0254, 6)
    63.0
    """
    nothing_left = not bow_length > allowance
    _refuse(nothing_left, GeometryError, "bow_length", bow_length, "check label and allowance")
    return bow_length - allowance


def bow_length(string_length: float, allowance: float = BOW_LENGTH_ALLOWANCE) -> float:
    """Bow length to print on the label of a string; undoes :func:`string_length`.

    Parameters
    ----------
    string_length : float
        Outside to outside over the measuring pins at the measuring load, > 0 [m]
    allowance : float
        Bow length less string length [m]

    Returns
    -------
    float
        Bow length for the label [m]

    Raises
    ------
    GeometryError
        If the string length is not positive.
    """
    bad = not string_length > 0.0
    _refuse(bad, GeometryError, "string_length", string_length, "measure it again")
    return string_length + allowance


def outside_length(centre_distance: float, pin_diameter: float = MEASURING_PIN_DIAMETER) -> float:
    """Length from outside of pin to outside of pin, from the distance of the pins' centres.

    Parameters
    ----------
    centre_distance : float
        Between the pins' centres, > pin_diameter [m]
    pin_diameter : float
        Of both pins, > 0 [m]

    Returns
    -------
    float
        L_oo = L_cc + d [m]

    Raises
    ------
    GeometryError
        If a pin has no diameter or the pins touch.
    """
    _check_pins(centre_distance, pin_diameter)
    return centre_distance + pin_diameter


def centre_distance(outside_length: float, pin_diameter: float = MEASURING_PIN_DIAMETER) -> float:
    """Distance of the pins' centres, from the length outside to outside.

    Parameters
    ----------
    outside_length : float
        Outside of pin to outside of pin, > 2 pin_diameter [m]
    pin_diameter : float
        Of both pins, > 0 [m]

    Returns
    -------
    float
        L_cc = L_oo - d [m]

    Raises
    ------
    GeometryError
        If a pin has no diameter or the pins touch.
    """
    between_centres = outside_length - pin_diameter
    _check_pins(between_centres, pin_diameter)
    return between_centres


def bare_loop_perimeter(
    outside_length: float, pin_diameter: float = MEASURING_PIN_DIAMETER
) -> float:
    """Inside perimeter of a bare endless loop stretched round two equal pins.

    Parameters
    ----------
    outside_length : float
        Outside of pin to outside of pin, > 2 pin_diameter [m]
    pin_diameter : float
        Of both pins, > 0 [m]

    Returns
    -------
    float
        P = 2 L_cc + pi d [m]

    Raises
    ------
    GeometryError
        If a pin has no diameter or the pins touch.

    Notes
    -----
    For a loop with no servings, which lies on the pin as a belt does. A served loop is a closed
    eye and reads differently. Strand thickness is left out, as the perimeter is the inside one.
    """
    return 2.0 * centre_distance(outside_length, pin_diameter) + math.pi * pin_diameter


def bare_loop_reading_change(from_diameter: float, to_diameter: float) -> float:
    """Change in the outside length of a bare endless loop when both pins are changed.

    Parameters
    ----------
    from_diameter : float
        Of the pins it was read on, > 0 [m]
    to_diameter : float
        Of the pins it is to be read on, > 0 [m]

    Returns
    -------
    float
        -(pi/2 - 1) (to - from), negative when thicker pins make it read shorter [m]

    Raises
    ------
    GeometryError
        If a pin has no diameter.

    Notes
    -----
    At fixed perimeter and load. Not for served loops, whose eyes read shorter still.
    """
    for diameter in (from_diameter, to_diameter):
        bad = not diameter > 0.0
        _refuse(bad, GeometryError, "pin_diameter", diameter, "measure the pin")
    return (1.0 - math.pi / 2.0) * (to_diameter - from_diameter)


def true_draw_length(pivot_distance: float) -> float:
    """True draw length from the distance of nocking point and pivot point of the grip.

    Parameters
    ----------
    pivot_distance : float
        Nocking point to pivot (low) point of the grip, square to the string, > 0 [m]

    Returns
    -------
    float
        That distance plus 1 3/4 in [m]

    Raises
    ------
    GeometryError
        If the distance is not positive.

    Notes
    -----
    At brace the distance is the brace height, so the row of zero force in a force-draw table
    kept in true draw length stands at brace height plus 1 3/4 in.

    Examples
    --------
    FP-3 prints 26 1/4 + 1 3/4 = 28 in:

    >>> round(true_draw_length(26.25 * 0.0254) / 0.0254, 6)
    28.0
    """
    bad = not pivot_distance > 0.0
    _refuse(bad, GeometryError, "pivot_distance", pivot_distance, "measure it again")
    return pivot_distance + PIVOT_OFFSET


def pivot_distance(true_draw_length: float) -> float:
    """Distance of nocking point and pivot point, from the true draw length.

    Parameters
    ----------
    true_draw_length : float
        True draw length, > 1 3/4 in [m]

    Returns
    -------
    float
        Nocking point to pivot point of the grip [m]

    Raises
    ------
    GeometryError
        If nothing is left.
    """
    nothing_left = not true_draw_length > PIVOT_OFFSET
    remedy = "check which draw length it is"
    _refuse(nothing_left, GeometryError, "true_draw_length", true_draw_length, remedy)
    return true_draw_length - PIVOT_OFFSET


def let_off(peak: float, holding: float) -> float:
    """Let-off of a bow: the share of the peak weight that is not held at full draw.

    Parameters
    ----------
    peak : float
        Peak draw weight, > 0 [N]
    holding : float
        Holding weight, 0 to peak [N]

    Returns
    -------
    float
        (peak - holding) / peak, 0 to 1 [-]

    Raises
    ------
    SpecError
        If the weights are not in that order.

    Examples
    --------
    >>> round(let_off(70.0, 14.0), 6)
    0.8
    """
    _refuse(not peak > 0.0, SpecError, "peak", peak, "give the peak draw weight")
    wrong = not 0.0 <= holding <= peak
    _refuse(wrong, SpecError, "holding", holding, "give a holding weight from zero to the peak")
    return (peak - holding) / peak


def _check_pins(between_centres: float, pin_diameter: float) -> None:
    """Refuse pins without diameter and pins that touch."""
    bad = not pin_diameter > 0.0
    _refuse(bad, GeometryError, "pin_diameter", pin_diameter, "measure the pin")
    touching = not between_centres > pin_diameter
    _refuse(touching, GeometryError, "length", between_centres, "set the pins further apart")


_RULES: Final = {
    "draw_weight": "must be greater than zero",
    "bow_length": "must be greater than the allowance",
    "string_length": "must be greater than zero",
    "pin_diameter": "must be greater than zero",
    "length": "the pins' centres must be further apart than one pin diameter",
    "pivot_distance": "must be greater than zero",
    "true_draw_length": "must be greater than 1 3/4 in",
    "peak": "must be greater than zero",
    "holding": "must lie between zero and the peak",
}


def _refuse(
    broken: bool, error: type[GeometryError | SpecError], field: str, given: float, remedy: str
) -> None:
    """Raise the error if its rule is broken; a NaN breaks every rule."""
    if broken:
        raise error(field, given, _RULES[field], remedy)
