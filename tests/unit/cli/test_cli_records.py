"""The commands that carry records: backup, restore, export, import."""

from __future__ import annotations

import json
import os
import sys
from pathlib import Path

import pytest

from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import example as example_job
from strandwright.sheets import sheet_data
from strandwright.store.open import open_store

BUILD = "0" * 31 + "1"
ON_LINUX = pytest.mark.skipif(not Path("/dev/zero").exists(), reason="it has no such device")


@pytest.fixture
def records(tmp_path, monkeypatch):
    """Give a store with a job and its build, named by the environment as a shop would."""
    place = tmp_path / "shop.sqlite3"
    store = open_store(str(place))
    desk = Desk(store, sheet=sheet_data)
    desk.add_job(tables_of(example_job("TARN-1")))
    desk.add_job(tables_of(example_job("MERE-1")))
    desk.start("TARN-1", BUILD, "f" * 32, at="2026-03-02T09:00:00Z", by="bench 1")
    store.close()
    monkeypatch.setenv("STRANDWRIGHT_STORE", str(place))
    return str(place)


def held(place):
    """Give everything a store holds."""
    store = open_store(str(place))
    found = list(store.contents())
    store.close()
    return found


@pytest.mark.parametrize("name", ["b.jsonl", "b.jsonl.gz"])
def test_a_backup_is_restored_elsewhere(run, records, name):
    """One file out, and an equal store from it."""
    said = run("backup", name)
    assert (0, f"wrote {name}: 5 records\n") == (said.exit_code, said.output)
    said = run("restore", name, "--store", "fresh.sqlite3")
    assert (0, f"restored 5 records from {name}\n") == (said.exit_code, said.output)
    assert held(records) == held("fresh.sqlite3")


def test_restoring_over_records_is_refused(run, records):
    """The store named by the environment is not empty: exit code 5, nothing changed."""
    run("backup", "b.jsonl")
    before = held(records)
    said = run("restore", "b.jsonl")
    assert 5 == said.exit_code
    assert "holds records already" in said.stderr
    assert before == held(records)


def test_what_is_no_backup_is_told(run, records):
    """Exit code 2, the file and what to do; no traceback."""
    Path("job.toml").write_text('id = "A"\n', encoding="utf-8")
    for name in ("job.toml", "none.jsonl"):
        said = run("restore", name, "--store", "fresh.sqlite3")
        assert 2 == said.exit_code
        assert said.stderr.startswith(f"{name}: ")
        assert [] == held("fresh.sqlite3")
    assert 2 == run("backup", "job.toml").exit_code
    assert 'id = "A"\n' == Path("job.toml").read_text(encoding="utf-8")


def test_a_store_that_cannot_be_opened_is_told(run, records):
    """Exit code 5 from each of the commands, in words."""
    Path("x.toml").write_text(Path(records).name, encoding="utf-8")
    Path("TARN-1.toml").write_bytes(b"")
    for arguments in (("backup", "b"), ("restore", "b"), ("export", "A")):
        said = run(*arguments, "--store", "none/here.sqlite3")
        assert 5 == said.exit_code
        assert "its folder is not there" in said.stderr
    assert not Path("b").exists()


def test_a_job_and_its_builds_go_as_open_files(run, records):
    """Out of one store, into another, where they are the same."""
    Path("out").mkdir()
    said = run("export", "TARN-1", "--into", "out")
    assert 0 == said.exit_code
    assert {"TARN-1.toml", "TARN-1-00000000.json"} == set(os.listdir("out"))
    assert 0 == run("check", "out/TARN-1.toml").exit_code
    files = [str(Path("out") / name) for name in sorted(os.listdir("out"))]
    for _ in range(2):
        said = run("import", *files, "--store", "fresh.sqlite3")
        assert f"kept build {BUILD}\nkept job TARN-1\n" == said.output
    kept = [t for t in held(records) if t.get("id") != "MERE-1"]
    fresh = held("fresh.sqlite3")
    for tables in (kept, fresh):
        for table in tables:
            table.pop("saved_at", None)
    assert kept == fresh


def test_a_build_alone_goes_by_its_identity(run, records):
    """Only its own file is written."""
    said = run("export", BUILD)
    assert "wrote TARN-1-00000000.json\n" == said.output
    assert BUILD == json.loads(Path("TARN-1-00000000.json").read_text("utf-8"))["build"]["id"]


def test_what_is_not_kept_cannot_be_exported(run, records):
    """Exit code 5; nothing of the rest is written."""
    said = run("export", "TARN-1", "NONE-1")
    assert 5 == said.exit_code
    assert "no job 'NONE-1' is kept here" in said.stderr
    assert ["shop.sqlite3"] == os.listdir()


def test_one_file_that_cannot_be_kept_keeps_the_others_out(run, records):
    """A job with other content, a build changed by hand, a file that is neither."""
    run("export", "TARN-1")
    run("export", "MERE-1")
    build = json.loads(Path("TARN-1-00000000.json").read_text("utf-8"))
    build["events"][0]["by"] = "changed"
    Path("changed.json").write_text(json.dumps(build), encoding="utf-8")
    job = Path("TARN-1.toml").read_text("utf-8").replace("name = ", 'customer = "x"\nname = ', 1)
    Path("changed.toml").write_text(job, encoding="utf-8")
    for name, content in (("list.json", "[1]"), ("no.json", "{"), ("deep.json", "[" * 99_999)):
        Path(name).write_text(content, encoding="utf-8")
    run("import", "TARN-1.toml", "TARN-1-00000000.json", "--store", "fresh.sqlite3")
    before = held("fresh.sqlite3")
    for name, code in (
        ("changed.json", 5),
        ("changed.toml", 5),
        ("list.json", 2),
        ("no.json", 2),
        ("deep.json", 2),
        ("none.json", 2),
        ("none.toml", 2),
    ):
        said = run("import", "MERE-1.toml", name, "--store", "fresh.sqlite3")
        assert code == said.exit_code, name
        assert "Traceback" not in said.stderr
        assert before == held("fresh.sqlite3")
    assert 0 == run("import", "MERE-1.toml", "--store", "fresh.sqlite3").exit_code


def test_an_import_names_the_file_and_the_place_in_it(run, records):
    """Of several files the one that is meant is named, with the field."""
    run("export", BUILD)
    build = json.loads(Path("TARN-1-00000000.json").read_text("utf-8"))
    build["plan"]["made_at"] = "noon"
    Path("odd.json").write_text(json.dumps(build), encoding="utf-8")
    said = run("import", "TARN-1-00000000.json", "odd.json")
    assert said.stderr.startswith("odd.json: plan.made_at: 'noon': must be a moment")


@ON_LINUX
def test_an_endless_file_is_refused_soon(run, records):
    """A device that never ends is not read for ever."""
    os.symlink("/dev/zero", "zero.json")
    said = run("import", "zero.json")
    assert 2 == said.exit_code
    assert "must be under 20 MB" in said.stderr
    os.symlink("/dev/zero", "zero.jsonl")
    said = run("restore", "zero.jsonl", "--store", "fresh.sqlite3")
    assert 2 == said.exit_code


def test_asking_for_help_opens_no_store(run, records, monkeypatch):
    """The database library is loaded when a store is opened, not to show what there is."""
    monkeypatch.setitem(sys.modules, "strandwright.store.open", None)
    for name in ("backup", "restore", "export", "import"):
        assert 0 == run(name, "--help").exit_code
