"""The command ``builds-out``: builds without names, for comparing shops."""

from __future__ import annotations

import click

from strandwright.cli.store_option import store_option


@click.command("builds-out", short_help="Write builds without names, to compare shops.")
@click.argument("file", metavar="FILE")
@store_option
def command(file: str, place: str | None) -> None:
    """Write every build with its plan's numbers and its readings, and nothing of whose it was.

    No name, identity, note, colour or label is in the file, and no date but the week. A bench is
    a hash that is another one in every export. Read what can still tell a shop apart in the
    docs, 'Compare shops', before you hand the file on.
    """
    import json
    import secrets
    from pathlib import Path

    from strandwright.cli.files import output_file, write_whole
    from strandwright.cli.layout import say
    from strandwright.planning.comparing.builds_out import builds_out
    from strandwright.store.open import open_store

    path = output_file(file, Path("builds.json"))
    store = open_store(place)
    try:
        out = builds_out(store, secrets.token_bytes(32))
    finally:
        store.close()
    write_whole(path, json.dumps(out, indent=1) + "\n")
    count = len(out["builds"])
    say([f"wrote {path}: {count} {'build' if count == 1 else 'builds'}, without names"])
