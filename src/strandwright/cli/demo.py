"""The command ``demo``: a worked example, planned and written into a folder."""

from __future__ import annotations

import json
import os
import shutil
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import click

import strandwright
from strandwright.errors import SpecError

if TYPE_CHECKING:
    from strandwright.planning.result import Plan

#: The example that is planned; the others lie beside it in the package.
EXAMPLE = "ridge-string"
#: Its store, in the same folder.
STORE = "workshop.sqlite3"


@click.command("demo", short_help="Plan a worked example and write its files into a folder.")
@click.option(
    "--into",
    "folder",
    metavar="DIRECTORY",
    default="strandwright-demo",
    show_default=True,
    help="Folder to write into.",
)
@click.option("--json", "as_json", is_flag=True, help="Print the plan and the files as JSON.")
def command(folder: str, as_json: bool) -> None:
    """Plan a string for an invented two-cam bow and write job file, sheet, picture and plan.

    The folder also gets the package's other example jobs. A job file there that has been
    changed is never written over.
    """
    from strandwright.cli.files import refuse_place, reported, write_whole
    from strandwright.cli.layout import say, say_json
    from strandwright.cli.plan_text import plan_lines
    from strandwright.planning.examples import example_texts
    from strandwright.planning.plan_data import plan_data
    from strandwright.planning.plan_line import plan_line
    from strandwright.workshop.job import read_job

    jobs = {f"{name}.toml": text for name, text in example_texts().items()}
    into = _folder(folder)
    _refuse_changed(into, jobs)
    plan = plan_line(read_job(jobs[f"{EXAMPLE}.toml"], source=f"{EXAMPLE}.toml"))
    # Everything is made before the first file is written, so that a fault leaves nothing behind.
    made = _made(plan)
    with reported(into):
        into.mkdir(exist_ok=True)
    for name in (*jobs, *made, STORE):
        refuse_place(into / name)
    for name, content in {**jobs, **made}.items():
        write_whole(into / name, content)
    is_new = _fill_store(into / STORE)
    if as_json:
        files = {name.rsplit(".", 1)[1]: str(into / name) for name in made}
        say_json(
            {
                "files": files
                | {"job": str(into / f"{EXAMPLE}.toml"), "store": str(into / STORE)},
                "plan": plan_data(plan),
            }
        )
        return
    say([*plan_lines(plan), *_next(into, is_new)])


def _folder(given: str) -> Path:
    """Give the folder to write into; the one it lies in must be there."""
    into = Path(given)
    if not given.strip():
        rule, remedy = "must name a folder", "name one, such as strandwright-demo"
    elif into.exists() and not into.is_dir():
        rule, remedy = "must be a folder, and is a file", "give another folder"
    elif not into.parent.is_dir():
        rule = f"must lie in a folder, and {into.parent} is not there"
        remedy = "make that folder, or name another"
    else:
        return into
    raise SpecError("--into", given, rule, remedy)


def program() -> str:
    """Give what has to be typed to run this program again from here."""
    started = Path(sys.argv[0])
    if "UV_RUN_RECURSION_DEPTH" in os.environ:
        return "uv run strandwright"
    if started == Path(strandwright.__file__).with_name("__main__.py"):
        return f"{_from_here(Path(sys.executable))} -m strandwright"
    if started.stem != "strandwright" or not started.is_file():
        return "strandwright"
    found = shutil.which("strandwright")
    if found is not None and Path(found).samefile(started):
        return "strandwright"
    return _from_here(started)


def _from_here(path: Path) -> str:
    """Write a program's path as short as it can be typed here."""
    here = Path.cwd()
    shown = str(path.relative_to(here)) if path.is_relative_to(here) else str(path)
    return _typed(shown)


def _typed(text: str) -> str:
    return f'"{text}"' if " " in text else text


def _made(plan: Plan) -> dict[str, str | bytes]:
    """Make sheet, picture and plan."""
    from strandwright.drawing import strip_svg
    from strandwright.planning.picture import strip_picture
    from strandwright.planning.plan_data import plan_data
    from strandwright.sheets import render_sheet, sheet_data

    return {
        f"{EXAMPLE}.pdf": render_sheet(sheet_data(plan)),
        f"{EXAMPLE}.svg": strip_svg(strip_picture(plan)),
        f"{EXAMPLE}.json": json.dumps(plan_data(plan), indent=2, allow_nan=False) + "\n",
    }


def _refuse_changed(into: Path, jobs: dict[str, str]) -> None:
    """Keep whatever somebody has made of a job file."""
    from strandwright.cli.files import read_text, refuse_place

    for name, text in jobs.items():
        path = into / name
        if into.is_dir():
            refuse_place(path)
        if path.exists() and read_text(str(path)) != text:
            raise SpecError(
                "--into",
                str(into),
                f"must not hold a job file that has been changed, such as {name}",
                "move that file, or give another folder",
            )


def _fill_store(path: Path) -> bool:
    """Make the demo store; one that is there already is left as somebody has made it."""
    from datetime import UTC, datetime

    from strandwright.planning.desk.builds import Desk
    from strandwright.planning.desk.demo import fill_demo
    from strandwright.sheets import sheet_data
    from strandwright.store.open import open_store

    if path.exists():
        return False
    # Filled beside its place, so that a fault leaves no half store behind.
    beside = path.with_name(f".{path.name}.part")
    beside.unlink(missing_ok=True)
    store = open_store(str(beside))
    try:
        fill_demo(Desk(store, sheet=sheet_data), datetime(2026, 3, 2, 9, tzinfo=UTC))
    finally:
        store.close()
    os.replace(beside, path)
    return True


def _next(into: Path, is_new: bool) -> list[str]:
    """Say where everything is and what to do with it."""
    from strandwright.cli.layout import heading, rows

    job = into / f"{EXAMPLE}.toml"
    return [
        *heading("Written"),
        *rows(
            [
                ("job file", str(job)),
                ("bench sheet", str(into / f"{EXAMPLE}.pdf")),
                ("picture", str(into / f"{EXAMPLE}.svg")),
                ("plan", str(into / f"{EXAMPLE}.json")),
                ("store", str(into / STORE) + ("" if is_new else ", left as it was")),
            ]
        ),
        *heading("What to do next"),
        "  Print the sheet at 100 % and lay a tape along its ruler.",
        "  Then give the plan a reading, as the bench would, and see what it changes:",
        "",
        f'    {program()} plan {_typed(str(job))} --read bare="57 11/16 in"',
        "",
        "  Open the app on the invented workshop, one line on the jig and one proved:",
        "",
        f"    {program()} open --store {_typed(str(into / STORE))}",
        "",
        "  Your own line: copy the job file, write in your bow, line and bench, and check it:",
        "",
        f"    {program()} check {_typed(str(job))}",
    ]
