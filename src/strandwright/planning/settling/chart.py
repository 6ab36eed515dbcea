"""Chart: the fitted length of a line on its bow over the shots, for drawing."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from strandwright.drawing.settling import SettlingChart, SettlingMark
from strandwright.planning.settling.answer import Answer
from strandwright.planning.settling.words import date_text, headline, shots_text
from strandwright.planning.written import Written
from strandwright.statistics.settling import Moment
from strandwright.units import INCH
from strandwright.workshop.service import FigureOn

Floats = NDArray[np.float64]

#: Places of the fitted line between two changes of turns [-]
_PLACES = 36
_DOUBTED = 0.3
_LEAST_SHOTS = 100.0
#: How far the curve goes past the last entry, where the next look lies further off [-]
_PAST = 2.0


def settling_chart(answer: Answer, to: Written) -> SettlingChart:
    """Give what the chart of a line's service shows.

    Parameters
    ----------
    answer : Answer
        The answer.
    to : Written
        How quantities are written.

    Returns
    -------
    SettlingChart
        In inches or millimetres.
    """
    size = answer.plan.target.length.value / (INCH if to.system == "in" else 1e-3)
    shots, draws = _path(answer)
    low, middle, high = np.quantile(draws, (0.025, 0.5, 0.975), axis=0) * size
    tolerance = answer.rule.tolerance * size
    centre = _centre(answer) * size
    look = float(answer.look_shots) if answer.look is not None else None
    text = shots_text(look) if look is not None else ""
    if answer.look_at is not None and look is not None:
        text = f"look: {text} or {date_text(answer.look_at)}"
    return SettlingChart(
        marks=_marks(answer, size),
        shots=tuple(map(float, shots)),
        middle=tuple(map(float, middle)),
        low=tuple(map(float, low)),
        high=tuple(map(float, high)),
        tolerance=(centre - tolerance, centre + tolerance),
        now=answer.course.last.shots,
        look=look,
        look_text=text,
        unit="in" if to.system == "in" else "mm",
        name="length over the one asked for",
        said=headline(answer),
    )


def _centre(answer: Answer) -> float:
    """What the line is held to, over the length asked for [-]."""
    aim = answer.rule.aim
    if aim is None:
        return 0.0
    settling = answer.settling
    then = settling.curve([aim.shots], [aim.time])[:, 0]
    if answer.rule.aim_steps is not None:
        then = then + settling.stepped(answer.rule.aim_steps)
    return float(np.median(then))


def _path(answer: Answer) -> tuple[Floats, Floats]:
    """Shots, and equally likely lengths there, along the days as they went and will go."""
    course, settling = answer.course, answer.settling
    last = course.last
    end = max(last.shots * 1.15, last.shots + 20.0, _LEAST_SHOTS)
    if answer.look is not None:
        end = max(end, min(float(answer.look_shots), _PAST * max(last.shots, _LEAST_SHOTS)))
        if answer.look_shots <= 4.0 * max(last.shots, _LEAST_SHOTS):
            end = max(end, float(answer.look_shots) * 1.03)
    places, steps = _pieces(answer, end)
    time = _times(answer, places)
    drawn = settling.curve(places, time) + settling.draws[:, 6:] @ steps.T
    return places, drawn


def _pieces(answer: Answer, end: float) -> tuple[Floats, Floats]:
    """Places piece by piece between changes, each with its share of the steps."""
    places: list[Floats] = []
    steps: list[Floats] = []
    changes = [*answer.course.changes, (Moment(end, 0.0), None)]
    for (begin, share), (finish, _) in pairwise(changes):
        assert share is not None
        between = np.linspace(np.log1p(begin.shots), np.log1p(finish.shots), _PLACES)
        places.append(np.expm1(between))
        steps.append(np.tile(share, (_PLACES, 1)))
    return np.concatenate(places), np.concatenate(steps)


def _times(answer: Answer, shots: Floats) -> Floats:
    """When each count of shots was, or will be at the pace so far [s]."""
    known = sorted({(m.shots, m.time) for m in answer.course.moments})
    counts = np.array([n for n, _ in known])
    times = np.maximum.accumulate(np.array([t for _, t in known]))
    past = np.maximum(shots - counts[-1], 0.0) / answer.pace
    return np.interp(shots, counts, times) + past


def _marks(answer: Answer, size: float) -> tuple[SettlingMark, ...]:
    """Each reading as a length: of a figure, less the zero that the fit gives it."""
    steps, mode = answer.settling.steps, answer.settling.mode
    own = np.where(steps.now == 0.0, mode.point[6:], 0.0)
    found: list[SettlingMark] = []
    for read, weight in zip(answer.course.readings, answer.settling.weight, strict=True):
        by_figure = isinstance(read.entry.body, FigureOn)
        value = read.elongation - (float(read.steps @ (own * _figures(answer))) if by_figure else 0)
        found.append(
            SettlingMark(
                read.moment.shots, value * size, 2.0 * read.u * size, by_figure,
                bool(weight < _DOUBTED), read.entry.id,
            )
        )  # fmt: skip
    return tuple(found)


def _figures(answer: Answer) -> Floats:
    """1 for the steps that belong to figures of the bow, else 0."""
    count = answer.settling.steps.mean.size
    return np.array([1.0 if k >= count - answer.course.of_figures else 0.0 for k in range(count)])
