"""The command ``import``: job files and build files into the store."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING, Any

import click

from strandwright.cli.store_option import store_option
from strandwright.errors import SpecError

if TYPE_CHECKING:
    from strandwright.planning.desk.exchange import BuildFile

#: No build's record comes near it; keeps a device that never ends from filling the memory [byte]
_LARGEST = 20_000_000


@click.command("import", short_help="Keep job files and build files in the store.")
@click.argument("files", metavar="FILE...", nargs=-1, required=True)
@store_option
def command(files: tuple[str, ...], place: str | None) -> None:
    """Keep job files and set files (.toml) and builds (.json) in the store, all of them or none.

    What is kept already with the same content is left as it is; other content under the same
    identity is refused.
    """
    from datetime import UTC, datetime

    from strandwright.cli.files import load_job, read_text
    from strandwright.cli.layout import say
    from strandwright.cli.set_files import is_set_file, load_set
    from strandwright.planning.desk.exchange import take_in
    from strandwright.planning.sets.keeping import refuse_other_sets, take_in_sets
    from strandwright.store.open import open_store
    from strandwright.workshop.events import as_moment

    builds = {file: _build(file) for file in files if file.lower().endswith(".json")}
    texts = {file: read_text(file) for file in files if file not in builds and file != "-"}
    sets = {file: load_set(file, text) for file, text in texts.items() if is_set_file(text)}
    jobs = {file: load_job(file) for file in files if file not in builds and file not in sets}
    store = open_store(place)
    at = as_moment(datetime.now(UTC))
    try:
        refuse_other_sets(store, sets.values(), {job.id for job in jobs.values()})
        take_in(store, jobs.values(), builds.values(), at=at)
        take_in_sets(store, sets.values(), at=at)
    finally:
        store.close()
    kept = {file: f"kept job {job.id}" for file, job in jobs.items()}
    kept |= {file: f"kept set {found.id}" for file, found in sets.items()}
    kept |= {file: f"kept build {build.head.id}" for file, build in builds.items()}
    say([kept[file] for file in files])


def _build(file: str) -> BuildFile:
    from strandwright.cli.told import named_file
    from strandwright.planning.desk.exchange import read_build

    with named_file(file):
        return read_build(_read_json(file))


def _read_json(file: str) -> dict[str, Any]:
    rule = "must be the JSON of a build, and cannot be read as that"
    try:
        with open(file, "rb") as opened:
            raw = opened.read(_LARGEST + 1)
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        read = f"must be a file that can be read: {reason}"
        raise SpecError("build file", file, read, "give another path") from error
    if len(raw) > _LARGEST:
        raise SpecError("build file", file, "must be under 20 MB", "give a build's file")
    try:
        found = json.loads(raw)
    except (ValueError, RecursionError) as error:
        raise SpecError("build file", file, rule, "export it again") from error
    if not isinstance(found, dict):
        raise SpecError("build file", file, rule, "export it again")
    return found
