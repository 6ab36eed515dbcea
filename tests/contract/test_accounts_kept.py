"""Accounts, phones and the audit log on each kind of store: whole or not at all."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

import pytest

from strandwright.errors import Conflict, SpecError
from strandwright.planning.people.accounts import People
from strandwright.planning.people.audit import audit_writes, last_audited
from strandwright.planning.people.passwords import LANES, MEMORY, PASSES, Passwords
from strandwright.planning.people.phones import Phones
from strandwright.planning.ports import Store
from strandwright.store.memory import MemoryStore
from strandwright.store.open import open_store
from strandwright.workshop.events import VERSIONS, event_of_table

PASSWORD = "wax heron lantern gravel"
QUICK = Passwords(1, 8, 1)
GOLDEN = Path(__file__).parent / "golden" / "audit"


@pytest.fixture
def people(store: Store) -> People:
    """Give the people of a shop with an owner."""
    people = People(store, passwords=QUICK)
    people.add("olga", "owner", PASSWORD, by="test")
    return people


def test_passwords_are_hashed_as_they_are_told_to_be():
    """RFC 9106, section 4, second recommended: argon2id, 3 passes, 64 MiB, 4 lanes, 128-bit salt.

    That is over OWASP's least of 2 passes, 19 MiB, 1 lane (Password Storage Cheat Sheet).
    """
    assert (3, 64 * 1024, 4) == (PASSES, MEMORY, LANES)
    passwords = Passwords()
    one, other = passwords.hash(PASSWORD), passwords.hash(PASSWORD)
    assert one.startswith("$argon2id$v=19$m=65536,t=3,p=4$")
    assert one != other
    assert 22 == len(one.split("$")[4])
    assert passwords.fits(one, PASSWORD)
    assert not passwords.fits(one, PASSWORD + " ")
    assert not passwords.fits(None, PASSWORD)
    assert not passwords.fits("no hash", PASSWORD)


def test_a_hash_that_was_made_weaker_is_made_anew_when_its_password_comes(people, store):
    """And only then: nobody else knows the password. Sessions go on."""
    weak = people.find("olga")
    stronger = People(store, passwords=Passwords(2, 16, 1))
    assert stronger.check("olga", "wrong") is None
    assert weak == stronger.find("olga")
    checked = stronger.check("olga", PASSWORD)
    assert checked is not None
    assert checked == stronger.find("olga")
    assert checked.account.hash.startswith("$argon2id$v=19$m=16,t=2,p=1$")
    assert weak is not None
    assert weak.account.era == checked.account.era
    assert checked == stronger.check("olga", PASSWORD)


def test_an_account_and_the_line_that_tells_of_it_are_written_together(people, store):
    """Refused, neither is there."""
    people.add("tess", "technician", PASSWORD, by="olga at front")
    before = last_audited(store)
    with pytest.raises(Conflict):
        people.add("tess", "counter", PASSWORD, by="olga at front")
    with pytest.raises(SpecError):
        people.add("nina", "counter", "short", by="olga at front")
    assert before == last_audited(store)
    assert ["olga", "tess"] == [known.account.name for known in people.all()]


def test_two_benches_that_change_an_account_at_once_are_told(people, store):
    """Neither writes over what the other has just said."""
    other = People(store, passwords=QUICK)
    people.add("tess", "counter", PASSWORD, by="test")
    stale = other.find("tess")
    people.change_role("tess", "technician", by="olga at front")
    other.find = lambda typed: stale  # type: ignore[method-assign]
    with pytest.raises(Conflict):
        other.change_password("tess", "violet anchor seven moths", by="olga at back")
    known = people.find("tess")
    assert known is not None
    assert "technician" == known.account.role
    assert people.check("tess", PASSWORD) is not None


def test_a_phone_is_known_by_what_it_holds_at_its_bench_until_it_is_sent_off(people, store):
    """Kept is a digest; the token itself is nowhere."""
    phones = Phones(store, people.now)
    phone, token = phones.pair("  Tess's   phone ", "front", by="tess at front")
    assert "Tess's phone" == phone.paired.label
    assert phone == phones.known_by(token, "front")
    assert phones.known_by(token, "back") is None
    assert phones.known_by(token[:-1] + ("a" if token[-1] != "a" else "b"), "front") is None
    assert token not in json.dumps(list(store.contents()))
    phones.send_off(phone.id, by="olga at back")
    assert phones.known_by(token, "front") is None
    assert ["olga"] == [known.account.name for known in people.all()]
    assert ["unpaired", "paired"] == [event.type for event in last_audited(store)[:2]]


def test_the_audit_log_is_one_a_month_for_every_bench(store):
    """Two benches that begin it at once begin the same one."""
    for month, bench in ((1, "front"), (1, "back"), (2, "front")):
        at = f"2026-{month:02d}-15T09:00:00.000Z"
        store.write(audit_writes("signed-in", {"name": "mara"}, at=at, by=f"mara at {bench}"))
    assert ["2026-01", "2026-02"] == sorted(head.subject for head in store.logs("audit"))
    told = [(event.at[:7], event.by) for event in last_audited(store)]
    assert [
        ("2026-02", "mara at front"), ("2026-01", "mara at back"), ("2026-01", "mara at front"),
    ] == told  # fmt: skip
    assert 2 == len(last_audited(store, 2))


def test_people_outlast_the_program(lasting_place):
    """Accounts, phones and the log are there when it opens again."""
    store = open_store(lasting_place)
    People(store, passwords=QUICK).add("olga", "owner", PASSWORD, by="test")
    store.close()
    again = open_store(lasting_place)
    assert People(again, passwords=QUICK).check("olga", PASSWORD) is not None
    assert ["account-added"] == [event.type for event in last_audited(again)]
    again.close()


def test_people_are_in_a_backup(people, store):
    """Restored into another store they sign in as before."""
    other = MemoryStore()
    other.take_in(store.contents())
    assert People(other, passwords=QUICK).check("olga", PASSWORD) is not None
    assert last_audited(store) == last_audited(other)


def test_an_audit_log_written_long_ago_is_read():
    """Every line of every type in its first version; nothing of it is rewritten."""
    for path in GOLDEN.glob("*.jsonl"):
        for line in path.read_text("utf-8").splitlines():
            table = json.loads(line)
            event = event_of_table({k: v for k, v in table.items() if k != "seq"})
            assert table["body"] == event.table()["body"]
            assert 1 <= table["version"] <= VERSIONS[event.type]


def test_a_moment_is_taken_from_the_clock_that_is_given(store):
    """So that what is written can be held to a time."""
    moment = datetime(2026, 3, 2, 9, tzinfo=UTC)
    people = People(store, clock=lambda: moment, passwords=QUICK)
    people.add("olga", "owner", PASSWORD, by="test")
    assert "2026-03-02T09:00:00.000Z" == last_audited(store)[0].at
