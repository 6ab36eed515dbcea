"""Reinforced ends and the middle of a crossbow's string.

No measurement of reinforced ends was found. What pieces laid in at a loop bear is held against a
numerical solution of the same physics by other means: the line and each piece as a chain of half
millimetre cells that stretch by their own laws, tied at the loop's throat, with dry friction
between them, brought to rest by Newton's steps on SciPy's sparse solver. The middle and the rail
marks are held against arithmetic written out.
"""

from __future__ import annotations

import copy
from dataclasses import dataclass
from typing import Any

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import spsolve

from strandwright.line.build import build_finished
from strandwright.planning.crossbow.middle import middle_of
from strandwright.planning.details.held import prepared_line
from strandwright.planning.examples import example
from strandwright.planning.makings.reinforced_hold import piece_hold
from strandwright.planning.plan_line import plan_line
from strandwright.planning.prepare import at_mean
from strandwright.planning.result import Plan
from strandwright.planning.strength.places import tension_in_loop
from strandwright.units import INCH
from strandwright.workshop.job import job_from_table

MM = 1e-3
CELL = 0.5 * MM
#: Slip at which the bond of the chains has come to its full friction [m]
GIVE = 1e-7
REFERENCE = 12.5 * 4.4482216152605
WHY = "cells of half a millimetre, a bond that gives by 0.1 µm, wraps taken square to the line"


@dataclass(frozen=True)
class End:
    """A reinforced end in numbers: strands, their law, friction, where pieces stop."""

    count: int
    stiffness: float
    bedding: float
    scale: float
    gripped: float
    bedded: float
    friction: float
    ends: tuple[float, ...]


def planned(run: str) -> Plan:
    """The quarry string, its pieces running so far."""
    table: dict[str, Any] = copy.deepcopy(
        example("QUARRY-1").model_dump(mode="json", exclude_defaults=True)
    )
    for which in ("zero_end", "far_end"):
        table["line"][which]["reinforced_length"] = run
    return plan_line(job_from_table(table))


def end_of(plan: Plan, run: str) -> End:
    """Its zero end, friction and places written out from what the job says."""
    value, job = plan.parameters.value, plan.job
    count, extra = job.makeup.strands, job.line.zero_end.reinforced or 0
    thread, stock = prepared_line(plan).model.line.servings[0].thread, prepared_line(plan).strand
    pitch = thread.diameter / thread.flattening
    grip = 2.0 * (stock.stock.friction + thread.friction) * 10.0 * 4.4482216152605 / pitch
    whole, _, part = run.removesuffix(" in").partition(" ")
    over, _, under = part.partition("/")
    middle = (float(whole) + (float(over) / float(under) if part else 0.0)) * INCH
    pieces = extra // 2
    return End(
        count=count,
        stiffness=value("stiffness"),
        bedding=value("bedding"),
        scale=value("bedding_scale"),
        gripped=200.0 * 4.4482216152605 / count,
        bedded=300.0 * 4.4482216152605 / count,
        friction=grip / (count + extra) ** 0.5,
        ends=tuple(middle + (i - 0.5 * (pieces - 1)) * 0.25 * INCH for i in range(pieces)),
    )


def laws(end: End) -> tuple[PchipInterpolator, PchipInterpolator]:
    """Tension of a wound strand and of a piece by their strain since the grip."""
    tension = np.concatenate([np.linspace(0.0, 60.0, 1201), np.linspace(60.5, 600.0, 1080)])

    def beds(load: np.ndarray | float) -> np.ndarray:
        full = 1.0 - np.exp(-REFERENCE / end.scale)
        return end.bedding * (1.0 - np.exp(-np.asarray(load) / end.scale)) / full

    wound = (tension - end.gripped) / end.stiffness
    wound = wound + np.maximum(beds(tension) - beds(end.bedded), 0.0)
    return PchipInterpolator(wound, tension), PchipInterpolator(
        tension / end.stiffness + beds(tension), tension
    )


class Chains:
    """The line and its pieces as chains of cells from the throat outwards."""

    def __init__(self, end: End) -> None:
        self.end, self.laws = end, laws(end)
        cells = [round((max(end.ends) + 5.0 * MM) / CELL), *(round(e / CELL) for e in end.ends)]
        self.strands = np.repeat([float(end.count), *(2.0 for _ in end.ends)], cells)
        self.chain = np.repeat(np.arange(len(cells)), cells)
        self.first = np.concatenate([[0], np.cumsum(cells)])
        self.size = int(self.first[-1])
        index = np.arange(self.size)
        self.before = np.where(np.isin(index, self.first), -1, index - 1)
        #: For each node of a piece the node of the line beside it.
        self.nodes = index[self.chain > 0]
        self.beside = self.nodes - self.first[self.chain[self.nodes]]

    def cells(self, moved: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Tension of a strand and its slope in every cell."""
        start = np.where(self.before >= 0, moved[self.before], 0.0)
        strain = (moved - start) / CELL
        wound, late = self.laws
        line = self.chain == 0
        tension = np.where(line, wound(strain), np.where(strain > 0.0, late(strain), 0.0))
        slope = np.where(
            line, wound(strain, 1), np.where(strain > 0.0, late(np.maximum(strain, 0.0), 1), 1.0)
        )
        return tension, slope

    def missing(self, moved: np.ndarray, load: float, give: float) -> tuple[np.ndarray, csc_matrix]:
        """Force on every node that is not in balance, and its slope."""
        tension, slope = self.cells(moved)
        force, stiff = self.strands * tension, self.strands * slope / CELL
        index = np.arange(self.size)
        inner = index[self.before >= 0]
        out = -force
        np.add.at(out, self.before[inner], force[inner])
        out[self.first[1] - 1] += load
        rows, columns, values = [index], [index], [-stiff]
        for row, column, value in (
            (self.before[inner], self.before[inner], -stiff[inner]),
            (self.before[inner], inner, stiff[inner]),
            (inner, self.before[inner], stiff[inner]),
        ):
            rows.append(row)
            columns.append(column)
            values.append(value)
        slip = moved[self.nodes] - moved[self.beside]
        most = 2.0 * self.end.friction * CELL
        share = np.clip(slip / give, -1.0, 1.0)
        np.add.at(out, self.nodes, -most * share)
        np.add.at(out, self.beside, most * share)
        bond = np.where(np.abs(slip) < give, most / give, 1e-9 * most / give)
        for one, sign in ((self.nodes, -1.0), (self.beside, 1.0)):
            rows += [one, one]
            columns += [self.nodes, self.beside]
            values += [sign * bond, -sign * bond]
        entries = (np.concatenate(values), (np.concatenate(rows), np.concatenate(columns)))
        return out, csc_matrix(entries, shape=(self.size, self.size))

    def at_rest(self, load: float, moved: np.ndarray) -> np.ndarray:
        """Displacements in balance, the bond made stiffer step by step."""
        for give in (1e-4, 1e-5, 3e-6, 1e-6, 3e-7, GIVE):
            size = np.inf
            for _ in range(200):
                out, slope = self.missing(moved, load, give)
                size = float(np.abs(out).max())
                if size < 1e-7 * load:
                    break
                step, share = spsolve(slope, -out), 1.0
                while share > 1e-4:
                    after, _ = self.missing(moved + share * step, load, give)
                    if float(np.linalg.norm(after)) < float(np.linalg.norm(out)):
                        break
                    share *= 0.5
                moved = moved + share * step
            else:
                raise AssertionError(f"not at rest: {size:g} N are missing")
        return moved

    def borne(self, at: float) -> np.ndarray:
        """Tension of the pieces at the throat where a strand of the line there bears ``at``."""
        moved = np.zeros(self.size)
        pulls, found = [at * self.end.count, at * (self.end.count + len(self.end.ends))], []
        for _ in range(8):
            moved = self.at_rest(pulls[-2] if not found else pulls[-1], moved)
            found.append(float(self.cells(moved)[0][0]))
            if abs(found[-1] - at) < 1e-4 * at:
                break
            if len(found) > 1:
                low, high = pulls[-2:]
                slope = (found[-1] - found[-2]) / (high - low)
                pulls.append(high + (at - found[-1]) / slope)
        tension = self.cells(moved)[0]
        return tension[self.first[1:-1]]


@pytest.mark.parametrize("run", ["5 in", "2 1/4 in", "1 3/4 in"])
def test_what_pieces_bear(record, run: str) -> None:
    """Long pieces by their lag, short ones by their length, and the strands that the loop has."""
    plan = planned(run)
    prepared = prepared_line(plan)
    at = tension_in_loop(prepared, plan.strength)
    hold = piece_hold(prepared, "zero_end", at)
    assert hold is not None
    end = end_of(plan, run)
    borne = Chains(end).borne(at)
    source = f"Twelve pieces at a loop of 48 strands, running {run} past its throat"
    for name, piece in (("shortest", 0), ("sixth", 5), ("longest", 11)):
        record(
            source,
            f"the {name} piece bears of what a strand of the line does",
            f"{borne[piece] / at:.4f}",
            hold.carried[piece] / at,
            0.004,
            WHY,
        )
    record(
        source,
        "strands of both legs over those of the line",
        f"{1.0 + 2.0 * borne.sum() / (at * end.count):.4f}",
        1.0 + hold.strands.value,
        0.002,
        WHY,
    )


def straight(plan: Plan, load: float) -> float:
    """Strain of a straight strand at a load on the line, by its stiffness alone."""
    return load / (plan.job.makeup.strands * plan.parameters.value("stiffness"))


def test_middle_and_rail_marks(record) -> None:
    """Halves alike: the middle is half the length, rail marks half a rail's width off at brace."""
    plan = plan_line(example("QUARRY-1"))
    found = middle_of(plan)
    assert found is not None
    model, q = prepared_line(plan).model, at_mean(plan.parameters)
    length = float(build_finished(model, q, plan.chosen.settings)[0].length[0])
    source = "Middle and rail marks of a string with both ends alike"
    record(source, "middle, finished", f"{0.5 * length / MM:.3f}",
           found.middle.finished / MM, 0.01, "two equal halves", unit="mm")  # fmt: skip
    # 1 1/8 in of rail; from brace back to the measuring load the string is shorter.
    back = (1.0 + straight(plan, plan.target.measuring_load)) / (
        1.0 + straight(plan, found.loads.braced.value)
    )
    for name, mark in (("zero", found.zero_side), ("far", found.far_side)):
        record(source, f"rail mark on the {name} side from the middle, finished",
               f"{0.5 * 1.125 * INCH * back / MM:.3f}",
               abs(mark.finished - found.middle.finished) / MM, 0.01,
               "straight strands for twisted ones", unit="mm")  # fmt: skip
        record(source, f"the same at brace, {name} side", f"{0.5 * 1.125 * 25.4:.5f}",
               abs(mark.braced - found.middle.braced) / MM, 1e-5, "arithmetic",
               unit="mm")  # fmt: skip


def throat(perimeter: float, seat: float, offset: float, pin: float) -> float:
    """From the outside of a pin to the throat: tangents from the offset to the pin, half each."""
    around = 0.5 * (pin + seat)

    def miss(distance: float) -> float:
        chord = float(np.hypot(distance, offset))
        straight_part = (chord**2 - around**2) ** 0.5
        angle = np.arctan2(offset, distance) + np.arccos(around / chord)
        return float(straight_part + around * (np.pi - angle) - 0.5 * perimeter)

    return float(np.asarray(brentq(miss, around * 1.0001, perimeter))) + 0.5 * pin


def test_unlike_pegs_shift_the_middle(record) -> None:
    """One thick peg: the middle moves by half of what its loop reaches less over it."""
    table = copy.deepcopy(example("QUARRY-1").model_dump(mode="json", exclude_defaults=True))
    table["bow"]["pegs"].append({"name": "thick tip", "diameter": "3/4 in"})
    table["line"]["far_end"]["peg"] = "thick tip"
    plan = plan_line(job_from_table(table))
    line, found = prepared_line(plan).model.line, middle_of(plan)
    assert found is not None
    q = at_mean(plan.parameters)
    reach = [
        throat(loop.perimeter, float(q["leg"][0]) * loop.seat, loop.throat_offset, peg)
        - throat(loop.perimeter, float(q["leg"][0]) * loop.seat, loop.throat_offset, 0.25 * INCH)
        for loop, peg in ((line.zero, 7 / 16 * INCH), (line.far, 0.75 * INCH))
    ]
    length = float(build_finished(prepared_line(plan).model, q, plan.chosen.settings)[0].length[0])
    record("Middle of a string over pegs of 7/16 in and 3/4 in", "from half the finished length",
           f"{0.5 * (reach[1] - reach[0]) / MM:.3f}",
           (found.middle.finished - 0.5 * length) / MM, 0.02,
           "the loops stretch a little from one load to the other", unit="mm")  # fmt: skip
