"""A bare line of known length and mass, with no job behind it: a bench check, a hanging weight."""

from __future__ import annotations

import math

import numpy as np

from strandwright.errors import SpecError
from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.planning.hearing.ear import Ear
from strandwright.planning.hearing.standing import Standing
from strandwright.reference import practice
from strandwright.units import INCH, LBF, Entered

#: Where nobody says what load is wanted, loads about this one are looked for [N]
_ABOUT = 60.0 * LBF
#: Standard uncertainties of a length and of a mass that come without one [m], [-]
_LENGTH_U, _MASS_U = INCH / 64.0, 0.005
#: No line is shorter, longer, lighter or heavier between two ends [m], [kg/m]
_SHORTEST, _LONGEST, _LIGHTEST, _HEAVIEST = 0.05, 20.0, 1e-5, 1.0


def ear_for_bare_line(length: Entered, mass: Entered, load: float | None = None) -> Ear:
    """Make the ear for a bare line of even mass that bends freely, between fixed ends.

    Parameters
    ----------
    length : Entered
        Free length, 0.05 to 20 m [m]
    mass : Entered
        Mass of that length, 0.01 to 1000 g for each metre [kg]
    load : float or None
        Load that is wanted; None looks for any from 2 to 300 lbf [N]

    Returns
    -------
    Ear
        The ear.

    Raises
    ------
    SpecError
        If length or mass is none of a line.
    """
    if not _SHORTEST <= length.si <= _LONGEST:
        rule = "must be from 0.05 to 20 m"
        raise SpecError("--length", length.text, rule, "give the length that swings")
    if not _LIGHTEST <= mass.si / length.si <= _HEAVIEST:
        rule = "must be 0.01 to 1000 g for each metre of the line"
        raise SpecError("--mass", mass.text, rule, "give the mass of that length")
    density = mass.si / length.si
    one, none = np.ones(1), np.zeros(1)
    standing = Standing(
        target=_ABOUT if load is None else load,
        length=length.si * one,
        fibre=density * one,
        thread=none,
        solid=none,
        stretch=math.inf,
        length_u=0.0,
        zero=0.0,
        free=(0.0, length.si),
        closed=True,
    )
    long_u, mass_u = length.standard_uncertainty, mass.standard_uncertainty
    jig = practice("ear.jig")
    known = [
        _log("mass", _MASS_U if mass_u is None else mass_u / mass.si, "mass of the line"),
        _log("thread", 0.0, "thread"),
        Parameter("length", 0.0, _LENGTH_U if long_u is None else long_u, unit="m",
                  label="length of the line"),
        _log("bending", 0.0, "how the line resists bending"),
        Parameter("lean", 0.0, 0.0, label="how the ends hold the line"),
        Parameter("nodes", 0.0, practice("ear.nodes").standard_uncertainty, unit="m",
                  label="where the swing ends"),
        _log("jig", jig.standard_uncertainty, "what else holds the line"),
    ]  # fmt: skip
    return Ear(standing, ParameterVector.from_parameters(known), expects=load is not None)


def _log(name: str, u: float, label: str) -> Parameter:
    return Parameter(name, 1.0, u, "log", label=label)
