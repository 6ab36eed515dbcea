"""The command ``spare``: the job of a matched spare, from the record of a finished build."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from strandwright.cli.store_option import store_option
from strandwright.errors import NotFound, SpecError

if TYPE_CHECKING:
    from strandwright.planning.desk.builds import Desk


@click.command("spare", short_help="Make the job of a matched spare from a finished build.")
@click.argument("line", metavar="LINE")
@click.option(
    "--id", "new_id", metavar="ID", help="Id of the new job; left out, the next free one."
)
@click.option("--name", metavar="NAME", help="Its name; left out, that of the first one.")
@click.option("--bench", metavar="BENCH", help="Id of a kept bench, if not the first one's.")
@click.option("--lot", metavar="LOT", help="Lot it will be wound of, if not the first one's.")
@click.option("--look", is_flag=True, help="Only say what it would be; keep nothing.")
@store_option
@click.option("--json", "as_json", is_flag=True, help="Print the answer as JSON.")
def command(
    line: str,
    new_id: str | None,
    name: str | None,
    bench: str | None,
    lot: str | None,
    look: bool,
    place: str | None,
    as_json: bool,
) -> None:
    """Make a job that is to come out the same as a finished line, from the record of its build.

    LINE is a build, 32 hexadecimal digits, or the id of a job with one finished build. The job
    asks for the length the first one was proved at, with the turns put in on the bow since; it is
    wound at the same posts, with the same turns, hand and edges of the servings.

    In what it cannot be the same, or is not known to be, is said plainly.
    """
    from strandwright.cli.layout import heading, paragraph, rows, say, say_json
    from strandwright.cli.told import named
    from strandwright.planning.desk.builds import Desk
    from strandwright.planning.sets.spare import keep_spare, spare_of_build
    from strandwright.planning.sets.spare_data import spare_data
    from strandwright.sheets import sheet_data
    from strandwright.store.open import open_store

    store = open_store(place)
    try:
        desk = Desk(store, sheet=sheet_data)
        build = _build(desk, line)
        first = desk.job(store.build(build).job_id).job
        with named({"id": "--id", "name": "--name", "makeup.lot": "--lot"}):
            spare = spare_of_build(
                desk, build, new_id or _free_id(desk, first.id), name or first.name, bench=bench,
                lot=lot,
            )  # fmt: skip
            if not look:
                keep_spare(desk, spare)
    finally:
        store.close()
    told = spare_data(spare)
    if as_json:
        say_json(told | {"kept": not look})
        return
    lines = [f"{told['name']}   [{told['id']}]" + (", not kept" if look else "")]
    lines += rows([(fact["name"], fact["text"]) for fact in told["facts"]])
    if told["differences"]:
        lines += heading("Not the same, or not known to be")
        for row in told["differences"]:
            lines += paragraph("; ".join(t for t in (row["said"], row["remedy"]) if t), mark="-")
    say(lines)


def _build(desk: Desk, line: str) -> str:
    """Find the build that was meant; one that was never locked is refused where it is used."""
    builds = desk.builds()
    if any(build.head.id == line for build in builds):
        return line
    of_job = [build for build in builds if build.head.job_id == line]
    finished = [build.head.id for build in of_job if build.state.locked is not None]
    if len(finished) > 1:
        rule = f"must name one of its {len(finished)} finished builds"
        raise SpecError("LINE", line, rule, f"give one of {', '.join(finished)}")
    if finished:
        return finished[0]
    if of_job:
        return of_job[-1].head.id
    raise NotFound("build of", line)


def _free_id(desk: Desk, id: str) -> str:
    """Give the id that follows and is free: RIDGE-1.2, then RIDGE-1.3."""
    stem, point, tail = id.rpartition(".")
    stem, number = (stem, int(tail)) if point and stem and tail.isdigit() else (id, 1)
    taken = {document.id for document in desk.store.documents("job")}
    while True:
        number += 1
        ending = f".{number}"
        found = f"{stem[: 40 - len(ending)]}{ending}"
        if found not in taken:
            return found
