r"""Guard: what holds a bow's cables aside from the arrow's path, read off a draw that is solved.

A guard on the riser holds each line that runs from wheel to wheel aside by :math:`d`, out of the
bow's plane. With :math:`a` and :math:`b` the straight parts either side of it in that plane and
the tension :math:`T` the same along the line, it bears

.. math:: F = T d \Bigl(\frac{1}{\sqrt{a^2 + d^2}} + \frac{1}{\sqrt{b^2 + d^2}}\Bigr)

and takes up :math:`\sqrt{a^2 + d^2} + \sqrt{b^2 + d^2}` less the straight line. A slide runs along
its rod, so the line crosses there as a taut line folded over the rod does; a roller with a place
in the bow's plane is part of the routing, and the parts either side of it are those of the path.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.contact import alongside, steps
from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.parts import RISER, Bow, Reach
from strandwright.errors import SpecError
from strandwright.geometry.taut import Contact

Floats = NDArray[np.float64]
#: How steeply a line may be held aside: past it a plane bow's tension is off by 2 % [-].
STEEPEST = 0.2


@dataclass(frozen=True)
class Guard:
    """Where a guard holds the cables.

    Attributes
    ----------
    aside : float
        Out of the bow's plane, either way [m].
    height : float
        Over the pivot of the grip; the height of a slide's rod [m].
    """

    aside: float
    height: float


@dataclass(frozen=True)
class HeldLine:
    """One line at the guard, along the draw.

    Attributes
    ----------
    line : str
        The line.
    reach : int
        Which of the bow's reaches it is [-].
    side_force : ndarray, shape (bows, points)
        Of the line on the guard, out of the bow's plane; its sign is that of the offset [N].
    extra : ndarray, shape (bows, points)
        Length the offset takes up [m].
    work : ndarray, shape (bows, points)
        Tension times what is taken up since the brace [J].
    x : ndarray, shape (bows, points)
        Place of the guard behind the pivot of the grip [m].
    start, stop : ndarray, shape (bows, points)
        What of the line lies at the guard, without load, from the line's beginning; alike for
        a slide of no length [m].
    taken_up : ndarray, shape (bows,)
        Length taken up at brace, without load [m].
    shortest : ndarray, shape (bows,)
        The shortest that a straight part beside the guard ever is, in the bow's plane [m].
    """

    line: str
    reach: int
    side_force: Floats
    extra: Floats
    work: Floats
    x: Floats
    start: Floats
    stop: Floats
    taken_up: Floats
    shortest: Floats


def held_lines(cycle: DrawCycle, guard: Guard) -> tuple[HeldLine, ...]:
    """Work out what a guard bears and takes up.

    Parameters
    ----------
    cycle : DrawCycle
        From brace to the wall.
    guard : Guard
        Where it holds the cables.

    Returns
    -------
    tuple of HeldLine
        One for each line from wheel to wheel; none where nothing is held aside and no roller
        is touched.

    Raises
    ------
    SpecError
        If the guard lies past the end of a line's straight part, or holds it too far aside.
    """
    at = np.stack([cycle.rig.poses(cycle.q[:, point]).at for point in range(cycle.points)], axis=1)
    found: list[HeldLine] = []
    for line, index, reach, first, begins in _reaches(cycle):
        crossing = _crossing(cycle.rig.bow, reach)
        if crossing is None or (guard.aside == 0.0 and not crossing.roller):
            continue
        found.append(_held(cycle, guard, at, (line, index, reach, first, begins), crossing))
    _refuse_steep(guard, found)
    return tuple(found)


@dataclass(frozen=True)
class _Crossing:
    """The contact before the guard, and whether the next one is the guard's own roller."""

    contact: int
    roller: bool


_Run = tuple[str, int, Reach, int, Floats]


def _reaches(cycle: DrawCycle) -> Iterator[_Run]:
    """Every reach with its line, its first span, and where on its line it begins."""
    span = index = 0
    for line in cycle.rig.bow.lines:
        begins = np.zeros((len(cycle.draw), 1))
        for reach in line.reaches:
            yield line.name, index, reach, span, begins
            begins = begins + cycle.rig.natural[:, index, None]
            span += len(reach.contacts) - 1
            index += 1


def _crossing(bow: Bow, reach: Reach) -> _Crossing | None:
    """Where a reach goes over from one limb's bodies to the other's, the nocking point apart."""
    sides = [_side(bow, contact.body) for contact in reach.contacts]
    for k, (a, b) in enumerate(itertools.pairwise(sides)):
        if b == RISER - 1 and k + 2 < len(sides) and {a, sides[k + 2]} == {0, 1}:
            return _Crossing(k, roller=True)
        if {a, b} == {0, 1}:
            return _Crossing(k, roller=False)
    return None


def _side(bow: Bow, body: int) -> int | None:
    """Which limb carries a body; -1 for the riser, None for the nocking point."""
    if body == RISER:
        return RISER - 1
    if body == bow.nock:
        return None
    return body - bow.tip(0) if body < bow.wheel(0) else bow.wheels[body - bow.wheel(0)].limb


def _held(cycle: DrawCycle, guard: Guard, at: Floats, run: _Run, crossing: _Crossing) -> HeldLine:
    line, index, reach, first, begins = run
    way = list(steps(cycle, reach, first))
    here, span = way[crossing.contact], first + crossing.contact
    tension = cycle.tension[:, :, index]
    stretch = 1.0 + tension / np.reshape(np.asarray(reach.stiffness, np.float64), (-1, 1))
    if crossing.roller:
        roller = way[crossing.contact + 1]
        a, b, arc = cycle.span_length[:, :, span], cycle.span_length[:, :, span + 1], roller.arc
        straight = a + b
        x = np.reshape(roller.contact.track.cosine[..., 0], (-1, 1)) + 0.0 * a
    else:
        start = _leaving(cycle, here.contact, span, at)
        a, b, x, straight = _over_the_rod(cycle, guard, span, start)
        arc = 0.0 * a
    before, after = np.hypot(a, guard.aside), np.hypot(b, guard.aside)
    extra = before + after - straight
    begun = begins + (here.at + here.arc + before) / stretch
    natural = extra[:, 0] / stretch[:, 0]
    return HeldLine(
        line,
        index,
        tension * guard.aside * (1.0 / before + 1.0 / after),
        extra,
        tension * (extra - natural[:, None] * stretch),
        x,
        begun,
        begun + arc / stretch,
        natural,
        np.minimum(a, b).min(axis=1),
    )


def _leaving(cycle: DrawCycle, contact: Contact, span: int, at: Floats) -> Floats:
    """Place where a straight part leaves its first contact, (bows, points, 2)."""
    normal = cycle.normal[:, :, span, 0]
    if contact.peg is not None:
        peg = np.reshape(contact.peg, (-1, 1))
        # Past its peg a line swings about it.
        normal = np.where(contact.side * (normal - peg) < 0.0, peg, normal)
    local = alongside(contact.track).contact(normal)
    pose = at[:, :, contact.body]
    c, s = np.cos(pose[..., 2]), np.sin(pose[..., 2])
    x = pose[..., 0] + c * local[..., 0] - s * local[..., 1]
    y = pose[..., 1] + s * local[..., 0] + c * local[..., 1]
    return np.stack([x, y], axis=-1)


def _over_the_rod(
    cycle: DrawCycle, guard: Guard, span: int, start: Floats
) -> tuple[Floats, Floats, Floats, Floats]:
    """Parts in the bow's plane before and after a slide, its place, and the straight line."""
    straight, way = cycle.span_length[:, :, span], cycle.direction[:, :, span]
    run, rise = straight * np.cos(way), straight * np.sin(way)
    below, above = guard.height - start[..., 1], start[..., 1] + rise - guard.height
    if np.any(below * above <= 0.0):
        ends = np.sort(np.stack([start[..., 1], start[..., 1] + rise]), axis=0)
        low, high = ends[0].max() / 0.0254, ends[1].min() / 0.0254
        raise SpecError(
            "guard.height",
            f"{guard.height / 0.0254:.3g} in",
            f"must lie where the cables run free, {low:.1f} to {high:.1f} in over the pivot",
            "measure it from the pivot of the grip, up or down",
        )
    # A taut line over a rod is straight once the planes on its two sides are laid flat.
    share = np.hypot(below, guard.aside)
    share = share / (share + np.hypot(above, guard.aside))
    before = np.hypot(share * run, below)
    after = np.hypot((1.0 - share) * run, above)
    return before, after, start[..., 0] + share * run, straight


def _refuse_steep(guard: Guard, held: list[HeldLine]) -> None:
    most = STEEPEST * min((float(one.shortest.min()) for one in held), default=np.inf)
    if abs(guard.aside) <= most:
        return
    raise SpecError(
        "guard.aside",
        f"{guard.aside / 0.0254:.3g} in",
        f"must be {np.floor(most / 0.00254) / 10:.1f} in at most, or cables are held too steeply",
        "measure it from where the cables would run by themselves",
    )
