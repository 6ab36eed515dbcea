"""The command ``csv``: everything kept as files for a spreadsheet."""

from __future__ import annotations

import click

from strandwright.cli.store_option import store_option


@click.command("csv", short_help="Write everything the store keeps as CSV files.")
@click.argument("folder", metavar="FOLDER")
@click.option(
    "--units",
    type=click.Choice(["in", "mm"]),
    default="in",
    show_default=True,
    help="Units of the plain numbers beside quantities.",
)
@store_option
def command(folder: str, units: str, place: str | None) -> None:
    """Write everything the store keeps as CSV files, one a kind, with a README.txt.

    Customers, bows, benches, jobs, sets, quotes, orders, builds, readings, service, spools and
    small parts, and the events of each. The README tells each column, its unit and its meaning.
    The folder is made where it is not there; older files of this command in it are replaced.
    """
    from pathlib import Path

    from strandwright.cli.layout import say
    from strandwright.store.csv_files import write_folder
    from strandwright.store.open import open_store

    store = open_store(place)
    try:
        counts = write_folder(store, Path(folder), "mm" if units == "mm" else "in")
    finally:
        store.close()
    rows = sum(counts.values())
    say([f"wrote {len(counts)} CSV files and a README.txt into {folder}: {rows} rows"])
