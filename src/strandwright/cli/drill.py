"""The command ``drill``: a backup restored for trial."""

from __future__ import annotations

import click

from strandwright.cli.store_option import store_option


@click.command("drill", short_help="Restore a backup for trial, and say what that proves.")
@click.argument("backup", metavar="BACKUP")
@store_option
def command(backup: str, place: str | None) -> None:
    """Restore a backup into a store that is thrown away, and say what that proves.

    Every record is compared with the backup's seal and with the store at hand, up to the moment
    of the backup; the newest builds are opened. Nothing is changed but that the drill is noted,
    so that the app can say when the last one was. A backup that fails ends with exit code 5.
    """
    from pathlib import Path

    from strandwright.cli.layout import say
    from strandwright.errors import StoreUnusable
    from strandwright.store.backups import note
    from strandwright.store.drill import drill
    from strandwright.store.open import open_store

    store = open_store(place)
    try:
        done = drill(Path(backup), store)
        # An empty store stays empty, so that a backup can be restored into it.
        if next(iter(store.contents()), None) is not None:
            note(store, at=done.at, drill=done.noun())
    finally:
        store.close()
    say(list(done.lines()))
    if done.proved == "failed":
        raise StoreUnusable(f"{backup}: the drill failed; take another backup and drill that one")
