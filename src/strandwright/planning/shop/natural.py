"""Natural units: what a shop found of an unknown, in the unit of the thing and in its words."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from strandwright.numerics.parameters import ParameterVector
from strandwright.planning.estimate import Estimate
from strandwright.planning.written import Written
from strandwright.units import INCH

Kind = Literal["part", "points", "force", "length", "rate", "layers"]

_YARD = 36.0 * INCH
#: What the tables know worse than this is told as a factor [-]
_WIDE = 0.2


@dataclass(frozen=True)
class Saying:
    """How a difference of one unknown from the tables is told.

    Attributes
    ----------
    kind : str
        ``part`` of the table's value, ``points`` of a share, ``force``, ``length``, ``rate`` over
        a yard or metre, ``layers``.
    more, less : str
        What stands behind the number where the unknown is larger, and where it is smaller.
    look_at : str
        What is looked at first where a build is far off in it; common practice, no source.
    """

    kind: Kind
    more: str
    less: str
    look_at: str


_PM = "\u00b1"
_COMPARED = ("part", "force", "layers")
_COMPARATIVES = ("er", "more", "less")

_SKEIN = "its count of strands, and how it was rubbed"
_STRETCH = "its stretch: load and time"
_STRAND = "its strand: fibre and lot"
_POSTS = "its post setting"
_TAPE = "its tape, and how it was read"
_GAUGE = "its gauge, and the load it was read at"
_LOOPS = "its loops, and where they were served"
_SERVINGS = "its servings: thread, and how tightly laid"

#: By unknown; the temperature is of the day and never of a group
SAYINGS = {
    "stiffness": Saying("part", "stiffer", "softer", _STRAND),
    "softening": Saying("part", "more", "less", _STRAND),
    "packing": Saying("part", "denser", "looser", _SKEIN),
    "squeeze": Saying("part", "tighter", "looser", _SERVINGS),
    "share": Saying("points", "more of the load", "less of the load", _SKEIN),
    "bedding": Saying("part", "more", "less", _STRETCH),
    "bedding_scale": Saying("part", "higher", "lower", _STRETCH),
    "reopening": Saying("part", "more", "less", _STRETCH),
    "recovery": Saying("part", "more", "less", "how long it rested"),
    "creep": Saying("part", "more", "less", _STRETCH),
    "drag": Saying("force", "more", "less", "the spool's brake"),
    "post_stiffness": Saying("part", "stiffer", "softer", "the posts and what holds them"),
    "layers": Saying("layers", "more", "fewer", "how its strands lay on the posts"),
    "setting_error": Saying("length", "wider than set", "closer than set", _POSTS),
    "tape_scale": Saying("rate", "reading long", "reading short", _TAPE),
    "gauge": Saying("part", "more pull than it says", "less pull than it says", _GAUGE),
    "loop_error": Saying("length", "longer", "shorter", _LOOPS),
    "leg": Saying("part", "thicker", "flatter", _LOOPS),
    "grip": Saying("part", "more", "less", _SERVINGS),
    "flattening": Saying("part", "thicker", "flatter", _SERVINGS),
    "wrap_tension": Saying("part", "tighter", "looser", _SERVINGS),
    "thread_stiffness": Saying("part", "stiffer", "softer", _SERVINGS),
    "own_bare": Saying("rate", "longer", "shorter", "its bare reading"),
    "own_half": Saying("rate", "longer", "shorter", "its reading part way"),
    "own_twisted": Saying("rate", "longer", "shorter", "its reading before serving"),
    "own_proof": Saying("rate", "longer", "shorter", "its proof: load, rest, pins"),
    "heard": Saying("part", "more pull than is heard", "less pull than is heard", _GAUGE),
    "lay": Saying("part", "further out", "closer in", "how its bundles were laid"),
    "hand_pull": Saying("force", "more", "less", "how it was held while the loop was laid"),
    "loop_place": Saying("length", "further out", "closer in", "where its second loop was laid"),
}  # fmt: skip


def change_of(tables: ParameterVector, name: str, size: float, u: float) -> Estimate:
    """Give a standardised difference in the unit of the thing.

    Parameters
    ----------
    tables : ParameterVector
        The unknowns by the tables alone.
    name : str
        Which.
    size : float
        Difference [standard uncertainties of the tables]
    u : float
        Standard uncertainty of what the unknown is thought to be [the same]

    Returns
    -------
    Estimate
        Less the table's value: [-] where it is told as a part, a share, a rate or layers; [N], [m]
    """
    i = tables.index(name)
    spread, value = float(tables.deviations[i]), tables.value(name)
    scale, kind = tables.scales[i], SAYINGS[name].kind
    if scale == "log":
        grown = math.exp(spread * size)
        change, steep = value * (grown - 1.0), value * grown
    elif scale == "logit":
        there = 1.0 / (1.0 + math.exp(-float(tables.mean[i]) - spread * size))
        change, steep = there - value, there * (1.0 - there)
    else:
        change, steep = spread * size, 1.0
    over = value if kind == "part" else 1.0
    unit = {"force": "N", "length": "m"}.get(kind, "1")
    return Estimate(change / over, abs(steep * spread * u / over), unit)


def size_of(tables: ParameterVector, name: str, change: float) -> float:
    """Give a difference in the unit of the thing in standard uncertainties of the tables.

    Parameters
    ----------
    tables : ParameterVector
        The unknowns by the tables alone.
    name : str
        Which.
    change : float
        As :func:`change_of` gives it [-], [N] or [m]

    Returns
    -------
    float
        Difference [standard uncertainties of the tables]
    """
    i = tables.index(name)
    spread, value = float(tables.deviations[i]), tables.value(name)
    over = value if SAYINGS[name].kind == "part" else 1.0
    if tables.scales[i] == "log":
        return math.log1p(change * over / value) / spread
    if tables.scales[i] == "logit":
        there = value + change
        return (math.log(there / (1.0 - there)) - float(tables.mean[i])) / spread
    return change * over / spread


@dataclass(frozen=True)
class Factor:
    """A positive unknown that is known so poorly that its +- is a factor either way.

    Attributes
    ----------
    ratio : float
        Over the table's value [-]
    within : float
        The 95 % range goes from the ratio over this to the ratio times this [-]
    tables : float
        The same factor by the tables alone [-]
    """

    ratio: float
    within: float
    tables: float


def factor_of(tables: ParameterVector, name: str, size: float, u: float) -> Factor | None:
    """Give a standardised difference as a factor.

    Parameters
    ----------
    tables : ParameterVector
        The unknowns by the tables alone.
    name : str
        Which.
    size, u : float
        Difference and its standard uncertainty [standard uncertainties of the tables]

    Returns
    -------
    Factor or None
        None for what the tables know well enough to be told in per cent.
    """
    i = tables.index(name)
    spread = float(tables.deviations[i])
    if SAYINGS[name].kind != "part" or tables.scales[i] != "log" or spread <= _WIDE:
        return None
    ratio, within, alone = (math.exp(spread * x) for x in (size, 2.0 * u, 2.0))
    return Factor(ratio, within, alone)


def written_factor(factor: Factor) -> str:
    """Write a factor beside what the tables alone had said.

    Parameters
    ----------
    factor : Factor
        The factor.

    Returns
    -------
    str
        ``2.1 times the table's, within a factor of 2.0; the table alone 2.8``.
    """
    ratio, within, tables = factor.ratio, _up(factor.within), _up(factor.tables)
    return f"{ratio:.2g} times the table's, within a factor of {within}; the table alone {tables}"


def _up(factor: float) -> str:
    return f"{math.ceil(10.0 * factor - 1e-9) / 10.0:.1f}"


def written_change(name: str, change: Estimate, tables: Estimate, to: Written) -> str:
    """Write a difference from the tables beside what they alone had said.

    Parameters
    ----------
    name : str
        Of what.
    change, tables : Estimate
        With what the shop knows, and by the tables alone, as :func:`change_of` gives them.
    to : Written
        How quantities are written.

    Returns
    -------
    str
        ``3.0 ± 1.0 % denser than the table; the table alone ± 6 %``.
    """
    saying = SAYINGS[name]
    size = Estimate(abs(change.value), change.u, change.unit)
    said = f"{_number(saying.kind, size, to)} {saying.more if change.value >= 0 else saying.less}"
    alone = _number(saying.kind, Estimate(0.0, tables.u, tables.unit), to)
    than = " than the table" if saying.kind in _COMPARED and said.endswith(_COMPARATIVES) else ""
    return f"{said}{than}; the table alone {alone[alone.index(_PM) :]}"


def _number(kind: Kind, size: Estimate, to: Written) -> str:
    if kind in ("part", "points"):
        text = to.share_estimate(size)
        return text.replace("%", "points") if kind == "points" else text
    if kind == "rate":
        over, name = (_YARD, "a yard") if to.system == "in" else (1.0, "a metre")
        return f"{to.small_estimate(Estimate(size.value * over, size.u * over, 'm'))} {name}"
    if kind == "length":
        return to.small_estimate(size)
    text = to.estimate(size)
    return f"{text} layers" if kind == "layers" else text
