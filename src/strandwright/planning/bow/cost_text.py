"""What a thing on the string costs in speed, as it is written."""

from __future__ import annotations

from strandwright.bow.item_cost import ItemCost
from strandwright.bow.near_wheel import Verdict
from strandwright.planning.written import Written
from strandwright.units import Dimension, to_unit


def lost_text(cost: ItemCost, to: Written) -> str:
    """Write what one item takes off the speed.

    Parameters
    ----------
    cost : ItemCost
        Its cost.
    to : Written
        How quantities are written.

    Returns
    -------
    str
        ``1.8 ± 0.3 ft/s``; near a wheel the bounds, for there nobody can tell.
    """
    unit = "ft/s" if to.system == "in" else "m/s"

    def per(value: float) -> float:
        return to_unit(Dimension.SPEED, value, unit)

    if cost.bounds.verdict is Verdict.TELLS:
        return f"{per(float(cost.lost)):.1f} ± {max(2 * per(float(cost.u)), 0.1):.1f} {unit}"
    low, high = per(float(cost.low)), per(float(cost.high))
    return f"cannot tell: {low:.1f} to {high:.1f} {unit}".replace("-", "−")
