"""Pictures of the bow: frames along its draw, and force over draw, made ready for drawing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.figures import PIVOT_OFFSET
from strandwright.bow.parts import Reach
from strandwright.drawing.bow import BowPicture, PathPicture, Point
from strandwright.drawing.force_draw import ForceDraw
from strandwright.geometry.track import Track
from strandwright.planning.bow.model import BowModel
from strandwright.planning.written import Written
from strandwright.units import Dimension, to_unit
from strandwright.workshop.job import Job

Floats = NDArray[np.float64]
#: Pictures from brace to wall; a hand does not scrub finer.
FRAMES = 21
_ROUND = 48
#: Places along a limb.
_ALONG = 12
_EDGE = 0.03


def shown_draw(cycle: DrawCycle, point: int, *, crossbow: bool) -> float:
    """Give a draw as it is told: true draw length, or a crossbow's way from its brace.

    Parameters
    ----------
    cycle : DrawCycle
        Of one bow.
    point : int
        Which point of it [-]
    crossbow : bool
        Whether it is one.

    Returns
    -------
    float
        Pivot to nocking point and 1 3/4 in, or nocking point from where it rests [m].
    """
    draw = float(cycle.draw[0, point])
    return draw - float(cycle.draw[0, 0]) if crossbow else draw + PIVOT_OFFSET


def frames(
    cycle: DrawCycle, to: Written, rail: tuple[float, float] | None = None
) -> tuple[BowPicture, ...]:
    """Picture a bow along its draw.

    Parameters
    ----------
    cycle : DrawCycle
        Of one bow, from brace to wall or latch.
    to : Written
        How lengths are written.
    rail : (float, float) or None
        Of a crossbow: the width of its rail, and its standard uncertainty [m]

    Returns
    -------
    tuple of BowPicture
        All in one frame.
    """
    points = frame_points(cycle)
    poses = [cycle.rig.poses(cycle.q[:, p]).at[0] for p in points]
    found = [_frame(cycle, int(p), pose, to, rail) for p, pose in zip(points, poses, strict=True)]
    shown = np.array([place for picture in found for place in _places(picture)])
    low, high = shown.min(axis=0) - _EDGE, shown.max(axis=0) + _EDGE
    frame = (min(float(low[0]), -_EDGE), float(low[1]), float(high[0]), float(high[1]))
    return tuple(replace(picture, frame=frame) for picture in found)


def frame_points(cycle: DrawCycle) -> NDArray[np.intp]:
    """Tell which points of a draw are pictured.

    Parameters
    ----------
    cycle : DrawCycle
        Of one bow.

    Returns
    -------
    ndarray, shape (frames,)
        Places among the points of the draw [-].
    """
    return np.rint(np.linspace(0, cycle.points - 1, FRAMES)).astype(np.intp)


def _places(picture: BowPicture) -> list[Point]:
    """Every place that a picture shows."""
    parts = [*picture.limbs, *picture.outlines, *(path.points for path in picture.paths)]
    return [place for part in parts for place in part]


def force_draw(job: Job, model: BowModel, shown: DrawCycle | None = None) -> ForceDraw:
    """Make force over draw ready for drawing.

    Parameters
    ----------
    job : Job
        For its units and draw board.
    model : BowModel
        Its bow; the range is the family's.
    shown : DrawCycle or None
        Another bow's draw to show in place of the family's mean; the range goes with it.

    Returns
    -------
    ForceDraw
        In the job's units.
    """
    family = model.family.cycle
    share = np.linspace(0.0, 1.0, family.points)
    mean, spread = family.force.mean(axis=0), 2.0 * family.force.std(axis=0, ddof=1)
    draw = family.draw.mean(axis=0)
    if shown is not None:
        own = (shown.draw[0] - shown.draw[0, 0]) / (shown.draw[0, -1] - shown.draw[0, 0])
        mean = np.interp(share, own, shown.force[0])
        draw = np.interp(share, own, shown.draw[0])
    inch = job.paper.units == "in"
    length, force = ("in", "lbf") if inch else ("mm", "N")
    offset = -float(draw[0]) if model.crossbow else PIVOT_OFFSET

    def lengths(values: Floats) -> tuple[float, ...]:
        return tuple(to_unit(Dimension.LENGTH, float(v) + offset, length) for v in values)

    def forces(values: Floats) -> tuple[float, ...]:
        return tuple(to_unit(Dimension.FORCE, float(max(v, 0.0)), force) for v in values)

    board = tuple(
        (
            to_unit(Dimension.LENGTH, p.draw.si + (offset if model.crossbow else 0.0), length),
            to_unit(Dimension.FORCE, p.force.si, force),
        )
        for p in job.bow.draw_board
    )
    return ForceDraw(
        lengths(draw), forces(mean), forces(mean - spread), forces(mean + spread),
        board, length, force, "power stroke" if model.crossbow else "true draw length",
    )  # fmt: skip


def _tracks(cycle: DrawCycle) -> list[tuple[int, Track]]:
    """Tracks of the bow's wheels with their bodies, each once; points are none."""
    found: dict[tuple[int, float, bytes], tuple[int, Track]] = {}
    for line in cycle.rig.bow.lines:
        for reach in line.reaches:
            for contact in reach.contacts:
                track = _first(contact.track)
                # A limb's own tip carries the string's end, and is drawn with the limb.
                own_tip = contact.peg is not None and contact.body < cycle.rig.bow.wheel(0)
                if float(track.mean) > 0 and not own_tip:
                    key = (contact.body, float(track.mean), track.cosine.tobytes())
                    found[key] = (contact.body, track)
    return list(found.values())


def _first(track: Track) -> Track:
    """The only bow's track."""
    if track.mean.ndim == 0:
        return track
    return Track(track.mean[0], track.cosine[0], track.sine[0])


def _frame(
    cycle: DrawCycle,
    point: int,
    pose: Floats,
    to: Written,
    rail: tuple[float, float] | None,
) -> BowPicture:
    bow = cycle.rig.bow
    limbs: list[tuple[Point, ...]] = []
    for i, (mount, cut) in enumerate(zip(bow.mounts, cycle.rig.limbs, strict=True)):
        root = (float(np.ravel(mount.x)[0]), float(np.ravel(mount.y)[0]))
        bent = mount.limb.shape(cycle.q[:1, point, cut], np.linspace(0.0, 1.0, _ALONG))[0]
        heading = float(np.ravel(mount.heading)[0])
        own = np.array([1.0, -1.0 if mount.mirrored else 1.0])
        along = _pairs(_world(np.array([*root, heading]), bent * own))
        tip = _tip(cycle, bow.tip(i), pose)
        limbs.append(((0.0, 0.0), (0.35 * root[0], 0.35 * root[1]), *along, *tip))
    around = np.linspace(0.0, 2 * np.pi, _ROUND, endpoint=False)
    outlines = tuple(
        _pairs(_world(pose[body], track.contact(around))) for body, track in _tracks(cycle)
    )
    tips = tuple((float(pose[bow.tip(i), 0]), float(pose[bow.tip(i), 1])) for i in (0, 1))
    axles = tips if bow.wheels else ()
    paths: list[PathPicture] = []
    span = 0
    for line in bow.lines:
        points: list[Point] = []
        touching: list[tuple[Point, ...]] = []
        for reach in line.reaches:
            along, on = _reach(cycle, reach, point, span, pose)
            points += along
            touching += on
            span += len(reach.contacts) - 1
        paths.append(PathPicture(tuple(points), tuple(touching)))
    nock = pose[bow.nock, :2]
    draw = to.length(shown_draw(cycle, point, crossbow=rail is not None))
    at = (float(nock[0]), float(nock[1]))
    whole = (0.0, 0.0, 1.0, 1.0)
    if rail is None:
        label = f"the bow at {draw} of true draw" if point else "the bow at brace"
        return BowPicture(tuple(limbs), outlines, axles, tuple(paths), at, whole, label)
    where = "at its latch," if point == cycle.points - 1 else "drawn"
    label = f"the crossbow {where} {draw} from its brace" if point else "the crossbow at brace"
    bed = (0.0, float(cycle.draw[0, -1]), rail[0])
    return BowPicture(tuple(limbs), outlines, axles, tuple(paths), at, whole, label, bed)


def _tip(cycle: DrawCycle, body: int, pose: Floats) -> tuple[Point, ...]:
    """Belly of a recurved tip, from its joint with the limb to the nock."""
    for line in cycle.rig.bow.lines:
        for contact in (line.reaches[0].contacts[0], line.reaches[-1].contacts[-1]):
            if contact.body == body and contact.peg is not None:
                peg = float(np.ravel(contact.peg)[0])
                # A belly faces the archer where it joins the limb, on either limb's own left.
                joint = 0.5 * np.pi if line.reaches[0].contacts[0] is contact else -0.5 * np.pi
                normals = np.linspace(joint, peg, _ALONG)
                return _pairs(_world(pose[body], _first(contact.track).contact(normals)))
    return ()


def _reach(
    cycle: DrawCycle, reach: Reach, point: int, first: int, pose: Floats
) -> tuple[list[Point], list[tuple[Point, ...]]]:
    along: list[Point] = []
    touching: list[tuple[Point, ...]] = []
    last = len(reach.contacts) - 1
    for k, contact in enumerate(reach.contacts):
        span, side = first + k, contact.side
        peg = None if contact.peg is None else float(np.ravel(contact.peg)[0])
        into = float(cycle.normal[0, point, span - 1, 1]) if k else peg
        out = float(cycle.normal[0, point, span, 0]) if k < last else peg
        passed = 0 < k < last and not cycle.touching[0, point, span]
        if passed:
            continue
        start = out if into is None else into
        stop = into if out is None else out
        assert start is not None
        assert stop is not None
        wrapped = side * (stop - start) > 0
        if not wrapped and peg is not None:
            start = stop = peg
        track = _first(contact.track)
        normals = np.linspace(start, stop, 14 if wrapped else 1)
        places = _pairs(_world(pose[contact.body], track.contact(normals)))
        along += places
        if wrapped:
            touching.append(places)
    return along, touching


def _world(pose: Floats, local: Floats) -> Floats:
    c, s = np.cos(pose[2]), np.sin(pose[2])
    return pose[:2] + local @ np.array([[c, s], [-s, c]])


def _pairs(points: Floats) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in np.atleast_2d(points))
