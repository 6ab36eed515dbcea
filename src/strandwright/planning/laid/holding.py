"""Holding: whether the married parts hold by friction, and whether a tail's end spoils a loop."""

from __future__ import annotations

import numpy as np

from strandwright.fibre.laid.hands import own_turns
from strandwright.fibre.laid.splice import (
    LOOP_SHARE,
    splice_grip,
    splice_length,
    splice_share,
)
from strandwright.planning.estimate import Estimate
from strandwright.planning.laid.ropes import Ropes
from strandwright.planning.result.laid import CutList, Hold, LaidRope
from strandwright.planning.written import Written

#: Factor wanted on the tension that a tail brings in, by friction alone; an estimate [-]
FACTOR = 2.0
#: Share of the standing strands' pressure that passes through a tail; an assumption [-]
COVER = 0.5


def hold_of(ropes: Ropes, cut: CutList, load: Estimate, married: LaidRope | None = None) -> Hold:
    """Say how surely the married parts hold.

    Parameters
    ----------
    ropes : Ropes
        How the bundles lie.
    cut : CutList
        The strands, for the fading of the tails.
    load : Estimate
        Highest load of the bow [N]
    married : LaidRope or None
        How the married part is laid by hand; None leaves the bundles' own turns out.

    Returns
    -------
    Hold
        Factor and length needed by the lay alone.
    """
    lay, friction = ropes.lay(ropes.thick), ropes.prepared.model.stock.friction
    path = float(lay.path)
    taper = min(cut.taper / (ropes.married * path), 1.0)
    grip = float(splice_grip(friction, lay)[()])
    share = float(splice_share(ropes.married * path, grip, COVER, taper)[()])
    needed = float(splice_length(grip, FACTOR, COVER, taper).value[()]) / path
    turned = needed
    if married is not None:
        own = own_turns(-married.by_hand, married.lay / path, married.angle)
        bundles = ropes.bundles(ropes.thick)
        radii = float(bundles.radius[0]) * bundles.strands.radii
        grips = splice_grip(friction, lay, float(own), radii)
        turned = float(np.ravel(splice_length(grips, FACTOR, COVER, taper).value)[0]) / path
    return Hold(
        married=ropes.married,
        needed=needed,
        with_turns=turned,
        wanted=FACTOR,
        factor=share / LOOP_SHARE,
        load=load,
        tail=load.value * LOOP_SHARE / ropes.spec.bundles,
        friction=float(friction),
        cover=COVER,
        taper=taper,
    )


def warnings_of_laying(hold: Hold, cut: CutList, tail: float, to: Written) -> tuple[str, ...]:
    """Say what does not work out where the bundles are laid in.

    Parameters
    ----------
    hold : Hold
        How the married parts hold.
    cut : CutList
        The strands.
    tail : float
        From the longest strand's end to where its loop begins, surely [m]
    to : Written
        How lengths are written.

    Returns
    -------
    tuple of str
        One sentence each.
    """
    said: list[str] = []
    if not hold.is_enough:
        needs = (
            f"{to.length(hold.needed)} for {hold.wanted:g} times what a tail brings in"
            if np.isfinite(hold.needed)
            else "more than any length gives"
        )
        said.append(
            f"the married parts, {to.length(hold.married)}, are shorter than friction by the lay "
            f"alone wants, {needs}: marry more, lay steeper, or take a fibre that slips less, and "
            "have a qualified technician look at it before it is drawn"
        )
    if cut.taper > tail - 1e-9:
        said.append(
            f"a tail fades out over {to.length(cut.taper)} and reaches the loop, "
            f"perhaps {to.length(tail)} from its end, which weakens it: marry more, or take a "
            "smaller step from strand to strand"
        )
    if cut.sums and all(one.far_off for one in cut.sums):
        sums = "; ".join(f"{one.name}, {to.length(one.length)}" for one in cut.sums)
        said.append(
            f"the strands are cut to {to.length(cut.longest)}, which is far from common practice "
            f"({sums}): check loops, married parts and the length before cutting"
        )
    return tuple(said)
