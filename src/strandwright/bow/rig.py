r"""The rig: a bow's potential energy with exact gradient and second derivatives.

The state q of a bow is stacked from the coordinates of its limbs, the angles of its wheels, and
the nocking point in polar form about the grip: draw D and bearing. The potential is

.. math:: E(q) = \sum_\text{limbs} U + \sum_\text{stops} \tfrac12 k\,\langle e \rangle^2
    + \sum_\text{reaches} \tfrac12 \frac{EA}{L_0} \langle L(q) - L_0 \rangle^2

with lines that pull and never push. At a fixed draw a bow stands where E is least; the force
there, :math:`F = \partial E/\partial D`, points from the nocking point to the pivot, as a hand
draws it.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, fields, is_dataclass, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.limb import Tip
from strandwright.bow.parts import Bow, Mount
from strandwright.geometry.taut import Spans, TautPaths

Floats = NDArray[np.float64]
AnyDataclass = TypeVar("AnyDataclass")


@dataclass(frozen=True)
class Poses:
    """Where every body of the bow is, and how that changes with the state.

    Attributes
    ----------
    at : ndarray, shape (batch, bodies, 3)
        Place and angle of each body [m, m, rad].
    gradient : ndarray, shape (batch, bodies, 3, n)
        Derivatives by the state [unit of the body over unit of the state].
    tips : tuple of Tip
        State of each limb's tip, in its own frame.
    """

    at: Floats
    gradient: Floats
    tips: tuple[Tip, ...]


@dataclass(frozen=True)
class Potential:
    """Energy of the bow in a state, with what it was made from.

    Attributes
    ----------
    energy : ndarray, shape (batch,)
        Energy [J].
    gradient : ndarray, shape (batch, n)
        Derivatives by the state; zero at rest, but for the draw's: the force [J].
    hessian : ndarray, shape (batch, n, n)
        Second derivatives [J].
    tension : ndarray, shape (batch, reaches)
        Tension of each reach, 0 where it hangs slack [N].
    rate : ndarray, shape (batch, reaches)
        Tension per stretch, EA over natural length; 0 where slack [N/m].
    length_gradient : ndarray, shape (batch, reaches, n)
        Derivatives of each reach's length by the state [m].
    tension_by_length : ndarray, shape (batch, reaches)
        Change of a reach's tension by its own natural length, the state held; 0 where slack
        [N/m].
    spans : Spans
        Where the lines run.
    poses : Poses
        Where the bodies are.
    """

    energy: Floats
    gradient: Floats
    hessian: Floats
    tension: Floats
    rate: Floats
    length_gradient: Floats
    tension_by_length: Floats
    spans: Spans
    poses: Poses


class Rig:
    """A bow laid out for computing; every array is one for all cases or one for each.

    Parameters
    ----------
    bow : Bow
        The bow, or a batch of bows of one kind.
    """

    def __init__(self, bow: Bow) -> None:
        self.bow = bow
        reaches = [reach for line in bow.lines for reach in line.reaches]
        self.of_line = np.array([i for i, x in enumerate(bow.lines) for _ in x.reaches])
        self.paths = TautPaths(tuple(reach.contacts for reach in reaches))
        self.natural = _columns([r.natural_length for r in reaches])
        self.stiffness = _columns([r.stiffness for r in reaches])
        counts = [mount.limb.freedoms for mount in bow.mounts]
        starts = np.concatenate([[0], np.cumsum(counts)]).astype(int)
        self.limbs = tuple(slice(a, b) for a, b in itertools.pairwise(starts))
        self.wheels = slice(int(starts[-1]), int(starts[-1]) + len(bow.wheels))
        self.draw = self.wheels.stop
        self.bearing = self.draw + 1
        self.freedoms = self.draw + 2
        self._turnings = [_turning(mount) for mount in bow.mounts]
        self._bodies = bow.nock + 1
        start, end = self.paths.bodies[:, 0], self.paths.bodies[:, 1]
        self._on = np.zeros((self._bodies, self.paths.count))
        self._on[end, np.arange(self.paths.count)] += 1.0
        self._on[start, np.arange(self.paths.count)] -= 1.0

    def taken(self, rows: NDArray[np.intp], natural: Floats | None = None) -> Rig:
        """Give the rig for some cases of a batch, or with other natural lengths.

        Parameters
        ----------
        rows : ndarray of int
            Cases to take, in order; may repeat [-]
        natural : ndarray, shape (1 or rows, reaches), optional
            Natural lengths to put in place of its own [m]

        Returns
        -------
        Rig
            A rig over the cases taken.
        """
        other = object.__new__(Rig)
        other.__dict__.update(self.__dict__)
        other.bow = _taken(self.bow, rows, _batch(self))
        if other.bow is not self.bow:
            other._turnings = [_turning(mount) for mount in other.bow.mounts]
        other.paths = self.paths.taken(rows)
        other.stiffness = _rows(self.stiffness, rows)
        other.natural = _rows(self.natural, rows) if natural is None else natural
        return other

    def unstopped(self) -> Rig:
        """Give the rig of the same bow without its stops.

        Returns
        -------
        Rig
            Its states are those of the bow itself up to the wall, and smooth past it.
        """
        other = object.__new__(Rig)
        other.__dict__.update(self.__dict__)
        other.bow = replace(self.bow, stops=())
        return other

    def released(self, which: NDArray[np.intp]) -> Rig:
        """Give the rig of the same bow with one of its stops taken away, for each case its own.

        Parameters
        ----------
        which : ndarray of int, shape (batch,)
            Index of the stop to take away [-]

        Returns
        -------
        Rig
            Smooth past the touch of that stop.
        """
        other = object.__new__(Rig)
        other.__dict__.update(self.__dict__)
        stops = tuple(
            replace(stop, stiffness=np.where(which == k, 0.0, stop.stiffness))
            for k, stop in enumerate(self.bow.stops)
        )
        other.bow = replace(self.bow, stops=stops)
        return other

    def poses(self, q: Floats) -> Poses:
        """Place every body.

        Parameters
        ----------
        q : ndarray, shape (batch, n)
            States [-, rad, m, rad]

        Returns
        -------
        Poses
            With first derivatives.
        """
        batch = len(q)
        at = np.zeros((batch, self._bodies, 3))
        gradient = np.zeros((batch, self._bodies, 3, self.freedoms))
        tips: list[Tip] = []
        for i, (mount, cut) in enumerate(zip(self.bow.mounts, self.limbs, strict=True)):
            tip = mount.limb.tip(q[:, cut])
            tips.append(tip)
            turn = self._turnings[i]
            body, sign = self.bow.tip(i), -1.0 if mount.mirrored else 1.0
            at[:, body, 0] = mount.x
            at[:, body, 1] = mount.y
            at[:, body, :2] += (turn @ tip.position[..., None])[..., 0]
            at[:, body, 2] = mount.heading + sign * tip.angle
            gradient[:, body, :2, cut] = turn @ tip.position_gradient
            gradient[:, body, 2, cut] = sign * tip.angle_gradient
        for j, wheel in enumerate(self.bow.wheels):
            body, tip_body = self.bow.wheel(j), self.bow.tip(wheel.limb)
            at[:, body, :2] = at[:, tip_body, :2]
            gradient[:, body, :2] = gradient[:, tip_body, :2]
            at[:, body, 2] = q[:, self.wheels.start + j]
            gradient[:, body, 2, self.wheels.start + j] = 1.0
        draw, bearing = q[:, self.draw], q[:, self.bearing]
        c, s = np.cos(bearing), np.sin(bearing)
        nock = self.bow.nock
        at[:, nock, 0], at[:, nock, 1] = draw * c, draw * s
        gradient[:, nock, 0, self.draw], gradient[:, nock, 1, self.draw] = c, s
        gradient[:, nock, 0, self.bearing] = -draw * s
        gradient[:, nock, 1, self.bearing] = draw * c
        return Poses(at, gradient, tuple(tips))

    def potential(self, q: Floats, directions: Floats, *, pushing: bool = False) -> Potential:
        """Energy, gradient and second derivatives in a state.

        Parameters
        ----------
        q : ndarray, shape (batch, n)
            States [-, rad, m, rad]
        directions : ndarray, shape (batch, spans)
            Directions of the spans to start from [rad]
        pushing : bool
            Whether a line too long for its path pushes, as a spring would, so that Newton's
            method is not lost on its way to a state in which every line pulls.

        Returns
        -------
        Potential
            Exact for the model, tangents solved to rounding.
        """
        poses = self.poses(q)
        spans = self.paths.spans(poses.at, directions)
        rate = self.stiffness / self.natural
        stretch = spans.path_length - self.natural
        rate = rate + 0.0 * stretch if pushing else np.where(stretch > 0, rate, 0.0)
        tension = rate * stretch
        energy = 0.5 * np.sum(tension * stretch, axis=-1)
        slope, curve = self._lines(spans, poses, tension)
        length_gradient = self._per_reach(slope)
        gradient = np.einsum("br,brn->bn", tension, length_gradient)
        weighted = length_gradient * rate[..., None]
        hessian = curve + np.swapaxes(weighted, 1, 2) @ length_gradient
        self._bend(q, spans, poses, tension, hessian)
        energy = energy + self._springs(q, poses, gradient, hessian)
        by_length = -rate * spans.path_length / self.natural
        return Potential(
            energy, gradient, hessian, tension, rate, length_gradient, by_length, spans, poses
        )

    def _per_reach(self, slope: Floats) -> Floats:
        return np.swapaxes(np.swapaxes(slope, 1, 2) @ self.paths.member, 1, 2)

    def _lines(self, spans: Spans, poses: Poses, tension: Floats) -> tuple[Floats, Floats]:
        """Each span's slope by the state, and the tensions' part of the second derivatives."""
        side = self.paths.side
        jacobian = poses.gradient[:, self.paths.bodies]
        across = jacobian[:, :, 1] - jacobian[:, :, 0]
        turn_a, turn_b = jacobian[:, :, 0, 2], jacobian[:, :, 1, 2]
        c, s = np.cos(spans.direction)[..., None], np.sin(spans.direction)[..., None]
        h, slope = spans.lever * side, spans.slope * side
        along = c * across[:, :, 0] + s * across[:, :, 1]
        first = along - h[..., :1] * turn_a + h[..., 1:] * turn_b
        mixed = c * across[:, :, 1] - s * across[:, :, 0]
        mixed = mixed - slope[..., :1] * turn_a + slope[..., 1:] * turn_b
        pull = tension[:, self.paths.of_path]
        if len(self.paths.links):
            weights = self.paths.inverse_lengths(spans) * pull[:, :, None]
            curve = np.swapaxes(mixed, 1, 2) @ (weights @ mixed)
        else:
            curve = np.swapaxes(mixed * (pull / spans.length)[..., None], 1, 2) @ mixed
        turn_a_weight = turn_a * (pull * slope[..., 0])[..., None]
        turn_b_weight = turn_b * (pull * slope[..., 1])[..., None]
        curve += np.swapaxes(turn_a_weight, 1, 2) @ turn_a
        curve -= np.swapaxes(turn_b_weight, 1, 2) @ turn_b
        return first, curve

    def _bend(
        self, q: Floats, spans: Spans, poses: Poses, tension: Floats, hessian: Floats
    ) -> None:
        """Add the forces on bodies that move along curves."""
        pull = tension[:, self.paths.of_path]
        c, s = np.cos(spans.direction), np.sin(spans.direction)
        force = np.stack([(pull * c) @ self._on.T, (pull * s) @ self._on.T], axis=-1)
        for i, cut in enumerate(self.limbs):
            total = force[:, self.bow.tip(i)].copy()
            for j, wheel in enumerate(self.bow.wheels):
                if wheel.limb == i:
                    total += force[:, self.bow.wheel(j)]
            local = (total[:, None, :] @ self._turnings[i])[:, 0]
            hessian[:, cut, cut] += np.einsum("bx,bxij->bij", local, poses.tips[i].position_hessian)
        fx, fy = force[:, self.bow.nock, 0], force[:, self.bow.nock, 1]
        draw, bearing = q[:, self.draw], q[:, self.bearing]
        cb, sb = np.cos(bearing), np.sin(bearing)
        cross = -fx * sb + fy * cb
        hessian[:, self.draw, self.bearing] += cross
        hessian[:, self.bearing, self.draw] += cross
        hessian[:, self.bearing, self.bearing] -= draw * (fx * cb + fy * sb)

    def _springs(self, q: Floats, poses: Poses, gradient: Floats, hessian: Floats) -> Floats:
        """Add limbs and stops; give their energy."""
        energy = np.zeros(len(q))
        for mount, cut in zip(self.bow.mounts, self.limbs, strict=True):
            u, slope, curve = mount.limb.energy(q[:, cut])
            energy = energy + u
            gradient[:, cut] += slope
            hessian[:, cut, cut] += curve
        for stop in self.bow.stops:
            excess, by = self.stop_excess(stop, poses)
            push = np.where(excess > 0, stop.stiffness, 0.0)
            energy = energy + 0.5 * push * excess**2
            gradient += (push * excess)[:, None] * by
            hessian += push[:, None, None] * by[:, :, None] * by[:, None, :]
        return energy

    def stop_excess(self, stop: Any, poses: Poses) -> tuple[Floats, Floats]:
        """How far a stop is pressed, and how that changes with the state.

        Parameters
        ----------
        stop : Stop
            The stop.
        poses : Poses
            Where the bodies are.

        Returns
        -------
        excess : ndarray, shape (batch,)
            Turn past first touch; below zero before it [rad].
        gradient : ndarray, shape (batch, n)
            Derivatives by the state [rad].
        """
        turn, by = np.zeros(len(poses.at)), np.zeros((len(poses.at), self.freedoms))
        for index, sense in stop.wheels:
            wheel, tip = self.bow.wheel(index), self.bow.tip(self.bow.wheels[index].limb)
            turn += sense * (poses.at[:, wheel, 2] - poses.at[:, tip, 2])
            by += sense * (poses.gradient[:, wheel, 2] - poses.gradient[:, tip, 2])
        count = len(stop.wheels)
        return turn / count - stop.limit, by / count


def rows_of(part: AnyDataclass, rows: NDArray[Any]) -> AnyDataclass:
    """Take cases of a result whose every array has the batch axis first.

    Parameters
    ----------
    part : dataclass
        The result.
    rows : ndarray of int or of bool
        Cases to take [-]

    Returns
    -------
    dataclass
        The same for those cases.
    """
    changes: dict[str, Any] = {}
    for field in fields(part):  # pyright: ignore[reportArgumentType]
        value = getattr(part, field.name)
        if isinstance(value, np.ndarray):
            changes[field.name] = value[rows] if value.ndim and field.name not in _SHARED else value
        elif isinstance(value, tuple):
            changes[field.name] = tuple(rows_of(v, rows) for v in value)
        elif is_dataclass(value):
            changes[field.name] = rows_of(value, rows)
    return _changed(part, changes)


#: Arrays of a result that are the same for every case.
_SHARED = frozenset({"angle_gradient"})


def _turning(mount: Mount) -> Floats:
    """Turn of a limb's frame into the bow's, (2, 2) or (batch, 2, 2)."""
    c, s = np.cos(mount.heading), np.sin(mount.heading)
    sign = -1.0 if mount.mirrored else 1.0
    rows = np.array([[c, -sign * s], [s, sign * c]])
    return np.moveaxis(rows, (0, 1), (-2, -1)) if rows.ndim == 3 else rows


def _columns(values: list[Floats]) -> Floats:
    """Stack numbers that are one for all cases or one for each: (1 or batch, count)."""
    return np.stack(np.broadcast_arrays(*(np.atleast_1d(v) for v in values)), axis=-1).astype(
        np.float64
    )


def _rows(values: Floats, rows: NDArray[np.intp]) -> Floats:
    return values if len(values) == 1 else values[rows]


def _batch(rig: Rig) -> int:
    """Number of cases the rig holds; 1 where all its numbers are shared."""
    sizes = [len(rig.natural), len(rig.stiffness), rig.paths.cases]
    for mount in rig.bow.mounts:
        sizes += [np.size(mount.x), np.size(mount.y), np.size(mount.heading)]
        if is_dataclass(mount.limb):
            own = [getattr(mount.limb, field.name) for field in fields(mount.limb)]
            sizes += [v.size for v in own if isinstance(v, np.ndarray) and v.ndim == 1]
    sizes += [size for s in rig.bow.stops for size in (np.size(s.limit), np.size(s.stiffness))]
    return max(sizes)


def _taken(part: AnyDataclass, rows: NDArray[np.intp], batch: int) -> AnyDataclass:
    """Take cases in every number of a noun that has one for each case."""
    if batch == 1:
        return part
    changes: dict[str, Any] = {}
    for field in fields(part):  # pyright: ignore[reportArgumentType]
        value = getattr(part, field.name)
        if isinstance(value, np.ndarray) and value.ndim == 1 and len(value) == batch:
            changes[field.name] = value[rows]
        elif field.name in ("mounts", "stops"):
            changes[field.name] = tuple(_taken(v, rows, batch) for v in value)
        elif field.name == "limb" and is_dataclass(value):
            changes[field.name] = _taken(value, rows, batch)
    return _changed(part, changes) if changes else part


def _changed(part: AnyDataclass, changes: dict[str, Any]) -> AnyDataclass:
    """Replace fields without checking the whole again: cases taken out of sound ones are sound."""
    given = {field.name for field in fields(part) if field.init}  # pyright: ignore
    if set(part.__dict__) - given:
        # What it keeps beside was worked out of all its cases.
        return replace(part, **changes)  # pyright: ignore[reportArgumentType]
    other = object.__new__(type(part))
    other.__dict__.update(part.__dict__)
    other.__dict__.update(changes)
    return other
