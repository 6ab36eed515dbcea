r"""The family of recurves, longbows or prods that agree with what is known of an unmeasured one.

Each member draws its own riser, tips and set from what is met with. Two things are then solved
for it: the stiffness of its limbs, which brings the weight at full draw, and the length of its
string, which brings the brace height. Weight goes with stiffness, brace with length, each nearly
alone, so a few corrections of both together are enough.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.bent import BentBow, RecurvedTip, string_up
from strandwright.bow.draw_cycle import DrawCycle, draw_cycle
from strandwright.bow.elastica import ElasticaLimb
from strandwright.bow.equilibrium import stand
from strandwright.bow.family import Spread
from strandwright.bow.figures import Figures, figures
from strandwright.bow.parts import FLAT, UPRIGHT
from strandwright.bow.rig import Rig, rows_of
from strandwright.bow.sensitivity import respond
from strandwright.bow.strung import Strung
from strandwright.bow.taper import Stations, power_taper, width_taper
from strandwright.errors import SpecError

Floats = NDArray[np.float64]
#: Corrections of stiffness and string, and how near they come: relative, and in brace [m].
_STEPS, _NEAR_WEIGHT, _NEAR_BRACE = 12, 2e-4, 2e-5
_POINTS = 11
#: Width of a limb's tip over its root: narrow, but wide enough for a nock.
_TIP_WIDTH = 0.35
#: A recurve's limb: exponent of its taper and its tip over its root, by how much its outer half is
#: bent back over its length [rad], and its thickness at the tip [m]. Chosen, by looking at several
#: shapes, so that a bow of 68 in fills what measured ones do, 0.58 to 0.60.
_RECURVE_TAPER, _CURVED_BACK, _THICK = (1.6, 0.35), 2.5, 0.012
_DEGREE = 5
#: Length of bow that curvature is for; a shorter prod is curved back more sharply, as far [m].
_LONG = 68 * 0.0254


@dataclass(frozen=True)
class BentKnown:
    """What is known of a bow without wheels.

    Attributes
    ----------
    recurved : bool
        Whether its tips are bent away from the archer.
    bow_length : float
        Nock to nock along the unstrung bow [m].
    brace_height : float
        Pivot of the grip to the string [m].
    full : float
        Nocking point to pivot at full draw [m].
    weight : (float, float)
        Force there, and its standard uncertainty, both [N].
    nock_height : float
        Nocking point over the pivot [m].
    string_stiffness : float
        EA of the string [N].
    thickness : float
        Diameter of the served string on the tips [m].
    rail : (float, float) or None
        Width of the rail a crossbow's string slides on, and its standard uncertainty; None for a
        bow held upright [m].
    """

    recurved: bool
    bow_length: float
    brace_height: float
    full: float
    weight: tuple[float, float]
    nock_height: float
    string_stiffness: float
    thickness: float
    rail: tuple[float, float] | None = None


@dataclass(frozen=True)
class BentSizes:
    """Sizes of the members.

    Attributes
    ----------
    riser : ndarray, shape (members,)
        Part between the limbs that does not bend [m].
    set_forward : ndarray, shape (members,)
        How far the limbs' roots lie before the pivot [m].
    lean : ndarray, shape (members,)
        Heading of the limbs' roots from upright, positive towards the archer [rad].
    tip, tip_turn : ndarray, shape (members,)
        Length of a recurved tip, and by how much it is bent; unused without [m, rad].
    root_stiffness : ndarray, shape (members,)
        EI at the limbs' roots [N m2].
    """

    riser: Floats
    set_forward: Floats
    lean: Floats
    tip: Floats
    tip_turn: Floats
    root_stiffness: Floats


@dataclass(frozen=True)
class BentFamily:
    """Bows without wheels that agree with what is known.

    Attributes
    ----------
    known : BentKnown
        What they agree with.
    strung : Strung
        The members, as a batch, at their braces.
    cycle : DrawCycle
        Their draws.
    figures : Figures
        Their figures; the greatest force is the weight at full draw.
    sizes : BentSizes
        Their sizes.
    tried : int
        Members begun [-].
    """

    known: BentKnown
    strung: Strung
    cycle: DrawCycle
    figures: Figures
    sizes: BentSizes
    tried: int

    @property
    def members(self) -> int:
        """How many bows [-]."""
        return len(self.sizes.riser)


def fit_bent_family(
    known: BentKnown, prior: Mapping[str, Spread], members: int = 24, seed: int = 1
) -> BentFamily:
    """Find recurves or longbows that agree with what is known.

    Parameters
    ----------
    known : BentKnown
        What is known.
    prior : Mapping of str to Spread
        ``riser``, ``set_forward``, ``lean``, and for a recurve ``tip`` and ``tip_turn``.
    members : int
        Bows to look for, >= 4 [-]
    seed : int
        Of the draws; the same seed gives the same family [-]

    Returns
    -------
    BentFamily
        At least half of the members asked for.

    Raises
    ------
    SpecError
        If no such bow stands at that brace with that weight.
    """
    rng = np.random.default_rng(seed)
    own = {n: s.middle + s.spread * rng.standard_normal(members) for n, s in prior.items()}
    weight = known.weight[0] + known.weight[1] * rng.standard_normal(members)
    none = np.zeros(members)
    stiff = np.full(members, _first_stiffness(known))
    sizes = BentSizes(
        np.clip(own["riser"], 0.05, 0.6 * known.bow_length),
        own["set_forward"],
        own["lean"],
        np.clip(own.get("tip", none), 0.01, None),
        np.clip(own.get("tip_turn", none), 0.02, 2.5),
        stiff,
    )
    strung, sizes, ok = _fitted(known, sizes, weight)
    if np.count_nonzero(ok) < members // 2:
        rule = "stands on no such bow at that brace height with that draw weight"
        given = f"{np.count_nonzero(ok)} of {members}"
        raise SpecError("bow", given, rule, "check bow length, brace height and draw length")
    return _family(known, rows_of(sizes, ok), _rows(known, strung, sizes, ok), members)


def bent_taken(family: BentFamily, rows: NDArray[np.intp]) -> BentFamily:
    """Give some members of a family.

    Parameters
    ----------
    family : BentFamily
        The family.
    rows : ndarray of int
        Members to keep [-]

    Returns
    -------
    BentFamily
        Drawn anew.
    """
    sizes = rows_of(family.sizes, rows)
    strung = _rows(family.known, family.strung, family.sizes, rows)
    return _family(family.known, sizes, strung, family.tried)


def _family(known: BentKnown, sizes: BentSizes, strung: Strung, tried: int) -> BentFamily:
    full = np.full(len(sizes.riser), known.full)
    cycle = draw_cycle(strung.rig, strung.brace, strung.directions, full).value
    return BentFamily(known, strung, cycle, figures(cycle), sizes, tried)


def _first_stiffness(known: BentKnown) -> float:
    """A uniform limb's, from force over travel of its tip; only where the search begins."""
    limb = 0.35 * known.bow_length
    return known.weight[0] * limb**3 / (6.0 * (known.full - known.brace_height))


def _unstrung(known: BentKnown, s: BentSizes) -> BentBow:
    tip = RecurvedTip(s.tip, s.tip_turn, _THICK) if known.recurved else None
    working = 0.5 * (known.bow_length - s.riser) - (s.tip if known.recurved else 0.0)
    taper = power_taper(*_RECURVE_TAPER) if known.recurved else width_taper(_TIP_WIDTH)
    back = Stations([0.0, 0.5, 1.0], [0.0, 0.0, -_curved_back(known)])
    limb = ElasticaLimb(
        working, s.root_stiffness, taper=taper, unstrained=back, elements=2, degree=_DEGREE
    )
    return BentBow(
        limb, limb, riser=s.riser, set_forward=s.set_forward, lean=s.lean, tip=tip,
        string_stiffness=known.string_stiffness, string_thickness=known.thickness,
        nock_height=known.nock_height, sides=UPRIGHT if known.rail is None else FLAT,
    )  # fmt: skip


def _curved_back(known: BentKnown) -> float:
    """Curvature of the unstrung limb at its end; a prod's short limbs are bent back as far."""
    if not known.recurved:
        return 0.0
    return _CURVED_BACK if known.rail is None else _CURVED_BACK * _LONG / known.bow_length


def _rows(known: BentKnown, strung: Strung, sizes: BentSizes, rows: NDArray[Any]) -> Strung:
    """Some members by themselves."""
    natural = strung.rig.natural[rows]
    bow = _unstrung(known, rows_of(sizes, rows)).bow(natural[:, 0], natural[:, 1])
    return Strung(bow, Rig(bow), strung.brace[rows], strung.directions[rows], strung.tension[rows])


def _begun(known: BentKnown, sizes: BentSizes) -> tuple[Floats, Floats, Floats]:
    """State, directions and string of the middling member: every other is begun from it."""
    middle = BentSizes(*(np.array(float(np.mean(getattr(sizes, n)))) for n in _NAMES))
    bow = _unstrung(known, middle)
    # A string shorter than the bow by what its brace asks of an arc.
    length = known.bow_length * (1.0 - 3.0 * (known.brace_height / known.bow_length) ** 2)
    for share in (1.0, 0.985, 1.01, 0.97, 0.955, 0.94):
        try:
            standing = string_up(bow, share * length)
        except SpecError:
            continue
        return standing.brace, standing.directions, standing.rig.natural
    rule = "leaves no string on which a bow of this length stands"
    raise SpecError("bow.bow_length", f"{known.bow_length:.4g} m", rule, "measure bow and brace")


_NAMES = tuple(BentSizes.__dataclass_fields__)


def _fitted(
    known: BentKnown, sizes: BentSizes, weight: Floats
) -> tuple[Strung, BentSizes, NDArray[np.bool_]]:
    """Correct stiffness and string of every member until brace and weight are met."""
    count = len(weight)
    q, ways, natural = (np.repeat(v, count, axis=0) for v in _begun(known, sizes))
    for _ in range(_STEPS):
        now = _stood(known, sizes, q, ways, natural)
        q, ways = now.strung.brace, now.strung.directions
        off, ratio = now.brace - known.brace_height, _over(weight, now.weight)
        if np.all(_met(off, ratio, 1.0) | ~now.ok):
            break
        # Both reaches change alike, each by half of the string's change.
        slope = np.where(np.isfinite(now.slope), np.minimum(now.slope, -1.0), -3.6)
        shift = np.clip(-off / slope, -0.015, 0.015)
        natural = natural + np.where(now.ok, shift, -0.002)[:, None]
        change = np.where(now.ok, np.clip(ratio, 0.5, 2.0), 1.0)
        sizes = replace(sizes, root_stiffness=sizes.root_stiffness * change)
    now = _stood(known, sizes, q, ways, natural)
    off, ratio = now.brace - known.brace_height, _over(weight, now.weight)
    return now.strung, sizes, now.ok & _met(off, ratio, 10.0)


@dataclass(frozen=True)
class _Stood:
    """Members as they stand, with what is to be corrected."""

    strung: Strung
    brace: Floats
    weight: Floats
    slope: Floats
    ok: NDArray[np.bool_]


def _stood(known: BentKnown, sizes: BentSizes, q: Floats, ways: Floats, natural: Floats) -> _Stood:
    bow = _unstrung(known, sizes).bow(natural[:, 0], natural[:, 1])
    rig, full = Rig(bow), np.full(len(q), known.full)
    out = stand(rig, q, ways, hold_draw=False, max_iter=80)
    at = out.value
    ways = at.potential.spans.direction
    drawn = draw_cycle(rig, at.q, ways, full, _POINTS)
    cycle = drawn.value
    try:
        slope = np.sum(respond(cycle).brace_height, axis=1)
    except np.linalg.LinAlgError:
        # A member on a slack string has no slope; the usual one then serves all.
        slope = np.full(len(q), np.nan)
    strung = Strung(bow, rig, at.q, ways, at.potential.tension)
    height = figures(cycle).brace_height
    return _Stood(strung, height, cycle.force[:, -1], slope, out.ok & drawn.ok)


def _over(weight: Floats, read: Floats) -> Floats:
    """Weight wanted over the one read; of a member that pulls next to nothing a large number."""
    return weight / np.maximum(read, 1e-3 * weight)


def _met(off: Floats, ratio: Floats, slack: float) -> NDArray[np.bool_]:
    near = np.abs(off) < slack * _NEAR_BRACE
    return near & (np.abs(ratio - 1.0) < slack * _NEAR_WEIGHT)
