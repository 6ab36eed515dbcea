"""The option that says where records are kept."""

from __future__ import annotations

import click

store_option = click.option(
    "--store",
    "place",
    metavar="PLACE",
    envvar="STRANDWRIGHT_STORE",
    help="Where records are kept: a file, or the URL of a PostgreSQL database.",
)
