"""The natural lengths of one line: wound, bedded in and crept, loops and body apart.

One value's way: post setting -> natural length of a round (winding) -> natural length of the body
(less the loops, plus what bedding-in and creep add).
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from strandwright.fibre.bundle import bundle_diameter
from strandwright.fibre.settling import bedding_progress, creep_strain, delayed_left
from strandwright.fibre.strand_law import FloatArray, strand_strain, strand_tension
from strandwright.geometry.belt import layer_build_up
from strandwright.line.parts import Loop
from strandwright.line.route import Stage
from strandwright.line.states import StageState
from strandwright.line.unknowns import Unknowns, once
from strandwright.line.whole import WholeLine
from strandwright.line.winding import Posts, WoundSkein, wind


@dataclass(frozen=True)
class LineNaturals(WholeLine):
    """The strands of one line with their lengths, nothing pulling at them."""

    def posts(self, q: Unknowns) -> Posts:
        """Give the winding posts with the strand's mean offset.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).

        Returns
        -------
        Posts
            The posts.
        """
        return once(q, ("posts", self.bench, self.stock), lambda: self._posts(q))

    def _posts(self, q: Unknowns) -> Posts:
        stock = self.stock
        strand = bundle_diameter(1, stock.linear_density, stock.density, q["packing"])
        offset = 0.5 * strand + layer_build_up(np.maximum(q["layers"], 1.0), strand)
        return Posts(self.bench.zero_post, self.bench.far_post, offset)

    def wound(self, q: Unknowns, setting: float | FloatArray) -> WoundSkein:
        """Wind the skein at a post setting.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        setting : float or ndarray
            Outside to outside of the posts, as set by the tape [m]

        Returns
        -------
        WoundSkein
            The skein, arrays of shape (B,).
        """
        if not isinstance(setting, float):
            return self._wound(q, setting)
        key = ("wound", setting, self.bench, *self._bundle)
        return once(q, key, lambda: self._wound(q, setting))

    def _wound(self, q: Unknowns, setting: float | FloatArray) -> WoundSkein:
        strain, stiffness = once(q, ("drag", self.stock), lambda: self._at_drag(q))
        return wind(
            setting / (1.0 + q["tape_scale"]) + q["setting_error"],
            self.posts(q),
            self.line.strand_count,
            strain,
            stiffness,
            q["post_stiffness"],
        )

    def _at_drag(self, q: Unknowns) -> tuple[FloatArray, FloatArray]:
        """Strain of a strand at the winding drag, and its secant stiffness to there [N]."""
        law = (q["stiffness"], q["softening"], self.stock.break_strain)
        strain = strand_strain(q["drag"], *law)
        return strain, strand_tension(strain, *law) / strain

    def setting_for(self, q: Unknowns, round_natural: FloatArray) -> FloatArray:
        """Guess the post setting that gives a round of some natural length.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        round_natural : ndarray
            Natural length of one round, shape (B,) [m]

        Returns
        -------
        ndarray
            Outside to outside of posts that do not give, shape (B,) [m]
        """
        return self.posts(q).outside(round_natural)

    def permanent(self, q: Unknowns, stage: Stage, strands: float = 1.0) -> FloatArray:
        """Strain that has come to stay by a stage: bedding-in, reopened bedding-in, creep.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        stage : Stage
            The stage.
        strands : float
            Strands that carry the load over those of the body, > 0: the more, the less each
            beds in [-]

        Returns
        -------
        ndarray
            Strain, shape (B,) [-]

        Notes
        -----
        What pulled a skein before its loops were closed pulled its own strands alone, wherever
        others came beside them later. Strands that do not bear until others follow them are not
        counted: what is wound beds in as if they were not there.
        """
        n = self.line.strand_count
        per_strand = q["gauge"] / n
        apart = self.route.stages[0]
        highest = stage.highest_load / strands
        if strands > 1.0 and not apart.closed:
            highest = max(highest, min(stage.highest_load, apart.highest_load))
        first = bedding_progress(highest * per_strand, q["bedding_scale"])
        again = bedding_progress(stage.highest_twisted / strands * per_strand, q["bedding_scale"])
        share = stage.creep_load / strands * per_strand / self.stock.break_load
        crept = creep_strain(share, stage.creep_dwell, q["creep"])
        if strands > 1.0 and not apart.closed:
            before = min(stage.creep_dwell, apart.creep_dwell)
            crept = crept + (strands - 1.0) * creep_strain(share, before, q["creep"])
        return q["bedding"] * first + q["reopening"] * stage.turns_share * again + crept

    def passing(self, q: Unknowns, stage: Stage, strands: float = 1.0) -> FloatArray:
        """Strain that goes away by itself: delayed recovery still to come, and warmth.

        The line rests slack, so all that a load has slowly stretched it comes back.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        stage : Stage
            The stage.
        strands : float
            Strands that carry the load over those of the body, > 0 [-]

        Returns
        -------
        ndarray
            Strain, shape (B,) [-]
        """
        expansion = self.stock.expansion - self.bench.tape_expansion
        return self.delayed(q, stage, strands) + expansion * q["warmth"]

    def delayed(self, q: Unknowns, stage: Stage, strands: float = 1.0) -> FloatArray:
        """Delayed strain that is still to come back in a stage.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        stage : Stage
            The stage, with what has pulled the line and its rest.
        strands : float
            Strands that carry the load over those of the body, > 0; those that came beside the
            others when the loops were closed are taken to have been there for every pull [-]

        Returns
        -------
        ndarray
            Strain, shape (B,) [-]
        """
        left = np.zeros_like(q["recovery"])
        for pull in stage.pulls:
            share = float(delayed_left(pull.dwell, stage.rest + pull.before))
            left = left + share * self.strain(q, pull.load / strands * q["gauge"])
        return q["recovery"] * left

    def growth(self, q: Unknowns, stage: Stage, *, rested: bool = False) -> FloatArray:
        """Natural length in a stage over that as wound.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        stage : Stage
            The stage.
        rested : bool
            True for the line by itself, when all has gone that goes away.

        Returns
        -------
        ndarray
            Ratio, shape (B,) [-]

        Notes
        -----
        With what comes to stay and what goes away again, each recorded state has a strain of its
        own, which stands for what this model leaves out.
        """
        return once(
            q,
            ("growth", stage, rested, self._thicknesses, *self._grown_by),
            lambda: self._growth(q, stage, rested=rested),
        )

    @cached_property
    def _thicknesses(self) -> tuple[tuple[float, float], ...]:
        """Strands of the parts of the body that bear, over a straight one's, and their shares."""
        shares: dict[float, float] = {}
        for part, share in zip(self.line.parts, self.layout.open_shares, strict=True):
            bear = part.strands - part.late
            shares[bear] = shares.get(bear, 0.0) + float(share)
        return tuple(shares.items()) if len(shares) > 1 else ((next(iter(shares)), 1.0),)

    @property
    def _grown_by(self) -> tuple[Hashable, ...]:
        """What the growth of strands depends on beside the stage."""
        return (self.bench.tape_expansion, self.route.stages[0], *self._bundle)

    def _growth(self, q: Unknowns, stage: Stage, *, rested: bool) -> FloatArray:
        if not stage.closed:
            # A skein, beside whose strands nothing lies yet.
            return self._grown(q, stage, 1.0, rested=rested)
        (first, share), *others = self._thicknesses
        if not others:
            return self._grown(q, stage, first, rested=rested)
        grown = share * self._grown(q, stage, first, rested=rested)
        for strands, share in others:
            grown = grown + share * self._grown(q, stage, strands, rested=rested)
        return grown

    def _grown(self, q: Unknowns, stage: Stage, strands: float, *, rested: bool) -> FloatArray:
        """Growth of so many strands over those of the body, shape (B,)."""
        own = q.get(f"own_{stage.key}", np.zeros_like(q["stiffness"]))
        stays = 1.0 + self.permanent(q, stage, strands) + own
        return stays if rested else stays + self.passing(q, stage, strands)

    def _loops_behind(self, q: Unknowns, stage: Stage, *, rested: bool) -> FloatArray | float:
        """What the loops grow less than the body, both together, shape (B,) [m].

        They are as long as their perimeters say, and what lies in them leads more strand there.
        """
        loops = (self.line.zero, self.line.far)
        if not self.line.sections or all(loop.bearing == 1.0 for loop in loops):
            return 0.0
        body = self.growth(q, stage, rested=rested)
        behind = (
            natural * (body - self._grown(q, stage, loop.bearing, rested=rested))
            for natural, loop in zip(self.loop_naturals(q), loops, strict=True)
        )
        return np.sum(list(behind), axis=0)

    def loop_naturals(self, q: Unknowns) -> tuple[FloatArray, FloatArray]:
        """Natural lengths of the strands in the two loops, throat to throat.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).

        Returns
        -------
        tuple of ndarray
            Zero and far loop, shape (B,) [m]
        """
        line = self.line
        sizes = (line.zero, line.far, line.measuring_load)
        return once(q, ("loops", *sizes, *self._bundle), lambda: self._loop_naturals(q))

    def _loop_naturals(self, q: Unknowns) -> tuple[FloatArray, FloatArray]:
        zero, far = self.line.zero, self.line.far
        return self._loop_natural(q, zero), self._loop_natural(q, far)

    def _loop_natural(self, q: Unknowns, loop: Loop) -> FloatArray:
        load = self.line.measuring_load / loop.bearing * np.ones_like(q["stiffness"])
        return (loop.perimeter + q["loop_error"]) / (1.0 + self.strain(q, load))

    def body_natural(
        self, q: Unknowns, round_natural: FloatArray, stage: Stage, *, rested: bool = False
    ) -> FloatArray:
        """Natural length of the body between the throats, in a stage.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        round_natural : ndarray
            Natural length of one round as wound, shape (B,) [m]
        stage : Stage
            The stage.
        rested : bool
            True for the line by itself, when all has gone that goes away.

        Returns
        -------
        ndarray
            Natural length, shape (B,) [m]
        """
        zero, far = self.loop_naturals(q)
        grown = round_natural * self.growth(q, stage, rested=rested)
        return 0.5 * (grown - self._loops_behind(q, stage, rested=rested) - zero - far)

    def round_from_body(self, q: Unknowns, body: FloatArray, stage: Stage) -> FloatArray:
        """Natural length of one round from that of the rested body, the inverse of the above.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        body : ndarray
            Natural length of the body in the stage, shape (B,) [m]
        stage : Stage
            The stage.

        Returns
        -------
        ndarray
            Natural length of a round, shape (B,) [m]
        """
        zero, far = self.loop_naturals(q)
        behind = self._loops_behind(q, stage, rested=True)
        return (2.0 * body + behind + zero + far) / self.growth(q, stage, rested=True)

    def bare_state(self, q: Unknowns, stage: Stage, round_natural: FloatArray) -> StageState:
        """Give length and edges of a bare skein on the posts, the loops' middles on top.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        stage : Stage
            The stage.
        round_natural : ndarray
            Natural length of one round as wound, shape (B,) [m]

        Returns
        -------
        StageState
            The skein; its two edges are where the throats will be.
        """
        posts = self.posts(q)
        strain = self.strain(q, stage.load * q[stage.gauge])
        loop = round_natural * self.growth(q, stage) * (1.0 + strain)
        length = posts.outside(loop)
        zero, far = self.loop_naturals(q)
        first_radius, last_radius = posts.radii
        first = 0.5 * posts.zero + 0.5 * zero * (1.0 + strain) - 0.5 * np.pi * first_radius
        last = 0.5 * posts.far + 0.5 * far * (1.0 + strain) - 0.5 * np.pi * last_radius
        edges = np.stack([first, length - last], axis=1)
        return StageState(length, edges, None, np.zeros((len(length), 1)))
