"""The command ``queue``: the jobs at hand laid out over benches, hands and open hours."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from strandwright.cli.store_option import store_option
from strandwright.errors import SpecError

if TYPE_CHECKING:
    from strandwright.planning.queue.laid_out import LaidOut

Fields = dict[str, Any]


@click.command("queue", short_help="Lay the jobs at hand out over benches, hands and hours.")
@click.option("--day", metavar="DATE", help="Only this day, such as 2026-11-30.")
@click.option("--late", metavar="JOB", help="Say what would make JOB less late.")
@click.option("--sheet", is_flag=True, help="Write the list of the day as a PDF as well.")
@click.option(
    "--paper", type=click.Choice(["letter", "a4"]), default="letter", help="With --sheet."
)
@click.option("-o", "--output", metavar="PDF", help="With --sheet: where to.")
@store_option
@click.option("--json", "as_json", is_flag=True, help="Print the queue as JSON.")
def command(
    day: str | None,
    late: str | None,
    sheet: bool,
    paper: str,
    output: str | None,
    place: str | None,
    as_json: bool,
) -> None:
    """Lay the jobs at hand out over benches, hands and open hours, by their due days.

    Least late first, then soonest done; a line that stands under load keeps its bench and needs no
    hands. It says how good the order is proved to be. Benches, hours, due days and what is held to
    a start are set in the app, under Queue.
    """
    from strandwright.cli.files import output_file, write_whole
    from strandwright.cli.layout import say, say_json
    from strandwright.planning.desk.builds import Desk
    from strandwright.planning.queue.data import day_data, mends_data, queue_data
    from strandwright.planning.queue.keeping import laid_out
    from strandwright.sheets import sheet_data
    from strandwright.sheets.day import day_sheet_data, render_day
    from strandwright.store.open import open_store

    if output is not None and not sheet:
        raise SpecError("--output", output, "goes with --sheet alone", "add --sheet")
    asked = None if day is None else _day(day)
    store = open_store(place)
    try:
        laid = laid_out(Desk(store, sheet=sheet_data))
        told = _asked(laid, late) if late is not None else None
        mended = None if told is None else mends_data(laid, told)
    finally:
        store.close()
    which = asked or laid.board.now.date()
    if mended is not None:
        data, lines = mended, _mends(mended)
    elif asked is not None:
        data = day_data(laid, asked)
        lines = _of_day(data)
    else:
        data = queue_data(laid)
        lines = _whole(data, [day_data(laid, each) for each in _days(data)])
    if as_json:
        say_json(data)
    else:
        say(lines)
    if sheet:
        default = Path(f"day-{which.isoformat()}.pdf")
        path = output_file(output, default)
        write_whole(path, render_day(day_sheet_data(laid, which, paper)))
        click.echo(f"wrote {path}", err=as_json)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise SpecError("--day", text, "must be a day", "write it as 2026-11-30") from error


def _asked(laid: LaidOut, job: str) -> str:
    names = [one.job for one in laid.board.waiting]
    if job not in names:
        rule = "must be a job in the queue"
        raise SpecError("--late", job, rule, f"choose from {', '.join(names) or 'none'}")
    return job


def _days(data: Fields) -> list[date]:
    return sorted({date.fromisoformat(task["start"][:10]) for task in data["tasks"]})


def _whole(data: Fields, days: list[Fields]) -> list[str]:
    from strandwright.cli.layout import columns, heading, paragraph

    lines = paragraph(f"{data['headline']}.", indent="")
    for sentence in data["said"]:
        lines += paragraph(sentence, indent="")
    for flag in data["flags"]:
        lines += paragraph(
            f"{flag['job']} {flag['said']}: {flag['why']}; {flag['remedy']}", mark="!"
        )
    for left in data["unplanned"]:
        lines += paragraph(f"{left['job']} is left out: {left['said']}", mark="!")
    if data["jobs"]:
        lines += heading("Jobs")
        rows = [
            (job["job"], job["due_text"] or "-", job["done_text"], job["late_text"])
            for job in data["jobs"]
        ]
        lines += columns(("job", "due", "done", ""), rows)
    for job in data["jobs"]:
        if job["why"]:
            lines += heading(f"Why {job['job']} is late")
            for why in job["why"]:
                lines += paragraph(why, mark="-")
    for day in days:
        lines += _of_day(day, headed=True)
    return lines


def _of_day(day: Fields, *, headed: bool = False) -> list[str]:
    from strandwright.cli.layout import heading, paragraph

    lines = heading(day["day_text"]) if headed else [day["day_text"]]
    if not day["benches"]:
        lines += paragraph("nothing is laid out")
    for bench in day["benches"]:
        lines += ["", f"  {bench['bench']}"]
        for task in bench["tasks"]:
            lines += paragraph(_said(day["day"], task), indent="    ", mark="-")
    if day["caution"]:
        lines += ["", *paragraph(day["caution"], mark="!")]
    return lines


def _said(day: str, task: Fields) -> str:
    begins = task["start"][11:] if task["start"][:10] == day else "from before"
    ends = task["stop"][11:] if task["stop"][:10] == day else "the next day"
    said = f"{begins} to {ends}  {task['job']}: {task['title']}"
    if task["stands_min"]:
        said += f"; under load {task['stands_min']} min, let down at {task['down'][11:]}"
    if task["rests_min"]:
        said += f"; then rests {task['rests_min']} min"
    return said + ("; held to this start" if task["pinned"] else "")


def _mends(mended: Fields) -> list[str]:
    from strandwright.cli.layout import heading, paragraph

    if not mended["why"]:
        return [f"{mended['job']} has no work left in the queue."]
    lines = [f"Why {mended['job']} is not done sooner"]
    for why in mended["why"]:
        lines += paragraph(why, mark="-")
    lines += heading("What would mend it, each laid out anew")
    for mend in mended["mends"]:
        lines += paragraph(mend["said"], mark="+" if mend["cures"] else "-")
    if not mended["mends"]:
        lines += paragraph("nothing that was tried: it is in time, or nothing of it helps")
    return lines
