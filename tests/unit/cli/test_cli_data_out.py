"""Commands that take data out and in: backups in a folder, drill, CSV, builds without names."""

from __future__ import annotations

import csv
import json
import os
import stat
from pathlib import Path

import pytest

from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import example as example_job
from strandwright.sheets import sheet_data
from strandwright.store.backups import state_of
from strandwright.store.open import open_store
from strandwright.store.rotation import backups_in

LIST = "name,phone,brand of car\r\nMara Holt,+49 30 1,old\r\n=Jon,,new\r\n"


@pytest.fixture
def records(tmp_path, monkeypatch):
    """Give a store with a job, named by the environment as a shop would."""
    place = tmp_path / "shop.sqlite3"
    store = open_store(str(place))
    desk = Desk(store, sheet=sheet_data)
    desk.add_job(tables_of(example_job("TARN-1")))
    desk.start("TARN-1", "0" * 31 + "1", "f" * 32, at="2026-03-02T09:00:00Z", by="bench 1")
    store.close()
    monkeypatch.setenv("STRANDWRIGHT_STORE", str(place))
    return str(place)


def customers(place):
    """Give the customers that are kept, by identity."""
    store = open_store(place)
    found = {document.id: document.table for document in store.documents("customer")}
    store.close()
    return found


def test_backups_into_a_folder_make_room(run, records):
    """Named by their moment, read back; the rule is said, and files of other names stay."""
    Path("b").mkdir()
    for name in (
        "strandwright-20250101T000000Z.jsonl.gz",
        "strandwright-20240101T000000Z.jsonl.gz",
    ):
        assert 0 == run("backup", f"b/{name}").exit_code
    assert 0 == run("backup", "b/mine.jsonl.gz").exit_code
    said = run("backup", "--into", "b", "--keep-last", "1", "--monthly", "2")
    assert 0 == said.exit_code, said.stderr
    assert "4 records, read back to its end" in said.output
    assert "took away strandwright-20240101T000000Z.jsonl.gz" in said.output
    assert "kept are the newest and the newest of each of the last 2 months" in said.output
    assert 2 == len(backups_in(Path("b")))
    assert Path("b/mine.jsonl.gz").exists()


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ((), "must be a file, or a folder after --into"),
        (("b.jsonl", "--into", "."), "name one of the two"),
        (("b.jsonl", "--keep-last", "3"), "is a rule for a folder"),
        (("--into", ".", "--daily", "3"), "give --keep-last too"),
        (("--into", "none"), "must be a folder that is there"),
    ],
)
def test_half_of_what_is_needed_is_refused(run, records, arguments, words):
    """Exit code 2, in words; nothing is written."""
    said = run("backup", *arguments)
    assert (2, True) == (said.exit_code, words in said.stderr), said.stderr
    assert ["shop.sqlite3"] == os.listdir()


def test_a_drill_says_what_it_proved_and_is_noted(run, records):
    """Words, exit code 0; a spoilt backup ends with 5, and both are known afterwards."""
    run("backup", "b.jsonl")
    said = run("drill", "b.jsonl")
    assert 0 == said.exit_code, said.stderr
    assert "all 4 records came back the same" in said.output
    assert "The build of TARN-1 (00000000) opens: 1 event, next:" in said.output
    Path("b.jsonl").write_bytes(Path("b.jsonl").read_bytes()[:-20])
    said = run("drill", "b.jsonl")
    assert 5 == said.exit_code
    assert "cannot be restored" in said.output
    assert "take another backup" in said.stderr
    store = open_store(records)
    drill = state_of(store).drill
    store.close()
    assert drill is not None
    assert "failed" == drill.proved


def test_a_drill_leaves_an_empty_store_empty(run, records):
    """After a disk was lost the new store is still to be restored into."""
    run("backup", "b.jsonl")
    said = run("drill", "b.jsonl", "--store", "fresh.sqlite3")
    assert 0 == said.exit_code
    assert "nothing was compared" in said.output
    assert 0 == run("restore", "b.jsonl", "--store", "fresh.sqlite3").exit_code


def test_everything_goes_out_as_csv(run, records):
    """Into a folder that is made, private; again over itself, never over other files."""
    said = run("csv", "out", "--units", "mm")
    assert 0 == said.exit_code, said.stderr
    assert {"README.txt", "jobs.csv", "builds.csv"} <= set(os.listdir("out"))
    assert not [name for name in os.listdir("out") if name.startswith(".")]
    with open("out/builds.csv", encoding="utf-8", newline="") as file:
        (build,) = csv.DictReader(file)
    assert "TARN-1" == build["job"]
    if os.name != "nt":
        assert 0o600 == stat.S_IMODE(os.stat("out/jobs.csv").st_mode)
    assert 0 == run("csv", "out").exit_code
    Path("mine").mkdir()
    Path("mine/customers.csv").write_text("mine", encoding="utf-8")
    said = run("csv", "mine")
    assert 2 == said.exit_code
    assert "holds other files" in said.stderr
    assert ["customers.csv"] == os.listdir("mine")
    assert 2 == run("csv", "none/out").exit_code


def test_a_list_is_looked_at_and_kept_only_when_asked_to(run, records):
    """The same report twice; with --keep it is kept; a third time all is the same."""
    Path("list.csv").write_text(LIST, encoding="utf-8", newline="")
    arguments = ("csv-import", "list.csv", "--kind", "customers")
    looked = run(*arguments)
    assert 0 == looked.exit_code, looked.stderr
    assert "row 2: new, Mara Holt (mara-holt)" in looked.output
    assert "left out, for nothing here is called so: brand of car" in looked.output
    assert looked.output.endswith("nothing was kept; give --keep to keep it\n")
    assert {} == customers(records)
    assert run(*arguments, "--keep").output.endswith("kept 2 records\n")
    assert {"mara-holt", "jon"} == set(customers(records))
    assert "=Jon" == customers(records)["jon"]["name"]
    assert run(*arguments, "--keep").output.endswith("nothing to be kept\n")


def test_a_refused_row_keeps_all_out(run, records):
    """Exit code 2; row, column, value, rule and remedy; nothing of the file is kept."""
    text = "name,put_away\r\nMara Holt,no\r\nJon,perhaps\r\nMara Holt,\r\n"
    Path("list.csv").write_text(text, encoding="utf-8", newline="")
    said = run("csv-import", "list.csv", "--kind", "customers", "--keep")
    assert 2 == said.exit_code
    assert "row 3: refused, Jon (jon)" in said.output
    assert "put_away: 'perhaps': must be yes or no; write yes or no" in said.output
    assert "id: 'mara-holt': stands in row 2 already" in said.output
    assert {} == customers(records)


def test_columns_are_renamed_by_option(run, records):
    """Another program's headers; one that is not there, or no column here, is told."""
    Path("list.csv").write_text("Who\r\nMara\r\n", encoding="utf-8", newline="")
    arguments = ("csv-import", "list.csv", "--kind", "customers", "--map")
    assert 0 == run(*arguments, "Who=name", "--keep").exit_code
    assert {"mara"} == set(customers(records))
    for pair, words in (
        ("Whom=name", "must be a header of the file"),
        ("Who=nickname", "must be a column that is known here"),
        ("Who", "an equals sign"),
    ):
        said = run(*arguments, pair)
        assert (2, True) == (said.exit_code, words in said.stderr), said.stderr


def test_what_is_no_list_is_told(run, records):
    """Another encoding, no file, a picture: exit code 2 in words."""
    Path("latin.csv").write_bytes("name\r\nJos\xe9\r\n".encode("latin-1"))
    Path("picture.csv").write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(range(256)))
    for name, words in (
        ("latin.csv", "line 2 is not"),
        ("picture.csv", "must be UTF-8"),
        ("none.csv", "must be a file that can be read"),
    ):
        said = run("csv-import", name, "--kind", "bows")
        assert (2, True) == (said.exit_code, words in said.stderr), said.stderr


def test_builds_go_out_without_names(run, records):
    """One file; neither the job's name nor its identity is in it."""
    said = run("builds-out", "builds.json")
    assert (0, "wrote builds.json: 1 build, without names\n") == (said.exit_code, said.output)
    text = Path("builds.json").read_text("utf-8")
    assert 1 == len(json.loads(text)["builds"])
    job = example_job("TARN-1")
    for word in ("TARN", job.name, job.bench.name, "bench 1", "2026-03"):
        assert word not in text
    assert 2 == run("builds-out", "builds.txt").exit_code
