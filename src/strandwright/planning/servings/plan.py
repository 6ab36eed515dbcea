"""The servings of a plan: where to start and stop now and finished, thread, grip, warnings."""

from __future__ import annotations

import math

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import Settings, map_position
from strandwright.line.model import LineModel
from strandwright.line.parts import Serving
from strandwright.line.serving_geometry import served_span
from strandwright.line.unknowns import Unknowns
from strandwright.numerics.propagation import Propagation
from strandwright.planning.estimate import Estimate
from strandwright.planning.result import LoopPlan, MarkPlan, ServingPlan

#: A twist that takes more than this share of a serving's grip is warned of [-]
GRIP_LOSS = 0.25
#: A serving must hold at least this much along the line; below it, it is warned of [N]
LEAST_HOLD = 200.0


def estimate(spread: Propagation, name: str, unit: str) -> Estimate:
    """Give one predicted output as an estimate.

    Parameters
    ----------
    spread : Propagation
        The predicted build.
    name : str
        The output.
    unit : str
        Its unit.

    Returns
    -------
    Estimate
        Mean and standard uncertainty [in that unit]
    """
    row = spread.index(name)
    return Estimate(float(spread.mean[row]), float(spread.second_order[row]), unit)


def plan_servings(
    model: LineModel, q: Unknowns, settings: Settings, spread: Propagation
) -> tuple[ServingPlan, ...]:
    """Plan every serving of the line.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns at their means, arrays of shape (1,).
    settings : Settings
        Post setting, turns, marks.
    spread : Propagation
        The predicted build.

    Returns
    -------
    tuple of ServingPlan
        In order along the line.
    """
    now = marking_places(model, spread, settings)
    drawn = np.array([(s.start, s.stop) for s in model.line.servings]).reshape(-1)
    places = map_position(drawn, model.layout.edges, now)
    spans = model.servings(q)
    plans: list[ServingPlan] = []
    for i, (serving, span) in enumerate(zip(model.line.servings, spans, strict=True)):
        thread = estimate(spread, f"thread:{i}", "m")
        laid = estimate(spread, f"laid:{i}", "N").value
        finished = estimate(spread, f"tension:{i}", "N").value
        hold = estimate(spread, f"hold:{i}", "N")
        locked = "untouched"
        if model.route.served_before_twist:
            locked = "tightened" if finished >= laid else "loosened"
        plans.append(
            ServingPlan(
                name=serving.name,
                use=serving.kind.value,
                thread=serving.thread.name,
                hand=serving.hand.value,
                colour=serving.colour,
                now_start=float(places[2 * i]),
                now_stop=float(places[2 * i + 1]),
                start=estimate(spread, f"start:{i}", "m"),
                stop=estimate(spread, f"stop:{i}", "m"),
                wraps=estimate(spread, f"wraps:{i}", "1"),
                wraps_per_length=1.0 / float(span.pitch[0]),
                thread_length=thread,
                bobbins=math.ceil((thread.value + thread.u95) / model.bench.bobbin),
                core=estimate(spread, f"core:{i}", "m"),
                outside=estimate(spread, f"outside:{i}", "m"),
                hold=hold,
                tension_laid=laid,
                tension_finished=finished,
                mass=Estimate(
                    thread.value * serving.thread.linear_density,
                    thread.u * serving.thread.linear_density,
                    "kg",
                ),
                locked_by_twist=locked,
                warnings=tuple(_warnings(model, serving, laid, finished, hold)),
            )
        )
    return tuple(plans)


def marking_places(model: LineModel, spread: Propagation, settings: Settings) -> FloatArray:
    """Segment edges in the marking state, the inner ones as they are set.

    Parameters
    ----------
    model : LineModel
        The line.
    spread : Propagation
        The predicted build.
    settings : Settings
        Post setting, turns, marks.

    Returns
    -------
    ndarray
        Shape (K + 1,) [m]
    """
    count = len(model.layout.edges)
    first = spread.value[spread.index("edge:marking:0")]
    last = spread.value[spread.index(f"edge:marking:{count - 1}")]
    return np.array([first, *settings.marks, last])


def _warnings(
    model: LineModel, serving: Serving, laid: float, finished: float, hold: Estimate
) -> list[str]:
    said: list[str] = []
    if finished < (1.0 - GRIP_LOSS) * laid:
        lost = 100.0 * (1.0 - finished / laid)
        said.append(
            f"wound {serving.hand.value} against the line's {model.line.hand.value} twist: the "
            f"twist takes {lost:.0f} % of its tension; wind it the other hand, or after the twist"
        )
    elif serving.hand is not model.line.hand:
        said.append(
            f"wound {serving.hand.value}, the line twisted {model.line.hand.value}: "
            "every turn added later loosens it"
        )
    if hold.value - hold.u95 < LEAST_HOLD:
        said.append("may slide on a hard pull: serve tighter or longer, and push-test it")
    return said


def plan_loops(model: LineModel, q: Unknowns) -> tuple[LoopPlan, ...]:
    """Plan the two loops: each is served over its perimeter before it is closed.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns at their means, arrays of shape (1,).

    Returns
    -------
    tuple of LoopPlan
        Zero end first.
    """
    core = float(model.core_diameter(q, served=True)[0])
    plans: list[LoopPlan] = []
    for loop in (model.line.zero, model.line.far):
        size = 0.5 * (loop.perimeter - 0.5 * math.pi * loop.leg_thickness)
        thread = loop.thread
        if thread is None:
            plans.append(LoopPlan(loop.name, size, 0.0, "", 0.0, 0.0, 0.0))
            continue
        leg = core * math.sqrt(0.5 * loop.strands)
        span = served_span(leg, thread.diameter, thread.flattening, thread.tension)
        used = loop.perimeter * float(span.thread_per_length)
        plans.append(
            LoopPlan(
                name=loop.name,
                size=size,
                served_length=loop.perimeter,
                thread=thread.name,
                wraps=loop.perimeter / float(span.pitch),
                thread_length=used,
                mass=used * thread.linear_density,
            )
        )
    return tuple(plans)


def plan_marks(
    model: LineModel, spread: Propagation, settings: Settings
) -> tuple[MarkPlan, ...]:
    """Plan the marks of the line.

    Parameters
    ----------
    model : LineModel
        The line.
    spread : Propagation
        The predicted build.
    settings : Settings
        Post setting, turns, marks.

    Returns
    -------
    tuple of MarkPlan
        In order along the line.
    """
    return tuple(
        MarkPlan(name=mark.name, now=spot, position=estimate(spread, f"mark:{i}", "m"))
        for i, (mark, spot) in enumerate(zip(model.line.marks, settings.spots, strict=True))
    )
