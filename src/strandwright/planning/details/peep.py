"""Peep: how the strands part for it, and how far it turns from brace to full draw."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import build_finished
from strandwright.line.model import LineModel
from strandwright.line.peep_turn import peep_turn, turned_by_added, uneven_load
from strandwright.line.unknowns import Unknowns
from strandwright.numerics.budget import Contribution
from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.numerics.propagation import propagate
from strandwright.planning.details.held import Hold, held_pieces, holds_of, prepared_line
from strandwright.planning.details.marks import marks_of
from strandwright.planning.details.split import PeepSplit, peep_split
from strandwright.planning.estimate import Estimate
from strandwright.planning.prepare import Prepared, at_mean
from strandwright.planning.result import Plan
from strandwright.planning.strength.loads import bow_loads
from strandwright.reference import practice
from strandwright.units import Entered

#: Parameters of the turn that are not the line's own.
_BRACED, _DRAWN, _BEFORE, _AFTER = "load_braced", "load_drawn", "uneven_before", "uneven_after"


@dataclass(frozen=True)
class DrawLoads:
    """Tension of the string at brace and at full draw.

    Attributes
    ----------
    braced, drawn : Estimate
        The two [N]
    source : str
        Where they come from.
    """

    braced: Estimate
    drawn: Estimate
    source: str


@dataclass(frozen=True)
class PeepTurn:
    """How far a peep turns while certain places hold the line.

    Attributes
    ----------
    hold : Hold
        What holds.
    turn : Estimate
        From brace to full draw, in the sense of the line's helix seen along it from its zero
        end [turn]
    by_zero_end, by_far_end : Estimate
        What half a turn put in at each end turns it by, at brace [turn]
    budget : tuple of Contribution
        What makes its +- large, largest first; none where the +- was carried.
    """

    hold: Hold
    turn: Estimate
    by_zero_end: Estimate
    by_far_end: Estimate
    budget: tuple[Contribution, ...]


@dataclass(frozen=True)
class PeepAnswer:
    """What a line's peep does.

    Attributes
    ----------
    name : str
        Its mark.
    position : Estimate
        Where it sits on the finished line [m]
    split : PeepSplit
        How the strands part for it.
    loads : DrawLoads or None
        Loads it is reckoned with; None where the bow tells none.
    turns : tuple of PeepTurn
        By what holds the line, the least first; none without loads.
    """

    name: str
    position: Estimate
    split: PeepSplit
    loads: DrawLoads | None
    turns: tuple[PeepTurn, ...]


def plan_loads(plan: Plan) -> DrawLoads | None:
    """Tension of the string at brace and at full draw, as the job states it or practice has it.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    DrawLoads or None
        None where neither loads nor a draw weight are given.

    Notes
    -----
    Without wheels a string bears the most at full draw. Wheels let it off: there the string bears
    at full draw only what holds the bow, :math:`F_h / (2\\cos\\alpha)` with half its angle at
    the nock, far less than at brace; cables bear the rest.
    """
    stiffness = plan.job.makeup.strands * plan.parameters.value("stiffness")
    loads = bow_loads(plan.job, stiffness, plan.target.length.value)
    if loads is None:
        return None
    bow = plan.job.bow
    if not bow.kind.endswith("-cam") or bow.draw_weight is None:
        return DrawLoads(loads.resting, loads.highest, loads.source)
    drawn, said = _let_off(bow.draw_weight, bow.let_off)
    return DrawLoads(loads.resting, drawn, f"at brace, {loads.source}; at full draw, {said}")


def _let_off(weight: Entered, stated: Entered | None) -> tuple[Estimate, str]:
    """Tension that holds a bow with wheels at full draw, and where it comes from."""
    usual, cosine = practice("peep.let_off"), practice("peep.string_cosine")
    share = usual.value if stated is None else stated.si
    own = None if stated is None else stated.standard_uncertainty
    u = usual.standard_uncertainty if stated is None else (own or 0.02)
    held = weight.si * max(1.0 - share, 0.02)
    value = held / (2.0 * cosine.value)
    relative = math.hypot(u / max(1.0 - share, 0.02), cosine.relative_uncertainty)
    said = f"a let-off of {100.0 * share:.0f} %, {'by practice' if stated is None else 'as stated'}"
    return Estimate(value, relative * value, "N"), said


def peep_answers(plan: Plan, loads: DrawLoads | None = None) -> tuple[PeepAnswer, ...]:
    """Answer for every peep of a line.

    Parameters
    ----------
    plan : Plan
        The plan.
    loads : DrawLoads or None
        Loads from a model of the bow; None takes :func:`plan_loads`.

    Returns
    -------
    tuple of PeepAnswer
        One for each peep; none on a cable, which no peep sits in.

    Notes
    -----
    A plan that was carried over from another has the turns at the means alone, without +-: it
    follows the hand.
    """
    marks = marks_of(plan, "peep") if plan.job.line.kind == "string" else ()
    if not marks:
        return ()
    found = plan_loads(plan) if loads is None else loads
    split = peep_split(plan.job)
    if found is None:
        return tuple(PeepAnswer(m.name, m.position, split, None, ()) for m in marks)
    ready = prepared_line(plan)
    return tuple(
        PeepAnswer(m.name, m.position, split, found, _turns(plan, ready, m.position.value, found))
        for m in marks
    )


def _turns(plan: Plan, ready: Prepared, peep: float, loads: DrawLoads) -> tuple[PeepTurn, ...]:
    model = ready.model
    holds = holds_of(plan, model, peep)
    turned = _Turned(model, plan, peep, holds)
    parameters = plan.parameters.joined(_own_parameters(model, plan, loads))
    if plan.carried:
        values = turned({k: np.atleast_1d(v) for k, v in parameters.middle.items()})
        exact = {k: Estimate(float(v[0]), 0.0, "turn") for k, v in values.items()}
        return tuple(
            PeepTurn(hold, exact[f"turn:{i}"], exact[f"zero:{i}"], exact[f"far:{i}"], ())
            for i, hold in enumerate(holds)
        )
    spread = propagate(turned, parameters)
    told = {
        name: Estimate(float(mean), float(u), "turn")
        for name, mean, u in zip(spread.outputs, spread.mean, spread.second_order, strict=True)
    }
    return tuple(
        PeepTurn(
            hold, told[f"turn:{i}"], told[f"zero:{i}"], told[f"far:{i}"], spread.budget(f"turn:{i}")
        )
        for i, hold in enumerate(holds)
    )


@dataclass(frozen=True)
class _Turned:
    """Turns of a peep by what is unknown, for every hold at once."""

    model: LineModel
    plan: Plan
    peep: float
    holds: tuple[Hold, ...]

    def __call__(self, q: Unknowns) -> dict[str, FloatArray]:
        state, _ = build_finished(self.model, q, self.plan.chosen.settings)
        found: dict[str, FloatArray] = {}
        for i, hold in enumerate(self.holds):
            pieces, before = held_pieces(
                self.model, q, state, hold, self.peep, (q[_BEFORE], q[_AFTER])
            )
            found[f"turn:{i}"] = peep_turn(pieces, before, q[_BRACED], q[_DRAWN])
            zero, far = turned_by_added(pieces, before, q[_BRACED])
            found[f"zero:{i}"], found[f"far:{i}"] = 0.5 * zero, 0.5 * far
        return found


def _own_parameters(model: LineModel, plan: Plan, loads: DrawLoads) -> ParameterVector:
    """Loads on the bow, and how unequal the strands are on each side of the peep."""
    q = at_mean(plan.parameters)
    even = practice("evenness.tolerated")
    # Strands that pass as even lie within the tolerated part of their mean, twice the deviation.
    excess = 0.5 * even.value * model.line.measuring_load / model.line.strand_count
    off = float(np.ravel(uneven_load(1.0, excess, model.strand_set(q)))[0])
    said = f"{even.kind}: strands even within {100.0 * even.value:.0f} % at the measuring load"
    return ParameterVector.from_parameters(
        [
            *(
                Parameter(name, load.value, load.u / load.value, "log", "N", loads.source, label)
                for name, load, label in (
                    (_BRACED, loads.braced, "tension at brace"),
                    (_DRAWN, loads.drawn, "tension at full draw"),
                )
            ),
            Parameter(_BEFORE, 0.0, off, "linear", "N", said, "unequal strands, zero side"),
            Parameter(_AFTER, 0.0, off, "linear", "N", said, "unequal strands, far side"),
        ]
    )


def widest(answer: PeepAnswer) -> PeepTurn | None:
    """Give the case in which a peep turns the most.

    Parameters
    ----------
    answer : PeepAnswer
        What the peep does.

    Returns
    -------
    PeepTurn or None
        None where no load is known.
    """
    return max(answer.turns, key=lambda t: abs(t.turn.value) + t.turn.u95, default=None)


def degrees_of(turns: float) -> float:
    """Give an angle in degrees.

    Parameters
    ----------
    turns : float
        The angle [turn]

    Returns
    -------
    float
        The angle [deg]
    """
    return math.degrees(2.0 * math.pi * turns)
