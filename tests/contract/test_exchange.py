"""Exchange: jobs and builds out of one store and into another, all of them or none."""

from __future__ import annotations

import copy
import json
from pathlib import Path

import pytest
from kept_things import AT, a_note

from strandwright.errors import Conflict, InputError, InputErrors
from strandwright.planning.desk.advice_data import advice_data
from strandwright.planning.desk.builds import Desk
from strandwright.planning.desk.exchange import build_table, read_build, take_in, take_in_build
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import example
from strandwright.sheets import sheet_data
from strandwright.store.memory import MemoryStore
from strandwright.workshop.happenings import bench, every, service
from strandwright.workshop.job import read_job, write_job

PAGE = Path(__file__).parents[2] / "docs" / "reference" / "build-file.md"
BUILD, OTHER = "0" * 31 + "1", "0" * 31 + "2"
EVENT = "f" * 32


@pytest.fixture(scope="module")
def source():
    """Give a store with a job whose build has gone some way."""
    store = MemoryStore()
    desk = Desk(store, sheet=sheet_data)
    desk.add_job(tables_of(example("TARN-1")))
    desk.start("TARN-1", BUILD, EVENT, at="2026-03-02T09:00:00Z", by="bench 1")
    store.append(BUILD, [a_note("one"), a_note("two"), a_note("Grön älv")])
    return store


@pytest.fixture
def table(source):
    """Give the build's file as another program would read it."""
    return json.loads(json.dumps(build_table(source, BUILD)))


def held(store):
    """Give everything a store holds and its mark."""
    return store.mark(), list(store.contents())


def test_a_build_goes_whole_from_store_to_store(store, source, table):
    """Head, plan with its sheet, and every event in its place."""
    assert BUILD == take_in_build(store, table)
    assert source.build(BUILD) == store.build(BUILD)
    assert source.plans() == store.plans()
    assert source.events(BUILD) == store.events(BUILD)
    assert table == json.loads(json.dumps(build_table(store, BUILD)))


def test_taken_in_twice_it_is_one(store, table):
    """Nothing changes the second time."""
    take_in_build(store, table)
    before = held(store)
    take_in_build(store, table)
    assert before == held(store)


def test_a_longer_log_goes_on_from_a_shorter_one(store, table):
    """The further events are kept; the shorter file taken in again changes nothing."""
    shorter = {**table, "events": table["events"][:2]}
    take_in_build(store, shorter)
    take_in_build(store, table)
    before = held(store)
    take_in_build(store, shorter)
    assert before == held(store)
    assert 4 == len(store.events(BUILD))


def changed(table, *path, to):
    """Give the table with one entry changed."""
    other = copy.deepcopy(table)
    inside = other
    for key in path[:-1]:
        inside = inside[key]
    inside[path[-1]] = to
    return other


def test_other_content_is_refused_and_nothing_is_kept(store, table):
    """Of a build, its plan or an event: a conflict, whichever came first."""
    take_in_build(store, table)
    before = held(store)
    moved = changed(table, "build", "id", to=OTHER)
    other_job = changed(changed(table, "build", "job_id", to="X"), "plan", "job_id", to="X")
    for other in (
        changed(table, "events", 1, "body", "text", to="changed"),
        changed(table, "events", 1, "id", to="a" * 32),
        {**table, "events": [{**table["events"][0], "id": "b" * 32}]},
        other_job,
        moved,
        changed(changed(table, "build", "plan_id", to="p9"), "plan", "id", to="p9"),
        changed(table, "plan", "model_version", to=99),
    ):
        with pytest.raises(Conflict):
            take_in_build(store, other)
        assert before == held(store)


def test_what_is_no_build_is_refused_and_nothing_is_kept(store, table):
    """Another format, lacking or odd fields, gaps, doubles, events of a newer program."""
    events = table["events"]
    for other in (
        {},
        changed(table, "format", to=2),
        changed(table, "format", to=True),
        {k: v for k, v in table.items() if k != "plan"},
        changed(table, "build", to=[]),
        changed(table, "build", "id", to="x"),
        changed(table, "build", "id", to=["x"]),
        changed(table, "build", "began_at", to="noon"),
        changed(table, "build", "more", to=1),
        changed(table, "plan", "id", to="p9"),
        changed(table, "plan", "job", to={"id": "TARN-1"}),
        changed(table, "plan", "sheet", to="x"),
        changed(table, "plan", "sheet", to={"a": "b\0"}),
        changed(table, "plan", "model_version", to="1"),
        changed(table, "events", to="x"),
        changed(table, "events", to=["x"]),
        changed(table, "events", to=events[1:]),
        changed(table, "events", to=[*events, {**events[-1], "seq": 5}]),
        changed(table, "events", 2, "seq", to="3"),
        changed(table, "events", 2, "version", to=99),
        changed(table, "events", 2, "body", to={"text": ""}),
        changed(table, "events", 2, "body", "text", to="\ud800"),
    ):
        with pytest.raises((InputError, InputErrors)):
            take_in_build(store, other)
        assert (0, []) == held(store)


def test_a_job_goes_as_its_open_file(store, source):
    """Written as TOML and read again it is the same job; twice it is one."""
    text = write_job(Desk(source).job("TARN-1").job)
    for _ in range(2):
        take_in(store, [read_job(text)], [], at=AT)
    assert [1] == [d.revision for d in store.revisions("job", "TARN-1")]
    assert source.document("job", "TARN-1").table == store.document("job", "TARN-1").table


def test_a_job_that_has_gone_on_here_is_left_as_it_is(store):
    """An older copy of it is known; other content is refused and the rest with it."""
    job = example("TARN-1")
    take_in(store, [job], [], at=AT)
    now = tables_of(job.model_copy(update={"name": "changed here"}))
    store.save("job", "TARN-1", now, at=AT, expected=1)
    before = held(store)
    take_in(store, [job], [], at=AT)
    assert before == held(store)
    elsewhere = job.model_copy(update={"name": "changed elsewhere"})
    with pytest.raises(Conflict, match="kept already with other content"):
        take_in(store, [example("MERE-1"), elsewhere], [], at=AT)
    assert before == held(store)


def test_files_that_do_not_agree_bring_in_nothing(store, table):
    """Two jobs of one id, two logs of one build, one event in two builds, each in one go."""
    job = example("TARN-1")
    moved = read_build(changed(table, "build", "id", to=OTHER))
    apart = read_build(changed(table, "events", 2, "body", "text", to="changed"))
    for jobs, builds in (
        ([job, job.model_copy(update={"name": "other"})], []),
        ([job], [read_build(table), moved]),
        ([job], [read_build(table), apart]),
    ):
        with pytest.raises(Conflict):
            take_in(store, jobs, builds, at=AT)
        assert (0, []) == held(store)
    odd = changed({**table, "events": []}, "build", "id", to=OTHER)
    with pytest.raises(InputError):
        odd_build = read_build(changed(odd, "plan", "sheet", to={"a": "b\0"}))
        take_in(store, [job], [read_build(table), odd_build], at=AT)
    assert (0, []) == held(store)
    shorter = read_build({**table, "events": table["events"][:1]})
    take_in(store, [job, job], [shorter, read_build(table), shorter], at=AT)
    assert 4 == len(store.events(BUILD))


def test_the_page_tells_of_every_field_and_event(table):
    """No name stands in the file that its page does not explain."""
    page = PAGE.read_text(encoding="utf-8")
    names = {*table, *table["build"], *table["plan"], *table["events"][0]}
    bodies = bench.BODIES | every.BODIES | service.ENTRIES
    names |= set(bodies)
    for noun in bodies.values():
        names |= set(noun.model_fields)
    assert [] == sorted(name for name in names if f"`{name}`" not in page)


def test_a_build_taken_in_can_be_gone_on_with(store, source, table):
    """The advice at the jig is what it was where the build came from."""
    take_in_build(store, table)
    there, here = (Desk(s, sheet=sheet_data).advice(BUILD) for s in (source, store))
    assert advice_data(BUILD, there) == advice_data(BUILD, here)
