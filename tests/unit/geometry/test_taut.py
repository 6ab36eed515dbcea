"""Taut paths, held to convex hulls, to tangents sought apart, and to differences."""

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import root
from scipy.spatial import ConvexHull

from strandwright.errors import GeometryError
from strandwright.geometry.taut import Contact, Spans, TautPaths
from strandwright.geometry.track import Track, circle, point

EGG = Track(np.array(0.05), np.array([0.012, 0.004]), np.array([-0.006, 0.003]))
ROUND = circle(0.03, 0.006, -0.004)
HERE = point(0.0, 0.0)

Floats = np.ndarray


def run(contacts: tuple[Contact, ...], poses: Floats) -> tuple[TautPaths, Spans]:
    """Solve one path over bodies at their poses."""
    paths = TautPaths((contacts,))
    at = np.asarray(poses, dtype=float)[None]
    return paths, paths.spans(at, paths.guess(at))


def placed(pose: Floats, own: Floats) -> Floats:
    """A body's own points in the plane."""
    c, s = np.cos(pose[2]), np.sin(pose[2])
    return np.asarray(pose[:2]) + own @ np.array([[c, s], [-s, c]])


def outline(track: Track, pose: Floats, count: int = 20_000) -> Floats:
    """Points of a body's outline in the plane."""
    return placed(pose, track.contact(2 * np.pi * np.arange(count) / count))


# ---------------------------------------------------------------------- against the convex hull


@given(st.floats(-3.0, 3.0), st.floats(-0.04, 0.02))
def test_over_a_track_it_is_the_hull(turn: float, height: float) -> None:
    """From a point round the underside of an egg to a point: the hull's way on that side."""
    poses = np.array([[-0.3, height, 0.0], [0.0, 0.0, turn], [0.25, 0.01, 0.4]])
    contacts = (Contact(0, HERE), Contact(1, EGG, 1), Contact(2, HERE))
    spans = run(contacts, poses)[1]
    points = np.vstack([outline(EGG, poses[1]), poses[0, :2], poses[2, :2]])
    hull = points[ConvexHull(points).vertices]
    # Counter-clockwise, from the left point to the right one below the egg.
    first = int(np.argmin(np.linalg.norm(hull - poses[0, :2], axis=1)))
    hull = np.roll(hull, -first, axis=0)
    last = int(np.argmin(np.linalg.norm(hull - poses[2, :2], axis=1)))
    wanted = np.linalg.norm(np.diff(hull[: last + 1], axis=0), axis=1).sum()
    assert spans.path_length[0, 0] == pytest.approx(wanted, rel=1e-7)


FAR = st.floats(-2.0, 2.0)


@given(FAR, FAR, FAR, FAR, st.floats(-3.0, 3.0), st.floats(-3.0, 3.0))
def test_places_far_from_their_bodies_origins_are_aimed_at(
    x: float, y: float, u: float, v: float, turn: float, back: float
) -> None:
    """A line between two places of two bodies is as long as they are apart, wherever they lie."""
    poses = np.array([[0.0, 0.0, turn], [1.0, 0.3, back]])
    ends = placed(poses[0], np.array([[x, y]])), placed(poses[1], np.array([[u, v]]))
    apart = float(np.linalg.norm(ends[1] - ends[0]))
    assume(apart > 0.05)
    spans = run((Contact(0, point(x, y)), Contact(1, point(u, v))), poses)[1]
    assert spans.path_length[0, 0] == pytest.approx(apart, rel=1e-9)
    assert spans.length[0, 0] == pytest.approx(apart, rel=1e-9)


@given(FAR, FAR, st.floats(-3.0, 3.0), st.sampled_from([-1, 1]))
def test_a_wheel_far_from_its_body_s_origin_is_aimed_at(
    x: float, y: float, turn: float, side: int
) -> None:
    """The tangent from a place to a wheel, by the right triangle with its middle."""
    poses = np.array([[0.0, 0.0, 0.0], [0.4, -0.7, turn], [9.0, 0.0, 0.0]])
    middle = placed(poses[1], np.array([[x, y]]))[0]
    away = float(np.linalg.norm(middle))
    assume(away > 0.2)
    track = circle(0.1, x, y)
    spans = run((Contact(0, HERE), Contact(1, track, side), Contact(2, HERE)), poses)[1]
    assert spans.length[0, 0] == pytest.approx(np.sqrt(away**2 - 0.01), rel=1e-9)


def test_a_belt_over_three_wheels() -> None:
    """From a peg round three wheels to a peg, all on one side: the hull and the two arcs."""
    poses = np.array([[0.0, 0.0, 0.3], [0.5, -0.1, 1.0], [0.4, 0.4, -0.5]])
    tracks = (EGG, ROUND, EGG.mirrored())
    contacts = (
        Contact(0, tracks[0], 1, peg=np.array(-2.6), near=-1.5),
        Contact(1, tracks[1], 1),
        Contact(2, tracks[2], 1, peg=np.array(2.9), near=1.5),
    )
    spans = run(contacts, poses)[1]
    points = np.vstack([outline(t, p, 40_000) for t, p in zip(tracks, poses, strict=True)])
    around = ConvexHull(points).area
    # The hull goes on from the last peg to the first over the two outlines and a tangent.
    normal_in, normal_out = spans.normal[0, 0, 0], spans.normal[0, -1, 1]
    back = (Contact(2, tracks[2], 1), Contact(0, tracks[0], 1))
    closing = TautPaths((back,))
    closed = closing.spans(poses[None], np.array([[4.0]]))
    rest = closed.length[0, 0]
    rest += tracks[2].arc(2.9, _next(closed.normal[0, 0, 0], normal_out))
    rest += tracks[0].arc(_last(closed.normal[0, 0, 1], normal_in), -2.6)
    assert spans.path_length[0, 0] + rest == pytest.approx(around, rel=1e-8)


def _next(angle: float, after: float) -> float:
    return angle + 2 * np.pi * np.ceil((after - angle) / (2 * np.pi))


def _last(angle: float, before: float) -> float:
    return angle - 2 * np.pi * np.ceil((angle - before) / (2 * np.pi))


# ----------------------------------------------------------------- against tangents sought apart


def sought(first: Floats, second: Floats, sides: tuple[int, int], start: Floats) -> Floats:
    """Normals in the plane at both ends of a tangent of two eggs, and its length."""

    def place(pose: Floats, psi: float) -> Floats:
        return placed(pose, EGG.contact(psi - pose[2])[None])[0]

    def off(psi: Floats) -> Floats:
        way = place(second, psi[1]) - place(first, psi[0])
        unit = way / np.hypot(*way)
        across = np.array([unit[1], -unit[0]])
        normals = [np.array([np.cos(a), np.sin(a)]) for a in psi]
        pairs = zip(sides, normals, strict=True)
        return np.array([s * n @ across - 1.0 + n @ unit for s, n in pairs])

    found = root(off, start, tol=1e-14)
    way = place(second, found.x[1]) - place(first, found.x[0])
    return np.append(found.x, np.hypot(*way))


@pytest.mark.parametrize("sides", [(1, 1), (-1, -1), (1, -1), (-1, 1)])
def test_every_tangent_of_two_eggs(sides: tuple[int, int]) -> None:
    """Outer and crossing tangents touch where the normal of each outline is square to them."""
    poses = np.array([[0.0, 0.02, 0.7], [0.4, -0.05, -1.9]])
    spans = run((Contact(0, EGG, sides[0]), Contact(1, EGG, sides[1])), poses)[1]
    alpha = spans.direction[0, 0]
    normals = alpha - np.array(sides) * np.pi / 2
    ends = [placed(p, EGG.contact(a - p[2])[None])[0] for p, a in zip(poses, normals, strict=True)]
    way = ends[1] - ends[0]
    np.testing.assert_allclose(way, spans.length[0, 0] * np.array([np.cos(alpha), np.sin(alpha)]))
    apart = sought(poses[0], poses[1], sides, normals + np.array([0.05, -0.04]))
    np.testing.assert_allclose(apart, [*normals, spans.length[0, 0]], atol=1e-7)
    np.testing.assert_allclose(spans.normal[0, 0], normals - poses[:, 2], atol=1e-14)


def test_crossing_tangent_of_circles_by_hand() -> None:
    """Two wheels, the line crossing between: sqrt(d^2 - (a + b)^2) and its two arcs."""
    a, b, d = 0.04, 0.025, 0.3
    first = Contact(0, circle(a), 1, peg=np.array(-np.pi), near=-1.5)
    last = Contact(1, circle(b), -1, peg=np.array(0.0), near=1.5)
    spans = run((first, last), np.array([[0.0, 0.0, 0.0], [d, 0.0, 0.0]]))[1]
    straight = np.sqrt(d**2 - (a + b) ** 2)
    lean = np.arcsin((a + b) / d)
    assert spans.length[0, 0] == pytest.approx(straight, rel=1e-13)
    assert spans.direction[0, 0] == pytest.approx(lean, rel=1e-12)
    arcs = (a + b) * (np.pi / 2 + lean)
    assert spans.path_length[0, 0] == pytest.approx(straight + arcs, rel=1e-13)


# --------------------------------------------------------------- pegs and tracks that are passed


def swinging(turn: Floats) -> Spans:
    """A line from a far point to a peg on an egg that turns, all turns in one batch."""
    contacts = (Contact(0, HERE), Contact(1, EGG, -1, peg=np.array(1.2), near=np.pi / 2))
    paths = TautPaths((contacts,))
    poses = np.zeros((len(turn), 2, 3))
    poses[:, 0, 0] = -0.6
    poses[:, 1, 2] = turn
    return paths.spans(poses, np.broadcast_to(paths.guess(poses * [1, 1, 0]), (len(turn), 1)))


def test_unwraps_at_the_peg_without_a_jump() -> None:
    """Past the peg the line swings about it; length and its slope run on without a jump."""
    turn = np.linspace(-1.6, 1.6, 641)
    spans = swinging(turn)
    length = spans.path_length[:, 0]
    bare = np.asarray(spans.normal[:, 0, 1] < 1.2)
    assert 100 < np.count_nonzero(bare) < 541
    np.testing.assert_array_equal(bare, np.sort(bare))
    # On the peg: distance from the far point to the one place.
    peg = np.stack([placed(np.array([0, 0, t]), EGG.contact(1.2)[None])[0] for t in turn[bare]])
    np.testing.assert_allclose(length[bare], np.hypot(peg[:, 0] + 0.6, peg[:, 1]), rtol=1e-13)
    # On the track: straight part and arc, from the track's own methods.
    on = ~bare
    arcs = EGG.arc(1.2, spans.normal[on, 0, 1])
    np.testing.assert_allclose(length[on], spans.length[on, 0] + arcs, rtol=1e-13)
    step = turn[1] - turn[0]
    slope, lever = np.diff(length) / step, -spans.lever[:, 0, 1]
    np.testing.assert_allclose(slope, 0.5 * (lever[1:] + lever[:-1]), atol=2e-6)
    assert np.abs(np.diff(slope)).max() < 0.3 * step


def test_a_track_is_touched_and_passed_by() -> None:
    """A wheel moved away from a line leaves it straight; moved in, the line wraps it."""
    contacts = (Contact(0, HERE), Contact(1, EGG, 1, optional=True), Contact(2, HERE))
    paths = TautPaths((contacts,))
    height = np.linspace(-0.03, 0.12, 301)
    poses = np.zeros((301, 3, 3))
    poses[:, 0, 0], poses[:, 2, 0], poses[:, 1, 1] = -0.3, 0.35, height
    poses[:, 1, 2] = 0.8
    spans = paths.spans(poses, np.zeros((301, 2)))
    touched = spans.touching[:, 1]
    lowest = -EGG.support(-np.pi / 2 - 0.8)
    np.testing.assert_array_equal(touched, height + lowest <= 0.0)
    length = spans.path_length[:, 0]
    np.testing.assert_allclose(length[~touched], 0.65, rtol=1e-14)
    assert np.all(np.diff(length[touched]) < 0.0)
    # Grazing, the length lifts off zero as the square of how deep the wheel presses.
    depth = -(height + lowest)[touched]
    lift = (length[touched] - 0.65) / depth**2
    assert 0.0 < lift.min() <= lift.max() < 5.0
    one = run((contacts[0], Contact(1, EGG, 1), contacts[2]), poses[0])[1]
    assert length[0] == pytest.approx(one.path_length[0, 0], rel=1e-14)


# ------------------------------------------------------------------------------------ relations

PAIRS = [
    (Contact(0, EGG, 1, peg=np.array(-2.0), near=-1.5), Contact(1, ROUND, -1), Contact(2, HERE)),
    (Contact(0, HERE), Contact(1, EGG, 1), Contact(2, ROUND, 1, peg=np.array(1.0), near=-1.5)),
    (Contact(0, HERE), Contact(1, ROUND, -1), Contact(2, EGG, 1, peg=np.array(-2.2), near=-1.5)),
]
POSES = np.array([[0.0, 0.0, 0.2], [0.4, 0.1, -0.3], [0.8, -0.05, 0.1]])


@pytest.mark.parametrize("contacts", PAIRS)
@given(st.floats(-3.0, 3.0), st.floats(-1.0, 1.0), st.floats(-1.0, 1.0))
def test_turned_or_shifted_as_a_whole(
    contacts: tuple[Contact, ...], turn: float, x: float, y: float
) -> None:
    """A path does not change its length where everything is turned and shifted together."""
    c, s = np.cos(turn), np.sin(turn)
    moved = np.array(POSES)
    moved[:, :2] = POSES[:, :2] @ np.array([[c, s], [-s, c]]) + [x, y]
    moved[:, 2] += turn
    before, after = run(contacts, POSES)[1], run(contacts, moved)[1]
    np.testing.assert_allclose(after.path_length, before.path_length, rtol=1e-12)
    np.testing.assert_allclose(after.normal, before.normal, atol=1e-10)


@pytest.mark.parametrize("contacts", PAIRS)
def test_read_from_its_other_end(contacts: tuple[Contact, ...]) -> None:
    """Run backwards, with every side turned about, the path is as long."""
    back = tuple(
        Contact(c.body, c.track, -c.side, peg=c.peg, near=c.near) for c in reversed(contacts)
    )
    there, again = run(contacts, POSES)[1], run(back, POSES)[1]
    np.testing.assert_allclose(again.path_length, there.path_length, rtol=1e-13)
    np.testing.assert_allclose(again.length[:, ::-1], there.length, rtol=1e-12)


@pytest.mark.parametrize("contacts", PAIRS)
def test_mirrored_as_a_whole(contacts: tuple[Contact, ...]) -> None:
    """In a mirror every side, peg and angle turns about, and the length stays."""
    seen = tuple(
        Contact(c.body, c.track.mirrored(), -c.side, None if c.peg is None else -c.peg, -c.near)
        for c in contacts
    )
    there, again = run(contacts, POSES)[1], run(seen, POSES * [1, -1, -1])[1]
    np.testing.assert_allclose(again.path_length, there.path_length, rtol=1e-13)


@pytest.mark.parametrize("contacts", PAIRS)
def test_levers_and_directions_are_the_gradient(contacts: tuple[Contact, ...]) -> None:
    """Moving or turning a body changes the length as the pulls of unit tension do work."""
    paths, spans = run(contacts, POSES)
    wanted = np.zeros((3, 3))
    for k in range(paths.count):
        a, b = paths.bodies[k]
        unit = np.array([np.cos(spans.direction[0, k]), np.sin(spans.direction[0, k])])
        wanted[a, :2] -= unit
        wanted[b, :2] += unit
        lever = paths.side[k] * spans.lever[0, k]
        wanted[a, 2] -= lever[0]
        wanted[b, 2] += lever[1]
    step = 1e-6
    for body in range(3):
        for axis in range(3):
            aside = np.zeros((3, 3))
            aside[body, axis] = step
            ends = [
                paths.spans((POSES + sign * aside)[None], spans.direction).path_length[0, 0]
                for sign in (-1, 1)
            ]
            slope = (ends[1] - ends[0]) / (2 * step)
            assert slope == pytest.approx(wanted[body, axis], abs=1e-9)


def test_the_tangent_is_a_maximum() -> None:
    """Held at any other direction near it, the sum of spans and supports is shorter."""
    contacts = (Contact(0, EGG, 1, peg=np.array(-2.0), near=-1.5), Contact(1, HERE))
    paths, spans = run(contacts, POSES[:2])
    alpha = spans.direction[0, 0] + np.linspace(-0.5, 0.5, 101)
    psi = alpha - np.pi / 2 - POSES[0, 2]
    delta = POSES[1, :2] - POSES[0, :2]
    supports = EGG.arc(-2.0, psi) - EGG.tangential(psi)
    held = delta[0] * np.cos(alpha) + delta[1] * np.sin(alpha) + supports
    assert np.argmax(held) == 50
    assert held[50] == pytest.approx(spans.path_length[0, 0], rel=1e-13)
    assert np.all(np.diff(held, 2) < 0.0)
    assert paths.count == 1


# --------------------------------------------------------------------------------- batch, input


def test_a_batch_is_its_cases() -> None:
    """Tracks, pegs and poses that differ from case to case, solved together or one by one."""
    tracks = circle(np.array([0.03, 0.04, 0.05]), np.array([0.0, 0.01, 0.02]))
    pegs = np.array([-2.0, -2.2, -2.4])
    poses = POSES[None] + 0.01 * np.arange(27).reshape(3, 3, 3) / 9
    contacts = (Contact(0, tracks, 1, peg=pegs, near=-1.5), Contact(1, EGG, -1), Contact(2, HERE))
    paths = TautPaths((contacts,))
    assert paths.cases == 3
    whole = paths.spans(poses, paths.guess(poses))
    for i in range(3):
        own = circle(0.03 + 0.01 * i, 0.01 * i)
        one = (Contact(0, own, 1, peg=pegs[i], near=-1.5), *contacts[1:])
        alone = run(one, poses[i])[1]
        assert whole.path_length[i, 0] == pytest.approx(alone.path_length[0, 0], rel=1e-14)
        part = paths.taken(np.array([i]))
        again = part.spans(poses[[i]], part.guess(poses[[i]]))
        assert again.path_length[0, 0] == pytest.approx(alone.path_length[0, 0], rel=1e-14)


def test_pegs_alone_may_differ() -> None:
    """One wheel, fastened at another place in each case: cases can still be taken one by one."""
    pegs = np.array([-2.0, -2.2, -2.4])
    paths = TautPaths(((Contact(0, EGG, 1, peg=pegs, near=-1.5), Contact(1, HERE)),))
    poses = np.repeat(POSES[None, :2], 3, axis=0)
    whole = paths.spans(poses, paths.guess(poses)).path_length[:, 0]
    np.testing.assert_allclose(np.diff(whole), EGG.arc(pegs[1:], pegs[:-1]), rtol=1e-12)
    part = paths.taken(np.array([2, 0]))
    assert part.cases == 2
    again = part.spans(poses[:2], part.guess(poses[:2])).path_length[:, 0]
    np.testing.assert_allclose(again, whole[[2, 0]], rtol=1e-14)


def test_several_paths_at_once() -> None:
    """Paths over the same bodies are solved together as each alone."""
    both = TautPaths((PAIRS[0], PAIRS[1]))
    spans = both.spans(POSES[None], both.guess(POSES[None]))
    alone = [run(p, POSES)[1].path_length[0, 0] for p in PAIRS[:2]]
    np.testing.assert_allclose(spans.path_length[0], alone, rtol=1e-14)


@given(st.floats(0.001, 0.0499), st.floats(-3.0, 3.0))
def test_overlap_is_a_length_below_zero(apart: float, bearing: float) -> None:
    """Where a point lies inside the track no straight part is left, and the length says so."""
    contacts = (Contact(0, HERE), Contact(1, circle(0.05), 1))
    x, y = apart * np.cos(bearing), apart * np.sin(bearing)
    spans = run(contacts, np.array([[0.0, 0.0, 0.0], [x, y, 0.0]]))[1]
    assert spans.length[0, 0] < 0.0


def test_just_outside_there_is_a_tangent() -> None:
    """A hundredth of a millimetre outside, the straight part is there and as short as it is."""
    contacts = (Contact(0, HERE), Contact(1, circle(0.05), 1))
    spans = run(contacts, np.array([[0.0, 0.0, 0.0], [0.05001, 0.0, 0.0]]))[1]
    assert spans.length[0, 0] == pytest.approx(np.sqrt(0.05001**2 - 0.05**2), rel=1e-6)


@pytest.mark.parametrize(
    "contacts",
    [
        (Contact(0, HERE),),
        (Contact(0, HERE, optional=True), Contact(1, HERE)),
        (Contact(0, HERE), Contact(1, HERE, optional=True)),
        (
            Contact(0, HERE),
            Contact(1, EGG, optional=True),
            Contact(2, EGG, optional=True),
            Contact(0, HERE),
        ),
        (Contact(0, HERE), Contact(1, EGG, peg=np.array(0.0)), Contact(2, HERE)),
    ],
)
def test_what_cannot_be_laid_is_refused(contacts: tuple[Contact, ...]) -> None:
    """One contact, an end that may be left, two such neighbours, a peg in mid-path."""
    with pytest.raises(GeometryError, match="path"):
        TautPaths((contacts,))
