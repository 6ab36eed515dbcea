"""Cable: the yoke cable of a plan as its model sees it, on one pin or on the axle."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.parts import Line, Serving, ServingKind
from strandwright.line.unknowns import Unknowns
from strandwright.line.yoke.model import YokeModel
from strandwright.line.yoke.parts import Body, Frame, Leg, ThroatServing, YokeCable
from strandwright.numerics.parameters import ParameterVector
from strandwright.planning.prepare import Prepared, prepare
from strandwright.planning.result.plan import Plan
from strandwright.planning.yoke.legs import NAMES
from strandwright.workshop.job import Job

#: Unknowns of the line that the model of a yoke needs
NEEDED = ("stiffness", "softening", "packing", "share", "loop_error", "leg")
#: Waste strand that holds the turns back where the throat is served after them [m]
_TIE = 1e-3


@dataclass(frozen=True)
class PlannedYoke:
    """A yoke cable of half-skein legs, made ready for its model.

    Attributes
    ----------
    prepared : Prepared
        Its job made ready, with what is known after its readings.
    turns : float
        Turns in the body [turn]
    """

    prepared: Prepared
    turns: float

    @classmethod
    def of(cls, plan: Plan) -> PlannedYoke:
        """Make the yoke of a plan.

        Parameters
        ----------
        plan : Plan
            The plan, of a line whose far end parts in two legs.

        Returns
        -------
        PlannedYoke
            The yoke.
        """
        prepared = prepare(plan.job, plan.target.length.value, plan.parameters)
        return cls(prepared, plan.chosen.settings.turns)

    @property
    def job(self) -> Job:
        """The job."""
        return self.prepared.job

    @cached_property
    def parameters(self) -> ParameterVector:
        """What is known of the unknowns that the model of a yoke needs."""
        known = self.prepared.parameters
        rows = [known.index(name) for name in NEEDED]
        return ParameterVector(
            names=NEEDED,
            mean=known.mean[rows],
            covariance=known.covariance[np.ix_(rows, rows)],
            scales=tuple(known.scales[row] for row in rows),
            units=tuple(known.units[row] for row in rows),
            sources=tuple(known.sources[row] for row in rows),
            labels=tuple(known.labels[row] for row in rows),
        )

    @property
    def line(self) -> Line:
        """The line."""
        return self.prepared.model.line

    @property
    def leg_turns(self) -> float:
        """Turns in each leg as it is made [turn]."""
        return self.line.parts[-1].turns

    @cached_property
    def on_pin(self) -> YokeModel:
        """The cable with both legs on one pin, as it is proved on the jig."""
        return YokeModel(self.prepared.model.stock, self._cable())

    def on_axle(self, span: float) -> YokeModel:
        """Give the same cable with its legs on the two ends of an axle.

        Parameters
        ----------
        span : float
            Between the middles of the leg loops, > 0 [m]

        Returns
        -------
        YokeModel
            Over pins of the measuring pins' diameter.
        """
        cable = self.on_pin.cable
        return replace(self.on_pin, cable=replace(cable, frame=replace(cable.frame, span=span)))

    def naturals(self, q: Unknowns) -> FloatArray:
        """Natural lengths with which the cable comes to its length on one pin.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).

        Returns
        -------
        ndarray
            Leg 1, leg 2 and body, shape (B, 3) [m]
        """
        return self.on_pin.naturals(q)

    def load(self, q: Unknowns) -> FloatArray:
        """Measuring load for every case of a batch.

        Parameters
        ----------
        q : mapping
            Unknowns, arrays of shape (B,).

        Returns
        -------
        ndarray
            Load, shape (B,) [N]
        """
        return np.full(len(q["stiffness"]), self.line.measuring_load)

    def _cable(self) -> YokeCable:
        line = self.line
        body, legs = line.parts
        left, right = (
            Leg(name, legs.length, line.far, line.strand_count // 2, legs.turns, line.hand)
            for name in NAMES
        )
        return YokeCable(
            legs=(left, right),
            body=Body(body.length, line.zero, line.strand_count, self.turns, line.hand),
            throat=self._throat(body.length),
            frame=Frame(0.0, line.pin_diameter, line.pin_diameter),
            measuring_load=line.measuring_load,
        )

    def _throat(self, parting: float) -> ThroatServing:
        """The serving at the throat; where the turns come first, only its tie holds them back."""
        serving = throat_serving(self.line)
        before = self.prepared.model.route.served_before_twist
        start = serving.start if before else parting - _TIE
        return ThroatServing(start, parting, serving.thread, serving.hand)


def throat_serving(line: Line) -> Serving:
    """Find the serving that ties the throat.

    Parameters
    ----------
    line : Line
        The line.

    Returns
    -------
    Serving
        Without one no job of such a line is planned.
    """
    return next(s for s in line.servings if s.kind is ServingKind.THROAT)
