"""The command ``restore``: a backup into an empty store."""

from __future__ import annotations

from pathlib import Path

import click

from strandwright.cli.store_option import store_option


@click.command("restore", short_help="Keep everything of a backup in an empty store.")
@click.argument("file", metavar="FILE")
@store_option
def command(file: str, place: str | None) -> None:
    """Keep everything of a backup in an empty store, all of it or nothing.

    The file is read to its end and compared with its seal before anything is kept.
    """
    from strandwright.cli.layout import say
    from strandwright.store.backup import restore
    from strandwright.store.open import open_store

    store = open_store(place)
    try:
        count = restore(store, Path(file))
    finally:
        store.close()
    say([f"restored {count} records from {file}"])
