"""Answer: what is to be done with a finished line on its bow, and when it is looked at next."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Literal

from strandwright.planning.readings.tape import reading_uncertainty
from strandwright.planning.result import Plan
from strandwright.planning.settling.before import prior_of
from strandwright.planning.settling.by_figure import figure_slope
from strandwright.planning.settling.course import Course, course_of
from strandwright.planning.settling.limits import Wearing, wearing_of
from strandwright.reference import practice
from strandwright.statistics.settling import (
    Judgement,
    NextLook,
    Pace,
    Rule,
    Settling,
    Verdict,
    creep_excess,
    fit_settling,
    judge,
    next_look,
)
from strandwright.workshop.service import ServiceEntry, counting

_DAY = 86400.0
#: Fewer days or shots than these do not tell how much is shot [d, -]
_PACE_DAYS, _PACE_SHOTS = 2.0, 20.0
#: Creep is compared over this, and takes a line out of service from this chance on [s, -]
_CREEP_AHEAD, _CREEP_SURE = 90.0 * _DAY, 0.95

Act = Literal[
    "not on a bow", "still moving", "done", "twist back", "read again", "retire", "do not draw",
    "retired",
]  # fmt: skip
#: Gives the change of a figure by lengthening the line of a plan, and its standard uncertainty.
BowSlope = Callable[[Plan, str], tuple[float, float]]


@dataclass(frozen=True)
class Answer:
    """What is to be done with a line on its bow.

    Attributes
    ----------
    act : str
        The verdict in words.
    plan : Plan
        The line's.
    course : Course
        What the entries come to.
    settling : Settling
        The fit.
    rule : Rule
        What the line is held to.
    judgement : Judgement
        By its length alone.
    look : NextLook or None
        When it is looked at next, from the last entry; None for a line that is off.
    look_shots : int
        The same as a count since fitting [-]
    look_at : datetime or None
        The same as a day, at the pace so far.
    pace : float
        Shots, by the record or by the table [1/s]
    pace_known : bool
        Whether the record tells it.
    wearing : Wearing
        What the record says of wear and age.
    turns : float
        Turns in the line now [turn]
    halves : int
        Half turns advised [half turn]
    why : str
        What takes it out of service; empty where nothing does.
    is_due : bool
        Whether the next look is behind now.
    """

    act: Act
    plan: Plan
    course: Course
    settling: Settling
    rule: Rule
    judgement: Judgement
    look: NextLook | None
    look_shots: int
    look_at: datetime | None
    pace: float
    pace_known: bool
    wearing: Wearing
    turns: float
    halves: int
    why: str
    is_due: bool


def settling_of(
    plan: Plan,
    turns: float,
    written: Sequence[ServiceEntry],
    now: datetime,
    slope: BowSlope = figure_slope,
) -> Answer:
    """Answer for a finished line from its record of service.

    Parameters
    ----------
    plan : Plan
        As the readings of the build left it.
    turns : float
        Turns it was locked with, >= 0 [turn]
    written : sequence of ServiceEntry
        Everything that was written of it.
    now : datetime
        Now, for its age and for what is due.
    slope : callable
        Says how a figure of the bow moves with the line, where an entry does not.

    Returns
    -------
    Answer
        The answer.

    Raises
    ------
    InputError
        If a reading cannot be carried to the measuring condition.
    """
    entries = counting(written)
    course = course_of(plan, entries, lambda figure: slope(plan, figure))
    settling = _fit(plan, course)
    rule = _rule(plan, course)
    read = bool(course.readings)
    judgement = judge(settling, course.last, rule, read=read)
    wearing = wearing_of(plan, entries, now)
    held = turns + course.turns
    act, why = _act(plan, course, settling, rule, judgement, wearing, held)
    pace, pace_known = pace_of(course)
    look = None
    if act not in ("not on a bow", "retire", "do not draw", "retired"):
        look = _look(plan, settling, course, rule, judgement, pace)
    at = None
    if look is not None and course.began is not None:
        at = course.began + timedelta(seconds=course.last.time + look.time)
    return Answer(
        act=act,
        plan=plan,
        course=course,
        settling=settling,
        rule=rule,
        judgement=judgement,
        look=look,
        look_shots=rounded_shots(course.last.shots, look.shots) if look is not None else 0,
        look_at=at,
        pace=pace,
        pace_known=pace_known,
        wearing=wearing,
        turns=held,
        halves=judgement.halves if act == "twist back" else 0,
        why=why,
        is_due=at is not None and at <= now,
    )


def _fit(plan: Plan, course: Course) -> Settling:
    """Fit the readings; the steps' places stand in each of them."""
    readings = course.readings
    return (
        fit_settling(
            prior_of(plan),
            [r.moment.shots for r in readings],
            [r.moment.time for r in readings],
            [r.elongation for r in readings],
            [r.u for r in readings],
            course.steps,
        )
        .raise_for_failure("how the line settles")
        .value
    )


def _rule(plan: Plan, course: Course) -> Rule:
    length = plan.target.length.value
    return Rule(
        tolerance=plan.target.tolerance / length,
        ahead_shots=practice("settling.rule.ahead_shots").value,
        ahead_time=practice("settling.rule.ahead_time").value,
        per_turn=plan.twist.next_turn.value / length,
        aim=course.aim,
        aim_steps=course.aim_steps,
        sure=practice("settling.rule.sure").value,
    )


def _act(
    plan: Plan,
    course: Course,
    settling: Settling,
    rule: Rule,
    judgement: Judgement,
    wearing: Wearing,
    turns: float,
) -> tuple[Act, str]:
    """The verdict: what may hurt goes before what is off.

    A line within its tolerance is not replaced for turns that would only better it.
    """
    if wearing.retired is not None:
        return "retired", wearing.retired.why
    if wearing.stop:
        return "do not draw", wearing.stop
    if course.began is None:
        return "not on a bow", ""
    if wearing.retire:
        return "retire", wearing.retire
    wanted = turns + 0.5 * judgement.halves
    spent = judgement.halves > 0 and wanted > plan.twist.most_turns
    bare = judgement.halves < 0 and wanted < 0.0
    is_off = abs(judgement.off.mean) > rule.tolerance
    if spent and is_off:
        return "retire", "the twist that would bring it back is more than the most advised"
    creeps = creep_excess(settling, course.last, _CREEP_AHEAD)
    if course.readings and creeps >= _CREEP_SURE and judgement.verdict is not Verdict.READ_AGAIN:
        return "retire", "it goes on getting longer, more than its fibre explains"
    if bare and is_off:
        return "retire", "it is too short, and has no turns left to take out"
    return "done" if spent or bare else _VERDICTS[judgement.verdict], ""


_VERDICTS: dict[Verdict, Act] = {
    Verdict.STILL_MOVING: "still moving",
    Verdict.DONE: "done",
    Verdict.TWIST_BACK: "twist back",
    Verdict.READ_AGAIN: "read again",
}


def pace_of(course: Course) -> tuple[float, bool]:
    """Give how fast shots come.

    Parameters
    ----------
    course : Course
        What the entries come to.

    Returns
    -------
    pace : float
        Shots [1/s]
    known : bool
        Whether the record tells; else it is the table's.
    """
    return pace_from(course.last.shots, course.last.time)


def pace_from(shots: float, time: float) -> tuple[float, bool]:
    """Give how fast shots come, from those so far.

    Parameters
    ----------
    shots : float
        Shots so far [-]
    time : float
        Since the line came onto its bow [s]

    Returns
    -------
    pace : float
        Shots [1/s]
    known : bool
        Whether these tell; else it is the table's.
    """
    if time >= _PACE_DAYS * _DAY and shots >= _PACE_SHOTS:
        return shots / time, True
    return practice("settling.pace").value / _DAY, False


def _look(
    plan: Plan,
    settling: Settling,
    course: Course,
    rule: Rule,
    judgement: Judgement,
    pace: float,
) -> NextLook:
    u = (reading_uncertainty(plan.job) ** 2 + practice("settling.hang").value ** 2) ** 0.5
    return next_look(
        settling,
        course.last,
        rule,
        judgement,
        Pace(
            pace,
            practice("settling.rule.fewest_shots").value,
            practice("settling.rule.most_shots").value,
            practice("settling.rule.longest").value,
        ),
        chance=practice("settling.rule.chance").value,
        reading_u=u / plan.target.length.value,
        since=course.seen,
    )


def rounded_shots(now: float, ahead: float) -> int:
    """Round a count of shots to come to what is easily kept in mind, and still lies ahead.

    Parameters
    ----------
    now : float
        Shots so far, >= 0 [-]
    ahead : float
        Shots from now, >= 0 [-]

    Returns
    -------
    int
        Shots in all, by 5, 10 or 50, and no coarser than half of those ahead [-]
    """
    count = now + ahead
    if ahead == 0.0:
        return round(count)
    coarse = ((50, 500.0), (10, 200.0))
    step = next((s for s, least in coarse if count >= least and s <= 0.5 * ahead), 5)
    return max(step * round(count / step), int(now) + 1)
