r"""A strap in the eye of a body: its two sides pull alike up to the friction in the eye.

The sides turn by :math:`\theta = \pi - \alpha_1 - \alpha_2` round the eye, and the strap stays
where it lies while :math:`e^{-\mu\theta} \le T_1/T_2 \le e^{\mu\theta}` (Euler and Eytelwein);
past that it slides until the ratio is at its limit. What lies on either side is told by how much
of the strap's natural length is there, and the turns run on through the eye with it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.unknowns import Unknowns
from strandwright.line.yoke.making import StrandMaker, natural_for
from strandwright.line.yoke.member import Member
from strandwright.line.yoke.parts import FloatingYoke
from strandwright.line.yoke.settle import settle
from strandwright.line.yoke.state import Tripod, YokeState
from strandwright.numerics.outcome import Outcome
from strandwright.numerics.roots import newton_monotone

#: Step in the share of the strap over which its slope is taken [-]
_STEP = 1e-6
#: Shares that are tried: a side is never all of the strap [-]
_LOWEST, _HIGHEST = 0.05, 0.95
#: Error of the share [-]
_CLOSE = 1e-9


@dataclass(frozen=True)
class StrapState:
    """A floating yoke at rest, for every case of a batch.

    Attributes
    ----------
    yoke : YokeState
        Where it lies and what it pulls; legs 1 and 2 are the sides of the strap.
    share : ndarray
        Shape (B,); share of the strap's natural length on the side of pin 1 [-]
    slid : ndarray of bool
        Shape (B,); where the strap has slid from the share it was laid with.
    limit : ndarray
        Shape (B,); largest ratio of the two pulls that friction holds, >= 1 [-]
    """

    yoke: YokeState
    share: FloatArray
    slid: NDArray[np.bool_]
    limit: FloatArray


@dataclass(frozen=True)
class StrapModel(StrandMaker):
    """The physics of one floating yoke; strap and body are of one strand.

    Attributes
    ----------
    stock : StrandStock
        The strand.
    cable : FloatingYoke
        What is to be built.
    """

    cable: FloatingYoke

    @property
    def bight(self) -> float:
        """Length that the strap's bend round the eye takes beyond its middle, a side [m].

        The strap's centreline bends at radius rho round the leg of the eye; a side runs a quarter
        round, of which its straight way to the middle counts rho. To the first order in the
        sides' angle.
        """
        strap = 0.5 * (self.cable.strap.first.leg_thickness + self.cable.eye.leg_thickness)
        return (0.5 * np.pi - 1.0) * strap

    def naturals(self, q: Unknowns) -> FloatArray:
        """Natural lengths with which strap and body have their drawn lengths.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).

        Returns
        -------
        ndarray
            Strap and body, throat to throat, shape (B, 2) [m]
        """
        cable, frame = self.cable, self.cable.frame
        strap, load = cable.strap, np.full(len(q["stiffness"]), cable.measuring_load)
        eyes = tuple(
            self.eye(q, loop, frame.leg_pin, 0.5 * cable.measuring_load / strap.strand_count)
            for loop in (strap.first, strap.second)
        )
        drawn = np.full_like(load, strap.length - frame.leg_pin)
        turns = np.full_like(load, strap.turns)
        whole = self.member(q, strap.strand_count, drawn, turns, eyes)
        guess = np.stack([drawn, np.full_like(load, cable.body.length)], axis=1)
        body = self.tripod(q, guess, 0.5 * np.ones_like(load)).body
        reach = np.full_like(load, cable.body.length - 0.5 * frame.body_pin)
        found = [natural_for(whole, drawn, 0.5 * load), natural_for(body, reach, load)]
        return np.stack(found, axis=1)

    def tripod(self, q: Unknowns, naturals: FloatArray, share: FloatArray) -> Tripod:
        """Put strap and body on their pins.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        naturals : ndarray
            Strap and body, throat to throat, shape (B, 2) [m]
        share : ndarray
            Share of the strap's natural length on the side of pin 1, shape (B,) [-]

        Returns
        -------
        Tripod
            The two sides and the body.
        """
        cable, frame = self.cable, self.cable.frame
        strap, body = cable.strap, cable.body
        sides: list[Member] = []
        for part, loop in ((share, strap.first), (1.0 - share, strap.second)):
            half = 0.5 * cable.measuring_load / strap.strand_count
            eye = self.eye(q, loop, frame.leg_pin, half)
            natural, turns = naturals[:, 0] * part, strap.turns * part
            side = self.member(q, strap.strand_count, natural, turns, (eye,))
            sides.append(replace(side, hidden=self.bight))
        per_strand = cable.measuring_load / body.strand_count
        ends = (
            self.eye(q, body.loop, frame.body_pin, per_strand),
            self.eye(q, cable.eye, strap.first.leg_thickness, per_strand),
        )
        turns = np.full(len(naturals), body.turns)
        whole = self.member(q, body.strand_count, naturals[:, 1], turns, ends)
        return Tripod((sides[0], sides[1]), whole, frame)


def turn_round_eye(state: YokeState) -> FloatArray:
    """Angle by which a strap turns round the eye it hangs in.

    Parameters
    ----------
    state : YokeState
        The state.

    Returns
    -------
    ndarray
        Half a turn less the angle between the sides, shape (B,) [rad]
    """
    between = (state.toward[:, 0] * state.toward[:, 1]).sum(axis=1)
    return np.pi - np.arccos(np.clip(between, -1.0, 1.0))


def settle_strap(
    model: StrapModel,
    q: Unknowns,
    naturals: FloatArray,
    load: FloatArray,
    laid: FloatArray | float = 0.5,
    lean: FloatArray | float = 0.0,
) -> Outcome[StrapState]:
    """Find a floating yoke at rest under a load, stuck where friction holds it, slid else.

    Parameters
    ----------
    model : StrapModel
        The yoke.
    q : mapping
        Unknowns, arrays of shape (B,).
    naturals : ndarray
        Strap and body, shape (B, 2) [m]
    load : ndarray
        Load along z, > 0, shape (B,) [N]
    laid : ndarray or float
        Share of the strap on the side of pin 1 when the load came on, shape () or (B,) [-]
    lean : ndarray or float
        Angle of the axle, shape () or (B,) [rad]

    Returns
    -------
    Outcome of StrapState
        The state; the residual is the force left [N].

    Notes
    -----
    Friction has a memory: what is found is what follows from the share it was laid with, the
    load coming on once. Working to and fro in use brings the share to equal pulls.
    """
    share = np.broadcast_to(np.asarray(laid, dtype=float), load.shape)
    stuck = settle(model.tripod(q, naturals, share), load, lean)
    friction = model.cable.strap.friction
    limit = np.exp(friction * turn_round_eye(stuck.value))
    pulls = stuck.value.pulls
    tight, loose = pulls[:, :2].max(axis=1), pulls[:, :2].min(axis=1)
    slid = tight > loose * limit * (1.0 + 1e-9)
    if not bool(slid.any()):
        value = StrapState(stuck.value, share, slid, limit)
        return Outcome(value, stuck.ok, stuck.reason, stuck.residual, stuck.iterations)
    sense = np.where(pulls[:, 0] >= pulls[:, 1], 1.0, -1.0)
    slide = _Slide(model, q, naturals, load, lean, sense * friction)
    start = np.clip(_even_share(model, q, naturals, load), _LOWEST, _HIGHEST)
    root = newton_monotone(slide.short_of_limit, start, _LOWEST, _HIGHEST, tol=_CLOSE)
    share = np.where(slid, root.value, share)
    found = slide.at(share, stuck.value)
    limit = np.exp(friction * turn_round_eye(found.value))
    value = StrapState(found.value, share, slid, limit)
    reason = root.reason if not bool((root.ok | ~slid).all()) else found.reason
    ok = found.ok & (root.ok | ~slid)
    return Outcome(value, ok, reason, found.residual, root.iterations)


@dataclass(frozen=True)
class _Slide:
    """A strap that slides in its eye; ``grip`` is friction, negative where side 2 is the tight."""

    model: StrapModel
    q: Unknowns
    naturals: FloatArray
    load: FloatArray
    lean: FloatArray | float
    grip: FloatArray

    def at(self, share: FloatArray, near: YokeState | None = None) -> Outcome[YokeState]:
        """Settle with a share of the strap on the side of pin 1."""
        tripod = self.model.tripod(self.q, self.naturals, share)
        return settle(tripod, self.load, self.lean, near)

    def short_of_limit(self, share: FloatArray) -> tuple[FloatArray, FloatArray]:
        """How far side 1 pulls short of the ratio that slides; grows with its share. Slope too."""
        state = self.at(share).value
        further = self.at(share + _STEP, state).value
        here, there = (
            np.exp(self.grip * turn_round_eye(s)) * s.pulls[:, 1] - s.pulls[:, 0]
            for s in (state, further)
        )
        return here, (there - here) / _STEP


def _even_share(
    model: StrapModel, q: Unknowns, naturals: FloatArray, load: FloatArray
) -> FloatArray:
    """Share at which both sides with their loops are about as long: both are taut there."""
    sides = model.tripod(q, naturals, np.full_like(load, 0.5)).legs
    apart = sides[1].length(0.5 * load) - sides[0].length(0.5 * load)
    return 0.5 + 0.5 * apart / naturals[:, 0]
