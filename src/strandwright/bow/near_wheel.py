"""Near a wheel: where an energy model cannot tell what a mass on the string costs.

A weight near a wheel can make an arrow faster. That is a matter of when the energy passes to the
arrow, not of how much is stored, so an energy model can tell neither its sign nor its size.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from strandwright.bow.entered import not_negative, share
from strandwright.bow.string_mass import Item, weight_at_nock


class Verdict(StrEnum):
    """Whether an energy model can tell what an item costs."""

    TELLS = "the cost follows from where the mass sits"
    PARTLY = (
        "part of the mass sits near a wheel, where an energy model cannot tell; "
        "the truth lies between the bounds"
    )
    CANNOT_TELL = (
        "cannot tell: small weights near a wheel can gain speed dynamically, which an energy "
        "model does not see; try it over a chronograph"
    )


@dataclass(frozen=True)
class NearWheel:
    """How near a wheel, and by how much, an energy model may be wrong about a mass.

    Attributes
    ----------
    within : float
        Reach of the wheel as a share of the half string, 0 to 1 [-]
    gain : float
        Bound of the dynamic gain: a kilogram there may act as this much taken off the arrow, >= 0
        [-]
    """

    within: float
    gain: float

    def __post_init__(self) -> None:
        """Refuse a reach beyond the half string and a negative gain."""
        share("near_wheel.within", self.within, "give a share of the half string, such as 0.25")
        not_negative("near_wheel.gain", self.gain, "give 0 where no gain is thought possible")


@dataclass(frozen=True)
class WeightBounds:
    """What a kilogram of an item may weigh on the arrow.

    Attributes
    ----------
    low : float
        Least; negative where a gain of speed cannot be excluded [-]
    high : float
        Most: the energy model's own answer [-]
    verdict : Verdict
        Whether the model can tell.
    """

    low: float
    high: float
    verdict: Verdict


def weight_bounds(item: Item, near_wheel: NearWheel | None = None) -> WeightBounds:
    """Bound what a kilogram of an item weighs on the arrow.

    Parameters
    ----------
    item : Item
        The item.
    near_wheel : NearWheel or None
        Reach and bound of what cannot be told; None for a bow without wheels.

    Returns
    -------
    WeightBounds
        Equal ends where the model can tell.

    Notes
    -----
    For the part of the item within reach of a wheel the bounds go from a gain of
    ``near_wheel.gain`` to (1 - xi)^2; the part outside counts as elsewhere. Cutting an item in two
    changes no bound of the whole.
    """
    weight = item.weight
    near = 0.0 if near_wheel is None else _share_beyond(item, 1.0 - near_wheel.within)
    if near_wheel is None or near == 0.0:
        return WeightBounds(weight, weight, Verdict.TELLS)
    stop = item.start if item.stop is None else item.stop
    edge = 1.0 - near_wheel.within
    far_weight = 0.0
    if near < 1.0:
        inner = (max(item.start, -edge), min(stop, edge))
        far_weight = (1.0 - near) * float(weight_at_nock(*inner))
    verdict = Verdict.CANNOT_TELL if near == 1.0 else Verdict.PARTLY
    return WeightBounds(far_weight - near * near_wheel.gain, weight, verdict)


def _share_beyond(item: Item, edge: float) -> float:
    """Share of an item's mass that lies further from the nocking point than an edge."""
    stop = item.start if item.stop is None else item.stop
    if stop == item.start:
        return float(abs(item.start) >= edge)
    inner = max(0.0, min(stop, edge) - max(item.start, -edge))
    return 1.0 - inner / (stop - item.start)
