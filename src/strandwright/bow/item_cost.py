"""Item cost: what each thing on a string costs in arrow speed, and where that cannot be told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from strandwright.bow.entered import FloatArray, positive
from strandwright.bow.launch import Shot, ShotSpread, arrow_speed, propagated
from strandwright.bow.near_wheel import NearWheel, WeightBounds, weight_bounds
from strandwright.bow.string_mass import Item, effective_string_mass
from strandwright.errors import SpecError


@dataclass(frozen=True, eq=False)
class ItemCost:
    """What one item on the string costs in speed, everything else staying on.

    Attributes
    ----------
    item : Item
        The item.
    bounds : WeightBounds
        What a kilogram of it weighs on the arrow, and whether the model can tell.
    equivalent : float
        Mass on the arrow that costs as much by the energy model [kg]
    lost : ndarray
        Speed without it less speed with it, by the energy model [m/s]
    low, high : ndarray
        The same at the bounds; ``low`` below zero is a gain that cannot be excluded [m/s]
    per_mass : ndarray
        Slope: speed lost by each further kilogram at its place [m/s per kg]
    u : ndarray
        Standard uncertainty of ``lost`` within the energy model, first order [m/s]
    """

    item: Item
    bounds: WeightBounds
    equivalent: float
    lost: FloatArray
    low: FloatArray
    high: FloatArray
    per_mass: FloatArray
    u: FloatArray

    @property
    def statement(self) -> str:
        """Say in words whether the model can tell."""
        return str(self.bounds.verdict)


def cost_of(
    items: Sequence[Item],
    shot: Shot,
    *,
    near_wheel: NearWheel | None = None,
    spread: ShotSpread | None = None,
) -> tuple[ItemCost, ...]:
    """Speed that each item on the string costs, with all the others on.

    Parameters
    ----------
    items : sequence of Item
        What is asked about: servings, peep, silencers, loop, nock points, the string itself.
    shot : Shot
        The shot without any of them: its ``string_mass`` holds what is on the string besides.
    near_wheel : NearWheel or None
        For a bow with wheels, within what reach the model cannot tell.
    spread : ShotSpread or None
        Uncertainties of the shot's numbers.

    Returns
    -------
    tuple of ItemCost
        In the order of the items.

    Raises
    ------
    SpecError
        If two items have one name, or the gain that is thought possible near a wheel outweighs
        all that moves.

    Notes
    -----
    Exact differences: they do not add up to the cost of all together (each is taken off a string
    that carries the others), the slopes do. Small weights near a wheel can gain speed dynamically;
    an energy model cannot see that. Such items come back with the verdict ``CANNOT_TELL`` and
    bounds, and ``lost`` is then only the upper end.
    """
    names = [item.name for item in items]
    for name in names:
        if names.count(name) > 1:
            raise SpecError("items", name, "each item needs a name of its own", "rename one")
    besides = np.asarray(shot.string_mass, np.float64)
    whole = replace(shot, string_mass=besides + effective_string_mass(items))
    return tuple(_cost(item, whole, near_wheel, spread) for item in items)


def _cost(
    item: Item, whole: Shot, near_wheel: NearWheel | None, spread: ShotSpread | None
) -> ItemCost:
    """Take one item off the whole string and see what is gained."""
    bounds = weight_bounds(item, near_wheel)
    energy, mass, speed = whole.available_energy, whole.moving_mass, arrow_speed(whole)
    equivalent = item.mass * item.weight
    bare = mass - equivalent
    without = np.sqrt(2.0 * energy / bare)
    lost = _lost(without, bounds.high * item.mass / bare)
    own = item.weight * speed / (2.0 * mass)
    by_mass = speed / (2.0 * mass) - without / (2.0 * bare)
    least = bounds.low * item.mass / bare
    positive(
        f"{item.name}.mass",
        1.0 + least,
        "give a smaller bound of the gain near a wheel, or a lighter item",
    )
    return ItemCost(
        item=item,
        bounds=bounds,
        equivalent=equivalent,
        lost=lost,
        low=_lost(without, least),
        high=lost,
        per_mass=own,
        u=np.hypot(propagated(whole, spread, by_mass, lost / (2.0 * energy)), own * item.mass_u),
    )


def _lost(without: FloatArray, heavier: FloatArray) -> FloatArray:
    """Speed lost when the moving mass grows by a share of itself, without cancellation."""
    return -without * np.expm1(-0.5 * np.log1p(heavier))
