"""Winding: what natural length the strands have when they come to lie on the posts.

Each pass is laid at the drag and pulls the posts a little nearer, so the first strands are
laid longest and end with the least tension; they may fall slack before the last is laid.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.fibre.strand_law import FloatArray
from strandwright.geometry.belt import belt_length, centre_distance


@dataclass(frozen=True)
class Posts:
    """Two posts with a skein on them, as the strands' centreline sees them.

    Attributes
    ----------
    zero, far : float
        Diameter of each post [m]
    strand_offset : ndarray
        Shape (...); mean distance of the strands' centreline from the post's surface [m]
    """

    zero: float
    far: float
    strand_offset: FloatArray

    @property
    def radii(self) -> tuple[FloatArray, FloatArray]:
        """Centreline radii at the two posts [m]."""
        return 0.5 * self.zero + self.strand_offset, 0.5 * self.far + self.strand_offset

    def loop_length(self, outside: ArrayLike) -> FloatArray:
        """Length of a loop from the outside-to-outside distance of the posts.

        Parameters
        ----------
        outside : array_like
            Outside to outside of the posts [m]

        Returns
        -------
        ndarray
            Loop length along the mean centreline [m]
        """
        centres = np.asarray(outside) - 0.5 * (self.zero + self.far)
        return np.asarray(belt_length(centres, *self.radii), dtype=float)

    def outside(self, loop_length: ArrayLike) -> FloatArray:
        """Outside-to-outside distance from the length of a loop: the inverse.

        Parameters
        ----------
        loop_length : array_like
            Loop length along the mean centreline [m]

        Returns
        -------
        ndarray
            Outside to outside of the posts [m]
        """
        centres = np.asarray(centre_distance(loop_length, *self.radii), dtype=float)
        return centres + 0.5 * (self.zero + self.far)


@dataclass(frozen=True)
class WoundSkein:
    """A skein just wound, before anything is pulled.

    Attributes
    ----------
    natural_loop : ndarray
        Shape (...); natural length of one round, mean over the passes [m]
    spread : ndarray
        Shape (...); natural length of the first pass less the last, as strain [-]
    load : ndarray
        Shape (...); what the skein pulls the posts with [N]
    approach : ndarray
        Shape (...); how far the posts came together [m]
    slack_passes : ndarray
        Shape (...); passes that hang slack at the end of winding [-]
    """

    natural_loop: FloatArray
    spread: FloatArray
    load: FloatArray
    approach: FloatArray
    slack_passes: FloatArray


def wind(
    setting: ArrayLike,
    posts: Posts,
    passes: int,
    drag_strain: ArrayLike,
    strand_stiffness: ArrayLike,
    post_stiffness: ArrayLike,
) -> WoundSkein:
    """Wind a skein pass by pass on posts that give.

    Pass *j* is drawn off the spool at the drag *t* while the posts give under it: they come
    together by :math:`\\delta_j = t/(K + (j - 1) s)`, where *s* is what one pass laid before
    pulls per length of approach, and what is already laid loses tension.

    Parameters
    ----------
    setting : array_like
        Outside to outside of the posts before winding [m]
    posts : Posts
        The posts with the strand's offset.
    passes : int
        Strands to be laid, one a pass from post to post [-]
    drag_strain : array_like
        Strain of the strand at the winding drag [-]
    strand_stiffness : array_like
        Stiffness of one strand between slack and the drag [N]
    post_stiffness : array_like
        Force along the line that brings the posts together by a unit of length [N/m]

    Returns
    -------
    WoundSkein
        The skein.

    Notes
    -----
    Exact while every strand keeps some tension. Where the first ones fall slack, they no longer
    push the posts apart, and the solution goes on without them (``slack_passes``).
    """
    setting, strain, stiffness, post = np.broadcast_arrays(
        *(
            np.asarray(v, dtype=float)
            for v in (setting, drag_strain, strand_stiffness, post_stiffness)
        )
    )
    loop = posts.loop_length(setting)
    drag = stiffness * strain
    per_pass = 2.0 * stiffness / loop
    order = np.arange(passes)
    steps = drag[..., None] / (post[..., None] + per_pass[..., None] * order)
    laid = np.cumsum(steps, axis=-1)
    slack = per_pass[..., None] * (laid[..., -1:] - laid) > drag[..., None]
    if slack.any():
        # A single case is quicker in plain numbers than in arrays of one.
        way = _wind_one_slack if drag.size == 1 else _wind_slack
        laid, slack = way(drag, per_pass, post, laid)
    mean = loop - 2.0 * laid.mean(axis=-1)
    return WoundSkein(
        natural_loop=mean / (1.0 + strain),
        spread=2.0 * (laid[..., -1] - laid[..., 0]) / loop,
        load=post * laid[..., -1],
        approach=laid[..., -1],
        slack_passes=slack.sum(axis=-1),
    )


def _wind_one_slack(
    drag: FloatArray, per_pass: FloatArray, post: FloatArray, laid: FloatArray
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """Do what `_wind_slack` does, from the first pass, for a single case."""
    t, s, stiffness = drag.item(), per_pass.item(), post.item()
    positions: list[float] = []
    first, pull = 0, 0.0
    for j in range(laid.shape[-1]):
        while True:
            position = (pull + t) / (stiffness + s * (j - first))
            if first == j or position - positions[first] <= t / s:
                break
            pull -= t + s * positions[first]
            first += 1
        positions.append(position)
        pull += t + s * position
    slack = np.arange(len(positions)) < first
    return np.array(positions).reshape(laid.shape), slack.reshape(laid.shape)


def _wind_slack(
    drag: FloatArray, per_pass: FloatArray, post: FloatArray, laid: FloatArray
) -> tuple[FloatArray, NDArray[np.bool_]]:
    """Wind on from where strands fall slack: post positions and who is slack at the end.

    ``laid`` holds the positions had none fallen slack, right up to the first pass after which one
    does. The posts only ever come closer, so strands fall slack in the order they were laid: the
    taut ones are those from ``first`` on.
    """
    shape, passes = drag.shape, laid.shape[-1]
    drag, per_pass, post = drag.ravel(), per_pass.ravel(), post.ravel()
    cases = np.arange(drag.size)
    positions = laid.reshape(-1, passes).T.copy()
    give = drag / per_pass
    begin = int(np.argmax((positions - positions[0] > give).any(axis=1)))
    first = np.zeros(drag.size, dtype=int)
    count = np.full(drag.size, float(begin))
    pull = count * drag + per_pass * positions[:begin].sum(axis=0)
    for j in range(begin, passes):
        while True:
            position = (pull + drag) / (post + per_pass * count)
            oldest = positions[first, cases]
            loose = (position - oldest > give) & (first < j)
            if not loose.any():
                break
            pull -= loose * (drag + per_pass * oldest)
            count -= loose
            first += loose
        positions[j] = position
        pull += drag + per_pass * position
        count += 1.0
    slack = np.arange(passes) < first[:, None]
    return positions.T.reshape(*shape, passes), slack.reshape(*shape, passes)
