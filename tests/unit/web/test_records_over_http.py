"""Records over HTTP: backups and drills, files out, and lists in after they were looked at."""

from __future__ import annotations

import csv
import io
import zipfile

import pytest
from behind_door import Shop

from strandwright.store.backups import this_computer
from strandwright.store.rotation import backups_in
from strandwright.web.records import MOST_TOLD

LIST = "name,phone\r\nMara Holt,+49 30 1\r\nJon of the mill,\r\n"


def terms(client, folder, **more):
    """Say where backups go."""
    revision = client.get("/api/records").json()["revision"]
    body = {"revision": revision, "terms": {"folder": str(folder), **more}}
    return client.put("/api/records/backups", json=body)


def test_before_anything_was_said_the_answer_says_so(client):
    """No terms, no backup, no drill; what is usual stands there to begin with."""
    found = client.get("/api/records").json()
    assert (None, None, None, None) == tuple(found[k] for k in ("terms", "good", "failed", "drill"))
    assert (24, 10) == (found["usual"]["every_hours"], found["usual"]["keep_last"])
    refused = client.post("/api/records/backups/now", json={})
    assert 422 == refused.status_code
    assert "say where backups go" in refused.json()["said"]
    assert client.get("/api/records").json()["is_failing"]


def test_a_backup_is_taken_and_drilled(client, ridge, tmp_path):
    """Terms, one taken now, one drilled now; the answer says when each was."""
    found = terms(client, tmp_path, every_hours=6).json()
    assert (this_computer(), True) == (found["computer"], found["is_here"])
    assert "newest of each of the last 7 days" in found["rule"]
    found = client.post("/api/records/backups/now", json={}).json()
    (one,) = backups_in(tmp_path)
    assert one.path.name == found["good"]["file"] == found["files"][0]["name"]
    assert found["files"][0]["bytes"] == one.path.stat().st_size
    assert found["good"]["at"] < found["next_at"]
    found = client.post(f"/api/records/backups/{one.path.name}/drill", json={}).json()
    assert "proved" == found["drill"]["proved"]
    assert any("came back the same" in line for line in found["drill"]["said"])
    assert ridge


def test_a_backup_that_is_not_in_the_folder_is_not_drilled(client, tmp_path):
    """A name that is none, and one that would lead elsewhere."""
    terms(client, tmp_path)
    name = "strandwright-20260302T090000Z.jsonl.gz"
    assert 404 == client.post(f"/api/records/backups/{name}/drill", json={}).status_code
    for other in ("x.jsonl", "..%2F" + name):
        answer = client.post(f"/api/records/backups/{other}/drill", json={})
        assert answer.status_code in (404, 422)


def test_a_folder_that_cannot_be_used_is_refused_at_its_field(client, tmp_path):
    """Before anything is kept; and terms changed elsewhere are told."""
    answer = terms(client, tmp_path / "none")
    assert (422, "backups.folder") == (answer.status_code, answer.json()["errors"][0]["field"])
    assert 200 == terms(client, tmp_path).status_code
    body = {"revision": 0, "terms": {"folder": str(tmp_path), "keep_last": 3}}
    assert 409 == client.put("/api/records/backups", json=body).status_code
    body = {"revision": 1, "terms": {"folder": str(tmp_path), "keep_last": 0}}
    assert 422 == client.put("/api/records/backups", json=body).status_code


def test_everything_is_downloaded_as_csv(client, ridge):
    """One zip with the README; the job is in it."""
    answer = client.get("/api/records/csv.zip?units=mm")
    assert "attachment" in answer.headers["content-disposition"]
    with zipfile.ZipFile(io.BytesIO(answer.content)) as packed:
        assert {"README.txt", "customers.csv", "builds.csv"} <= set(packed.namelist())
        text = packed.read("jobs.csv").decode()
    (row,) = csv.DictReader(io.StringIO(text, newline=""))
    assert (ridge, "1454.15") == (row["id"], row["line.finished_mm"])


def test_builds_without_names_are_downloaded(client, ridge):
    """No build yet: the file is there and says so."""
    answer = client.get("/api/records/builds.json")
    assert [] == answer.json()["builds"]
    assert ridge


def test_a_list_is_looked_at_and_then_kept(client, desk):
    """The same report twice; only the second keeps, and a third time nothing is new."""
    body = {"kind": "customers", "text": LIST}
    report = client.post("/api/records/lists", json=body).json()
    assert {"new": 2, "changes": 0, "same": 0, "refused": 0} == report["counts"]
    assert 0 == desk.store.mark()
    kept = client.post("/api/records/lists/kept", json=body | {"seal": report["seal"]}).json()
    assert 2 == kept["kept"]
    assert ["jon-of-the-mill", "mara-holt"] == [d.id for d in desk.store.documents("customer")]
    again = client.post("/api/records/lists", json=body).json()
    assert 2 == again["counts"]["same"]


def test_what_was_not_told_is_not_kept(client, desk):
    """Another list, or the same after something was changed: told to look once more."""
    body = {"kind": "customers", "text": LIST}
    seal = client.post("/api/records/lists", json=body).json()["seal"]
    other = {"kind": "customers", "text": LIST.replace("Jon", "Joan"), "seal": seal}
    assert 409 == client.post("/api/records/lists/kept", json=other).status_code
    desk.store.save("customer", "mara-holt", {"name": "Mara Holt"}, at=desk.now(), expected=0)
    answer = client.post("/api/records/lists/kept", json=body | {"seal": seal})
    assert 409 == answer.status_code
    assert "look at it once more" in answer.json()["said"]
    assert ["mara-holt"] == [d.id for d in desk.store.documents("customer")]


def test_a_list_with_a_row_that_is_refused_is_told_and_not_kept(client, desk):
    """Each reason with its field, value, rule and remedy; nothing of it is kept."""
    text = "id,name,kind,brace_height\r\na,A,two-cam,7 in\r\nb,B,trebuchet,7\r\n"
    body = {"kind": "bows", "text": text}
    report = client.post("/api/records/lists", json=body).json()
    (row,) = (row for row in report["rows"] if row["outcome"] == "refused")
    assert (3, {"kind", "brace_height"}) == (row["row"], {e["field"] for e in row["errors"]})
    answer = client.post("/api/records/lists/kept", json=body | {"seal": report["seal"]})
    assert 422 == answer.status_code
    assert 0 == desk.store.mark()


@pytest.mark.parametrize("text", ["name", "name\r\n", 'name\r\n"x', "\r\n"])
def test_what_is_no_list_is_told(client, text):
    """A header alone, a quote that never ends, nothing."""
    answer = client.post("/api/records/lists", json={"kind": "customers", "text": text})
    assert 422 == answer.status_code
    assert answer.json()["errors"][0]["remedy"]


def test_of_a_long_list_what_matters_is_told_first(client):
    """Hundreds of new rows do not hide the one that is refused."""
    names = "".join(f"Customer {n},\r\n" for n in range(MOST_TOLD + 20))
    text = f"name,put_away\r\n{names}Last,perhaps\r\n"
    report = client.post("/api/records/lists", json={"kind": "customers", "text": text}).json()
    assert (MOST_TOLD, 21) == (len(report["rows"]), report["untold"])
    assert "refused" == report["rows"][-1]["outcome"]


def test_behind_the_door_records_are_the_owners_and_a_backup_is_audited(tmp_path):
    """A technician is refused; who took a backup stands in the audit log."""
    shop = Shop()
    assert 403 == shop.client("technician").get("/api/records").status_code
    owner = shop.client("owner")
    assert 200 == terms(owner, tmp_path).status_code
    taken = owner.post("/api/records/backups/now", json={})
    assert 200 == taken.status_code, taken.text
    told = dict(shop.audit())
    assert {"records": taken.json()["good"]["records"]} == told["backup-taken"]
    assert 403 == shop.phone().get("/api/records/csv.zip").status_code
