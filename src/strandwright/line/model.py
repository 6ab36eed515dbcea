"""The model of one line: from post setting and turns to its length in every recorded state.

One value's way: post setting -> natural length of a round (winding) -> natural length of the body
(less the loops, plus what bedding-in and creep add) -> segments (bare and served, each with its
share of the turns) -> length and edges in a stage. All functions take a batch axis first: the
unknowns ``q`` are arrays of shape (B,) keyed by
:data:`strandwright.line.unknowns.UNKNOWNS`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from strandwright.fibre.bundle import bundle_diameter, filled_radii
from strandwright.fibre.settling import bedding_progress, creep_strain, delayed_left
from strandwright.fibre.strand_law import FloatArray, strand_strain, strand_tension
from strandwright.fibre.twist import StrandSet, TwistedSpan, span_length
from strandwright.geometry.belt import layer_build_up
from strandwright.geometry.eye import fit_eye
from strandwright.line.layout import IntArray, Layout, lay_out
from strandwright.line.parts import Bench, Line, ServingThread, StrandStock
from strandwright.line.route import Route, Stage
from strandwright.line.serving_geometry import ServedSpan, served_span, torsion_stiffness
from strandwright.line.states import ClosedCase, StageState
from strandwright.line.unknowns import Key, Unknowns, once
from strandwright.line.winding import Posts, WoundSkein, wind

_TORQUE_STEPS = 30
#: Fewer turns than this leave the line straight to the last digit [turn]
_NO_TURNS = 1e-9
#: Torque is balanced to this share; it then moves an edge by less than a micrometre [-]
_TORQUE_CLOSE = 1e-7


@dataclass(frozen=True)
class LineModel:
    """The physics of one line on one bench by one route.

    Attributes
    ----------
    line : Line
        What is to be built.
    stock : StrandStock
        The strand.
    bench : Bench
        The jig.
    route : Route
        The order of work.
    """

    line: Line
    stock: StrandStock
    bench: Bench
    route: Route

    @cached_property
    def layout(self) -> Layout:
        """Segments of the finished body."""
        return lay_out(self.line)

    # -- strands and bundle ------------------------------------------------------------------

    def strand_set(self, q: Unknowns) -> StrandSet:
        """Give the strands with an axis for the kinds of segment, shape (B, 1).

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).

        Returns
        -------
        StrandSet
            The strands.
        """
        return once(q, ("strands", *self._bundle), lambda: self._strand_set(q))

    @cached_property
    def _bundle(self) -> tuple[Key]:
        """What of the line makes its bundle."""
        return (Key(self.line.strand_count, self.stock),)

    def _strand_set(self, q: Unknowns) -> StrandSet:
        return StrandSet(
            radii=filled_radii(self.line.strand_count),
            stiffness=q["stiffness"][:, None],
            softening=q["softening"][:, None],
            break_strain=self.stock.break_strain,
            share=q["share"][:, None],
        )

    def strain(self, q: Unknowns, load: FloatArray) -> FloatArray:
        """Elastic strain of straight strands under a load on the whole bundle.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        load : ndarray
            Load on the bundle, shape (B,) [N]

        Returns
        -------
        ndarray
            Strain, shape (B,) [-]
        """
        per_strand = load / self.line.strand_count
        return strand_strain(per_strand, q["stiffness"], q["softening"], self.stock.break_strain)

    def core_diameter(self, q: Unknowns, served: bool) -> FloatArray:
        """Diameter of the bundle, bare or inside a serving.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        served : bool
            True inside a serving.

        Returns
        -------
        ndarray
            Diameter, shape (B,) [m]
        """
        key = ("core", served, *self._bundle)
        return once(q, key, lambda: self._core_diameter(q, served))

    def _core_diameter(self, q: Unknowns, served: bool) -> FloatArray:
        packing = q["packing"] * q["squeeze"] if served else q["packing"]
        stock = self.stock
        return bundle_diameter(
            self.line.strand_count, stock.linear_density, stock.density, packing
        )

    def servings(self, q: Unknowns) -> tuple[ServedSpan, ...]:
        """Give the geometry of each body serving, arrays of shape (B,).

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).

        Returns
        -------
        tuple of ServedSpan
            In order along the line.
        """
        return tuple(self._served(q, s.thread) for s in self.line.servings)

    def _served(self, q: Unknowns, thread: ServingThread) -> ServedSpan:
        """Geometry of a serving of some thread on the line's core."""
        return once(
            q,
            ("served", thread, *self._bundle),
            lambda: served_span(
                self.core_diameter(q, served=True),
                thread.diameter,
                q["flattening"] * thread.flattening,
                q["wrap_tension"] * thread.tension,
            ),
        )

    # -- natural lengths ---------------------------------------------------------------------

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

    def permanent(self, q: Unknowns, stage: Stage) -> FloatArray:
        """Strain that has come to stay by a stage: bedding-in, reopened bedding-in, creep.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        stage : Stage
            The stage.

        Returns
        -------
        ndarray
            Strain, shape (B,) [-]
        """
        n = self.line.strand_count
        per_strand = q["gauge"] / n
        first = bedding_progress(stage.highest_load * per_strand, q["bedding_scale"])
        again = bedding_progress(stage.highest_twisted * per_strand, q["bedding_scale"])
        share = stage.creep_load * per_strand / self.stock.break_load
        crept = creep_strain(share, stage.creep_dwell, q["creep"])
        return q["bedding"] * first + q["reopening"] * stage.turns_share * again + crept

    def passing(self, q: Unknowns, stage: Stage) -> FloatArray:
        """Strain that goes away by itself: delayed recovery still to come, and warmth.

        The line rests slack, so all that a load has slowly stretched it comes back.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        stage : Stage
            The stage.

        Returns
        -------
        ndarray
            Strain, shape (B,) [-]
        """
        expansion = self.stock.expansion - self.bench.tape_expansion
        return self.delayed(q, stage) + expansion * q["warmth"]

    def delayed(self, q: Unknowns, stage: Stage) -> FloatArray:
        """Delayed strain that is still to come back in a stage.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        stage : Stage
            The stage, with what has pulled the line and its rest.

        Returns
        -------
        ndarray
            Strain, shape (B,) [-]
        """
        left = np.zeros_like(q["recovery"])
        for pull in stage.pulls:
            share = float(delayed_left(pull.dwell, stage.rest + pull.before))
            left = left + share * self.strain(q, pull.load * q["gauge"])
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
            ("growth", stage, rested, self.bench.tape_expansion, *self._bundle),
            lambda: self._growth(q, stage, rested=rested),
        )

    def _growth(self, q: Unknowns, stage: Stage, *, rested: bool) -> FloatArray:
        own = q.get(f"own_{stage.key}", np.zeros_like(q["stiffness"]))
        stays = 1.0 + self.permanent(q, stage) + own
        return stays if rested else stays + self.passing(q, stage)

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
        sizes = (line.zero.perimeter, line.far.perimeter, line.measuring_load)
        return once(q, ("loops", *sizes, *self._bundle), lambda: self._loop_naturals(q))

    def _loop_naturals(self, q: Unknowns) -> tuple[FloatArray, FloatArray]:
        strain = self.strain(q, self.line.measuring_load * np.ones_like(q["stiffness"]))
        error = q["loop_error"]
        return (
            (self.line.zero.perimeter + error) / (1.0 + strain),
            (self.line.far.perimeter + error) / (1.0 + strain),
        )

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
        return 0.5 * (round_natural * self.growth(q, stage, rested=rested) - zero - far)

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
        return (2.0 * body + zero + far) / self.growth(q, stage, rested=True)

    # -- stages ------------------------------------------------------------------------------

    def closed_states(self, q: Unknowns, cases: Sequence[ClosedCase]) -> list[StageState]:
        """Give length and edges of a line whose loops hang on pins, in several stages at once.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        cases : sequence of ClosedCase
            What to solve; one call for all is several times faster than one for each.

        Returns
        -------
        list of StageState
            One for each case.
        """
        throats = self.throats(q, cases)
        states: list[StageState] = []
        stretched = self.stretched_kinds(q, cases)
        for i, (case, (spans, rates)) in enumerate(zip(cases, stretched, strict=True)):
            lengths = case.naturals * spans.length[:, self._kinds(case)]
            edges = np.empty((len(lengths), lengths.shape[1] + 1))
            edges[:, 0] = throats[:, i, 0]
            edges[:, 1:] = throats[:, i, :1] + np.cumsum(lengths, axis=1)
            states.append(StageState(edges[:, -1] + throats[:, i, 1], edges, spans, rates))
        return states

    def stretched_kinds(
        self, q: Unknowns, cases: Sequence[ClosedCase]
    ) -> list[tuple[TwistedSpan, FloatArray]]:
        """Stretch every kind of segment: twist shared out, then equilibrium with the load.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        cases : sequence of ClosedCase
            What to solve.

        Returns
        -------
        list of tuple
            For each case the kinds' spans per unit of natural length, shape (B, kinds), and
            their turns per natural length, shape (B, kinds) [turn/m]
        """
        drafts = [self._draft(q, case) for case in cases]
        rates, radius, load = (
            np.concatenate(parts, axis=1) for parts in zip(*drafts, strict=True)
        )
        spans = span_length(load, 1.0, rates, radius, self.strand_set(q))
        found: list[tuple[TwistedSpan, FloatArray]] = []
        start = 0
        for draft in drafts:
            columns = slice(start, start + draft[0].shape[1])
            start = columns.stop
            found.append((spans.columns(columns), draft[0]))
        return found

    def _kinds(self, case: ClosedCase) -> IntArray:
        """Column of each segment in the solved batch: its kind, or bare and served alone."""
        if not case.stage.served:
            return np.zeros(case.naturals.shape[1], dtype=int)
        return self.kinds

    @cached_property
    def kinds(self) -> IntArray:
        """Kind of each segment when served, shape (K,); laid after the twist all are alike [-]."""
        kinds = self.layout.kinds
        return kinds if self.route.served_before_twist else np.minimum(kinds, 1)

    def kind_of(self, serving: int) -> int:
        """Kind of a serving, the column of the solved batch it stands in.

        Parameters
        ----------
        serving : int
            Index of the serving [-]

        Returns
        -------
        int
            The kind.
        """
        kind = self.layout.kind_of_serving[serving]
        return kind if self.route.served_before_twist else min(kind, 1)

    def _draft(self, q: Unknowns, case: ClosedCase) -> tuple[FloatArray, FloatArray, FloatArray]:
        """Turns per natural length, bundle radius and load of each kind, shape (B, kinds).

        Servings that were on before the twist share the torque with their core and so take
        fewer turns; servings laid on a twisted line lock the turns where they are.
        """
        load = case.load[:, None]
        if not case.stage.served:
            return (case.turns / case.naturals.sum(axis=1))[:, None], self._radii(q, 0), load
        count = int(self.kinds.max())
        radius = self._radii(q, count)
        return self._rates(q, case, radius), radius, load.repeat(count + 1, axis=1)

    def _radii(self, q: Unknowns, served: int) -> FloatArray:
        """Radius of the bare bundle and, as often as there are served kinds, of a served one."""
        return once(q, ("radii", served, *self._bundle), lambda: self._both_radii(q, served))

    def _both_radii(self, q: Unknowns, served: int) -> FloatArray:
        bare, inside = (0.5 * self.core_diameter(q, served=s)[:, None] for s in (False, True))
        return np.concatenate([bare, *[inside] * served], axis=1)

    def _rates(self, q: Unknowns, case: ClosedCase, radius: FloatArray) -> FloatArray:
        """Turns per natural length of each kind of segment, shape (B, kinds).

        The torque is the same all along: that of the strands, solved, and that of a serving's
        thread. Friction keeps the turns where the highest load since the twist has put them, and
        fewer of them than that under a serving: its hold on turns is an unknown of its own.
        """
        naturals, turns = case.naturals, case.turns
        if not self.route.served_before_twist or not np.any(turns > _NO_TURNS):
            return (turns / naturals.sum(axis=1))[:, None].repeat(radius.shape[1], axis=1)
        settled = np.maximum(case.load, case.stage.highest_twisted * q["gauge"])
        load = settled[:, None].repeat(radius.shape[1], axis=1)
        added = np.zeros_like(load)
        spans = self.servings(q)
        for kind, first in enumerate(self.layout.first_of_kind, start=1):
            thread = q["thread_stiffness"] * self.line.servings[first].thread.stiffness
            added[:, kind] = q["grip"] * torsion_stiffness(spans[first], thread)
        core = load * (0.5 * radius**2)
        strands = self.strand_set(q)
        rates, length, last = np.zeros_like(core), None, None
        for _ in range(_TORQUE_STEPS):
            compliance = 1.0 / (core + added)
            torque = turns / (naturals * compliance[:, self.kinds]).sum(axis=1)
            rates = torque[:, None] * compliance
            span = span_length(load, 1.0, rates, radius, strands, length)
            held, length = span.torque, span.length
            new = np.where(rates > 0.0, held / np.maximum(2.0 * np.pi * rates, 1e-300), core)
            off = new - core
            if np.abs(off).max() < _TORQUE_CLOSE * core.max():
                break
            core = new if last is None else _ahead(new, off, *last)
            last = new, off
        return rates

    def throats(self, q: Unknowns, cases: Sequence[ClosedCase]) -> FloatArray:
        """Give the distance from the outside of each pin to the throat of the loop on it.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        cases : sequence of ClosedCase
            The stages; of each its load and its pins count.

        Returns
        -------
        ndarray
            Zero and far loop, shape (B, cases, 2) [m]
        """
        line = self.line
        places = tuple((c.load.tobytes(), c.stage.zero_pin, c.stage.far_pin) for c in cases)
        key = ("throats", places, line.zero, line.far, line.measuring_load, *self._bundle)
        return once(q, key, lambda: self._throats(q, cases))

    def _throats(self, q: Unknowns, cases: Sequence[ClosedCase]) -> FloatArray:
        loads = np.stack([case.load for case in cases], axis=1)
        per_strand = loads / self.line.strand_count
        law = (q["stiffness"][:, None], q["softening"][:, None], self.stock.break_strain)
        at_measure = self.line.measuring_load / self.line.strand_count
        grown = (1.0 + strand_strain(per_strand, *law)) / (1.0 + strand_strain(at_measure, *law))
        loops = (self.line.zero, self.line.far)
        perimeter, thickness, offset = (
            np.array([getattr(loop, name) for loop in loops])
            for name in ("perimeter", "seat", "throat_offset")
        )
        pins = np.array([(case.stage.zero_pin, case.stage.far_pin) for case in cases])
        lengths = (perimeter + q["loop_error"][:, None, None]) * grown[:, :, None]
        fit = fit_eye(lengths, q["leg"][:, None, None] * thickness, pins, offset)
        return fit.throat_distance + 0.5 * pins

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


def _ahead(
    new: FloatArray, off: FloatArray, before: FloatArray, off_before: FloatArray
) -> FloatArray:
    """Go to where the misses of the last two steps would vanish along a straight line.

    Plain steps close in by a third each; these take half as many. Where two steps tell nothing
    of the way, it is the plain step.
    """
    turn = off - off_before
    square = (turn * turn).sum(axis=1, keepdims=True)
    share = (off * turn).sum(axis=1, keepdims=True) / np.maximum(square, 1e-300)
    ahead = new - share * (new - before)
    return np.where((ahead > 0.5 * new) & (ahead < 2.0 * new), ahead, new)
