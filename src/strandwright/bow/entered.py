"""Entered: a number given for a bow, refused by field, value, rule and remedy if it cannot be."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import GeometryError, InputError, SpecError

FloatArray = NDArray[np.float64]
Allowed = Callable[[FloatArray], NDArray[np.bool_]]


def checked(
    field: str,
    given: ArrayLike,
    allowed: Allowed,
    rule: str,
    remedy: str,
    error: type[InputError] = SpecError,
) -> FloatArray:
    """Give the numbers as an array, or refuse the first that breaks the rule.

    Parameters
    ----------
    field : str
        Where they were entered.
    given : array_like
        One number or an array of them [unit]
    allowed : callable
        Tells which numbers keep the rule; one that is not a number keeps none.
    rule : str
        What each number must satisfy.
    remedy : str
        The next act.
    error : type of InputError
        What to raise.

    Returns
    -------
    ndarray
        The same numbers [unit]

    Raises
    ------
    InputError
        Of the class asked for.
    """
    try:
        values = np.asarray(given, dtype=np.float64)
    except (TypeError, ValueError):
        raise error(field, given, f"must be a number: {rule}", remedy) from None
    kept = np.isfinite(values) & allowed(values)
    if not kept.all():
        raise error(field, float(values[~kept].flat[0]), rule, remedy)
    return values


def positive(
    field: str, given: ArrayLike, remedy: str, error: type[InputError] = SpecError
) -> FloatArray:
    """Give numbers that are all greater than zero.

    Parameters
    ----------
    field : str
        Where they were entered.
    given : array_like
        One number or an array of them [unit]
    remedy : str
        The next act if one is not.
    error : type of InputError
        What to raise.

    Returns
    -------
    ndarray
        The same numbers [unit]
    """
    return checked(field, given, lambda v: v > 0.0, "must be greater than zero", remedy, error)


def not_negative(field: str, given: ArrayLike, remedy: str) -> FloatArray:
    """Give numbers that are all zero or more.

    Parameters
    ----------
    field : str
        Where they were entered.
    given : array_like
        One number or an array of them [unit]
    remedy : str
        The next act if one is not.

    Returns
    -------
    ndarray
        The same numbers [unit]
    """
    return checked(field, given, lambda v: v >= 0.0, "must be zero or more", remedy)


def share(field: str, given: ArrayLike, remedy: str) -> FloatArray:
    """Give numbers that are shares: zero or more, less than one.

    Parameters
    ----------
    field : str
        Where they were entered.
    given : array_like
        One number or an array of them [-]
    remedy : str
        The next act if one is not.

    Returns
    -------
    ndarray
        The same numbers [-]
    """
    rule = "must be zero or more and less than one"
    return checked(field, given, lambda v: (v >= 0.0) & (v < 1.0), rule, remedy)


def point(field: str, given: ArrayLike) -> FloatArray:
    """Give points of the plane, the two coordinates along the last axis.

    Parameters
    ----------
    field : str
        Where they were entered.
    given : array_like, shape (..., 2)
        Coordinates [m]

    Returns
    -------
    ndarray, shape (..., 2)
        The same points [m]

    Raises
    ------
    GeometryError
        If a point has not two finite coordinates.
    """
    rule, remedy = "must be two finite coordinates", "give the point as (x, y)"
    values = checked(field, given, np.isfinite, rule, remedy, GeometryError)
    if values.shape[-1:] != (2,):
        raise GeometryError(field, values.shape, rule, remedy)
    return values
