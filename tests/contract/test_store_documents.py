"""Documents and plans: a further revision each time, none lost, none written twice."""

from __future__ import annotations

import pytest
from kept_things import AT, LATER, a_plan

from strandwright.errors import Conflict, InputError, NotFound


def test_a_document_comes_back_as_it_was_saved(store):
    """Every plain value survives: texts, numbers of both kinds, none, true, lists, tables."""
    table = {"a": "57 1/4 in", "b": 3, "c": 3.0, "d": None, "e": [True, {"f": -0.1}], "g": {}}
    kept = store.save("job", "RIDGE-1", table, at=AT, expected=0)
    again = store.document("job", "RIDGE-1")
    assert kept == again
    assert (1, AT, False) == (again.revision, again.saved_at, again.put_away)
    assert repr(table) == repr(again.table)


def test_a_change_is_a_further_revision_and_the_old_one_stays(store):
    """The newest is given unless told which; each old revision is as it was."""
    for revision in range(3):
        store.save("bench", "home", {"n": revision}, at=AT, expected=revision)
    assert 3 == store.document("bench", "home").revision
    assert {"n": 0} == store.document("bench", "home", 1).table
    assert [1, 2, 3] == [d.revision for d in store.revisions("bench", "home")]
    assert [{"n": 0}, {"n": 1}, {"n": 2}] == [d.table for d in store.revisions("bench", "home")]


def test_a_repeated_save_is_harmless(store):
    """The same content again gives the revision there is, whatever was expected, at any time."""
    first = store.save("job", "RIDGE-1", {"a": 1, "b": {"c": 2, "d": 3}}, at=AT, expected=0)
    mark = store.mark()
    for expected in (0, 1, 7):
        again = store.save(
            "job", "RIDGE-1", {"b": {"d": 3, "c": 2}, "a": 1}, at=LATER, expected=expected
        )
        assert first == again
    assert mark == store.mark()


def test_one_and_one_point_nought_are_two_contents(store):
    """A number that is written otherwise is a change, so that a file comes back as typed."""
    store.save("job", "RIDGE-1", {"a": 1}, at=AT, expected=0)
    assert 2 == store.save("job", "RIDGE-1", {"a": 1.0}, at=AT, expected=1).revision
    assert 3 == store.save("job", "RIDGE-1", {"a": True}, at=AT, expected=2).revision


@pytest.mark.parametrize("expected", [0, 1, 3, -1])
def test_a_change_made_on_an_older_revision_is_refused(store, expected):
    """Nobody writes over what another wrote in the meantime; the error says what to do."""
    store.save("job", "RIDGE-1", {"n": 1}, at=AT, expected=0)
    store.save("job", "RIDGE-1", {"n": 2}, at=AT, expected=1)
    with pytest.raises(Conflict, match="revision 2 is kept; look at the newest revision"):
        store.save("job", "RIDGE-1", {"n": 3}, at=AT, expected=expected)
    assert [{"n": 1}, {"n": 2}] == [d.table for d in store.revisions("job", "RIDGE-1")]


def test_a_new_document_follows_none(store):
    """A revision that follows one which is not there is refused, and nothing is kept."""
    with pytest.raises(Conflict, match="taken from revision 1, and none is kept"):
        store.save("job", "RIDGE-1", {}, at=AT, expected=1)
    assert () == store.revisions("job", "RIDGE-1")


def test_a_document_is_put_away_and_taken_up_again(store):
    """Putting away is a revision too, with the same table; so is taking it up again."""
    store.save("bow", "ridge", {"n": 1}, at=AT, expected=0)
    store.save("bow", "ridge", {"n": 1}, at=AT, expected=1, put_away=True)
    store.save("bow", "ridge", {"n": 1}, at=AT, expected=2)
    assert [False, True, False] == [d.put_away for d in store.revisions("bow", "ridge")]


def test_kinds_do_not_meet(store):
    """A bow and a bench of one identity are two documents."""
    store.save("bow", "same", {"what": "bow"}, at=AT, expected=0)
    store.save("bench", "same", {"what": "bench"}, at=AT, expected=0)
    assert {"what": "bow"} == store.document("bow", "same").table
    assert {"what": "bench"} == store.document("bench", "same").table


def test_documents_are_listed_by_identity_newest_revision_first_of_all_letters(store):
    """One of each, those put away too, in one order on every store: capitals, then small."""
    for id in ("b", "a.1", "B", "a-1", "a_1", "10", "9"):
        store.save("job", id, {"n": 1}, at=AT, expected=0)
    store.save("job", "a.1", {"n": 2}, at=AT, expected=1, put_away=True)
    store.save("bow", "ridge", {}, at=AT, expected=0)
    listed = store.documents("job")
    assert ["10", "9", "B", "a-1", "a.1", "a_1", "b"] == [d.id for d in listed]
    assert [2] == [d.revision for d in listed if d.put_away]


def test_what_is_not_kept_is_not_found(store):
    """The error names kind and identity, and is a lookup error."""
    store.save("job", "RIDGE-1", {}, at=AT, expected=0)
    for id, revision in (("RIDGE-2", None), ("RIDGE-1", 2), ("RIDGE-1", 0), ("RIDGE-1", 2**70)):
        with pytest.raises(NotFound, match=f"no job '{id}' is kept"):
            store.document("job", id, revision)
    assert () == store.revisions("job", "RIDGE-2") == store.documents("take-off")


@pytest.mark.parametrize("id", ["", "a b", "-a", "a/b", "a" * 41, "ä", "a\0b", "a\n", "\ud800", 7])
def test_an_identity_that_cannot_be_is_refused_and_never_found(store, id):
    """It is refused on writing and simply not there on reading, alike on every store."""
    with pytest.raises(InputError, match="must be 1 to 40 letters, digits"):
        store.save("job", id, {}, at=AT, expected=0)
    for ask in (lambda: store.document("job", id), lambda: store.plan(id), lambda: store.build(id)):
        with pytest.raises(NotFound):
            ask()
    assert () == store.revisions("job", id) == store.plans(id) == store.builds(id)


def test_a_kind_that_is_not_known_is_refused(store):
    """A word that is no kind of document is no empty list."""
    for ask in (
        lambda: store.save("arrow", "a", {}, at=AT, expected=0),
        lambda: store.documents("arrow"),
        lambda: store.revisions("arrow", "a"),
        lambda: store.document("arrow", "a"),
    ):
        with pytest.raises(InputError, match="must be one of bench, bow, take-off, job"):
            ask()


def test_a_moment_that_cannot_be_is_refused(store):
    """What would sort nowhere is not kept as a moment."""
    for at in ("", "noon", "2026-11-25 13:00", None):
        with pytest.raises(InputError, match=r"job\.saved_at"):
            store.save("job", "a", {}, at=at, expected=0)


def test_nobody_holds_what_is_kept(store):
    """A table that is changed after it was saved or read changes nothing in the store."""
    table = {"list": [1]}
    store.save("job", "a", table, at=AT, expected=0).table["list"].append(2)
    table["list"].append(3)
    store.document("job", "a").table["list"].append(4)
    assert {"list": [1]} == store.document("job", "a").table


def test_a_plan_is_kept_once(store):
    """The same plan kept again stays as it was."""
    store.keep_plan(a_plan(sheet_number=1))
    mark = store.mark()
    store.keep_plan(a_plan(made_at=LATER, sheet_number=2))
    assert a_plan(sheet_number=1) == store.plan("p1")
    assert mark == store.mark()


def test_a_plan_of_another_job_is_not_taken_for_it(store):
    """Two jobs whose plans came to one identity are told apart, not mixed."""
    store.keep_plan(a_plan())
    with pytest.raises(Conflict, match="another job or model version"):
        store.keep_plan(a_plan(job_id="TARN-1"))
    assert a_plan() == store.plan("p1")


def test_plans_are_listed_oldest_first_and_by_job(store):
    """By the moment they were made, then by identity."""
    for id, job, at in (("z", "A", AT), ("b", "B", LATER), ("a", "A", LATER), ("y", "A", AT)):
        store.keep_plan(a_plan(id, job, at))
    assert ["y", "z", "a", "b"] == [p.id for p in store.plans()]
    assert ["y", "z", "a"] == [p.id for p in store.plans("A")]
    assert () == store.plans("C")


def test_a_plan_keeps_the_order_of_its_keys(store):
    """A sheet prints again unchanged, its rows in the order they had."""
    store.keep_plan(a_plan(z=1, a=2, m=3))
    assert ["template", "z", "a", "m"] == list(store.plan("p1").sheet)
