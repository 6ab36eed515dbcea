"""Sets in every kind of store: kept with revisions, and again after the program was closed."""

from __future__ import annotations

import pytest

from strandwright.errors import Conflict, InputError, InputErrors, NotFound
from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import example
from strandwright.planning.sets.keeping import keep_set, kept_set, kept_sets, plan_kept
from strandwright.store.backup import back_up, restore
from strandwright.store.memory import MemoryStore
from strandwright.store.open import open_store

TABLE = {"id": "RIDGE", "name": "a", "lines": [{"job": "RIDGE-2"}, {"job": "RIDGE-3"}]}


@pytest.fixture
def desk(store) -> Desk:
    """Give a desk with two cables."""
    found = Desk(store)
    for id in ("RIDGE-2", "RIDGE-3"):
        found.add_job(tables_of(example(id)))
    return found


def test_a_set_is_kept_with_its_revisions(desk):
    """Each change a further one; a repeated one none."""
    assert 1 == keep_set(desk, TABLE, 0).document.revision
    assert 1 == keep_set(desk, TABLE, 0).document.revision
    assert 2 == keep_set(desk, TABLE | {"name": "b"}, 1).document.revision
    assert ["a", "b"] == [d.table["name"] for d in desk.store.revisions("set", "RIDGE")]
    assert ["b"] == [kept.line_set.name for kept in kept_sets(desk)]
    away = keep_set(desk, TABLE | {"name": "b"}, 2, put_away=True)
    assert kept_set(desk, "RIDGE").document == away.document


def test_a_set_of_that_id_is_not_written_over(desk):
    """Neither as a new one nor from an older revision."""
    keep_set(desk, TABLE, 0)
    with pytest.raises(Conflict, match="give this one another id"):
        keep_set(desk, TABLE | {"name": "b"}, 0)
    keep_set(desk, TABLE | {"name": "b"}, 1)
    with pytest.raises(Conflict):
        keep_set(desk, TABLE | {"name": "c"}, 1)
    with pytest.raises(NotFound, match="no set 'OTHER' is kept here"):
        kept_set(desk, "OTHER")


def test_a_set_of_jobs_that_are_not_kept_is_refused(desk):
    """Each is named, and nothing is kept."""
    with pytest.raises(InputError) as caught:
        keep_set(desk, TABLE | {"lines": [{"job": "RIDGE-2"}, {"job": "NONE"}]}, 0)
    assert "lines[2].job" == caught.value.field
    with pytest.raises(InputErrors):
        keep_set(desk, TABLE | {"lines": [{"job": "NO"}, {"job": "NONE"}]}, 0)
    assert () == kept_sets(desk)


def test_a_set_is_planned_alike_when_the_store_is_opened_again(lasting_place):
    """Set and jobs come back, and so do the answers."""
    told = []
    for n in range(2):
        store = open_store(lasting_place)
        desk = Desk(store)
        if n == 0:
            for id in ("RIDGE-2", "RIDGE-3"):
                desk.add_job(tables_of(example(id)))
            keep_set(desk, TABLE, 0)
        told.append(plan_kept(desk, kept_set(desk, "RIDGE").line_set))
        store.close()
    assert told[0].cut == told[1].cut
    assert told[0].orders == told[1].orders
    assert told[0].chance == told[1].chance


def test_a_backup_holds_the_sets(desk, tmp_path):
    """With every revision, into an empty store."""
    keep_set(desk, TABLE, 0)
    keep_set(desk, TABLE | {"name": "b"}, 1)
    back_up(desk.store, tmp_path / "all.jsonl.gz")
    empty = MemoryStore()
    restore(empty, tmp_path / "all.jsonl.gz")
    assert desk.store.revisions("set", "RIDGE") == empty.revisions("set", "RIDGE")
    assert 2 == len(empty.revisions("set", "RIDGE"))
