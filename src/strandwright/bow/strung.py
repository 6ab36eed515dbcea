r"""Strung: a bow laid out as it stands at its brace, so that it is in equilibrium there.

The technician knows how a bow stands: axle-to-axle, brace height, which way the wheels hang.
So a bow is laid out in that state, with the string's tension; the wheels' balance gives the
tension of each cable, tensions give the natural lengths, and the limbs' moments tell how far
their springs are wound already. The bow then stands at its brace exactly, whatever its numbers.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.limb import PivotLimb
from strandwright.bow.parts import Bow, BowLine
from strandwright.bow.rig import Rig
from strandwright.errors import SpecError

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Strung:
    """A bow with the state it stands in.

    Attributes
    ----------
    bow : Bow
        The bow, its lines' natural lengths and limbs' preload set.
    rig : Rig
        The same, laid out for computing.
    brace : ndarray, shape (batch, n)
        State at brace [-, rad, m, rad].
    directions : ndarray, shape (batch, spans)
        Directions of the lines' straight parts there [rad].
    tension : ndarray, shape (batch, reaches)
        Tensions there [N].
    """

    bow: Bow
    rig: Rig
    brace: Floats
    directions: Floats
    tension: Floats


def strung(bow: Bow, brace: Floats, string_tension: Floats, string: int = 0) -> Strung:
    """Give a bow its natural lengths and preload from the state it stands in.

    Parameters
    ----------
    bow : Bow
        Laid out with limbs that are links on pivots; natural lengths and rest angles of the
        limbs are ignored.
    brace : ndarray, shape (batch, n)
        The state it stands in; the nocking point on the straight string [-, rad, m, rad]
    string_tension : ndarray, shape (batch,)
        Tension of the string at brace, > 0 [N]
    string : int
        Index of the string among the bow's lines [-]

    Returns
    -------
    Strung
        The bow, standing.

    Raises
    ------
    SpecError
        If the wheels cannot be balanced by cables that pull.
    """
    rig = Rig(bow)
    brace = np.asarray(brace, dtype=np.float64)
    poses = rig.poses(brace)
    directions = rig.paths.guess(poses.at)
    at_rest = rig.potential(brace, directions)
    slope, spans = at_rest.length_gradient, at_rest.spans
    if np.any(spans.length <= 0):
        rule = "leaves no straight part between the things it runs over"
        raise SpecError("bow.lines", "overlap", rule, "check sizes against axle-to-axle and brace")
    batch = len(brace)
    pull = np.broadcast_to(np.asarray(string_tension, dtype=np.float64), (batch,))
    of_string = rig.of_line == string
    tension = np.where(of_string, pull[:, None], 0.0)
    if bow.wheels:
        turning = slope[:, :, rig.wheels]
        wanted = -np.einsum("br,brw->bw", tension, turning)
        cables = np.swapaxes(turning[:, ~of_string], 1, 2)
        tension[:, ~of_string] = _balanced(cables, wanted)
    if np.any(tension <= 0):
        rule = "must balance the string's pull on every wheel with cables that pull"
        raise SpecError("bow.cables", f"{float(tension.min()):.3g} N", rule, "check the routing")
    natural = spans.path_length / (1.0 + tension / rig.stiffness)
    moments = np.einsum("br,brn->bn", tension, slope)
    standing = _with(bow, natural, brace, moments, rig)
    return Strung(standing, Rig(standing), brace, spans.direction, tension)


def _balanced(cables: Floats, wanted: Floats) -> Floats:
    if cables.shape[1] != cables.shape[2]:
        rule = f"need as many cables as wheels ({cables.shape[1]})"
        raise SpecError("bow.cables", int(cables.shape[2]), rule, "check the routing")
    try:
        return np.asarray(np.linalg.solve(cables, wanted[..., None])[..., 0], np.float64)
    except np.linalg.LinAlgError:
        rule = "must hold the wheels against the string"
        raise SpecError("bow.cables", "no hold", rule, "check the routing") from None


def _with(bow: Bow, natural: Floats, brace: Floats, moments: Floats, rig: Rig) -> Bow:
    lines: list[BowLine] = []
    k = 0
    for line in bow.lines:
        reaches = []
        for reach in line.reaches:
            reaches.append(replace(reach, natural_length=natural[:, k]))
            k += 1
        lines.append(replace(line, reaches=tuple(reaches)))
    mounts = []
    for mount, cut in zip(bow.mounts, rig.limbs, strict=True):
        if not isinstance(mount.limb, PivotLimb):
            rule = "must be a link on a pivot to be laid out at its brace"
            raise SpecError(f"limb {mount.name}", "bent beam", rule, "solve its brace instead")
        bent = -moments[:, cut.start] / np.asarray(mount.limb.stiffness)
        rest = brace[:, cut.start] - bent
        mounts.append(replace(mount, limb=replace(mount.limb, rest_angle=rest)))
    return replace(bow, lines=tuple(lines), mounts=tuple(mounts))
