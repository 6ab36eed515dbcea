"""Logs of any kind, writes together, blobs and listings: the same promises on every store."""

from __future__ import annotations

import hashlib

import pytest
from kept_things import AT, LATER, a_head, a_note, a_plan, begun, digits, fill

from strandwright.errors import Conflict, InputError, NotFound
from strandwright.planning.ports import Store
from strandwright.store.open import open_store
from strandwright.store.sql import SqlStore
from strandwright.workshop.documents import Blob, LogHead
from strandwright.workshop.events import make_event
from strandwright.workshop.writes import Append, Begin, KeepBlob, KeepPlan, Save

PNG = b"\x89PNG\r\n\x1a\n" + b"as good as any"


def a_log(name: str = "visit", subject: str = "grey-heron", at: str = AT) -> LogHead:
    """Make the head of an order's log."""
    return LogHead(digits(name), "order", subject, at)


def a_blob(content: bytes = PNG) -> Blob:
    """Make a blob of a photo."""
    return Blob(hashlib.sha256(content).hexdigest(), "image/png", content, AT)


def everything(store: Store) -> tuple[int, object, object]:
    """Give all that can be seen of a store."""
    kinds = ("job", "bow", "set", "build")
    return (store.mark(), list(store.contents()), [store.listings(kind) for kind in kinds])


def test_a_log_of_any_kind_is_begun_and_found(store):
    """By its identity, by its kind, by what it is about; a build is one kind of log."""
    first, second = a_log("one", at=LATER), a_log("two", "reed")
    store.write([Begin(first), Begin(second), Append(first.id, [a_note("a"), a_note("b")])])
    build = begun(store)
    assert first == store.log(first.id)
    assert LogHead(build, "build", "RIDGE-1", AT) == store.log(build)
    assert (second, first) == store.logs("order")
    assert (first,) == store.logs("order", "grey-heron")
    assert () == store.logs("order", "nobody") == store.logs("spool")
    assert [1, 2] == [stored.seq for stored in store.events(first.id)]
    assert [build] == [head.id for head in store.builds()]
    with pytest.raises(NotFound, match="no build"):
        store.build(first.id)
    with pytest.raises(NotFound, match="no log"):
        store.log(digits("never"))
    with pytest.raises(InputError, match="one of build, order"):
        store.logs("diary")


def test_a_log_begun_twice_is_one_but_not_about_something_else(store):
    """Sent again it is harmless; the same identity for another thing is refused."""
    head = a_log()
    assert (head, head) == store.write([Begin(head), Begin(head)])
    mark = store.mark()
    assert (head,) == store.write([Begin(a_log(at=LATER))])
    for other in (a_log(subject="reed"), LogHead(head.id, "spool", "grey-heron", AT)):
        with pytest.raises(Conflict, match="log of something else"):
            store.write([Begin(other)])
    with pytest.raises(Conflict, match="another job or plan"):
        store.write([KeepPlan(a_plan()), Begin(a_head("visit"))])
    assert mark == store.mark()
    assert () == store.plans()


def test_a_decision_on_what_is_no_longer_so_is_refused(store):
    """Who says how long the log was is told when it has grown; who sends again is not."""
    head = a_log()
    store.write([Begin(head), Append(head.id, [a_note("a")], 0)])
    store.append(head.id, [a_note("b")], 1)
    with pytest.raises(Conflict, match="had 1 events, and has 2") as caught:
        store.append(head.id, [a_note("c")], 1)
    assert 2 == caught.value.newest
    assert [1] == [stored.seq for stored in store.append(head.id, [a_note("a")], 0)]
    with pytest.raises(Conflict):
        store.append(head.id, [a_note("b"), a_note("c")], 1)
    assert [1, 2] == [stored.seq for stored in store.events(head.id)]


def test_what_belongs_together_is_written_together_or_not_at_all(store):
    """Whatever stops one of them: nothing of the others is seen, in records or in listings."""
    fill(store)
    head = a_log()
    store.write([Begin(head), Append(head.id, [a_note("counter")])])
    before = everything(store)
    good = [
        Save("job", "RIDGE-2", {"name": "spare"}, AT, 0),
        Save("job", "RIDGE-1", {"name": "taken down"}, AT, 2, put_away=True),
        KeepPlan(a_plan("p9")),
        Begin(a_head("third", "p9")),
        Begin(a_log("another")),
        Append(head.id, [a_note("accepted")], 1),
        KeepBlob(a_blob()),
    ]
    for bad in (
        Append(head.id, [a_note("late")], 1),
        Append(digits("never"), [a_note("lost")]),
        Save("job", "TARN-1", {"name": "stale"}, AT, 7),
        Begin(a_head("fourth", "p-none")),
        Append(digits("another"), [a_note("counter")]),
    ):
        with pytest.raises((Conflict, NotFound)):
            store.write([*good, bad])
        assert before == everything(store)
        with pytest.raises(NotFound):
            store.blob(a_blob().id)
    answers = store.write(good)
    assert len(good) == len(answers)
    assert "RIDGE-2" == answers[0].id
    assert 2 == answers[5][0].seq
    assert before[0] + 1 == store.mark()
    assert answers == store.write(good)
    assert before[0] + 1 == store.mark()


def test_a_log_refuses_what_belongs_to_another_kind(store):
    """Rounds laid are no event of a visit; a remark is one of any log."""
    head = a_log()
    store.write([Begin(head)])
    rounds = make_event(digits("r"), "rounds-laid", {"run": 0, "halves": 2}, at=AT)
    with pytest.raises(InputError, match="a log of this kind"):
        store.append(head.id, [a_note("fine"), rounds])
    assert () == store.events(head.id)


def test_a_blob_comes_back_byte_for_byte(store):
    """Sent twice it is one; what is no photo, too large, or changed on its way is refused."""
    blob = a_blob(PNG + bytes(range(256)) * 99)
    store.keep_blob(blob)
    mark = store.mark()
    store.keep_blob(Blob(blob.id, blob.media, blob.content, LATER))
    assert blob == store.blob(blob.id)
    assert mark == store.mark()
    for bad, rule in (
        (Blob(blob.id, "image/png", blob.content + b"x", AT), "must be the SHA-256"),
        (Blob(blob.id, "image/jpeg", blob.content, AT), "must be what it begins like"),
        (Blob(blob.id, "text/html", b"<script>", AT), "must be what it begins like"),
        (a_blob(PNG + bytes(3_000_000)), "must be under 3 MB"),
    ):
        with pytest.raises(InputError, match=rule):
            store.keep_blob(bad)
    for id in ("", "x" * 64, digits("x"), "f" * 64):
        with pytest.raises(NotFound, match="no blob"):
            store.blob(id)


def test_listings_say_how_each_thing_stands_now(store):
    """The newest revision of a document, the state of a log, the latest first."""
    fill(store)
    names = [(row.id, row.status, row.summary["name"]) for row in store.listings("job")]
    assert [("RIDGE-1", "building", "Grön älv"), ("TARN-1", "building", "")] == names
    assert {"put away": 1} == store.counts("bow")
    build = store.builds("RIDGE-1")[0].id
    (row,) = store.listings("build", owner="RIDGE-1")
    assert (build, "at the jig") == (row.id, row.status)
    locked = make_event(digits("lock"), "locked", {"turns": 27, "hand": "S"}, at=LATER)
    store.append(build, [locked])
    (row,) = store.listings("build", status="done")
    assert (build, 27.0, LATER) == (row.id, row.summary["turns"], row.at)
    assert {"at the jig": 1, "done": 1} == store.counts("build")
    (row,) = store.listings("job", status="done")
    assert ("RIDGE-1", build, LATER) == (row.id, row.summary["build"], row.at)
    store.save("job", "NEW-1", {"name": "not begun"}, at=AT, expected=0)
    assert {"building": 1, "done": 1, "to start": 1} == store.counts("job")
    both = store.listings("build", owner=["RIDGE-1", "TARN-1"])
    assert ["RIDGE-1", "TARN-1"] == sorted(row.owner for row in both)
    assert () == store.listings("build", owner=[])
    some = store.documents("job", ["TARN-1", "x y", "none", "TARN-1"])
    assert [store.document("job", "TARN-1")] == list(some)
    assert () == store.documents("job", [])
    named = store.named("job", ["TARN-1", "x y", "none", "RIDGE-1", "TARN-1"])
    assert ["TARN-1", "RIDGE-1"] == [row.id for row in named]
    assert {} == store.counts("order")


def test_listings_are_found_by_their_words_and_read_on_page_by_page(store):
    """Every word must stand in it, in whatever case; pages neither miss nor repeat one."""
    for n in range(23):
        table = {"name": f"string {n}", "line": {"name": "Ålder 100 % _x"}}
        at = AT if n % 2 else LATER
        store.save("job", f"J-{n:02}", table, at=at, expected=0)
    seen, before = [], None
    while page := store.listings("job", before=before, limit=5):
        seen += page
        before = (page[-1].at, page[-1].id)
    assert 23 == len({row.id for row in seen}) == len(seen)
    assert sorted(seen, key=lambda row: (row.at, row.id), reverse=True) == seen
    assert ["J-07"] == [row.id for row in store.listings("job", words=" STRING  j-07 ")]
    assert 23 == len(store.listings("job", words="åLDER 100 %"))
    assert () == store.listings("job", words="%g") == store.listings("job", words="s_r")
    assert () == store.listings("job", owner="a\0b", words="\ud800?")
    assert () == store.listings("job", limit=0)


def test_listings_are_the_same_when_made_anew(lasting_place):
    """From the records alone, by a program that says other things of them."""
    store = open_store(lasting_place)
    fill(store)
    kinds = ("job", "bow", "set", "build")
    before = [store.listings(kind) for kind in kinds]
    assert isinstance(store, SqlStore)
    with store._writing() as connection:
        connection.exec_driver_sql("DELETE FROM listing WHERE kind IN ('version', 'job')")
        connection.exec_driver_sql("UPDATE listing SET status = 'odd'")
    store.close()
    again = open_store(lasting_place)
    assert before == [again.listings(kind) for kind in kinds]
    again.close()


def test_a_backup_carries_logs_and_blobs(store, tmp_path):
    """Into any other store, with listings that say the same."""
    fill(store)
    store.write([Begin(a_log()), Append(a_log().id, [a_note("counter")]), KeepBlob(a_blob())])
    other = open_store("memory:")
    other.take_in(store.contents())
    assert list(store.contents()) == list(other.contents())
    assert store.blob(a_blob().id) == other.blob(a_blob().id)
    for kind in ("job", "bow", "build"):
        assert store.listings(kind) == other.listings(kind)
