r"""The ends of a sounding line: a loop on a pin, and a skein round posts.

From its throat a loop runs to the pin in two legs, each at the half angle :math:`\alpha` to the
line, each under :math:`S = T/(2\cos\alpha)`. *Along the pin* (out of the loop's plane) both swing
alike and carry the line on to where they touch. *Sideways* (in the loop's plane) the throat must
stretch one leg and slacken the other, as long as friction keeps the loop from running round the
pin: it is held there by :math:`2 (EA/l) \sin^2\alpha` on top of the legs' own pull. So the same
line sounds a little higher sideways than along.

Both are put as what goes on past the throat in the direction of the line; see
:class:`LineEnd`, and :func:`with_ends` to join it on.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.errors import InputError
from strandwright.vibration.sounding_line import SoundingLine, sounding_line

Floats = NDArray[np.float64]
_REMEDY = "check the loop's numbers"


@dataclass(frozen=True)
class LoopOnPin:
    """A loop that sits on a pin, from its throat.

    Attributes
    ----------
    leg_length : array_like, () or (batch,)
        From where the legs' middles meet on the line's axis to where a leg touches the pin, > 0
        [m].
    half_angle : array_like, () or (batch,)
        Between a leg and the line's axis, 0 to under 90 deg [rad].
    leg_mass_per_length : array_like, () or (batch,)
        Of one leg with its serving, > 0 [kg/m].
    leg_stretch_stiffness : array_like, () or (batch,)
        EA of one leg at its load, > 0 [N].
    leg_bending_stiffness : array_like, () or (batch,)
        EI of one leg, 0 if the line is taken not to bend, else over 0 [N m^2].
    post_sideways : array_like, () or (batch,)
        Force across the line that bends the post by a length, > 0; infinite for a firm one [N/m].
    post_along : array_like, () or (batch,)
        The same along the pin's axis, > 0 [N/m].
    """

    leg_length: ArrayLike
    half_angle: ArrayLike
    leg_mass_per_length: ArrayLike
    leg_stretch_stiffness: ArrayLike
    leg_bending_stiffness: ArrayLike = 0.0
    post_sideways: ArrayLike = np.inf
    post_along: ArrayLike = np.inf

    def __post_init__(self) -> None:
        """Refuse what no loop can be."""
        for name in _LEAST:
            values = np.asarray(getattr(self, name), dtype=np.float64)
            least = values >= 0.0 if name in _MAY_BE_NONE else values > 0.0
            good = least & (values < _LEAST[name])
            if name.startswith("post"):
                good = values > 0.0
            if not np.all(good):
                worst = values[~good].ravel()[0]
                rule = "must be over 0, or 0 where that has a meaning, and finite"
                raise InputError(f"loop.{name}", f"{worst:g}", rule, _REMEDY)


#: What each number of a loop must stay under.
_LEAST = {
    "leg_length": np.inf, "half_angle": 0.5 * np.pi, "leg_mass_per_length": np.inf,
    "leg_stretch_stiffness": np.inf, "leg_bending_stiffness": np.inf,
    "post_sideways": np.inf, "post_along": np.inf,
}  # fmt: skip
_MAY_BE_NONE = ("half_angle", "leg_bending_stiffness")


@dataclass(frozen=True)
class LineEnd:
    """What goes on past a throat, as a further section of the line and what sits at the throat.

    Attributes
    ----------
    length : ndarray, shape (batch,)
        Of the section, in the direction of the line [m].
    mass_per_length : ndarray, shape (batch,)
        Of the section [kg/m].
    bending_stiffness : ndarray, shape (batch,)
        EI of the section [N m^2].
    throat_weight : ndarray, shape (batch,)
        Mass felt at the throat besides [kg].
    throat_spring : ndarray, shape (batch,)
        Stiffness across that holds the throat [N/m].
    end_spring : ndarray, shape (batch,)
        Stiffness across of the section's far end; infinite where it is fixed [N/m].
    clamped : bool
        Whether the far end holds the direction of the line.
    """

    length: Floats
    mass_per_length: Floats
    bending_stiffness: Floats
    throat_weight: Floats
    throat_spring: Floats
    end_spring: Floats
    clamped: bool


def swings_along(loop: LoopOnPin, *, held: bool = True) -> LineEnd:
    """Give the end of a line that swings along the pin, out of the loop's plane.

    Parameters
    ----------
    loop : LoopOnPin
        The loop.
    held : bool
        Whether friction on the pin keeps the legs' direction, which only a line that resists
        bending feels.

    Returns
    -------
    LineEnd
        A section as long as the legs reach along the line; nothing at the throat.

    Notes
    -----
    Exact for legs that are strings or beams without resistance to twist. The load of both is
    T/cos(half angle) and their slope cos(half angle) times that along the line: as a section of
    the line, they pull with T, weigh 1/cos as much and bend cos^3 as stiffly.
    """
    long, angle, mass, _, bending, _, post = _numbers(loop)
    cosine, none = np.cos(angle), np.zeros_like(long)
    stiff = 2.0 * bending * cosine**3
    return LineEnd(long * cosine, 2.0 * mass / cosine, stiff, none, none, post, held)


def swings_sideways(
    loop: LoopOnPin, tension: ArrayLike, *, slides: bool = False, wrapped: ArrayLike = 0.0
) -> LineEnd:
    """Give the end of a line that swings sideways, in the loop's plane.

    Parameters
    ----------
    loop : LoopOnPin
        The loop.
    tension : array_like, () or (batch,)
        Of the line; it matters only where the post gives, > 0 [N]
    slides : bool
        Whether the loop runs freely round the pin; false where friction holds it.
    wrapped : array_like, () or (batch,)
        Length of the loop that lies on the pin and runs along with it if it slides, >= 0 [m]

    Returns
    -------
    LineEnd
        A section, and at the throat the spring by which one leg is stretched and the other
        slackened, and the mass that moves along the legs.

    Notes
    -----
    A leg that turns rolls on the pin: to first order it turns about where it touches, and the pin
    does not hold its direction. Exact but for waves along the legs, whose mass is taken as a third
    at the throat, as that of any spring is. A post that gives is parted between spring and
    section in the ratio of their stiffnesses, which is exact at rest; its own mass is left out.
    """
    long, angle, mass, stretch, bending, post, _ = _numbers(loop)
    pull = np.asarray(tension, dtype=np.float64)
    sine, cosine = np.sin(angle), np.cos(angle)
    legs = pull * cosine / long
    if slides:
        moving = mass * (2.0 * long + np.asarray(wrapped, dtype=np.float64))
        spring, weight = np.zeros_like(legs), moving * sine**2
    else:
        spring, weight = 2.0 * stretch / long * sine**2, 2.0 * mass * long * sine**2 / 3.0
    whole = spring + legs
    give = 1.0 / post
    return LineEnd(
        long / cosine,
        2.0 * mass * cosine**3,
        2.0 * bending / cosine,
        weight,
        spring / (1.0 + whole * give),
        post * legs / whole,
        clamped=False,
    )


def with_ends(
    body: SoundingLine, start: LineEnd | None = None, end: LineEnd | None = None
) -> SoundingLine:
    """Join ends to a line that runs from throat to throat.

    Parameters
    ----------
    body : SoundingLine
        From throat to throat; of its own ends only those are kept that nothing is joined to.
    start, end : LineEnd, optional
        What goes on past its first place and past its last.

    Returns
    -------
    SoundingLine
        With a section more for each end.
    """
    names = ("length", "mass_per_length", "bending_stiffness", "weight", "joint_spring")
    columns = {name: [np.asarray(getattr(body, name))] for name in names}
    springs, clamped = [body.end_spring[:, 0], body.end_spring[:, 1]], list(body.clamped)
    for which, part in enumerate((start, end)):
        if part is None:
            continue
        own = (part.length, part.mass_per_length, part.bending_stiffness)
        for name, value in zip(names, (*own, part.throat_weight, part.throat_spring), strict=True):
            columns[name].insert(len(columns[name]) if which else 0, value[:, None])
        springs[which], clamped[which] = part.end_spring, part.clamped
    cases = max([body.cases, *(len(s) for s in springs)])
    joined = {
        name: np.concatenate([np.broadcast_to(v, (cases, v.shape[1])) for v in parts], axis=1)
        for name, parts in columns.items()
    }
    end_spring = np.stack([np.broadcast_to(s, (cases,)) for s in springs], axis=1)
    ends = (clamped[0], clamped[1])
    tension = np.broadcast_to(body.tension, (cases,))
    return sounding_line(tension=tension, end_spring=end_spring, clamped=ends, **joined)


def _numbers(loop: LoopOnPin) -> tuple[Floats, ...]:
    """The loop's numbers in the order of its fields, each (batch,)."""
    return tuple(
        np.atleast_1d(v)
        for v in np.broadcast_arrays(
            *(np.asarray(getattr(loop, name), dtype=np.float64) for name in _LEAST)
        )
    )
