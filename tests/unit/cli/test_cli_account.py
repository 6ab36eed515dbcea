"""The commands ``account`` and ``certificate``, and what ``--listen`` refuses."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import click
import pytest

from strandwright.cli import account
from strandwright.cli.main import command as whole
from strandwright.planning.people.accounts import People
from strandwright.planning.people.audit import last_audited
from strandwright.planning.people.passwords import Passwords
from strandwright.store.open import open_store
from strandwright.workshop.account import ROLES
from strandwright.workshop.events import Event

PASSWORD = "wax heron lantern gravel"
LISTEN = ("--listen", "127.0.0.1:0")
STORE = ("--store", "shop.sqlite3")


@pytest.fixture(autouse=True)
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hash quickly: what it costs is tested by itself."""
    monkeypatch.setattr("strandwright.planning.people.accounts.Passwords", _quick)


def _quick() -> Passwords:
    return Passwords(1, 8, 1)


@pytest.fixture
def add(run: Callable[..., Any]) -> Callable[..., Any]:
    """Add an account; the password comes through a pipe."""

    def added(name: str, role: str, password: str = PASSWORD) -> Any:
        reading, writing = os.pipe()
        os.write(writing, f"{password}\nanother line\n".encode())
        os.close(writing)
        try:
            return run(
                "account", "add", name, "--role", role, "--password-fd", str(reading), *STORE
            )
        finally:
            os.close(reading)

    return added


def _fits(name: str, password: str) -> bool:
    store = open_store("shop.sqlite3")
    try:
        return People(store, passwords=_quick()).check(name, password) is not None
    finally:
        store.close()


def _audit() -> list[Event]:
    store = open_store("shop.sqlite3")
    try:
        return list(reversed(last_audited(store)))
    finally:
        store.close()


def test_the_roles_of_the_help_are_those_there_are():
    """Written out in the command, so that help loads nothing."""
    assert ROLES == account.ROLE_NAMES


def test_no_option_takes_a_password():
    """What is typed behind a command stands in the shell's history and in the list of processes."""
    group = whole.get_command(click.Context(whole), "account")
    assert isinstance(group, click.Group)
    for each in group.commands.values():
        names = {name for option in each.params for name in option.opts}
        assert "--password" not in names
        arguments = [p.name for p in each.params if isinstance(p, click.Argument)]
        assert arguments in ([], ["name"])


def test_an_owner_is_added_first_and_then_the_others(add, run):
    """A shop without an owner could give nobody a role."""
    refused = add("tess", "technician")
    assert (2, True) == (refused.exit_code, "add the owner first" in refused.output)
    assert "olga may sign in as owner\n" == add("Olga", "owner").output
    assert 0 == add("tess", "technician").exit_code
    listed = run("account", "list", *STORE).output
    assert ["olga  owner", "tess  technician"] == [line.strip() for line in listed.splitlines()]
    assert 5 == add("tess", "counter").exit_code


def test_a_password_is_the_first_line_of_what_is_given(add):
    """Its line's end is not part of it, and blanks are."""
    add("olga", "owner", " " + PASSWORD + " ")
    assert _fits("olga", " " + PASSWORD + " ")
    assert not _fits("olga", PASSWORD)


def test_a_password_is_asked_for_twice_and_never_shown(run):
    """Typed without echo; a slip of the second is told."""
    typed = f"{PASSWORD}\nsomething else entirely\n{PASSWORD}\n{PASSWORD}\n"
    done = run("account", "add", "olga", "--role", "owner", *STORE, stdin=typed)
    assert 0 == done.exit_code
    assert PASSWORD not in done.output
    assert _fits("olga", PASSWORD)


@pytest.mark.parametrize("password", ["short", "olga olga olga olga", "aaaaaaaaaaaaaaaaaaaa", ""])
def test_a_weak_password_is_refused_and_not_repeated(add, password):
    """Nothing is kept, and the terminal does not show what was typed."""
    refused = add("olga", "owner", password)
    assert 2 == refused.exit_code
    assert not password or password not in refused.output
    assert not _fits("olga", password)


def test_role_password_and_putting_away_hold_at_once(add, run):
    """Each in the audit log, with who was at the command line."""
    add("olga", "owner")
    add("tess", "counter")
    assert "tess is technician\n" == run(
        "account", "role", "tess", "--role", "technician", *STORE
    ).output  # fmt: skip
    new = "violet anchor seven moths"
    assert 0 == run("account", "password", "tess", *STORE, stdin=f"{new}\n{new}\n").exit_code
    assert (False, True) == (_fits("tess", PASSWORD), _fits("tess", new))
    assert 0 == run("account", "put-away", "tess", *STORE).exit_code
    assert not _fits("tess", new)
    assert "put away" in run("account", "list", *STORE).output
    assert 0 == run("account", "put-away", "tess", "--back", *STORE).exit_code
    assert _fits("tess", new)
    assert [
        "account-added", "account-added", "role-changed", "password-changed",
        "account-put-away", "account-put-away",
    ] == [event.type for event in _audit()]  # fmt: skip
    assert {"command line"} == {event.by for event in _audit()}


def test_the_last_owner_stays(add, run):
    """By the command line neither."""
    add("olga", "owner")
    for arguments in (("role", "olga", "--role", "counter"), ("put-away", "olga")):
        refused = run("account", *arguments, *STORE)
        assert 2 == refused.exit_code
        assert "it is the last one" in refused.output


def test_nobodys_password_is_not_asked_for(run):
    """Told before anything is typed."""
    refused = run("account", "password", "nobody", *STORE, stdin="")
    assert 5 == refused.exit_code
    assert "password:" not in refused.output


# ------------------------------------------------------------------------------------ listening


def test_a_certificate_says_how_it_comes_onto_a_phone(run, tmp_path):
    """Files, names, fingerprint, and steps with a warning about the key; the next time no steps."""
    told = run("certificate", "bench.home.arpa", "10.0.0.5", "--into", "c", *STORE).output
    assert "bench.home.arpa, 10.0.0.5" in told
    assert 31 == next(line for line in told.splitlines() if "fingerprint " in line).count(":")
    assert "Never send a file that ends in .key" in told
    assert not (tmp_path / "shop.sqlite3").exists()
    assert "Never send" not in run("certificate", "10.0.0.5", "--into", "c", *STORE).output


def test_a_certificate_is_in_the_audit_log_of_a_shop_that_has_one(add, run):
    """With its fingerprint, so that a phone can be compared with it later."""
    add("olga", "owner")
    run("certificate", "bench.home.arpa", "--into", "c", *STORE)
    made = _audit()[-1]
    assert "certificate-made" == made.type
    assert ["bench.home.arpa"] == made.table()["body"]["names"]


def test_a_backup_is_in_the_audit_log_of_a_shop_that_has_one(add, run):
    """Who took everything that is kept, and when; a shop without accounts has no such log."""
    run("backup", "before.jsonl", *STORE)
    assert [] == _audit()
    add("olga", "owner")
    run("backup", "after.jsonl", *STORE)
    taken = _audit()[-1]
    assert ("backup-taken", "command line") == (taken.type, taken.by)
    assert taken.table()["body"]["records"] > 0


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("--listen", "127.0.0.1:0", "--port", "1"), "write the port behind the address"),
        (("--listen", "127.0.0.1:0", "--certificate", "c/bench.crt"), "and --key together"),
        (
            ("--listen", "127.0.0.1:0", "--certificate", "no.crt", "--key", "no.key"),
            "over TLS only",
        ),
        (("--certificate", "c/bench.crt"), "give --listen too"),
        (("--bench", "front"), "give --listen too"),
        ((*LISTEN, "--bench", "x" * 29), "must be up to 28 characters"),
    ],
)
def test_half_of_listening_is_refused(run, arguments, said):
    """There is no way to listen beyond this computer without TLS."""
    refused = run(*arguments, "--no-browser", *STORE)
    assert 2 == refused.exit_code
    assert said in refused.output


def test_nobody_listens_where_nobody_could_sign_in(run):
    """And nothing is opened meanwhile."""
    run("certificate", "127.0.0.1", "--into", "c")
    files = ("--certificate", "c/bench.crt", "--key", "c/bench.key")
    refused = run("--listen", "127.0.0.1:0", *files, "--no-browser", *STORE)
    assert 2 == refused.exit_code
    assert "strandwright account add NAME --role owner" in refused.output


def test_a_missing_library_is_named_with_its_extra(run, monkeypatch):
    """Everything else works without it."""
    import builtins

    real = builtins.__import__

    def without(name: str, *rest: Any, **more: Any) -> Any:
        if name.split(".")[0] in ("argon2", "cryptography"):
            raise ImportError(name)
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without)
    for arguments in (
        ("certificate", "bench.home.arpa", "--into", "c"),
        ("account", "add", "olga", "--role", "owner"),
        ("--listen", "127.0.0.1:0", "--no-browser"),
    ):
        refused = run(*arguments, *STORE, stdin=f"{PASSWORD}\n{PASSWORD}\n")
        assert 2 == refused.exit_code, refused.output
        assert "pip install 'strandwright[listen]'" in refused.output
    assert 0 == run("account", "list", *STORE).exit_code
    assert not Path("c").exists()
