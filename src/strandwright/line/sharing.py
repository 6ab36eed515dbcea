"""How the turns of one line share out along it: one torque, and friction that keeps them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from strandwright.fibre.beside import LaidBeside, following_tension
from strandwright.fibre.strand_law import FloatArray
from strandwright.fibre.twist import StrandSet, span_with_slopes
from strandwright.line.layout import IntArray, Kind
from strandwright.line.naturals import LineNaturals
from strandwright.line.serving_geometry import torsion_stiffness
from strandwright.line.states import ClosedCase
from strandwright.line.unknowns import Unknowns, once

_TORQUE_STEPS = 30
#: Fewer turns than this leave the line straight to the last digit [turn]
_NO_TURNS = 1e-9
#: Last change of the turns in a length, over the most there are: what it leaves of the torque is
#: some hundred times its square, and moves an edge by far less than a micrometre [-]
_RATES_CLOSE = 1e-6
#: Least stiffness that a step goes by, over that without what more turns do to the strands [-]
_STIFFEST = 0.2


@dataclass(frozen=True)
class LineTurns(LineNaturals):
    """The kinds of segment of one line, and the turns that each takes."""

    @cached_property
    def twisting_length(self) -> float:
        """Finished length of the body that takes the turns of the line [m]."""
        takes = [self.line.parts[i].takes_turns for i in self.layout.section]
        return float(self.layout.lengths @ np.array(takes, dtype=float))

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

    def _members(self, q: Unknowns, factors: FloatArray) -> StrandSet:
        """The strands of every column; one of fewer strands has as many, each the weaker.

        Strands are soft: what counts for the twist is how their section lies about the axis.
        """
        strands = self.strand_set(q)
        if (factors == 1.0).all():
            return strands
        return replace(strands, stiffness=strands.stiffness * factors)

    def bearing(self, q: Unknowns, columns: Sequence[Kind], load: FloatArray) -> FloatArray:
        """Give the strands that bear in each column, over those of the body.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).
        columns : sequence of Kind
            The columns.
        load : ndarray
            Load on a member, shape (B, columns) [N]

        Returns
        -------
        ndarray
            Of a member, shape (columns,); (B, columns) where some were laid in later [-]

        Notes
        -----
        Strands laid in later follow the others from the load under which the servings grip them.
        They bear in full from the middle of their ends on; close to these friction has yet to
        bring the load in, over millimetres at what a jig or a bow at rest pulls.
        """
        parts = [self.line.parts[kind.section] for kind in columns]
        many = np.array([part.member_strands for part in parts])
        late = np.array([part.late for part in parts])
        if not late.any():
            return many
        whole = load / (self.line.strand_count * (many - late))
        ratio = late / (many - late)
        follow = following_tension(whole, ratio, self.laid_beside(q))
        share = np.divide(follow, whole - ratio * follow, out=0.0 * whole, where=whole > 0.0)
        return (many - late) + late * share

    def laid_beside(self, q: Unknowns) -> LaidBeside:
        """Give the strands of the line with those laid in beside them after the stretch.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).

        Returns
        -------
        LaidBeside
            Arrays of shape (B, 1).
        """
        marking, count = self.route.stage("marking"), self.line.strand_count
        return LaidBeside(
            stiffness=q["stiffness"][:, None],
            softening=q["softening"][:, None],
            break_strain=self.stock.break_strain,
            bedding=q["bedding"][:, None],
            bedding_scale=q["bedding_scale"][:, None],
            gripped=(marking.load * q[marking.gauge] / count)[:, None],
            bedded=(marking.highest_load * q["gauge"] / count)[:, None],
        )

    def _kinds(self, case: ClosedCase) -> IntArray:
        """Column of each segment in the solved batch: its kind, or the bare ones alone."""
        return self.kinds if case.stage.served else self.layout.bare_kinds

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
        strands = self._members(q, self.bearing(q, columns, load))
        give = takes / (load * (0.5 * radius**2) + added)
        rates = own + give * (turns / (naturals * give[:, kinds]).sum(axis=1))[:, None]
        length = None
        for _ in range(_TORQUE_STEPS):
            span, slopes = span_with_slopes(load, 1.0, rates, radius, strands, length)
            core, line = span.torsion / span.length, rates - own
            held = line * (core + added)
            # More turns stiffen or soften the strands they go into.
            more = core * slopes.torsion * np.divide(line, rates, out=0.0 * core, where=rates > 0.0)
            give = takes / np.maximum(core + added + more, _STIFFEST * (core + added))
            missing = turns - (naturals * line[:, kinds]).sum(axis=1)
            torque = (naturals * (give * held)[:, kinds]).sum(axis=1) + missing
            torque = torque / (naturals * give[:, kinds]).sum(axis=1)
            change = give * (torque[:, None] - held)
            rates = np.maximum(rates + change, own)
            # Cases without a solution, which are no numbers, keep none of the others from theirs.
            largest, most = (np.fmax.reduce(np.abs(v), axis=None) for v in (change, rates))
            if not largest > _RATES_CLOSE * most:
                break
            further = np.divide(change, rates, out=0.0 * core, where=rates > 0.0)
            length = span.length * (1.0 + slopes.length * further)
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
