r"""Nearby: draws of bows a little changed, foretold from one that was followed.

At a state of rest the changed bow is off balance by what its own sizes do there. The stiffness of
the bow that was followed tells how far the state then moves at a held draw, and what that does to
the force:

.. math:: \delta q = -H_{qq}^{-1}\, \delta g_q, \qquad
    \delta F = \delta g_D + H_{Dq}\, \delta q

One look at the changed tracks in the directions of the old serves, with what their tangents leave
(:mod:`strandwright.bow.looking`): exact to first order, and no state is solved again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.following import Followed, solved
from strandwright.bow.rig import Poses, Potential, Rig

Floats = NDArray[np.float64]
#: Start and end of a span turn the wrap's sense about.
_ENDS = np.array([1.0, -1.0])


def follow_nearby(rig: Rig, followed: Followed, changed: Rig, each: int) -> Followed:
    """Foretell how bows a little changed are drawn.

    Parameters
    ----------
    rig : Rig
        The bows that were followed.
    followed : Followed
        Their states.
    changed : Rig
        Bows nearly like them, so many for each; those for the first come first.
    each : int
        How many changed bows there are for each that was followed, >= 1 [-]

    Returns
    -------
    Followed
        Of the changed bows, to first order in the change; slopes and directions are the old ones.
    """
    nodes = followed.draw.shape[1]
    tracks, turns = _Tracks.of(changed), np.arange(len(followed.q)).repeat(each)
    moves, pushes = zip(
        *(_moved(rig, followed, i, changed, tracks, turns) for i in range(nodes)), strict=True
    )
    moved, push = np.stack(moves, axis=1), np.stack(pushes, axis=1)
    old = replace(followed, **{n: getattr(followed, n)[turns] for n in _ARRAYS})
    stride = (old.draw[:, -1] - old.draw[:, 0]) / (nodes - 1)
    return replace(
        old,
        q=old.q + moved,
        force=old.force + push,
        stiffness=old.stiffness + np.gradient(push, axis=1, edge_order=2) / stride[:, None],
        ok=old.ok & np.isfinite(push).all(axis=1),
    )


_ARRAYS = tuple(Followed.__dataclass_fields__)


def _moved(
    rig: Rig,
    followed: Followed,
    node: int,
    changed: Rig,
    tracks: _Tracks,
    turns: NDArray[np.intp],
) -> tuple[Floats, Floats]:
    """How far one of the states moves for each changed bow, and its force with it."""
    q = followed.q[:, node]
    at = rig.potential(q, followed.direction[:, node], pushing=True)
    bows, size = q.shape
    free = np.arange(size) != rig.draw
    off = _gradient(changed, tracks, q[turns], at, turns) - at.gradient[turns]
    off = off.reshape(bows, -1, size)
    step = np.zeros_like(off)
    inner = at.hessian[:, free][:, :, free]
    step[..., free] = -np.swapaxes(solved(inner, np.swapaxes(off[..., free], 1, 2)), 1, 2)
    push = off[..., rig.draw] + np.einsum("ben,bn->be", step, at.hessian[:, rig.draw])
    return step.reshape(-1, size), push.reshape(-1)


def _gradient(
    rig: Rig, tracks: _Tracks, q: Floats, at: Potential, turns: NDArray[np.intp]
) -> Floats:
    """Derivatives of the energy by the state, with the directions that other bows have there."""
    paths, poses = rig.paths, rig.poses(q)
    alpha = at.spans.direction[turns]
    h, slope, swept = tracks.at(alpha, poses)
    x = poses.at[:, paths.bodies, :2]
    delta = x[:, :, 1] - x[:, :, 0]
    c, s = np.cos(alpha), np.sin(alpha)
    left = delta[..., 1] * c - delta[..., 0] * s + _paired(h)
    path = (delta[..., 0] * c + delta[..., 1] * s + _paired(swept)) @ paths.member
    pull = (rig.stiffness / rig.natural * (path - rig.natural))[:, paths.of_path]
    # What the tangents leave turns the spans, and so their pull.
    inverse = paths.inverse_lengths(at.spans)[turns]
    across = pull * (inverse @ left[..., None])[..., 0]
    along = np.stack([pull * c - across * s, pull * s + across * c], axis=-1)
    turning = -(pull[..., None] * h + across[..., None] * slope)
    gradient = _carried(paths.bodies, poses, along, turning)
    for mount, cut in zip(rig.bow.mounts, rig.limbs, strict=True):
        gradient[:, cut] += mount.limb.energy(q[:, cut])[1]
    for stop in rig.bow.stops:
        excess, by = rig.stop_excess(stop, poses)
        gradient += np.where(excess > 0, stop.stiffness * excess, 0.0)[:, None] * by
    return gradient


def _carried(bodies: NDArray[np.intp], poses: Poses, along: Floats, turning: Floats) -> Floats:
    """Sum over the bodies what the spans do to each: pull it along, and turn it."""
    push = np.zeros(poses.at.shape)
    for span, (a, b) in enumerate(bodies.tolist()):
        push[:, a, :2] -= along[:, span]
        push[:, b, :2] += along[:, span]
        push[:, a, 2] += turning[:, span, 0]
        push[:, b, 2] += turning[:, span, 1]
    rows, size = len(push), poses.gradient.shape[-1]
    return (push.reshape(rows, 1, -1) @ poses.gradient.reshape(rows, -1, size))[:, 0]


def _paired(values: Floats) -> Floats:
    return values[..., 0] + values[..., 1]


@dataclass(frozen=True)
class _Tracks:
    """Tracks at the two ends of every span, ready to be looked at in one direction after another.

    Their waves are complex, so that one product gives a wave and its slope.
    """

    bodies: NDArray[np.intp]
    side: Floats
    mean: Floats
    waves: NDArray[np.complex128]
    fastened: NDArray[np.bool_]
    peg: Floats
    swept_before: Floats
    place: NDArray[np.complex128]

    @classmethod
    def of(cls, rig: Rig) -> _Tracks:
        """Those of a rig."""
        series, fastenings = rig.paths.series(), rig.paths.fastenings()
        half = (series.shape[-1] - 1) // 2
        fastened, peg, before, x, y = (fastenings[..., i] for i in range(5))
        waves = series[..., 1 : half + 1] - 1j * series[..., half + 1 :]
        side, bodies = rig.paths.side, rig.paths.bodies
        return cls(bodies, side, series[..., 0], waves, fastened > 0, peg, before, x - 1j * y)

    def at(self, alpha: Floats, poses: Poses) -> tuple[Floats, Floats, Floats]:
        """Levers, their slopes and lengths wrapped, each with the sense its span meets it in."""
        psi = alpha[..., None] - self.side * (0.5 * np.pi) - poses.at[:, self.bodies, 2]
        turn = np.cos(psi) + 1j * np.sin(psi)
        h, slope = self.mean, np.zeros(psi.shape)
        swept, power = self.mean * psi - self.swept_before, turn
        for k in range(1, self.waves.shape[-1] + 1):
            wave = self.waves[..., k - 1] * power
            h, slope, swept = h + wave.real, slope - k * wave.imag, swept + wave.imag / k
            power = power * turn
        sense = self.side * _ENDS
        bare = self.fastened & (sense * (psi - self.peg) < 0.0)
        if np.any(bare):
            point = self.place * turn
            h, slope = np.where(bare, point.real, h), np.where(bare, -point.imag, slope)
            swept = np.where(bare, point.imag, swept)
        return sense * h, sense * slope, sense * swept
