"""The command ``account``: who may sign in where the app listens beyond this computer."""

from __future__ import annotations

import os
from collections.abc import Generator
from contextlib import contextmanager
from typing import TYPE_CHECKING

import click

from strandwright.cli.store_option import store_option

if TYPE_CHECKING:
    from strandwright.planning.people.accounts import People

#: Who the audit log says it was: whoever may read the store may do all of this.
BY = "command line"
#: Roles as the help lists them; held to the ones there are by a test.
ROLE_NAMES = ("looker-on", "counter", "technician", "owner")

_role = click.option("--role", type=click.Choice(ROLE_NAMES), required=True, help="What it may do.")
_password_fd = click.option(
    "--password-fd",
    type=click.IntRange(0),
    metavar="N",
    help="Read the password's line from this file descriptor, and do not ask.",
)


@click.command("account", cls=click.Group, short_help="Say who may sign in, and what they may do.")
def command() -> None:
    """Say who may sign in where the app listens beyond this computer, and what they may do.

    A looker-on sees lines and builds; the counter takes orders in, quotes and hands over; a
    technician plans and builds, keeps stock and pairs phones; the owner may all of it, with
    accounts, terms and the audit log. The first account must be an owner's.

    A password is asked for without showing it, or read from a file descriptor; it never stands
    on the command line.
    """


@command.command("add")
@click.argument("name")
@_role
@_password_fd
@store_option
def add(name: str, role: str, password_fd: int | None, place: str | None) -> None:
    """Add an account."""
    with _people(place) as people:
        from strandwright.workshop.account import account_name

        known = account_name(name)
        people.add(known, role, _password(password_fd), by=BY)
        click.echo(f"{known} may sign in as {role}")


@command.command("list")
@store_option
def list_accounts(place: str | None) -> None:
    """List the accounts."""
    from strandwright.cli.layout import rows, say

    with _people(place) as people:
        found = people.all()
        told = [
            (k.account.name, f"{k.account.role}{', put away' if k.put_away else ''}") for k in found
        ]
        say(rows(told) if told else ["no account is kept there"])


@command.command("role")
@click.argument("name")
@_role
@store_option
def change_role(name: str, role: str, place: str | None) -> None:
    """Give an account another role; it holds at once."""
    with _people(place) as people:
        kept = people.change_role(name, role, by=BY)
        click.echo(f"{kept.account.name} is {kept.account.role}")


@command.command("password")
@click.argument("name")
@_password_fd
@store_option
def change_password(name: str, password_fd: int | None, place: str | None) -> None:
    """Give an account another password; its sessions end."""
    with _people(place) as people:
        from strandwright.errors import NotFound

        if people.find(name) is None:
            raise NotFound("account", name[:60])
        kept = people.change_password(name, _password(password_fd), by=BY)
        click.echo(f"{kept.account.name} has a new password; its sessions have ended")


@command.command("put-away")
@click.argument("name")
@click.option("--back", is_flag=True, help="Bring it back instead.")
@store_option
def put_away(name: str, back: bool, place: str | None) -> None:
    """Let nobody sign in by an account any more; what it wrote keeps its name."""
    with _people(place) as people:
        kept = people.put_away(name, not back, by=BY)
        may = "may sign in again" if back else "may not sign in any more; its sessions have ended"
        click.echo(f"{kept.account.name} {may}")


@contextmanager
def _people(place: str | None) -> Generator[People]:
    from strandwright.planning.people.accounts import People
    from strandwright.store.open import open_store

    store = open_store(place)
    try:
        yield People(store)
    finally:
        store.close()


def _password(descriptor: int | None) -> str:
    """Ask for a password twice without showing it, or read it from a file descriptor."""
    if descriptor is None:
        return click.prompt("password", hide_input=True, confirmation_prompt="the same again")
    from strandwright.errors import SpecError

    try:
        with os.fdopen(descriptor, "rb", closefd=False) as source:
            line = source.readline(4096)
        return line.decode("utf-8").removesuffix("\n").removesuffix("\r")
    except (OSError, UnicodeDecodeError) as error:
        rule = "must be a file descriptor with a line of UTF-8"
        remedy = "open it for reading, such as 3< FILE"
        raise SpecError("--password-fd", str(descriptor), rule, remedy) from error
