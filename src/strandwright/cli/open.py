"""The command ``open``: the app on this computer, in a tab of the browser."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import click

from strandwright.cli.store_option import store_option

if TYPE_CHECKING:
    from strandwright.web.serve import Beyond


@click.command("open", short_help="Open the app in the browser; the same as no command at all.")
@store_option
@click.option("--port", type=click.IntRange(0, 65535), help="Port of the loopback address.")
@click.option("--browser/--no-browser", default=True, help="Whether to open a tab.")
@click.option(
    "--listen",
    metavar="ADDRESS[:PORT]",
    help="Answer other computers and phones too, over TLS and to who has signed in.",
)
@click.option("--certificate", metavar="FILE", help="Certificate to show them, in PEM.")
@click.option("--key", metavar="FILE", help="Its key, in PEM.")
@click.option("--bench", metavar="NAME", default="", help="What this bench is called in the logs.")
def command(
    place: str | None,
    port: int | None,
    browser: bool,
    listen: str | None,
    certificate: str | None,
    key: str | None,
    bench: str,
) -> None:
    """Open the app: jobs, the line on its strip, the jig, builds and benches.

    It answers on this computer's loopback address only, and keeps its records in one file of
    your own, unless --store or STRANDWRIGHT_STORE names another place.

    With --listen it answers others too: over TLS, with the certificate that 'strandwright
    certificate' made or one of your own, and only to who signs in to an account that
    'strandwright account' added. There is no other way to listen beyond this computer.
    """
    from strandwright.planning.machine_code import use
    from strandwright.store.open import open_store, usual_place
    from strandwright.web.serve import serve

    beyond = _beyond(listen, certificate, key, bench, port)
    store = open_store(place)
    use()
    words = in_words(place or str(usual_place()))

    def say(address: str) -> None:
        click.echo(f"strandwright is open at {address}")
        if beyond is not None:
            until = beyond.certificate.until.date()
            click.echo(f"its certificate is good until {until}; who signs in is in the audit log")
        click.echo(f"records are kept in {words}; Ctrl+C closes it")

    serve(store, words, port, say, browser=browser, beyond=beyond)


def _beyond(
    listen: str | None, certificate: str | None, key: str | None, bench: str, port: int | None
) -> Beyond | None:
    """Read what is said of listening beyond loopback, and refuse half of it."""
    from strandwright.errors import SpecError

    if listen is None:
        for option, given in (("--certificate", certificate), ("--key", key), ("--bench", bench)):
            if given:
                rule = "is for listening beyond this computer"
                raise SpecError(option, given, rule, "give --listen too, or leave it out")
        return None
    if port is not None:
        rule = "is a port of the loopback address"
        raise SpecError("--port", str(port), rule, "write the port behind the address of --listen")
    from strandwright.web.listening import moment, read_certificate
    from strandwright.web.serve import Beyond

    if len(bench) > 28 or not bench.isprintable():
        raise SpecError("--bench", bench[:60], "must be up to 28 characters", "shorten it")
    return Beyond(listen, read_certificate(certificate, key, moment()), bench)


def in_words(place: str) -> str:
    """Say where records are kept, without a password that may stand in it."""
    if place == "memory:":
        return "memory, until the app closes"
    return re.sub(r"(?<=://)([^:@/]*):[^@/]*@", r"\1@", place)
