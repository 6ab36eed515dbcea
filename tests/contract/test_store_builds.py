"""Builds and their logs: all or none, each event once, places without a gap."""

from __future__ import annotations

from dataclasses import replace

import pytest
from kept_things import AT, LATER, a_head, a_note, a_plan, begun, digits, text_of

from strandwright.errors import Conflict, InputError, NotFound
from strandwright.workshop.events import Event, make_event
from strandwright.workshop.happenings.every import Noted


def test_a_build_begun_twice_is_one(store):
    """The head is as it was kept first."""
    store.keep_plan(a_plan())
    head = store.begin(a_head())
    mark = store.mark()
    assert head == store.begin(replace(a_head(), began_at=LATER))
    assert (head,) == store.builds()
    assert mark == store.mark()


def test_a_build_needs_its_plan(store):
    """A build by a plan that is not kept is refused."""
    with pytest.raises(NotFound, match="no plan 'p1'"):
        store.begin(a_head())
    assert () == store.builds()


def test_a_build_is_not_taken_for_another(store):
    """One identity with another plan or job is refused."""
    begun(store)
    store.keep_plan(a_plan("p2"))
    for other in (replace(a_head(), plan_id="p2"), replace(a_head(), job_id="TARN-1")):
        with pytest.raises(Conflict, match="another job or plan"):
            store.begin(other)
    assert (a_head(),) == store.builds()


def test_a_build_needs_an_identity_that_can_be(store):
    """32 hexadecimal digits, as every bench makes them."""
    store.keep_plan(a_plan())
    for id in ("", "first", "A" * 32, "a" * 31, "\0" * 32):
        with pytest.raises(InputError, match="32 hexadecimal digits"):
            store.begin(replace(a_head(), id=id))


def test_builds_are_listed_oldest_first_and_by_job(store):
    """By the moment they began, then by identity."""
    store.keep_plan(a_plan("p1", "A"))
    store.keep_plan(a_plan("p2", "B"))
    for id, plan, job, at in (("f", "p1", "A", AT), ("0", "p2", "B", LATER), ("e", "p2", "B", AT)):
        store.begin(replace(a_head(), id=id * 32, plan_id=plan, job_id=job, began_at=at))
    assert ["e", "f", "0"] == [b.id[0] for b in store.builds()]
    assert ["e", "0"] == [b.id[0] for b in store.builds("B")]


def test_events_come_back_in_their_order(store):
    """Places count from 1 without a gap; a reader may ask for what is behind a place."""
    build = begun(store)
    store.append(build, [a_note("a"), a_note("b")])
    store.append(build, [a_note("c")])
    log = store.events(build)
    assert [(1, a_note("a")), (2, a_note("b")), (3, a_note("c"))] == [(s.seq, s.event) for s in log]
    assert log[2:] == store.events(build, after=2)
    assert log == store.events(build, after=-5)
    assert () == store.events(build, after=3) == store.events(build, after=2**80)


def test_an_event_sent_again_keeps_its_place(store):
    """A reply that was lost may be asked for again: alone, in a batch, twice in one batch."""
    build = begun(store)
    first = store.append(build, [a_note("a"), a_note("b")])
    mark = store.mark()
    assert first == store.append(build, [a_note("a"), a_note("b")])
    assert mark == store.mark()
    mixed = store.append(build, [a_note("c"), a_note("a"), a_note("c"), a_note("d")])
    assert [3, 1, 3, 4] == [s.seq for s in mixed]
    assert [1, 2, 3, 4] == [s.seq for s in store.events(build)]


def test_an_event_with_other_content_is_refused_with_all_that_came_along(store):
    """An event never changes: all of a batch is kept, or none."""
    build = begun(store)
    store.append(build, [a_note("a")])
    mark = store.mark()
    for batch in (
        [a_note("b"), a_note("a", "other")],
        [a_note("b"), a_note("a", by="bench 2")],
        [a_note("b"), a_note("b", "other")],
        [a_note("b"), replace(a_note("a"), at=LATER)],
    ):
        with pytest.raises(Conflict, match="other content or in another log"):
            store.append(build, batch)
    assert [a_note("a")] == [s.event for s in store.events(build)]
    assert mark == store.mark()


def test_an_event_belongs_to_one_build(store):
    """The same event in another log is refused."""
    first, second = begun(store), begun(store, "second")
    store.append(first, [a_note("a")])
    with pytest.raises(Conflict, match="in another log"):
        store.append(second, [a_note("b"), a_note("a")])
    assert () == store.events(second)


def test_places_count_for_each_build_alone(store):
    """Two logs do not mix."""
    first, second = begun(store), begun(store, "second")
    for n in range(3):
        store.append(first, [a_note(f"1.{n}")])
        store.append(second, [a_note(f"2.{n}")])
    assert [1, 2, 3] == [s.seq for s in store.events(first)]
    assert ["2.0", "2.1", "2.2"] == [text_of(s.event) for s in store.events(second)]


def test_a_build_that_is_not_kept_takes_no_event(store):
    """Nothing is written for it, and it has no empty log."""
    for build in (digits("none"), "", "\0", "x" * 1000):
        with pytest.raises(NotFound, match="no log"):
            store.append(build, [a_note("a")])
        with pytest.raises(NotFound, match="no log"):
            store.append(build, [])
        with pytest.raises(NotFound, match="no log"):
            store.events(build)
    assert 0 == store.mark()


def test_no_events_are_no_change(store):
    """An empty batch is kept at once."""
    build = begun(store)
    mark = store.mark()
    assert () == store.append(build, [])
    assert mark == store.mark()


def test_an_event_that_could_not_be_read_again_is_refused(store):
    """One made past the rules never gets in, and nothing of its batch."""
    build = begun(store)
    good = a_note("a")
    for bad in (
        Event(digits("b"), "noted", "noon", "", Noted(text="x")),
        Event("short", "noted", AT, "", Noted(text="x")),
        Event(digits("b"), "noted", AT, "b" * 61, Noted(text="x")),
        Event(digits("b"), "noted", AT, "", Noted.model_construct(text="")),
    ):
        with pytest.raises(InputError):
            store.append(build, [good, bad])
    assert () == store.events(build)


def test_a_large_batch_is_kept_whole(store):
    """More events than one statement of a database takes."""
    build = begun(store)
    batch = [a_note(f"n{n}") for n in range(1500)]
    store.append(build, batch)
    again = store.append(build, [*batch, a_note("last")])
    assert list(range(1, 1502)) == [s.seq for s in again] == [s.seq for s in store.events(build)]


def test_every_type_of_event_comes_back(store):
    """Quantities come back as they were typed, fractions and all."""
    build = begun(store)
    made = [
        make_event(digits("1"), "posts-set", {"outside": "57 3/16 in +- 1/32"}, at=AT),
        make_event(digits("2"), "step-done", {"step": "stretch", "load": "300 lbf"}, at=AT),
        make_event(digits("3"), "withdrawn", {"event": digits("1"), "why": "misread"}, at=AT),
    ]
    store.append(build, made)
    assert made == [s.event for s in store.events(build)]


def test_the_mark_grows_with_every_change(store):
    """Whoever looks at the mark sees that something is new, whatever it is."""
    marks = [store.mark()]
    for change in (
        lambda: store.save("job", "a", {}, at=AT, expected=0),
        lambda: store.keep_plan(a_plan()),
        lambda: store.begin(a_head()),
        lambda: store.append(a_head().id, [a_note("a"), a_note("b")]),
        lambda: store.save("job", "a", {}, at=AT, expected=1, put_away=True),
    ):
        change()
        marks.append(store.mark())
    assert sorted(set(marks)) == marks
