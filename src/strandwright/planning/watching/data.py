"""Watch data: the looks at a standing line, their curve and what they say, for advice data."""

from __future__ import annotations

from typing import Any

import numpy as np

from strandwright.drawing.tokens import THEMES
from strandwright.drawing.watching import WatchChart, WatchMark, watching_svg
from strandwright.planning.desk.advice import Advice
from strandwright.planning.result import Step
from strandwright.planning.watching.parts import Watch
from strandwright.planning.watching.refusals import standing_steps
from strandwright.planning.watching.standing import judge
from strandwright.planning.watching.stretch import looks_at, stand
from strandwright.planning.watching.words import MATTERS, matters, sentences
from strandwright.planning.written import Written
from strandwright.units import INCH, Dimension, to_unit
from strandwright.workshop.build_state import Taken
from strandwright.workshop.happenings.bench import Watched

Fields = dict[str, Any]

#: Places of the fitted line in the chart [-]
_PLACES = 40


def watch_data(advice: Advice, to: Written) -> Fields | None:
    """Give what watching tells of the step that is next, where the line stands in it.

    Parameters
    ----------
    advice : Advice
        Advice of the build.
    to : Written
        How quantities are written.

    Returns
    -------
    dict or None
        None where the next step is none in which the line stands under a load.
    """
    if advice.act is None:
        return None
    standing = {step.id: step for step in standing_steps(advice.plan)}
    step = standing.get(advice.act.step.id)
    if step is None:
        return None
    fields: Fields = {
        "step": step.id,
        "matters_text": matters(to),
        "load_hint": f"about {to.force(step.load or 0.0)}; heard, or on a gauge",
        "posts_hint": "outside to outside, as finely as you can: a caliper does best",
        "said": [],
        "verdict": None,
        "points": [],
        "curve": None,
        "charts": None,
    }
    watch = watch_of(advice, step)
    return fields if watch is None else fields | _told(advice, step, watch, to)


def watch_of(advice: Advice, step: Step) -> Watch | None:
    """Judge the looks at the line in a step.

    Parameters
    ----------
    advice : Advice
        Advice of the build.
    step : Step
        A step in which the line stands under a load.

    Returns
    -------
    Watch or None
        None before any look.
    """
    plan, state = advice.plan, advice.state
    looks = looks_at(plan, state, step.id)
    if not looks:
        return None
    ahead = _ahead(advice, step, looks[-1].at)
    return judge(looks, stand(plan, state, step, looks), ahead, MATTERS)


def _ahead(advice: Advice, step: Step, stood: float) -> float:
    """Time under load from the last look until the proof: what is left here, and what follows."""
    steps = advice.plan.steps
    after = steps[[s.id for s in steps].index(step.id) + 1 :]
    later = sum(s.dwell or 0.0 for s in after)
    serving = advice.plan.loads.serve_dwell * sum(s.key == "serve" for s in after)
    return max((step.dwell or 0.0) - stood, 0.0) + later + serving


def _told(advice: Advice, step: Step, watch: Watch, to: Written) -> Fields:
    chart = _chart(watch, step, to)
    taken = {t.event: t for t in advice.state.watched}
    curve = zip(watch.used, watch.lengths, watch.spreads, strict=True)
    return {
        "said": list(sentences(watch, to)),
        "verdict": watch.verdict.value,
        "points": [_point(taken[look.event], look.at, to) for look in watch.looks],
        "curve": {
            "name": chart.length_name,
            "places": [
                {"s": watch.looks[i].at, "m": float(length), "u_m": float(u)}
                for i, length, u in curve
            ],
            "rate_m": None if watch.rate is None else watch.rate.value,
            "rate_u_m": None if watch.rate is None else watch.rate.u,
            "to_come_m": None if watch.to_come is None else watch.to_come.value,
            "to_come_u_m": None if watch.to_come is None else watch.to_come.u,
            "bench_share": None if watch.bench_share is None else watch.bench_share.value,
            "bench_share_u": None if watch.bench_share is None else watch.bench_share.u,
            "budget": [{"label": cause, "share": share} for cause, share in watch.budget],
        },
        "charts": {theme: watching_svg(chart, theme=theme) for theme in THEMES if theme != "print"},
    }


def _point(taken: Taken, at: float, to: Written) -> Fields:
    seen = taken.reading
    assert isinstance(seen, Watched)
    parts = [f"{seen.load.text} heard" if seen.heard else seen.load.text]
    parts += [each.text for each in (seen.posts, seen.temperature) if each is not None]
    return {
        "event": taken.event,
        "at": taken.at,
        "s": at,
        "heard": seen.heard,
        "text": f"after {to.duration(at)}: {', '.join(parts)}",
    }


def _chart(watch: Watch, step: Step, to: Written) -> WatchChart:
    """Give the chart in the units of the job."""
    unit = "lbf" if to.system == "in" else "N"
    size = INCH if to.system == "in" else 1e-3
    force = to_unit(Dimension.FORCE, 1.0, unit)
    found = dict(zip(watch.used, zip(watch.lengths, watch.spreads, strict=True), strict=True))
    marks: list[WatchMark] = []
    for i, look in enumerate(watch.looks):
        length = found.get(i)
        marks.append(
            WatchMark(
                minutes=look.at / 60.0,
                load=look.load * force,
                load_half=2.0 * look.own * look.load * force,
                heard=look.heard,
                length=None if length is None else float(length[0]) / size,
                length_half=0.0 if length is None else 2.0 * float(length[1]) / size,
            )
        )
    alone = f"line alone, at {to.force(step.load or 0.0)}"
    times, middle, half = _line(watch)
    return WatchChart(
        marks=tuple(marks),
        minutes=tuple(times / 60.0),
        middle=tuple(middle / size),
        low=tuple((middle - half) / size),
        high=tuple((middle + half) / size),
        load_unit=unit,
        length_unit=to.system,
        length_name="bench and line together" if watch.is_joint else alone,
    )


def _line(watch: Watch) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """The fitted line from the first look to the last, less where it begins, and half its range.

    What is unsure is what came since: at its beginning it has no width.
    """
    if watch.fit is None:
        return np.zeros(0), np.zeros(0), np.zeros(0)
    first, last = (watch.looks[watch.used[i]].at for i in (0, -1))
    times = 60.0 * (np.geomspace(1.0 + first / 60.0, 1.0 + last / 60.0, _PLACES) - 1.0)
    pairs = [watch.fit.change(first, float(t)) for t in times]
    middle, u = np.array(pairs).T
    return times, middle, 2.0 * u
