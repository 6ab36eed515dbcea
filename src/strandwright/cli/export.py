"""The command ``export``: jobs and builds as open files."""

from __future__ import annotations

import json
from pathlib import Path

import click

from strandwright.cli.store_option import store_option
from strandwright.errors import SpecError


@click.command("export", short_help="Write jobs and builds of the store as open files.")
@click.argument("ids", metavar="ID...", nargs=-1, required=True)
@click.option("--into", "folder", metavar="DIRECTORY", default=".", help="Folder to write into.")
@store_option
def command(ids: tuple[str, ...], folder: str, place: str | None) -> None:
    """Write jobs and sets of the store as their files, and builds with their whole record as JSON.

    An ID is that of a job, such as RIDGE-1: its builds come with it. Or it is that of one build,
    32 hexadecimal digits, or of a set, which names its jobs and does not bring them.
    """
    from strandwright.cli.files import write_whole
    from strandwright.cli.layout import say
    from strandwright.planning.desk.exchange import build_table
    from strandwright.store.open import open_store
    from strandwright.workshop.job import job_from_table, write_job
    from strandwright.workshop.line_set import set_from_table, write_set

    into = Path(folder)
    if not into.is_dir():
        rule = "must be a folder that is there"
        raise SpecError("--into", folder, rule, "make it, or name another")
    store = open_store(place)
    try:
        files: dict[Path, str] = {}
        builds = {head.id: head.job_id for head in store.builds()}
        jobs = {document.id for document in store.documents("job")}
        sets = {document.id: document.table for document in store.documents("set")}
        for id in ids:
            if id in sets and id not in jobs:
                files[into / f"{id}.toml"] = write_set(set_from_table(sets[id]))
                continue
            wanted = [id] if id in builds else [b for b, job in builds.items() if job == id]
            if id not in builds:
                job = job_from_table(store.document("job", id).table)
                files[into / f"{id}.toml"] = write_job(job)
            for build in wanted:
                text = json.dumps(build_table(store, build), indent=1, ensure_ascii=False)
                files[into / f"{builds[build]}-{build[:8]}.json"] = text + "\n"
    finally:
        store.close()
    for path, text in files.items():
        write_whole(path, text)
    say([f"wrote {path}" for path in files])
