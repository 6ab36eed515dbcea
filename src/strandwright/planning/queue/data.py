"""The queue as plain data: what a screen, a command and a sheet tell of it."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from strandwright.planning.queue.board import Pin
from strandwright.planning.queue.hours import DAY
from strandwright.planning.queue.laid_out import LaidOut
from strandwright.planning.queue.late import Mend, mends, why_late
from strandwright.planning.queue.nouns import Placed
from strandwright.planning.queue.when import clock_said, day_said, end_said, long_said

Fields = dict[str, Any]
#: Stands wherever a load is left by itself while hands are elsewhere.
STANDS = (
    "Where a line stands under load by itself: stay off its axis, keep it covered, never lean over "
    "it, and let it down on time."
)


def queue_data(laid: LaidOut) -> Fields:
    """Give a queue as plain data.

    Parameters
    ----------
    laid : LaidOut
        It.

    Returns
    -------
    dict
        JSON-ready; moments by the shop's clock.
    """
    board, schedule, hours = laid.board, laid.schedule, laid.load.hours
    last = max((p.free for p in schedule.placed), default=laid.load.now)
    end = hours.ends(last) if schedule.placed else 0
    return {
        "now": board.now.isoformat(timespec="minutes"),
        "headline": headline(laid),
        "said": said(laid),
        "benches": [{"name": b.name, "kind": b.kind} for b in board.benches],
        "hands": list(board.hands),
        "open": [
            [_text(hours.moment(a)), _text(hours.moment(b))]
            for a, b in hours.windows
            if a <= (end // DAY + 1) * DAY
        ],
        "tasks": [_task(laid, p) for p in schedule.placed],
        "jobs": [_job(laid, one.job) for one in board.waiting],
        "flags": [_flag(pin, flag.why, flag.remedy) for pin, flag in laid.flags],
        "pins": [_pin(pin) for pin in board.pins],
        "unplanned": [{"job": job, "said": why} for job, why in board.unplanned.items()],
        "caution": STANDS if any(p.task.stands for p in schedule.placed) else "",
    }


def headline(laid: LaidOut) -> str:
    """Say in one sentence how the queue stands.

    Parameters
    ----------
    laid : LaidOut
        It.

    Returns
    -------
    str
        Without its stop.
    """
    waits = [one for one in laid.board.waiting if one.tasks]
    if not waits:
        return "Nothing waits to be built"
    late = [job for job, minutes in laid.schedule.late.items() if minutes]
    count = f"{len(waits)} line" + "s" * (len(waits) > 1)
    ends = end_said(laid.load.hours, max(laid.schedule.done.values()))
    if late:
        are = "is" if len(late) == 1 else "are"
        return f"{count} to build, done {ends}; {', '.join(sorted(late))} {are} late"
    dated = any(one.due is not None for one in waits)
    return f"{count} to build, done {ends}" + ("; nothing is late" if dated else "")


def said(laid: LaidOut) -> list[str]:
    """Say how good the schedule is proved to be.

    Parameters
    ----------
    laid : LaidOut
        It.

    Returns
    -------
    list of str
        Sentences.
    """
    schedule = laid.schedule
    if not schedule.placed:
        return []
    found: list[str] = []
    if schedule.is_best:
        found.append("Proved: no order is less late, and none as late is sooner done over all.")
    elif schedule.is_least_late:
        over = 100.0 * (schedule.flow / max(schedule.flow_bound, 1) - 1.0)
        found.append(
            "Proved: no order is less late. How soon all is done is at most "
            f"{over:.0f} % above what cannot be beaten."
        )
    else:
        found.append(
            f"Late in all {long_said(schedule.lateness)} of open hours, each by its weight; it is "
            f"proved that no order has less than {long_said(schedule.lateness_bound)}."
        )
    return found


def _text(moment: datetime) -> str:
    return moment.isoformat(timespec="minutes")


def _task(laid: LaidOut, p: Placed) -> Fields:
    hours, task = laid.load.hours, p.task
    begins = hours.moment(hours.begins(p.start))
    ends = hours.moment(hours.ends(p.stop)) if task.hands else begins
    pinned = any((f.job, f.step) == task.key and f.start is not None for f in laid.load.fixed)
    down = hours.moment(hours.ends(p.down)) if task.stands else ends
    return {
        "job": task.job,
        "step": task.step,
        "title": task.title,
        "acts": [{"title": act.title, "minutes": act.minutes} for act in task.acts],
        "start": _text(begins),
        "stop": _text(ends),
        "down": _text(down),
        "hands_min": task.hands,
        "stands_min": task.stands,
        "rests_min": task.rests,
        "bench": p.bench,
        "hand": p.hand,
        "pinned": pinned,
        "late": bool(laid.schedule.late.get(task.job)),
    }


def _job(laid: LaidOut, job: str) -> Fields:
    hours = laid.load.hours
    one = next(one for one in laid.board.waiting if one.job == job)
    done = laid.schedule.done.get(job)
    late = laid.schedule.late.get(job, 0)
    return {
        "job": job,
        "name": one.name,
        "due": None if one.due is None else one.due.isoformat(),
        "due_text": "" if one.due is None else day_said(one.due),
        "weight": one.weight,
        "done": None if done is None else _text(hours.moment(hours.ends(done))),
        "done_text": "" if done is None else end_said(hours, done),
        "late_min": late,
        "late_text": f"{long_said(late)} of open hours late" if late else "",
        "why": [link.said for link in why_late(laid, job)] if late else [],
        "hands_min": sum(task.hands for task in one.tasks),
        "lies_on": one.lies_on,
    }


def _pin(pin: Pin) -> Fields:
    return {
        "job": pin.job,
        "step": pin.step,
        "start": None if pin.at is None else _text(pin.at),
        "before": pin.before,
        "said": f"begins {clock_said(pin.at)}" if pin.at else f"goes before {pin.before}",
    }


def _flag(pin: Pin, why: str, remedy: str) -> Fields:
    return _pin(pin) | {"why": why, "remedy": remedy}


def mends_data(laid: LaidOut, job: str) -> Fields:
    """Give what would mend a late job as plain data.

    Parameters
    ----------
    laid : LaidOut
        The queue.
    job : str
        The job.

    Returns
    -------
    dict
        JSON-ready.
    """
    return {
        "job": job,
        "why": [link.said for link in why_late(laid, job)],
        "mends": [
            {"what": m.what, "said": mend_said(m), "cures": m.is_cure} for m in _tried(laid, job)
        ],
    }


def _tried(laid: LaidOut, job: str) -> Iterable[Mend]:
    return mends(laid, job) if laid.schedule.late.get(job) else ()


def mend_said(mend: Mend) -> str:
    """Say what comes of something that could be done.

    Parameters
    ----------
    mend : Mend
        It.

    Returns
    -------
    str
        One sentence without its stop.
    """
    then = "it is in time" if mend.is_cure else f"it is {long_said(mend.late)} late"
    if not mend.others:
        return f"{mend.what}: {then}, and nothing else is later"
    others = ", ".join(f"{name} {long_said(more)} later" for name, more in mend.others)
    return f"{mend.what}: {then}, but {others}"


def day_data(laid: LaidOut, day: date) -> Fields:
    """Give what is done on one day, by bench.

    Parameters
    ----------
    laid : LaidOut
        The queue.
    day : date
        The day.

    Returns
    -------
    dict
        JSON-ready; benches without work that day are left out.
    """
    rows = [_task(laid, p) for p in laid.schedule.placed]
    today = [row for row in rows if row["start"][:10] <= day.isoformat() <= row["down"][:10]]
    names = [bench.name for bench in laid.board.benches]
    return {
        "day": day.isoformat(),
        "day_text": day_said(day),
        "benches": [
            {"bench": name or "by hand", "tasks": here}
            for name in (*names, "")
            if (here := [row for row in today if row["bench"] == name])
        ],
        "due": [j for j in queue_jobs(laid) if j["due"] == day.isoformat()],
        "caution": STANDS if any(row["stands_min"] for row in today) else "",
    }


def queue_jobs(laid: LaidOut) -> list[Fields]:
    """Give the jobs of a queue as plain data.

    Parameters
    ----------
    laid : LaidOut
        The queue.

    Returns
    -------
    list of dict
        JSON-ready.
    """
    return [_job(laid, one.job) for one in laid.board.waiting]
