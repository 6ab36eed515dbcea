"""The command ``open``: the app on this computer, in a tab of the browser."""

from __future__ import annotations

import re

import click

from strandwright.cli.store_option import store_option


@click.command("open", short_help="Open the app in the browser; the same as no command at all.")
@store_option
@click.option("--port", type=click.IntRange(0, 65535), help="Port of the loopback address.")
@click.option("--browser/--no-browser", default=True, help="Whether to open a tab.")
def command(place: str | None, port: int | None, browser: bool) -> None:
    """Open the app: jobs, the line on its strip, the jig, builds and benches.

    It answers on this computer's loopback address only, and keeps its records in one file of
    your own, unless --store or STRANDWRIGHT_STORE names another place.
    """
    from strandwright.planning.machine_code import use
    from strandwright.store.open import open_store, usual_place
    from strandwright.web.serve import serve

    store = open_store(place)
    use()
    words = in_words(place or str(usual_place()))

    def say(address: str) -> None:
        click.echo(f"strandwright is open at {address}")
        click.echo(f"records are kept in {words}; Ctrl+C closes it")

    serve(store, words, port, say, browser=browser)


def in_words(place: str) -> str:
    """Say where records are kept, without a password that may stand in it."""
    if place == "memory:":
        return "memory, until the app closes"
    return re.sub(r"(?<=://)([^:@/]*):[^@/]*@", r"\1@", place)
