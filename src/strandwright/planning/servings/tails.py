"""Tails: under which servings they lie, how long they must be, how far to shift the skein."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from strandwright.line.model import LineModel
from strandwright.line.parts import Loop, ServingKind
from strandwright.line.serving_geometry import served_span, tail_length_to_hold
from strandwright.line.unknowns import Unknowns
from strandwright.numerics.propagation import Propagation
from strandwright.planning.estimate import Estimate
from strandwright.planning.four_posts.arms import BEYOND
from strandwright.planning.servings.plan import estimate
from strandwright.planning.written import Written
from strandwright.units import INCH

#: Tails are left this many times as long as would just hold at the far end of its +-: serving
#: pressure fades as the core settles; estimate of good practice [-]
TAIL_MARGIN = 2.5
#: A tail ends so far inside its serving, for edges come out within 1/8 in (workshop practice 3.11,
#: memory); it is then measured to 1/8 in [m]
INSIDE = INCH / 8.0
#: Spread of the holding length: friction and pressure known to about half [-]
TAIL_SPREAD = 0.4
#: Tail left where no serving buries it and it is tied off: 12 in [m]
TIED_TAIL = 12.0 * INCH
#: A serving that twist leaves less of its tension than this is reckoned with this much, so that
#: its holding length stays a number [-]
LEAST_TENSION = 0.02
#: How well a serving buries tails, the best first; a centre serving never does, for the nock's
#: sake
RANKS = {
    ServingKind.END: 0,
    ServingKind.LOOP: 1,
    ServingKind.FREE: 2,
    ServingKind.STOP: 2,
    ServingKind.TRACK: 2,
}


@dataclass(frozen=True)
class Tails:
    """Tails of the winding.

    Attributes
    ----------
    hold : Estimate
        Length under a serving that just holds a strand at the highest load, the longest [m]
    cut : float
        Length to leave [m]
    place : str
        Under which servings they belong.
    shift : float
        How far to shift the skein so that they lie there, from where they were tied, at the
        outside of their post, along the skein [m]
    warnings : tuple of str
        What does not work out.
    """

    hold: Estimate
    cut: float
    place: str
    shift: float
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class Bed:
    """The serving that buries the tails of one end.

    Attributes
    ----------
    index : int
        Index of the serving [-]
    name : str
        Its name.
    kind : ServingKind
        What it is for.
    first : float
        From the middle of the loop along the strand to where the serving begins [m]
    length : float
        Served length of body [m]
    """

    index: int
    name: str
    kind: ServingKind
    first: float
    length: float


def find_bed(model: LineModel, far: bool) -> Bed | None:
    """Find the serving that buries the tails lying at one end of the line.

    Parameters
    ----------
    model : LineModel
        The line.
    far : bool
        True for the far end, False for the zero end.

    Returns
    -------
    Bed or None
        The end serving of that half, the longest of several; else the serving nearest to the
        end; None where that half has none.
    """
    line, edges = model.line, model.layout.edges
    found: list[Bed] = []
    for index, serving in enumerate(line.servings):
        beyond = serving.start + serving.stop > line.length
        if beyond is not far or serving.kind not in RANKS:
            continue
        first, last = (float(edges[i]) for i in model.layout.bounds(index))
        from_throat = float(edges[-1]) - last if far else first - float(edges[0])
        half_loop = 0.5 * _loop_at(model, far).perimeter
        found.append(
            Bed(index, serving.name, serving.kind, half_loop + from_throat, last - first)
        )
    return min(found, key=_preference, default=None)


def _preference(bed: Bed) -> tuple[int, float]:
    rank = RANKS[bed.kind]
    return rank, bed.first if rank == RANKS[ServingKind.FREE] else -bed.length


def _loop_at(model: LineModel, far: bool) -> Loop:
    return model.line.far if far else model.line.zero


def hold_length(
    model: LineModel, q: Unknowns, spread: Propagation, index: int, highest: float
) -> Estimate:
    """Length of tail under a serving that just holds one strand at the highest load.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns at their means, arrays of shape (1,).
    spread : Propagation
        The predicted build, for the serving's core and what the twist leaves of its tension.
    index : int
        The serving [-]
    highest : float
        Highest load the line will see, on the jig or on the bow [N]

    Returns
    -------
    Estimate
        Length [m]
    """
    serving, count = model.line.servings[index], model.line.strand_count
    core = estimate(spread, f"core:{index}", "m")
    left = estimate(spread, f"tension:{index}", "N")
    least = LEAST_TENSION * serving.thread.tension
    tension = max(left.value, least)
    flattening = min(float(q["flattening"][0]) * serving.thread.flattening, 1.0)
    span = served_span(core.value, serving.thread.diameter, flattening, tension)
    # The core is that of a member where it is thickest, and so are the strands it is made of.
    width = core.value / math.sqrt(count * model.section_of(index).member_strands)
    hold = tail_length_to_hold(
        span, highest / count, width, model.stock.friction, serving.thread.friction
    )
    value = float(np.ravel(hold)[0])
    return Estimate(value, value * math.hypot(TAIL_SPREAD, left.u / tension), "m")


def plan_tails(
    model: LineModel,
    q: Unknowns,
    spread: Propagation,
    ends: Iterable[bool],
    highest: float,
    to: Written,
) -> Tails:
    """Say how long the tails must be and bring them under the servings of their own ends.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns at their means, arrays of shape (1,).
    spread : Propagation
        The predicted build.
    ends : iterable of bool
        Where a colour starts or ends: False for the zero post, True for the far one.
    highest : float
        Highest load the line will see, on the jig or on the bow [N]
    to : Written
        How lengths are written.

    Returns
    -------
    Tails
        Length, place, shift.
    """
    places = {far: find_bed(model, far) for far in sorted(set(ends))}
    bare = [_loop_at(model, far).name for far, bed in places.items() if bed is None]
    beds = [bed for bed in places.values() if bed is not None]
    said = [
        f"no serving at the end '{name}' buries the tails that lie there: tie them off"
        for name in bare
    ]
    if not beds:
        tied = Estimate(0.0, 0.0, "m")
        return Tails(tied, TIED_TAIL, "no serving to bury them under: tie off", 0.0, tuple(said))
    holds = [hold_length(model, q, spread, bed.index, highest) for bed in beds]
    wanted = max(_half_inches(TAIL_MARGIN * (h.value + h.u95)) for h in holds)
    for bed in beds:
        said += _short(bed, wanted, to)
    cut = min(wanted, *(_room(bed) for bed in beds))
    shift, apart = _shift(beds, cut)
    longest = max(holds, key=lambda h: h.value)
    place = " and ".join(bed.name for bed in beds)
    return Tails(longest, cut, place, shift, (*said, *apart))


def _room(bed: Bed) -> float:
    """Longest tail that ends inside a serving, to what is measured."""
    return max(math.floor((bed.length - BEYOND - INSIDE) / INSIDE + 1e-9), 1) * INSIDE


def _half_inches(length: float) -> float:
    """Round up to the next half inch."""
    return math.ceil(length / (0.5 * INCH)) * 0.5 * INCH


def _short(bed: Bed, wanted: float, to: Written) -> list[str]:
    said: list[str] = []
    if wanted > bed.length:
        said.append(
            f"the serving '{bed.name}' buries {to.length(bed.length)} of tail and "
            f"{to.length(wanted)} is wanted: tie the tails off as well, serve it longer or tighter"
        )
    if bed.kind is ServingKind.TRACK:
        said.append(
            f"tails under '{bed.name}' make it thicker by a strand: see that its track takes it, "
            "or start the winding at the other post"
        )
    return said


def _shift(beds: list[Bed], cut: float) -> tuple[float, list[str]]:
    """Shift of the skein, in the middle of what puts every tail under its serving."""
    # What goes past the mark of a loop's serving is wound there already.
    begins = [bed.first + BEYOND for bed in beds]
    ends = [bed.first + bed.length - INSIDE - cut for bed in beds]
    ranges = [(first, max(last, first)) for first, last in zip(begins, ends, strict=True)]
    low, high = max(r[0] for r in ranges), min(r[1] for r in ranges)
    if low <= high:
        return 0.5 * (low + high), []
    return 0.5 * sum(ranges[0]), [
        f"one shift of the skein cannot bring the tails of both ends under "
        f"{' and '.join(bed.name for bed in beds)}: wind even counts, so that all tails lie at "
        "one post"
    ]
