"""The line on the bow: how long it is over the limb nocks, at the load of the brace, by turns."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from strandwright.geometry.eye import fit_eye
from strandwright.line.build import finished_lengths
from strandwright.line.convert import Condition, convert
from strandwright.line.parts import Loop
from strandwright.line.unknowns import Unknowns
from strandwright.planning.prepare import Prepared, at_mean, prepare
from strandwright.planning.result import Plan
from strandwright.reference import practice
from strandwright.workshop.job import Job

Floats = NDArray[np.float64]
#: Share of its bedding-in that a line lost again before it went on the bow: not known, and the
#: same at all turns [-]
_RELAXED = 0.5
#: Loads looked at, over the load of the brace [-]
_LOADS = (0.75, 1.0, 1.35)


@dataclass(frozen=True)
class LineOnBow:
    """Lengths of a finished line over the limb nocks.

    Attributes
    ----------
    turns : ndarray, shape (turns,)
        Turns in the line [turn].
    loads : ndarray, shape (3,)
        Loads along it [N].
    lengths : ndarray, shape (3, turns)
        Outside to outside of the nocks [m].
    measured : ndarray, shape (turns,)
        The same line at the measuring condition [m].
    """

    turns: Floats
    loads: Floats
    lengths: Floats
    measured: Floats

    def length(self, number: int, load: ArrayLike) -> Floats:
        """Give the length at a load, by the parabola through the three looked at.

        Parameters
        ----------
        number : int
            Which of the turns [-]
        load : array_like
            Load along the line [N]

        Returns
        -------
        ndarray
            In the shape of the load [m].
        """
        a, b, c = self.loads
        fa, fb, fc = self.lengths[:, number]
        x = np.asarray(load, dtype=np.float64)
        first, second = (fb - fa) / (b - a), (fc - fb) / (c - b)
        return fa + (x - a) * (first + (x - b) * (second - first) / (c - a))


def limb_nocks(job: Job) -> tuple[float, float]:
    """Give what the loops lie on: the bow's pegs, or a limb's tip as it is met with.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    tuple of (float, float)
        Diameters at the zero and the far end [m]
    """
    usual = practice("limb_nock.diameter").value
    pegs = {peg.name: peg.diameter.si for peg in job.bow.pegs}
    ends = (job.line.zero_end, job.line.far_end)
    zero, far = (usual if e.peg is None else pegs.get(e.peg, usual) for e in ends)
    return zero, far


def line_on_bow(plan: Plan, load: float, turns: Floats) -> LineOnBow:
    """Work out how long a plan's line is on its bow, with other turns in it.

    Parameters
    ----------
    plan : Plan
        The line, which is at its length with the turns planned.
    load : float
        Its load at brace, nearly [N]
    turns : ndarray, shape (turns,)
        Turns to look at [turn]

    Returns
    -------
    LineOnBow
        At the means of what is not known. A loop that does not close over its nock is taken on
        the measuring pin; what its fit is to be told of is told elsewhere.
    """
    prepared = prepare(plan.job, plan.target.length.value, plan.parameters)
    q = at_mean(prepared.parameters)
    measured = _measured(plan, prepared, q, turns)
    nocks = _closing(prepared, q, limb_nocks(plan.job))
    pin, loads = prepared.model.line.pin_diameter, load * np.array(_LOADS)
    many = {name: np.repeat(value, len(loads)) for name, value in q.items()}
    many["relaxed"] = np.full(len(loads), _RELAXED)
    on_pins = Condition(np.full(len(loads), prepared.model.line.measuring_load), pin, pin)
    over_nocks = Condition(loads, *nocks)
    # One number of turns at a time, so that all of a batch is found in the same step.
    lengths = [
        convert(
            prepared.model, dict(many), float(length), np.full(len(loads), count),
            on_pins, over_nocks,
        )
        for length, count in zip(measured, turns, strict=True)
    ]  # fmt: skip
    return LineOnBow(turns, loads, np.stack(lengths, axis=1), measured)


@dataclass(frozen=True)
class StrungScale:
    """Places on the finished line carried to the strung one.

    Attributes
    ----------
    throat, strung_throat : float
        Of the zero end, from the outside of its pin, and of its nock [m]
    share : float
        Body of the strung line over that of the finished one [-]
    """

    throat: float
    strung_throat: float
    share: float

    def at(self, place: float) -> float:
        """Carry a place from the finished line to the strung one.

        Parameters
        ----------
        place : float
            From the outside of the zero pin, at the measuring condition [m]

        Returns
        -------
        float
            From the outside of the zero end's nock, at brace [m]
        """
        return self.strung_throat + self.share * (place - self.throat)


def strung_scale(plan: Plan, load: float) -> StrungScale:
    """Give how places of a plan's finished line lie on the strung one.

    Parameters
    ----------
    plan : Plan
        The plan.
    load : float
        Pull at brace [N]

    Returns
    -------
    StrungScale
        The body stretches evenly, which its servings hardly change.
    """
    prepared = prepare(plan.job, plan.target.length.value, plan.parameters)
    q = at_mean(prepared.parameters)
    line, nocks = prepared.model.line, _closing(prepared, q, limb_nocks(plan.job))
    strung = float(line_on_bow(plan, load, np.array([plan.twist.turns])).lengths[1, 0])
    throats = [
        there + _throat(loop, q, nock) - _throat(loop, q, line.pin_diameter)
        for there, loop, nock in zip(plan.throats, (line.zero, line.far), nocks, strict=True)
    ]
    share = (strung - sum(throats)) / (plan.target.length.value - sum(plan.throats))
    return StrungScale(plan.throats[0], throats[0], share)


def _throat(loop: Loop, q: Unknowns, pin: float) -> float:
    """Where a loop's throat is, from the outside of what it lies on."""
    perimeter = loop.perimeter + float(q["loop_error"][0])
    fit = fit_eye(perimeter, loop.seat, pin, loop.throat_offset)
    return float(fit.throat_distance) + 0.5 * pin


def _measured(plan: Plan, prepared: Prepared, q: Unknowns, turns: Floats) -> Floats:
    """Lengths at the measuring condition, the planned turns giving the length asked for."""
    chosen = plan.chosen
    tried = np.append(turns, plan.twist.turns)
    found = finished_lengths(prepared.model, q, chosen.skein, chosen.naturals, tried)
    return found[:-1] + (plan.target.length.value - found[-1])


def _closing(prepared: Prepared, q: Unknowns, nocks: tuple[float, float]) -> tuple[float, float]:
    line = prepared.model.line
    closes = [
        bool(fit_eye(loop.perimeter + float(q["loop_error"][0]), loop.seat, nock,
                     loop.throat_offset).ok.all())
        for loop, nock in zip((line.zero, line.far), nocks, strict=True)
    ]  # fmt: skip
    zero, far = (
        nock if good else line.pin_diameter for nock, good in zip(nocks, closes, strict=True)
    )
    return zero, far
