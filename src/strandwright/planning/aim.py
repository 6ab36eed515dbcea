"""Aim: settings from which the line comes to length on the average, and can be corrected.

The unknowns at their means do not give the mean of the length: it bends with them. So the build
is predicted with its spread, and posts and turns are chosen again for what that says. A skein
that could come out too short before any turn is wound longer, for turns only ever shorten it.
"""

from __future__ import annotations

from strandwright.numerics.propagation import Propagation
from strandwright.planning.forecast import Taught, forecast
from strandwright.planning.predict import predict_length
from strandwright.planning.prepare import Prepared, at_mean
from strandwright.planning.settings import Aim, Chosen, choose_settings, wanted_turns


def aimed(prepared: Prepared, chosen: Chosen, taught: Taught | None = None) -> Chosen:
    """Choose settings again for the mean of the finished length.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    chosen : Chosen
        Settings chosen for the means of the unknowns.
    taught : Taught or None
        Readings of the build; None where there are none.

    Returns
    -------
    Chosen
        The settings, with their aim.

    Raises
    ------
    SpecError
        If a given post setting cannot be brought to length by any turns.
    """
    spread = forecast(prepared, chosen.settings, taught, predict_length)
    aim = find_aim(prepared, chosen, spread)
    return choose_settings(prepared, at_mean(prepared.parameters), chosen, aim)


def find_aim(prepared: Prepared, chosen: Chosen, spread: Propagation) -> Aim:
    """Give what is to be aimed off for.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    chosen : Chosen
        The settings the build was predicted by.
    spread : Propagation
        The predicted build.

    Returns
    -------
    Aim
        The aim; none where no turns are wanted.
    """
    if wanted_turns(prepared) == 0.0:
        return Aim()
    row = spread.index("finished")
    rounded = chosen.settings.turns - chosen.exact_turns
    at_exact = spread.mean[row] - rounded * spread.mean[spread.index("turn_effect")]
    ahead = float(at_exact) - prepared.model.line.length
    return Aim(ahead, float(spread.second_order[row]))
