"""The command ``backup``: everything a store keeps, in one file."""

from __future__ import annotations

from pathlib import Path

import click

from strandwright.cli.store_option import store_option


@click.command("backup", short_help="Write everything the store keeps into one file.")
@click.argument("file", metavar="FILE")
@store_option
def command(file: str, place: str | None) -> None:
    """Write everything the store keeps into one file, whole or not at all.

    The file is compressed where its name ends in .gz. It can be restored into a store of any
    kind. The app may be open meanwhile: the backup shows one moment.
    """
    from strandwright.cli.files import refuse_place
    from strandwright.cli.layout import say
    from strandwright.store.backup import back_up
    from strandwright.store.open import open_store

    path = Path(file)
    refuse_place(path)
    store = open_store(place)
    try:
        count = back_up(store, path)
    finally:
        store.close()
    say([f"wrote {path}: {count} records"])
