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

from strandwright.fibre.strand_law import FloatArray, strand_strain
from strandwright.fibre.twist import TwistedSpan, span_length
from strandwright.geometry.eye import fit_eye
from strandwright.line.layout import IntArray
from strandwright.line.naturals import LineNaturals
from strandwright.line.serving_geometry import torsion_stiffness
from strandwright.line.states import ClosedCase, StageState
from strandwright.line.unknowns import Unknowns, once

_TORQUE_STEPS = 30
#: Fewer turns than this leave the line straight to the last digit [turn]
_NO_TURNS = 1e-9
#: Torque is balanced to this share; it then moves an edge by less than a micrometre [-]
_TORQUE_CLOSE = 1e-7


@dataclass(frozen=True)
class LineModel(LineNaturals):
    """The physics of one line on one bench by one route."""

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
