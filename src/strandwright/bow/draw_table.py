"""Draw table: force against draw as measured or computed, its energy and its hysteresis.

Tables run along the last axis, so that a batch of bows is a table of shape (n, rows).

References
----------
.. [1] ASTM F1832-07(2017), Determining the Force-Draw and Let-Down Curves for Archery Bows.
"""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from strandwright.bow.definitions import zero_force_draw
from strandwright.bow.entered import FloatArray, checked
from strandwright.errors import SpecError

Rule = Literal["trapezoid", "smooth"]


def with_zero_row(
    draw: ArrayLike, force: ArrayLike, brace_height: float
) -> tuple[FloatArray, FloatArray]:
    """Put the row of zero force in front of a table that starts above it.

    Parameters
    ----------
    draw : array_like, shape (rows,)
        True draw lengths, rising [m]
    force : array_like, shape (rows,)
        Draw force [N]
    brace_height : float
        Pivot point to undrawn string, > 0 [m]

    Returns
    -------
    tuple of ndarray
        Draw [m] and force [N], the first row at brace height plus 1 3/4 in and without force.

    Raises
    ------
    SpecError
        If the table starts below that draw, or has force at it.
    """
    at, pull = _table(draw, force)
    zero = zero_force_draw(brace_height)
    if at[0] > zero:
        return np.concatenate([[zero], at]), np.concatenate([[0.0], pull])
    if at[0] < zero or pull[0] != 0.0:
        raise SpecError(
            "draw",
            (float(at[0]), float(pull[0])),
            f"a bow of this brace height has zero force at a true draw of {zero:.4f} m",
            "check the brace height and which draw length the table is in",
        )
    return at, pull


def stored_energy(draw: ArrayLike, force: ArrayLike, rule: Rule = "trapezoid") -> FloatArray:
    """Energy under a force-draw table.

    Parameters
    ----------
    draw : array_like, shape (..., rows)
        Draw in any convention, rising [m]
    force : array_like, shape (..., rows)
        Draw force, >= 0 [N]
    rule : {"trapezoid", "smooth"}
        Straight between rows, as the standard [1]_ takes readings not more than 1 in apart; or
        by cubics, for rows of a smooth curve such as a solver gives.

    Returns
    -------
    ndarray, shape (...)
        Area under the curve [J]

    Raises
    ------
    SpecError
        If the table has under two rows, does not rise in draw, or has a negative force.

    Notes
    -----
    ``smooth`` adds :math:`h^2 (f'_0 - f'_1) / 12` to each trapezoid, the slopes from parabolas
    through three rows (fourth order for even rows, exact for a cubic). It needs three rows and
    no corner between them: split the table where the force has one, such as at a draw stop.
    """
    at, pull = _table(draw, force)
    area = np.sum(0.5 * np.diff(at) * (pull[..., 1:] + pull[..., :-1]), axis=-1)
    if rule == "trapezoid" or at.shape[-1] == 2:
        return area
    slope = _slopes(at, pull)
    return area + np.sum(np.diff(at) ** 2 * (slope[..., :-1] - slope[..., 1:]), axis=-1) / 12.0


def hysteresis(drawing: ArrayLike, letting_down: ArrayLike) -> FloatArray:
    """Share of the energy of the draw that does not come back when the bow is let down slowly.

    Parameters
    ----------
    drawing : array_like
        Area under the draw curve, > 0 [J]
    letting_down : array_like
        Area under the let-down curve, 0 to that of the draw [J]

    Returns
    -------
    ndarray
        (draw area - let-down area) / draw area, 0 to 1 [-]

    Raises
    ------
    SpecError
        If the areas are not in that order.

    Notes
    -----
    ASTM F1832 [1]_ calls the difference of the areas hysteresis; here it is a share of the draw.
    Under 1 % was measured on laminated recurve bows; 10 to 20 % is told of bows with cables.
    """
    up = checked(
        "drawing", drawing, lambda v: v > 0.0, "must be greater than zero", "draw the bow again"
    )
    down = checked(
        "letting_down",
        letting_down,
        lambda v: (v >= 0.0) & (v <= up),
        "must lie between zero and the area of the draw",
        "check that the two curves are not exchanged, and the scale's zero",
    )
    return (up - down) / up


def _table(draw: ArrayLike, force: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Give a table of at least two rows that rise in draw and do not push."""
    remedy = "read the force again from brace to full draw"
    at = checked("draw", draw, np.isfinite, "must be finite lengths", remedy)
    pull = checked("force", force, lambda v: v >= 0.0, "must be zero or more", remedy)
    if at.ndim == 0 or pull.ndim == 0 or at.shape[-1] < 2 or pull.shape[-1] != at.shape[-1]:
        rule = "draw and force must have the same rows, two or more"
        raise SpecError("draw", (at.shape, pull.shape), rule, remedy)
    steps = np.diff(at)
    if not np.all(steps > 0.0):
        worst = float(steps[steps <= 0.0].flat[0])
        raise SpecError("draw", worst, "each row's draw must be greater than the last", remedy)
    return at, pull


def _slopes(at: FloatArray, pull: FloatArray) -> FloatArray:
    """Slopes at the rows of parabolas through three neighbours, one-sided at the ends."""
    step = np.diff(at)
    chord = np.diff(pull) / step
    before, after = step[..., :-1], step[..., 1:]
    inner = (after * chord[..., :-1] + before * chord[..., 1:]) / (before + after)
    first = 2.0 * chord[..., :1] - inner[..., :1]
    last = 2.0 * chord[..., -1:] - inner[..., -1:]
    return np.concatenate([first, inner, last], axis=-1)
