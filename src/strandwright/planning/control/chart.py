"""Control chart: a study of a bench as it is drawn, in the units of the paper."""

from __future__ import annotations

from strandwright.drawing.control_picture import ControlBuild, ControlChart, ControlLevel
from strandwright.planning.control.subject import FINISHED_LENGTHS, Subject
from strandwright.planning.control.words import headline
from strandwright.planning.written import Written
from strandwright.statistics.control import ControlStudy
from strandwright.units import INCH


def control_chart(
    study: ControlStudy, to: Written, subject: Subject = FINISHED_LENGTHS
) -> ControlChart:
    """Lay a study out for drawing.

    Parameters
    ----------
    study : ControlStudy
        Of lengths [m]
    to : Written
        How quantities are written.
    subject : Subject
        What is watched, in words.

    Returns
    -------
    ControlChart
        In inches or millimetres.
    """
    size, unit = (INCH, "in") if to.system == "in" else (1e-3, "mm")
    tolerance = study.tolerance
    return ControlChart(
        builds=_builds(study, size, to, subject),
        centre=study.chart.centre / size,
        tolerance=None if tolerance is None else (tolerance.low / size, tolerance.high / size),
        levels=_levels(study, size),
        name=subject.name,
        unit=unit,
        verdict=headline(study, subject),
    )


def _levels(study: ControlStudy, size: float) -> tuple[ControlLevel, ...]:
    """Both sides of a step, or the whole of a drift."""
    last = len(study.series) - 1
    if study.drifts:
        return (ControlLevel(0, last, study.level[0] / size, study.level[-1] / size),)
    if not study.has_stepped or study.step is None:
        return ()
    step = study.step
    before, after = step.before / size, step.after / size
    return (
        ControlLevel(0, step.index - 1, before, before),
        ControlLevel(step.index, last, after, after),
    )


def marks(study: ControlStudy) -> tuple[str, ...]:
    """Tell how each build is marked.

    Where the level moved, the builds on one side of the centre are runs by that alone: then only
    those after a step are marked as one, and none along a drift.

    Parameters
    ----------
    study : ControlStudy
        Of any values.

    Returns
    -------
    tuple of str
        ``plain``, ``out`` past the limits, ``high`` or ``low`` one of a run on that side.
    """
    found = ["plain"] * len(study.series)
    since = study.step.index if study.has_stepped and study.step is not None else 0
    for trip in study.trips:
        for index in trip.members:
            if trip.rule.needed == 1:
                found[index] = "out"
            elif found[index] == "plain" and index >= since and not study.drifts:
                found[index] = "high" if trip.side > 0 else "low"
    return tuple(found)


def _builds(
    study: ControlStudy, size: float, to: Written, subject: Subject
) -> tuple[ControlBuild, ...]:
    ewma = study.ewma
    low, high = ewma.low / size, ewma.high / size
    said = {
        "plain": "",
        "out": "; past the limits",
        "high": f"; one of a run of {subject.high}",
        "low": f"; one of a run of {subject.low}",
    }
    return tuple(
        ControlBuild(
            label=label,
            value=float(study.series.values[i]) / size,
            average=float(ewma.averages[i]) / size,
            sigma=float(study.chart.sigma[i]) / size,
            average_low=float(low[i]),
            average_high=float(high[i]),
            mark=mark,
            words=f"build {label}: {_signed(float(study.series.values[i]), to)}{said[mark]}",
            moved=float(study.chart.ranges[i - 1]) / size if i else None,
            moved_most=float(study.chart.range_limits[max(i - 1, 0)]) / size,
        )
        for i, (label, mark) in enumerate(zip(study.series.labels, marks(study), strict=True))
    )


def _signed(value: float, to: Written) -> str:
    sign = "+" if value > 0.0 else "\u2212" if value < 0.0 else ""
    return f"{sign}{to.small(abs(value))}"
