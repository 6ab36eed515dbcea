"""The model of one line: from post setting and turns to its length in every recorded state.

One value's way: post setting -> natural length of a round (winding) -> natural length of the body
(less the loops, plus what bedding-in and creep add) -> segments (bare and served, each with its
share of the turns) -> length and edges in a stage. All functions take a batch axis first: the
unknowns ``q`` are arrays of shape (B,) keyed by
:data:`strandwright.line.unknowns.UNKNOWNS`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from strandwright.fibre.strand_law import FloatArray, strand_strain
from strandwright.fibre.twist import StrandSet, TwistedSpan, span_length
from strandwright.geometry.eye import fit_eye
from strandwright.line.layout import IntArray, Kind
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
        rates, radius, load, factors = (
            np.concatenate(parts, axis=-1) for parts in zip(*drafts, strict=True)
        )
        strands = self._members(q, factors)
        spans = span_length(load, 1.0, rates, radius, strands)
        found: list[tuple[TwistedSpan, FloatArray]] = []
        start = 0
        for draft in drafts:
            columns = slice(start, start + draft[0].shape[1])
            start = columns.stop
            found.append((spans.columns(columns), draft[0]))
        return found

    def _members(self, q: Unknowns, factors: FloatArray) -> StrandSet:
        """The strands of every column; one of fewer strands has as many, each the weaker.

        Strands are soft: what counts for the twist is how their section lies about the axis.
        """
        strands = self.strand_set(q)
        if (factors == 1.0).all():
            return strands
        return replace(strands, stiffness=strands.stiffness * factors)

    def _kinds(self, case: ClosedCase) -> IntArray:
        """Column of each segment in the solved batch: its kind, or the bare ones alone."""
        return self.kinds if case.stage.served else self.layout.bare_kinds

    @cached_property
    def solved(self) -> tuple[Kind, ...]:
        """Kinds that are solved for; servings laid after the twist are all alike in a section."""
        if self.route.served_before_twist:
            return self.layout.kind
        first: dict[tuple[int, bool], Kind] = {}
        for kind in self.layout.kind:
            first.setdefault((kind.section, kind.serving >= 0), kind)
        return tuple(first.values())

    @cached_property
    def kinds(self) -> IntArray:
        """Column of each segment when served, shape (K,) [-]."""
        if self.route.served_before_twist:
            return self.layout.kinds
        order = [(kind.section, kind.serving >= 0) for kind in self.solved]
        places = zip(self.layout.section, self.layout.serving, strict=True)
        return np.array([order.index((section, serving >= 0)) for section, serving in places])

    def kind_of(self, serving: int) -> int:
        """Kind of a serving where it begins, the column of the solved batch it stands in.

        Parameters
        ----------
        serving : int
            Index of the serving [-]

        Returns
        -------
        int
            The kind.
        """
        return int(self.kinds[self.layout.bounds(serving)[0]])

    def _draft(
        self, q: Unknowns, case: ClosedCase
    ) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """Turns per natural length, bundle radius, load and strands of each kind.

        Of shape (B, kinds), the strands over those of the body of shape (kinds,). Servings that
        were on before the twist share the torque with their core and so take fewer turns;
        servings laid on a twisted line lock the turns where they are.
        """
        bare = self.layout.bare_count
        columns = self.solved if case.stage.served else self.layout.kind[:bare]
        parts = [self.line.parts[kind.section] for kind in columns]
        radius = self._radii(q, columns)
        load = case.load[:, None] / np.array([part.members for part in parts], dtype=float)
        factors = np.array([part.member_strands for part in parts])
        if len(self.line.parts) > 1 or (case.stage.served and self.route.served_before_twist):
            rates = self._rates(q, case, columns, radius, load)
        else:
            rates = (case.turns / case.naturals.sum(axis=1))[:, None].repeat(len(parts), axis=1)
        return rates, radius, load, factors

    def _radii(self, q: Unknowns, columns: Sequence[Kind]) -> FloatArray:
        """Radius of each column's member that the twist goes by, shape (B, columns)."""
        parts = self.line.parts
        members = tuple(
            (kind.serving >= 0, parts[kind.section].member_strands) for kind in columns
        )
        key = ("radii", members, self.line.bundles, *self._bundle)
        return once(q, key, lambda: self._member_radii(q, members))

    def _member_radii(
        self, q: Unknowns, members: tuple[tuple[bool, float], ...]
    ) -> FloatArray:
        radii = [self.twist_radius(q, served) * strands**0.5 for served, strands in members]
        return np.stack(radii, axis=1)

    def _rates(
        self,
        q: Unknowns,
        case: ClosedCase,
        columns: Sequence[Kind],
        radius: FloatArray,
        load: FloatArray,
    ) -> FloatArray:
        """Turns per natural length of each kind of segment, shape (B, kinds).

        The torque is the same all along: that of the strands, solved, and that of a serving's
        thread. Friction keeps the turns where the highest load since the twist has put them, and
        fewer of them than that under a serving: its hold on turns is an unknown of its own. A
        section that takes none of the line's turns keeps those it was made with.
        """
        naturals, turns, kinds = case.naturals, case.turns, self._kinds(case)
        own = self._own_rates(case, columns)
        if not np.any(turns > _NO_TURNS):
            return own
        if not self.route.served_before_twist:
            # The servings came later and lock the turns where the bare strands had them.
            radius = self._radii(q, [replace(kind, serving=-1) for kind in columns])
        settled = np.maximum(case.load, case.stage.highest_twisted * q["gauge"])
        load = load * (settled / case.load)[:, None]
        added = self._held_by_thread(q, case, columns)
        takes = np.array([self.line.parts[kind.section].takes_turns for kind in columns])
        core = load * (0.5 * radius**2)
        strands = self._members(
            q, np.array([self.line.parts[kind.section].member_strands for kind in columns])
        )
        rates, length, last = np.zeros_like(core), None, None
        for _ in range(_TORQUE_STEPS):
            compliance = takes / (core + added)
            torque = turns / (naturals * compliance[:, kinds]).sum(axis=1)
            rates = own + torque[:, None] * compliance
            span = span_length(load, 1.0, rates, radius, strands, length)
            held, length = span.torque, span.length
            new = np.where(rates > 0.0, held / np.maximum(2.0 * np.pi * rates, 1e-300), core)
            off = new - core
            if np.abs(off).max() < _TORQUE_CLOSE * core.max():
                break
            core = new if last is None else _ahead(new, off, *last)
            last = new, off
        return rates

    def _own_rates(self, case: ClosedCase, columns: Sequence[Kind]) -> FloatArray:
        """Turns that sections were made with, per natural length, shape (B, columns)."""
        section = self.layout.section if case.stage.served else range(len(self.line.parts))
        of = np.array(section)
        rates = np.zeros((len(case.turns), len(columns)))
        for column, kind in enumerate(columns):
            turns = self.line.parts[kind.section].turns
            if turns > 0.0:
                rates[:, column] = turns / case.naturals[:, of == kind.section].sum(axis=1)
        return rates

    def _held_by_thread(
        self, q: Unknowns, case: ClosedCase, columns: Sequence[Kind]
    ) -> FloatArray:
        """Torsion stiffness of the servings that were on before the twist, shape (B, columns)."""
        added = np.zeros((len(case.turns), len(columns)))
        if not (case.stage.served and self.route.served_before_twist):
            return added
        spans = self.servings(q)
        for column, kind in enumerate(columns):
            if kind.serving >= 0:
                thread = q["thread_stiffness"] * self.line.servings[kind.serving].thread.stiffness
                added[:, column] = q["grip"] * torsion_stiffness(spans[kind.serving], thread)
        return added

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
        loads = np.stack([case.load for case in cases], axis=1)[:, :, None]
        loops = (self.line.zero, self.line.far)
        perimeter, thickness, offset, strands = (
            np.array([getattr(loop, name) for loop in loops])
            for name in ("perimeter", "seat", "throat_offset", "strands")
        )
        count = self.line.strand_count * strands
        law = (
            q["stiffness"][:, None, None], q["softening"][:, None, None], self.stock.break_strain
        )  # fmt: skip
        at_measure = self.line.measuring_load / count
        grown = 1.0 + strand_strain(loads / count, *law)
        grown = grown / (1.0 + strand_strain(at_measure, *law))
        pins = np.array([(case.stage.zero_pin, case.stage.far_pin) for case in cases])
        lengths = (perimeter + q["loop_error"][:, None, None]) * grown
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
