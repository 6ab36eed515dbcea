"""What the bow touches of a job's line, on the line's own scale, and what its servings cover."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.contact import Lane
from strandwright.errors import SpecError
from strandwright.planning.bow.model import BowModel
from strandwright.planning.bow.riser import lanes_of, place_doubt
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan, ServingPlan
from strandwright.reference import practice
from strandwright.workshop.job import Job

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class TouchedPart:
    """A part of the line that some track touches between brace and wall.

    Attributes
    ----------
    on : str
        What touches it.
    start, stop : Estimate
        On the finished line, from its zero end [m]
    at_brace : Estimate
        Length touched at brace [m]
    to_end : bool
        Whether it runs to an end of the line, where the line is fastened.
    """

    on: str
    start: Estimate
    stop: Estimate
    at_brace: Estimate
    to_end: bool


@dataclass(frozen=True)
class ServingCover:
    """What one serving covers of what is touched.

    Attributes
    ----------
    name : str
        The serving.
    wanted_start, wanted_stop : float or None
        What the touched parts ask for, margin and doubt included; None where nothing is
        touched [m]
    beyond : float
        Length served past that; all of it where nothing is touched [m]
    beyond_mass : float
        Mass of thread there [kg]
    short : float
        Length that ought to be served and is not [m]
    times_needed : float or None
        Served length over the length touched [-]
    start, stop : float
        Where it is [m]
    use : str
        What it is there for.
    """

    name: str
    wanted_start: float | None
    wanted_stop: float | None
    beyond: float
    beyond_mass: float
    short: float
    times_needed: float | None
    start: float
    stop: float
    use: str = ""

    @property
    def past(self) -> tuple[tuple[float, float], ...]:
        """What of it lies past what is wanted, from where to where [m]."""
        if self.wanted_start is None or self.wanted_stop is None:
            return ()
        low, high = self.wanted_start, self.wanted_stop
        ends = ((self.start, min(low, self.stop)), (max(high, self.start), self.stop))
        return tuple((a, b) for a, b in ends if b > a)

    @property
    def inside(self) -> tuple[float, float] | None:
        """What of it lies within what is wanted, from where to where; None for nothing [m]."""
        if self.wanted_start is None or self.wanted_stop is None:
            return None
        a, b = max(self.start, self.wanted_start), min(self.stop, self.wanted_stop)
        return (a, b) if b > a else None


def lane_of(job: Job, model: BowModel) -> Lane:
    """Find the bow's line that a job builds.

    Parameters
    ----------
    job : Job
        The job.
    model : BowModel
        Its bow.

    Returns
    -------
    Lane
        What that line touches.

    Raises
    ------
    SpecError
        If the job's line is a cable and its name does not tell which.
    """
    lanes = {lane.line: lane for lane in lanes_of(job, model)}
    if job.line.kind == "string":
        return lanes["string"]
    said = job.line.name.lower()
    cables = [name for name in lanes if name != "string"]
    if len(cables) == 1:
        return lanes[cables[0]]
    for name in cables:
        if name.split()[0] in said:
            return lanes[name]
    rule = f"must say which of the bow's cables it is: {', '.join(cables)}"
    raise SpecError("line.name", job.line.name, rule, f"name it {cables[0]}, say")


def touched_parts(job: Job, plan: Plan, model: BowModel) -> tuple[TouchedPart, ...]:
    """Work out what the bow touches of a job's line.

    Parameters
    ----------
    job : Job
        The job.
    plan : Plan
        Its line.
    model : BowModel
        Its bow.

    Returns
    -------
    tuple of TouchedPart
        From the zero end on. A string is laid by its nocking point, or by both its ends where
        wheels are alike and the nocking point's height is not known; a cable by its end on the
        axle.
    """
    lane = lane_of(job, model)
    length = plan.target.length.value
    stretch = 1.0 + plan.target.measuring_load / float(model.family.strung.rig.stiffness[0, 0])
    origin, anchor, turned = _scale(job, plan, model, lane)
    parts: list[TouchedPart] = []
    for touch in lane.touches:
        ends = [(anchor + (1 - 2 * turned) * (v - origin) * stretch)
                for v in (touch.start, touch.stop)]  # fmt: skip
        low, high = (ends[1], ends[0]) if turned else (ends[0], ends[1])
        at_start = bool(np.all(touch.start <= 1e-6)) != turned if touch.fastened else False
        doubt = place_doubt(job, touch.on)
        first, last = _estimate(low, doubt), _estimate(high, doubt)
        if touch.fastened and at_start:
            first = Estimate(0.0, 0.0, "m")
        elif touch.fastened:
            last = Estimate(length, 0.0, "m")
        brace = touch.brace_stop - touch.brace_start
        parts.append(TouchedPart(touch.on, first, last, _estimate(brace), touch.fastened))
    return tuple(sorted(parts, key=lambda part: part.start.value))


def covers(
    plan: Plan, parts: tuple[TouchedPart, ...], *, crossbow: bool = False, wheels: bool = True
) -> tuple[ServingCover, ...]:
    """Hold the servings against what is touched.

    Parameters
    ----------
    plan : Plan
        The line.
    parts : tuple of TouchedPart
        What the bow touches of it.
    crossbow : bool
        Whether its centre serving lies on a rail.
    wheels : bool
        Whether loops sit on pegs of wheels. Without, they sit on the limbs, and the string lies on
        the tips beside them.

    Returns
    -------
    tuple of ServingCover
        For every serving but the centre's, which is there for the nock; a crossbow's is there for
        rail and latch.
    """
    found: list[ServingCover] = []
    for serving in plan.servings:
        loop = serving.use == "loop"
        if (loop and wheels) or (serving.use == "centre" and not crossbow):
            continue
        row = "crossbow" if serving.use == "centre" else "wheels"
        margin = practice(f"{row}.serving_margin").value
        cover = _cover(serving, parts, margin, plan.target.length.value)
        # A loop over a plain nock lies on nothing beside it.
        if not loop or cover.wanted_start is not None:
            found.append(cover)
    return tuple(found)


def _cover(
    serving: ServingPlan, parts: tuple[TouchedPart, ...], margin: float, length: float
) -> ServingCover:
    start, stop = serving.start.value, serving.stop.value
    own = [p for p in parts if p.start.value < stop and p.stop.value > start]
    served = stop - start
    per_length = serving.mass.value / served if served > 0 else 0.0
    if not own:
        # A stop or a free serving is there for something the tracks know nothing of.
        return ServingCover(serving.name, None, None, 0.0, 0.0, 0.0, None, start, stop, serving.use)
    low = min(0.0 if p.start.u == 0 else p.start.value - margin - 2 * p.start.u for p in own)
    high = max(length if p.stop.u == 0 else p.stop.value + margin + 2 * p.stop.u for p in own)
    low, high = max(low, 0.0), min(high, length)
    beyond = max(low - start, 0.0) + max(stop - high, 0.0)
    short = max(start - low, 0.0) + max(high - stop, 0.0)
    touched = sum(p.stop.value - p.start.value for p in own)
    mass, times = beyond * per_length, served / touched
    return ServingCover(
        serving.name, low, high, beyond, mass, short, times, start, stop, serving.use
    )


def _scale(job: Job, plan: Plan, model: BowModel, lane: Lane) -> tuple[Floats, float, bool]:
    """Where the line's scale is laid on the bow: a place on both, and whether it is turned.

    Where a string leaves two like wheels does not depend on its nocking point. If nobody said how
    high that lies, the string is laid by both its ends alike and not by the mark.
    """
    length = plan.target.length.value
    ends = (job.line.zero_end.name.lower(), job.line.far_end.name.lower())
    if lane.nock is not None:
        far = ("right",) if model.crossbow else ("upper", "top", "return")
        turned = any(w in ends[0] for w in far)
        nocks = [m.position.value for m in plan.marks if "nock" in m.name.lower()]
        share = float(np.mean(lane.nock / lane.length))
        told = job.bow.nock_height is not None or len(model.family.strung.bow.wheels) == 1
        by_ends = length * (1.0 - share if turned else share)
        place = nocks[0] if nocks and told else by_ends
        return lane.nock, place, turned
    turned = any(w in ends[0] for w in ("cam", "wheel", "track")) and not any(
        w in ends[1] for w in ("cam", "wheel", "track")
    )
    return 0.0 * lane.length, length if turned else 0.0, turned


def _estimate(values: Floats, doubt: float = 0.0) -> Estimate:
    numbers = np.asarray(values, dtype=np.float64)
    return Estimate(float(numbers.mean()), float(np.hypot(numbers.std(ddof=1), doubt)), "m")
