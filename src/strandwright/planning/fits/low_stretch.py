"""Low stretch: whether a bow was made for a string that hardly gives, told from age and limbs."""

from __future__ import annotations

from strandwright.reference.stops import LOW_STRETCH, stop
from strandwright.workshop.parts import Bow


def why_polyester(bow: Bow) -> str:
    """Say why a bow is to have a polyester string.

    Parameters
    ----------
    bow : Bow
        What is known of it.

    Returns
    -------
    str
        The reason, to follow *because*; empty where there is none. What its maker says goes
        before its age and its limbs.
    """
    if bow.takes_low_stretch is not None:
        return "" if bow.takes_low_stretch else "its maker does not allow a low-stretch string"
    year = stop(LOW_STRETCH).before_year
    if bow.limbs == "wood":
        return "its limbs are of wood"
    if bow.year is not None and year is not None and bow.year < year:
        return f"it was made in {bow.year}, before low-stretch strings were usual"
    return "it is old or wooden" if bow.old_or_wooden else ""


def is_too_stiff(bow: Bow, fibre: str) -> bool:
    """Tell whether a fibre is too stiff for a bow.

    Parameters
    ----------
    bow : Bow
        What is known of it.
    fibre : str
        Chemistry of the strand.

    Returns
    -------
    bool
        True for every fibre but polyester on a bow that is to have that.
    """
    return fibre != "polyester" and why_polyester(bow) != ""
