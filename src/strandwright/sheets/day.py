"""The day list: what is done today, bench by bench, on one page."""

from __future__ import annotations

from datetime import date
from typing import Any

from strandwright.planning.cautions import DEFER
from strandwright.planning.queue.data import day_data, headline
from strandwright.planning.queue.laid_out import LaidOut
from strandwright.sheets.data import qr_code
from strandwright.sheets.prose import prose, words
from strandwright.sheets.records import identifier, record
from strandwright.sheets.render import render_template

#: Template that new day lists are printed by.
TEMPLATE = "day_1"
#: Jobs whose code is printed; more would not fit the page's edge [-]
_MOST_CODES = 8
#: Tasks of a day that are printed; a bench and a pair of hands do no more [-]
_MOST_TASKS = 40

Section = dict[str, Any]


def day_sheet_data(laid: LaidOut, day: date, paper: str = "letter") -> Section:
    """Gather everything that is printed of a day.

    Parameters
    ----------
    laid : LaidOut
        The queue.
    day : date
        The day.
    paper : str
        ``letter`` or ``a4``.

    Returns
    -------
    dict
        JSON-ready; ``template`` names the template.
    """
    told = day_data(laid, day)
    tasks = [(bench, task) for bench in told["benches"] for task in bench["tasks"]]
    shown = tasks[:_MOST_TASKS]
    jobs = list(dict.fromkeys(task["job"] for _, task in shown))
    names = {one.job: one.name for one in laid.board.waiting}
    return {
        "template": TEMPLATE,
        "paper": paper,
        "day": identifier(told["day_text"]),
        "date": told["day"],
        "headline": prose(headline(laid) + "."),
        "benches": [
            {
                "bench": words(bench["bench"]),
                "tasks": [_task(told["day"], task) for where, task in shown if where is bench],
            }
            for bench in told["benches"]
            if any(where is bench for where, _ in shown)
        ],
        "jobs": [
            {
                "job": identifier(job),
                "name": words(names[job]),
                "qr": qr_code(f"strandwright job {job}") if n < _MOST_CODES else None,
            }
            for n, job in enumerate(jobs)
        ],
        "due": [
            {
                "job": identifier(job["job"]),
                "done": identifier(job["done_text"]),
                "late": prose(job["late_text"]),
            }
            for job in told["due"]
        ],
        "left_out": prose(f"{len(tasks) - len(shown)} more tasks are on the screen.")
        if len(tasks) > len(shown)
        else [],
        "caution": prose(told["caution"], caution=True),
        "deferral": DEFER,
    }


def render_day(data: Section) -> bytes:
    """Print a day list from its data.

    Parameters
    ----------
    data : dict
        As :func:`day_sheet_data` gave it.

    Returns
    -------
    bytes
        A PDF of one page; the same data gives the same bytes.

    Raises
    ------
    SheetError
        If the data's template is not known, or the page cannot be set.
    """
    return render_template(data)


def _task(day: str, task: Section) -> Section:
    """One row: when, what, the load it leaves standing, and what acts next."""
    begins = task["start"][11:] if task["start"][:10] == day else "from before"
    ends = task["stop"][11:] if task["stop"][:10] == day else "next day"
    return {
        "begins": identifier(begins),
        "ends": identifier(ends),
        "job": identifier(task["job"]),
        "acts": [words(act["title"]) for act in task["acts"]],
        "minutes": record("setting", f"{task['hands_min']} min", 60.0 * task["hands_min"], "s"),
        "stands": prose(_stands(day, task)),
        "rests": prose(f"then rests {task['rests_min']} min" if task["rests_min"] else ""),
        "hand": words(task["hand"]),
        "pinned": task["pinned"],
        "late": task["late"],
    }


def _stands(day: str, task: Section) -> str:
    if not task["stands_min"]:
        return ""
    when = task["down"][11:] + ("" if task["down"][:10] == day else " the next day")
    return f"under load {task['stands_min']} min: let down at {when}"
