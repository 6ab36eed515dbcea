"""Control words: what a study of a bench says, in sentences."""

from __future__ import annotations

from strandwright.planning.control.capability import capability_sentences
from strandwright.planning.control.subject import FINISHED_LENGTHS, Subject
from strandwright.planning.estimate import Estimate
from strandwright.planning.written import Written
from strandwright.statistics.control import ControlStudy, Grouped, Rule, Trip, Verdict
from strandwright.statistics.control.study import FEW, REAL_BELOW, TOO_FEW

_COUNTS = (
    "no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven",
    "twelve",
)  # fmt: skip


def sentences(
    study: ControlStudy, to: Written, subject: Subject = FINISHED_LENGTHS
) -> tuple[str, ...]:
    """Say what a study of a bench found.

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
    tuple of str
        The verdict first, then what stands behind it, then what the bench can hold.
    """
    said = [headline(study, subject)]
    if study.verdict is not Verdict.TOO_FEW:
        said += _outliers(study, to, subject)
        said += level_sentences(study, to, subject)
        said += _runs(study, subject)
        said += _groups(study, to, subject)
        if study.is_few:
            count = counted(len(study.series))
            said.append(
                f"Only {count} {subject.things}: the limits may still move; from {FEW} on they "
                "hold better."
            )
    return (*said, *capability_sentences(study, to, subject))


def headline(study: ControlStudy, subject: Subject = FINISHED_LENGTHS) -> str:
    """Say whether a bench is in control.

    Parameters
    ----------
    study : ControlStudy
        Of any values.
    subject : Subject
        What is watched, in words.

    Returns
    -------
    str
        One sentence.
    """
    count = f"{counted(len(study.series))} {subject.things}"
    if study.verdict is Verdict.TOO_FEW:
        return (
            f"Too few to tell: {count}; from {counted(TOO_FEW)} on something can be said, from "
            f"{FEW} on it holds better."
        )
    if study.verdict is Verdict.IN_CONTROL:
        past = " of late" if study.trips or study.ewma.beyond else ""
        return f"In control: over {count} nothing shows{past} but the scatter between neighbours."
    if study.verdict is Verdict.OUT_OF_CONTROL:
        return f"Not in control: among {count} something is more than chance."
    share = 100.0 * study.alone.any_recent
    return (
        f"Nothing certain, but look: in about {share:.0f} of 100 rows of {count} a bench in "
        "control shows as much."
    )


def counted(count: int) -> str:
    """Write a count.

    Parameters
    ----------
    count : int
        How many, >= 0 [-]

    Returns
    -------
    str
        A word up to twelve, then figures.
    """
    return _COUNTS[count] if count < len(_COUNTS) else str(count)


def _outliers(study: ControlStudy, to: Written, subject: Subject) -> list[str]:
    """One sentence for each value that stands out, or that lies past the limits of late."""
    moved = study.has_stepped or study.drifts
    past = set() if moved else {t.index for t in study.recent if t.rule.needed == 1}
    certain = set(study.standing_out)
    said: list[str] = []
    for index in sorted(past | certain):
        off = float(study.series.values[index] - study.level[index])
        side = subject.higher if off > 0.0 else subject.lower
        where = f"Build {study.series.labels[index]}"
        how = f"{to.small(abs(off))} {side} than {'its neighbours' if moved else 'the mean'}"
        if index in certain:
            said.append(f"{where} stands out, {how}: look at {subject.look_at_one}.")
        else:
            share = 100.0 * study.alone.of_largest(float(study.apart[index]))
            said.append(
                f"{where} lies past the limits, {how}, as one does by chance in about {share:.0f} "
                f"of 100 such rows: look at {subject.look_at_one}."
            )
    return said


def level_sentences(study: ControlStudy, to: Written, subject: Subject) -> list[str]:
    """Say that the level moved: the step or the drift, whichever tells more.

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
    list of str
        Empty where it stands still.
    """
    labels = study.series.labels
    if study.drifts:
        assert study.drift is not None
        how = to.small_estimate(Estimate(100.0 * abs(study.drift.slope), 100.0 * study.drift.u, ""))
        side = subject.higher if study.drift.slope > 0.0 else subject.lower
        return [
            f"The {subject.things} get {side} from build to build, by {how} over a hundred: look "
            f"at {subject.look_at_drift}."
        ]
    if not study.has_stepped:
        return []
    assert study.step is not None
    step = study.step
    side = subject.higher if step.size > 0.0 else subject.lower
    how = to.small_estimate(Estimate(abs(step.size), step.u, ""))
    since = f"build {labels[step.index]}"
    if step.first < step.last:
        since = f"about {since} (from {labels[step.first]} to {labels[step.last]} it may be)"
    last = len(labels) - step.index
    return [
        f"{_lying(study, last, subject)}since {since} the {subject.things} come out {how} {side}; "
        f"look at {subject.look_at_all}.",
        *_began(study, step.first, step.last),
    ]


def _lying(study: ControlStudy, last: int, subject: Subject) -> str:
    """The last so many, where they all lie on one side."""
    sides = {bool(score > 0.0) for score in study.chart.scores[-last:]}
    if len(sides) > 1:
        return "The level has moved: "
    return f"The last {counted(last)} lie {subject.high if True in sides else subject.low}: "


def _began(study: ControlStudy, first: int, last: int) -> list[str]:
    """Groups that began where the level may have moved."""
    return [
        f"{kind.capitalize()} {mean.name} began with build {study.series.labels[mean.first]}."
        for kind, mean in ((g.kind, m) for g in study.groups for m in g.means)
        if mean.first > 0 and first <= mean.first <= last
    ]


def _runs(study: ControlStudy, subject: Subject) -> list[str]:
    """Newest run of each kind; a step or a drift tells them all."""
    if study.has_stepped or study.drifts:
        return []
    newest: dict[Rule, Trip] = {t.rule: t for t in study.recent if t.rule.needed > 1}
    said = [_run(study, trip, subject) for trip in newest.values()]
    if not study.recent and study.average_is_beyond:
        index = study.ewma.beyond[-1]
        high = study.ewma.averages[index] > study.ewma.centre
        since = study.series.labels[study.ewma.since(index)]
        said.append(
            f"The average that forgets is past its limits at build "
            f"{study.series.labels[index]}, {subject.high if high else subject.low} since about "
            f"build {since}."
        )
    return said


def _run(study: ControlStudy, trip: Trip, subject: Subject) -> str:
    side = subject.high if trip.side > 0 else subject.low
    label = study.series.labels[trip.index]
    if trip.rule.beyond == 0.0:
        return f"{counted(trip.rule.needed).capitalize()} in a row lie {side}, up to build {label}."
    far = "far " if trip.rule.beyond > 1.0 else ""
    needed, out_of = counted(len(trip.members)), counted(trip.rule.out_of)
    return f"{needed.capitalize()} of {out_of} lie {far}{side}, up to build {label}."


def _groups(study: ControlStudy, to: Written, subject: Subject) -> list[str]:
    return [
        _group(study, grouped, to, subject)
        for grouped in study.groups
        if grouped.chance < REAL_BELOW
    ]


def _group(study: ControlStudy, grouped: Grouped, to: Written, subject: Subject) -> str:
    """The two groups furthest apart."""
    low, *_, high = sorted(grouped.means, key=lambda mean: mean.mean)
    apart = Estimate(high.mean - low.mean, (high.u**2 + low.u**2) ** 0.5, "")
    said = (
        f"{grouped.kind.capitalize()} {high.name} comes out {to.small_estimate(apart)} "
        f"{subject.higher} than {grouped.kind} {low.name}"
    )
    if study.has_stepped or study.drifts:
        return f"{said}; which of the two made the other this cannot tell: the level moved, too."
    return f"{said}."
