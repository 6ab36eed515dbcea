"""The command ``certificate``: what this computer shows to others, and who vouches for it."""

from __future__ import annotations

from pathlib import Path

import click

from strandwright.cli.store_option import store_option


@click.command("certificate", short_help="Make a certificate for listening beyond this computer.")
@click.argument("names", nargs=-1, required=True, metavar="NAME...")
@click.option("--into", metavar="FOLDER", help="Where to write it instead of the usual folder.")
@click.option("--new-authority", is_flag=True, help="Make a new authority although there is one.")
@store_option
def command(
    names: tuple[str, ...], into: str | None, new_authority: bool, place: str | None
) -> None:
    """Make a certificate for the NAMEs and addresses that others call this computer by.

    The first time it also makes an authority of the shop's own, which phones and other computers
    are told to trust; it can vouch for these names only. Make the certificate again within 397
    days: the authority stays, and nobody need be told.
    """
    from datetime import UTC, datetime

    from strandwright.cli.layout import heading, rows, say
    from strandwright.web.authority import AUTHORITY
    from strandwright.web.certificates import SERVER, SERVER_KEY, make, usual_folder

    folder = usual_folder() if into is None else Path(into)
    made = make(names, folder, datetime.now(UTC), another=new_authority)
    _log(place, made.names, made.fingerprint, made.until)
    told = [
        ("certificate", str(folder / SERVER)),
        ("its key", f"{folder / SERVER_KEY}, for your own eyes"),
        ("for", ", ".join(made.names)),
        ("good until", made.until),
        ("authority", str(folder / AUTHORITY)),
        ("fingerprint", made.fingerprint),
    ]
    lines = rows(told)
    if made.is_new_authority:
        lines += [*heading("On each phone and computer, once"), *_steps()]
    lines += ["", f"Then: strandwright --listen ADDRESS{_options(into)}"]
    say(lines)


def _steps() -> list[str]:
    """Say how the authority comes onto a phone."""
    from strandwright.cli.layout import paragraph

    steps = (
        "Bring the file authority.crt over: by cable, on a stick, or as a message to "
        "yourself. Never send a file that ends in .key.",
        "Open it there, or look for 'install a certificate' in the settings, under security; "
        "take it as a certificate authority (CA). Some phones then ask to switch its trust on.",
        "Compare the fingerprint (SHA-256) that the phone shows with the one above. If they "
        "differ, take it off again: somebody else's was sent to you.",
        "Open the app's address. If the browser warns, stop: the authority is not installed, or "
        "that is not this computer.",
    )
    lines: list[str] = []
    for number, step in enumerate(steps, 1):
        lines += paragraph(step, mark=f"{number}.")
    return lines


def _options(into: str | None) -> str:
    if into is None:
        return ""
    from strandwright.web.certificates import SERVER, SERVER_KEY

    return f" --certificate {Path(into) / SERVER} --key {Path(into) / SERVER_KEY}"


def _log(place: str | None, names: tuple[str, ...], fingerprint: str, until: str) -> None:
    """Write it into the audit log, where the shop has accounts."""
    from strandwright.planning.people.audit import audit_where_people_sign_in
    from strandwright.store.open import open_store, usual_place

    where = place or str(usual_place())
    if "://" not in where and not Path(where).exists():
        return  # a certificate alone makes no store
    store = open_store(place)
    try:
        told = {"names": names[:40], "fingerprint": fingerprint, "until": until}
        audit_where_people_sign_in(store, "certificate-made", told, by="command line")
    finally:
        store.close()
