r"""A sounding line: lengths of one mass and stiffness after another, weights where they meet.

It swings across itself between two ends,

.. math:: (EI w'')'' - (T w')' = \omega^2 \mu w,

each end held by a spring against moving across, and either free to lean or clamped; a spring may
hold it where sections meet, too. Every number may be one for all cases or one for each, cases
first.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError

Floats = NDArray[np.float64]
_REMEDY = "check the line's numbers"


@dataclass(frozen=True)
class SoundingLine:
    """A taut line, for one case or a batch of them.

    Attributes
    ----------
    length : ndarray, shape (batch, sections)
        Of each section, from the tangent point of one end to that of the other, > 0 [m].
    mass_per_length : ndarray, shape (batch, sections)
        Of each section, > 0 [kg/m].
    tension : ndarray, shape (batch,)
        Along the line, > 0 [N].
    bending_stiffness : ndarray, shape (batch, sections)
        EI of each section, all of them 0 or all over 0 [N m^2].
    weight : ndarray, shape (batch, sections - 1)
        Mass of what sits where two sections meet, >= 0 [kg].
    joint_spring : ndarray, shape (batch, sections - 1)
        Force across for each length the line moves where two sections meet, >= 0 [N/m].
    end_spring : ndarray, shape (batch, 2)
        Force across for each length the start and the end give, > 0; infinite for a fixed end
        [N/m].
    clamped : (bool, bool)
        Whether start and end hold the line's direction, which only a line with bending
        stiffness feels.
    """

    length: Floats
    mass_per_length: Floats
    tension: Floats
    bending_stiffness: Floats
    weight: Floats
    joint_spring: Floats
    end_spring: Floats
    clamped: tuple[bool, bool] = (False, False)

    @property
    def cases(self) -> int:
        """How many cases [-]."""
        return len(self.tension)

    @property
    def stiff(self) -> bool:
        """Whether it resists bending."""
        return bool(np.any(self.bending_stiffness > 0.0))


def sounding_line(
    length: ArrayLike,
    mass_per_length: ArrayLike,
    tension: ArrayLike,
    *,
    bending_stiffness: ArrayLike = 0.0,
    weight: ArrayLike = 0.0,
    joint_spring: ArrayLike = 0.0,
    end_spring: ArrayLike = np.inf,
    clamped: tuple[bool, bool] = (False, False),
) -> SoundingLine:
    """Make a sounding line of numbers that are one for all or one for each.

    Parameters
    ----------
    length : array_like, () or (sections,) or (batch, sections)
        Of each section, > 0 [m]
    mass_per_length : array_like, () or (sections,) or (batch, sections)
        Of each section, > 0 [kg/m]
    tension : array_like, () or (batch,)
        Along the line, > 0 [N]
    bending_stiffness : array_like, () or (sections,) or (batch, sections)
        EI of each section, all 0 or all over 0 [N m^2]
    weight : array_like, () or (sections - 1,) or (batch, sections - 1)
        Masses where sections meet, >= 0 [kg]
    joint_spring : array_like, () or (sections - 1,) or (batch, sections - 1)
        Stiffness across of what holds the line where sections meet, >= 0 [N/m]
    end_spring : array_like, () or (2,) or (batch, 2)
        Stiffness of start and end across the line, > 0 [N/m]
    clamped : (bool, bool)
        Whether start and end hold the line's direction.

    Returns
    -------
    SoundingLine
        With all arrays of one batch.

    Raises
    ------
    InputError
        If a number is out of its range, or only some sections resist bending.
    """
    parts = [np.atleast_1d(np.asarray(v, dtype=np.float64)) for v in (length, mass_per_length)]
    parts.append(np.atleast_1d(np.asarray(bending_stiffness, dtype=np.float64)))
    pull = np.atleast_1d(np.asarray(tension, dtype=np.float64))
    shape = np.broadcast_shapes(*(p.shape for p in parts))
    sections = shape[-1]
    batch = np.broadcast_shapes(shape[:-1], pull.shape)
    long, mass, bending = (np.array(np.broadcast_to(p, (*batch, sections))) for p in parts)
    line = SoundingLine(
        long,
        mass,
        np.array(np.broadcast_to(pull, batch)),
        bending,
        np.array(np.broadcast_to(np.asarray(weight, np.float64), (*batch, sections - 1))),
        np.array(np.broadcast_to(np.asarray(joint_spring, np.float64), (*batch, sections - 1))),
        np.array(np.broadcast_to(np.asarray(end_spring, np.float64), (*batch, 2))),
        clamped,
    )
    _check(line)
    return line


def _check(line: SoundingLine) -> None:
    unit = {"length": "m", "mass_per_length": "kg/m", "tension": "N", "end_spring": "N/m"}
    for field in fields(line):
        values = getattr(line, field.name)
        if field.name == "clamped":
            continue
        strict = field.name in unit
        endless = field.name == "end_spring"
        good = (values > 0.0) if strict else (values >= 0.0)
        good &= ~np.isnan(values) if endless else np.isfinite(values)
        if not np.all(good):
            worst = values[~good].ravel()[0]
            rule = f"must be over 0 {unit[field.name]}" if strict else "must be 0 or more"
            raise InputError(f"line.{field.name}", f"{worst:g}", f"{rule} and finite", _REMEDY)
    some = line.bending_stiffness > 0.0
    if np.any(some) and not np.all(some):
        rule = "must be over 0 for every section or for none"
        raise InputError("line.bending_stiffness", "0 for some", rule, _REMEDY)
