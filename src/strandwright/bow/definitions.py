"""Definitions: what the standards and the literature mean by draw, let-off, fill and rating.

The numbers here define words; none is an estimate. Draw lengths are *true* ones: nocking point
to pivot point of the grip plus 1 3/4 in (:mod:`strandwright.line.standards`).

References
----------
.. [1] Archery trade association standards, Field Publication FP-3, 2000 (same text 1987).
.. [2] ASTM F1880-09, Determination of Percent of Let-Off for Archery Bows, 3.2.1 and 3.2.2.
.. [3] ASTM F1544-04 and F1544-11, Determining the Rating Velocity of an Archery Bow.
.. [4] Kooi, B. W., Journal of the Society of Archer-Antiquaries 34 (1991): quality coefficients.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import ArrayLike

from strandwright.bow.entered import FloatArray, checked, not_negative, point, positive
from strandwright.errors import GeometryError
from strandwright.line.standards import PIVOT_OFFSET, true_draw_length
from strandwright.units import GRAIN, INCH, LBF

_UPRIGHT: Final = (0.0, 1.0)


@dataclass(frozen=True)
class SpeedRating:
    """Arrow, draw weight and draw length at which a bow's speed is rated.

    Attributes
    ----------
    name : str
        What the rating is known by.
    arrow_mass : float
        Arrow [kg]
    draw_weight : float
        Peak draw weight [N]
    draw_length : float
        True draw length [m]
    source : str
        Where the numbers stand.
    """

    name: str
    arrow_mass: float
    draw_weight: float
    draw_length: float
    source: str

    @property
    def grains_per_pound(self) -> float:
        """Arrow mass over draw weight, 9 or 5 in the ratings below [gr/lbf]."""
        return (self.arrow_mass / GRAIN) / (self.draw_weight / LBF)


#: The two ratings in use: 540 gr at 60 lbf, and 350 gr at 70 lbf, both at 30 in.
SPEED_RATINGS: Final = (
    SpeedRating(
        "9 grains a pound",
        540 * GRAIN,
        60 * LBF,
        30 * INCH,
        "older rating of the trade association, as a public trade page states it; 70 lb is "
        "sometimes quoted beside 540 gr and is not it",
    ),
    SpeedRating(
        "5 grains a pound",
        350 * GRAIN,
        70 * LBF,
        30 * INCH,
        "ASTM F1544-04 and F1544-11, whose example pairs 70 lb with 350 gr",
    ),
)


def let_off_percent(peak: ArrayLike, holding: ArrayLike) -> FloatArray:
    """Percent of let-off: the share of the peak weight that is not held at full draw.

    .. math:: 100 \\, (P - H) / P

    Parameters
    ----------
    peak : array_like
        Peak draw weight, > 0 [N]
    holding : array_like
        Holding weight at full draw, 0 to peak [N]

    Returns
    -------
    ndarray
        Let-off, 0 to 100 [%]

    Raises
    ------
    SpecError
        If a peak is not positive or a holding weight does not lie between zero and it.

    Notes
    -----
    ASTM F1880 [2]_ on forces taken by ASTM F1832. The standard is said to tell an effective
    from an actual let-off; that part could not be read and is not modelled.

    Examples
    --------
    >>> float(let_off_percent(70.0, 14.0))
    80.0
    """
    top = positive("peak", peak, "give the peak draw weight")
    held = checked(
        "holding",
        holding,
        lambda v: (v >= 0.0) & (v <= top),
        "must lie between zero and the peak",
        "give the weight at the valley, on the draw side",
    )
    return 100.0 * (top - held) / top


def brace_height(pivot: ArrayLike, upper: ArrayLike, lower: ArrayLike) -> FloatArray:
    """Brace height: pivot point of the grip to the undrawn string, square to the string.

    Parameters
    ----------
    pivot : array_like, shape (..., 2)
        Pivot (low) point of the grip [m]
    upper, lower : array_like, shape (..., 2)
        Two points of the straight, undrawn string [m]

    Returns
    -------
    ndarray, shape (...)
        ASTM F1880 3.2.2 [2]_, >= 0 [m]

    Raises
    ------
    GeometryError
        If the two points of the string are one.
    """
    grip, top, bottom = point("pivot", pivot), point("upper", upper), point("lower", lower)
    return _square_distance(grip - bottom, top - bottom, "upper")


def draw_length(
    nocking_point: ArrayLike, pivot: ArrayLike, upright: ArrayLike = _UPRIGHT
) -> FloatArray:
    """True draw length: nocking point square to a vertical line through the pivot, plus 1 3/4 in.

    Parameters
    ----------
    nocking_point : array_like, shape (..., 2)
        String at the nocking point [m]
    pivot : array_like, shape (..., 2)
        Pivot (low) point of the grip [m]
    upright : array_like, shape (..., 2)
        Direction of the vertical line: the undrawn string's [m]

    Returns
    -------
    ndarray, shape (...)
        FP-3 [1]_ and ASTM F1880 3.2.1 [2]_ [m]

    Raises
    ------
    GeometryError
        If the vertical line has no direction.

    Notes
    -----
    F1880 prints a tolerance that reads as +1/4, -0 in where it could be read. A trade draw
    length to the back of the bow at the rest is another length.
    """
    way = point("nocking_point", nocking_point) - point("pivot", pivot)
    return _square_distance(way, point("upright", upright), "upright") + PIVOT_OFFSET


def zero_force_draw(brace_height: float) -> float:
    """True draw length at which a force-draw table starts from zero force.

    Parameters
    ----------
    brace_height : float
        Pivot point to undrawn string, > 0 [m]

    Returns
    -------
    float
        Brace height plus 1 3/4 in [m]

    Raises
    ------
    GeometryError
        If the brace height is not positive.

    Examples
    --------
    >>> round(zero_force_draw(7.25 * 0.0254) / 0.0254, 9)
    9.0
    """
    positive("brace_height", brace_height, "measure it at rest", GeometryError)
    return true_draw_length(brace_height)


def fill_factor(energy: ArrayLike, force: ArrayLike, stroke: ArrayLike) -> FloatArray:
    """Fill of a force-draw curve: stored energy over the rectangle of force and stroke.

    Parameters
    ----------
    energy : array_like
        Stored between brace and full draw, >= 0 [J]
    force : array_like
        Draw force: at full draw of a recurve, at the peak of a compound; > 0 [N]
    stroke : array_like
        Travel of the nocking point from brace to full draw, > 0 [m]

    Returns
    -------
    ndarray
        W / (F s); 0.5 for a straight line [-]

    Raises
    ------
    SpecError
        If force or stroke is not positive, or the energy negative.
    """
    stored = not_negative("energy", energy, "give the area under the force-draw curve")
    rectangle = positive("force", force, "give the draw force") * positive(
        "stroke", stroke, "give the travel of the nocking point"
    )
    return stored / rectangle


def static_quality(energy: ArrayLike, force: ArrayLike, grip_to_string: ArrayLike) -> FloatArray:
    """Kooi's static quality: stored energy over force and grip-to-string distance at full draw.

    Parameters
    ----------
    energy : array_like
        Stored between brace and full draw, >= 0 [J]
    force : array_like
        Draw force at full draw, > 0 [N]
    grip_to_string : array_like
        Distance :math:`|OD|` from grip to string at full draw, brace height and stroke; > 0 [m]

    Returns
    -------
    ndarray
        q = W / (F |OD|) [-]

    Raises
    ------
    SpecError
        If force or distance is not positive, or the energy negative.

    Notes
    -----
    As defined in [4]_. Not the fill factor: the distance counts from the grip, the stroke from
    the braced string.
    """
    return fill_factor(
        energy, force, positive("grip_to_string", grip_to_string, "add brace height and stroke")
    )


def kinetic_energy(mass: ArrayLike, speed: ArrayLike) -> FloatArray:
    """Kinetic energy of an arrow.

    Parameters
    ----------
    mass : array_like
        Arrow, >= 0 [kg]
    speed : array_like
        Arrow speed, >= 0 [m/s]

    Returns
    -------
    ndarray
        m v^2 / 2 [J]

    Raises
    ------
    SpecError
        If mass or speed is negative.

    Notes
    -----
    With the exact grain, foot and pound-force, grains times (ft/s)^2 over 450 436.7 are ft lbf.
    The trade's divisor 450 240 takes gravity as 32.16 ft/s^2 and reads 0.044 % higher.
    """
    weighed = not_negative("mass", mass, "weigh the arrow")
    return 0.5 * weighed * not_negative("speed", speed, "give the speed without a sign") ** 2


def _square_distance(way: FloatArray, along: FloatArray, field: str) -> FloatArray:
    """Length of the part of a way that is square to a direction."""
    length = np.hypot(along[..., 0], along[..., 1])
    if not np.all(length > 0.0):
        rule = "the line must have a direction"
        raise GeometryError(field, along.tolist(), rule, "give two different points of it")
    return np.abs(way[..., 0] * along[..., 1] - way[..., 1] * along[..., 0]) / length
