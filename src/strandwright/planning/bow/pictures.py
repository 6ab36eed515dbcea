"""Pictures of the bow: frames along its draw, and force over draw, made ready for drawing."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.figures import PIVOT_OFFSET
from strandwright.bow.parts import Reach
from strandwright.drawing.bow import BowPicture, PathPicture
from strandwright.drawing.force_draw import ForceDraw
from strandwright.geometry.track import Track
from strandwright.planning.bow.model import BowModel
from strandwright.planning.written import Written
from strandwright.units import Dimension, to_unit
from strandwright.workshop.job import Job

Floats = NDArray[np.float64]
Rows = NDArray[np.intp]
#: Places of a line on one thing, (frames, places, 2), and for each frame 1 where they lie on it,
#: 0 where only the first of them does, -1 where the line runs past.
Part = tuple[Floats, NDArray[np.int_]]
#: Pictures from brace to wall; a hand does not scrub finer.
FRAMES = 21
_ROUND = 48
#: Places along a limb.
_ALONG = 12
#: Places along a line on a track.
_ON_TRACK = 14
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
    poses = cycle.rig.poses(cycle.q[0, points]).at
    limbs, tracks = _limbs(cycle, points, poses), _outlines(cycle, poses)
    paths = _paths(cycle, points, poses)
    frame = _frame([*limbs, *tracks, *(part for line in paths for part, _ in line)])
    bow = cycle.rig.bow
    axles = poses[:, [bow.tip(0), bow.tip(1)], :2] if bow.wheels else np.zeros((len(poses), 0, 2))
    bed = None if rail is None else (0.0, float(cycle.draw[0, -1]), rail[0])
    return tuple(
        BowPicture(
            tuple(limb[k] for limb in limbs),
            tuple(track[k] for track in tracks),
            tuple((float(x), float(y)) for x, y in axles[k]),
            tuple(_path(line, k) for line in paths),
            (float(poses[k, bow.nock, 0]), float(poses[k, bow.nock, 1])),
            frame,
            _label(cycle, int(point), to, crossbow=rail is not None),
            bed,
        )
        for k, point in enumerate(points)
    )


def _frame(parts: list[Floats]) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of everything that is shown, the grip included."""
    shown = np.concatenate([part.reshape(-1, 2) for part in parts])
    low, high = np.nanmin(shown, axis=0) - _EDGE, np.nanmax(shown, axis=0) + _EDGE
    return min(float(low[0]), -_EDGE), float(low[1]), float(high[0]), float(high[1])


def _label(cycle: DrawCycle, point: int, to: Written, *, crossbow: bool) -> str:
    draw = to.length(shown_draw(cycle, point, crossbow=crossbow))
    if not crossbow:
        return f"the bow at {draw} of true draw" if point else "the bow at brace"
    where = "at its latch," if point == cycle.points - 1 else "drawn"
    return f"the crossbow {where} {draw} from its brace" if point else "the crossbow at brace"


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

    per_length = to_unit(Dimension.LENGTH, 1.0, length)
    per_force = to_unit(Dimension.FORCE, 1.0, force)

    def lengths(values: Floats) -> tuple[float, ...]:
        return tuple(((values + offset) * per_length).tolist())

    def forces(values: Floats) -> tuple[float, ...]:
        return tuple((np.maximum(values, 0.0) * per_force).tolist())

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


def _limbs(cycle: DrawCycle, points: Rows, poses: Floats) -> list[Floats]:
    """Each limb at every point, from the grip over its root to the tip: (frames, places, 2)."""
    bow, found = cycle.rig.bow, list[Floats]()
    for i, (mount, cut) in enumerate(zip(bow.mounts, cycle.rig.limbs, strict=True)):
        root = np.array([np.ravel(mount.x)[0], np.ravel(mount.y)[0]], dtype=np.float64)
        bent = mount.limb.shape(cycle.q[0, points][:, cut], np.linspace(0.0, 1.0, _ALONG))
        own = np.array([1.0, -1.0 if mount.mirrored else 1.0])
        foot = np.array([[*root, float(np.ravel(mount.heading)[0])]])
        grip = np.broadcast_to(np.stack([0.0 * root, 0.35 * root]), (len(points), 2, 2))
        parts = [grip, _world(foot, bent * own), _tip(cycle, bow.tip(i), poses)]
        found.append(np.concatenate(parts, axis=1))
    return found


def _outlines(cycle: DrawCycle, poses: Floats) -> list[Floats]:
    """Each track of each wheel at every point: (frames, places, 2)."""
    around = np.linspace(0.0, 2 * np.pi, _ROUND, endpoint=False)
    return [_world(poses[:, body], track.contact(around)) for body, track in _tracks(cycle)]


def _paths(cycle: DrawCycle, points: Rows, poses: Floats) -> list[list[Part]]:
    """Each line as its parts, on tracks or at points."""
    paths: list[list[Part]] = []
    span = 0
    for line in cycle.rig.bow.lines:
        parts: list[Part] = []
        for reach in line.reaches:
            parts += _reach(cycle, reach, points, span, poses)
            span += len(reach.contacts) - 1
        paths.append(parts)
    return paths


def _path(line: list[Part], k: int) -> PathPicture:
    """A line at one of the points; where it has come off a track it runs past."""
    points: list[Floats] = []
    touching: list[Floats] = []
    for places, lies in line:
        if lies[k] > 0:
            points.append(places[k])
            touching.append(places[k])
        elif lies[k] == 0:
            points.append(places[k, :1])
    return PathPicture(np.concatenate(points), tuple(touching))


def _tip(cycle: DrawCycle, body: int, poses: Floats) -> Floats:
    """Belly of a recurved tip, from its joint with the limb to the nock."""
    for line in cycle.rig.bow.lines:
        for contact in (line.reaches[0].contacts[0], line.reaches[-1].contacts[-1]):
            if contact.body == body and contact.peg is not None:
                peg = float(np.ravel(contact.peg)[0])
                # A belly faces the archer where it joins the limb, on either limb's own left.
                joint = 0.5 * np.pi if line.reaches[0].contacts[0] is contact else -0.5 * np.pi
                normals = np.linspace(joint, peg, _ALONG)
                return _world(poses[:, body], _first(contact.track).contact(normals))
    return np.zeros((len(poses), 0, 2))


def _reach(cycle: DrawCycle, reach: Reach, points: Rows, first: int, poses: Floats) -> list[Part]:
    """What a reach touches, at every point: its places, and whether they lie on a track."""
    parts: list[Part] = []
    last = len(reach.contacts) - 1
    share = np.linspace(0.0, 1.0, _ON_TRACK)
    for k, contact in enumerate(reach.contacts):
        span = first + k
        peg = None if contact.peg is None else np.full(len(points), np.ravel(contact.peg)[0])
        into = cycle.normal[0, points, span - 1, 1] if k else peg
        out = cycle.normal[0, points, span, 0] if k < last else peg
        start = out if into is None else into
        stop = into if out is None else out
        assert start is not None
        assert stop is not None
        wrapped = contact.side * (stop - start) > 0
        if peg is not None:
            start, stop = np.where(wrapped, start, peg), np.where(wrapped, stop, peg)
        lies = np.where(wrapped, 1, 0)
        if 0 < k < last:
            lies = np.where(cycle.touching[0, points, span], lies, -1)
        normals = start[:, None] + (stop - start)[:, None] * share
        places = _world(poses[:, contact.body], _first(contact.track).contact(normals))
        parts.append((places, lies))
    return parts


def _world(poses: Floats, local: Floats) -> Floats:
    """Places of a body in the bow's frame, at every pose of it: (frames, places, 2)."""
    c, s = np.cos(poses[:, 2, None]), np.sin(poses[:, 2, None])
    x, y = local[..., 0], local[..., 1]
    turned = np.stack([c * x - s * y, s * x + c * y], axis=-1)
    return poses[:, None, :2] + turned
