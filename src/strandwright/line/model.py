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

import numpy as np

from strandwright.fibre.strand_law import FloatArray, strand_strain
from strandwright.fibre.twist import TwistedSpan, span_length
from strandwright.geometry.eye import fit_eye
from strandwright.line.sharing import LineTurns
from strandwright.line.states import ClosedCase, StageState
from strandwright.line.unknowns import Unknowns, once


@dataclass(frozen=True)
class LineModel(LineTurns):
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

    def kind_of(self, serving: int) -> int:
        """Kind of a serving where it is thickest, the column of the solved batch it stands in.

        Parameters
        ----------
        serving : int
            Index of the serving [-]

        Returns
        -------
        int
            The kind.
        """
        return int(self.kinds[self.thickest_of(serving)])

    def _draft(
        self, q: Unknowns, case: ClosedCase
    ) -> tuple[FloatArray, FloatArray, FloatArray, FloatArray]:
        """Turns per natural length, bundle radius, load and strands of each kind.

        Of shape (B, kinds), the strands that bear over those of the body of shape (kinds,), or
        (B, kinds) where some were laid in later. Servings that were on before the twist share the
        torque with their core and so take fewer turns; servings laid on a twisted line lock the
        turns where they are.
        """
        bare = self.layout.bare_count
        columns = self.solved if case.stage.served else self.layout.kind[:bare]
        parts = [self.line.parts[kind.section] for kind in columns]
        radius = self._radii(q, columns)
        load = case.load[:, None] / np.array([part.members for part in parts], dtype=float)
        factors = self.bearing(q, columns, load)
        if len(self.line.parts) > 1 or (case.stage.served and self.route.served_before_twist):
            rates = self._rates(q, case, columns, radius, load)
        else:
            rates = (case.turns / case.naturals.sum(axis=1))[:, None].repeat(len(parts), axis=1)
        return rates, radius, load, factors

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
            for name in ("perimeter", "seat", "throat_offset", "bearing")
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
