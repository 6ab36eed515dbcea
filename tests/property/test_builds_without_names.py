"""Builds for comparing: no name, no text and no identity of a shop is ever in them."""

from __future__ import annotations

import hashlib
import json
import re
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench_work import Work
from strandwright.planning.comparing.builds_out import builds_out
from strandwright.planning.comparing.words import all_words
from strandwright.store.memory import MemoryStore
from strandwright.workshop.documents import BuildHead
from strandwright.workshop.events import Event, event_of_table
from strandwright.workshop.writes import Append, Begin, KeepPlan, Save

SALT = b"one export"
#: Keys of the file, and the few words it has of its own.
OWN = {
    "length", "mass", "legs", "strands", "bare diameter", "served diameter",
    "locked", "put aside", "not yet", "builds for comparing, without names",
}  # fmt: skip
#: Parts of a plan; the others are longer and tell of the same.
TOLD_OF = (
    "plan", "job", "line", "baseline", "target", "winding", "stages", "servings", "loops",
    "marks", "twist", "bare", "mass", "warnings",
)  # fmt: skip
FEW = settings(max_examples=20)
TEXT = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=24)


@pytest.fixture(scope="module")
def work():
    """Give a line that was wound, read, proved and noted about."""
    work = Work()
    work.wound()
    work.read("bare")
    work.did("diameter-read", of="bare", diameter="2.7 mm")
    work.did("diameter-read", of="lower end", diameter="3.3 mm")
    work.did("mass-read", run=0, lost="3.7 g")
    work.did("noted", text="Mara of Harrowdene wants it by Friday")
    return work


def scrambled(value: Any, text: str) -> Any:
    """Put a text in place of every one that is not a word of this program's lists."""
    if isinstance(value, dict):
        return {key: scrambled(inner, text) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [scrambled(inner, text) for inner in value]
    if isinstance(value, str) and value not in all_words() and not re.match(r"[0-9.]", value):
        return f"{text}{value[:3]}"
    return value


def retold(store, text):
    """Give the same builds in a store in which every text and identity is another."""

    def other(id):
        return hashlib.sha256(f"{text}{id}".encode()).hexdigest()[:32]

    told = MemoryStore()
    for head in store.builds():
        plan = store.plan(head.plan_id)
        told_of = {key: plan.plan[key] for key in TOLD_OF}
        told_of["landing"] = {**plan.plan["landing"], "budget": [], "guided_budget": []}
        job, numbers = scrambled(plan.job, text), scrambled(told_of, text)
        job["bench"]["name"] = text
        for stage, was in zip(numbers["stages"], plan.plan["stages"], strict=True):
            stage["key"] = was["key"]
        record = replace(plan, id=other(plan.id), job_id=other(plan.job_id), job=job)
        record = replace(record, plan=numbers, sheet={"template": text})
        events: list[Event] = []
        for stored in store.events(head.id):
            table = stored.event.table()
            body = dict(table["body"])
            for key in ("plan", "text"):
                if key in body:
                    body[key] = other(body[key]) if key == "plan" else text
            if body.get("of", "bare") != "bare":
                body["of"] = text
            events.append(
                event_of_table({**table, "id": other(table["id"]), "by": text, "body": body})
            )
        again = BuildHead(other(head.id), record.job_id, record.id, head.began_at)
        told.write(
            [
                KeepPlan(record),
                Begin(again),
                Append(again.id, events),
                Save("job", record.job_id, {"name": text, "customer": text}, head.began_at, 0),
            ]
        )
    return told


def without_bench(out):
    """Give what comes out but for the hash of each bench."""
    return [{k: v for k, v in build.items() if k != "bench"} for build in out["builds"]]


@FEW
@given(text=TEXT)
def test_what_comes_out_does_not_hang_on_any_text(work, text):
    """Every name, note, label and identity another: the same numbers, word for word."""
    out = builds_out(work.desk.store, SALT)
    again = builds_out(retold(work.desk.store, text), SALT)
    assert 1 == len(out["builds"])
    assert without_bench(out) == without_bench(again)


@FEW
@given(text=st.text(st.characters(categories=["L", "N", "P", "S"]), min_size=4, max_size=24))
def test_no_text_of_the_store_is_in_the_file(work, text):
    """Every text and identity that the store holds is looked for in what is written."""
    store = retold(work.desk.store, text)
    out = builds_out(store, SALT)
    written = " ".join(texts_of_values(out)).lower()
    allowed = {word.lower() for word in all_words() | OWN}
    looked_for = 0
    for record in store.contents():
        for found in texts_of_values(record):
            if len(found) < 4 or found.lower() in allowed:
                continue
            looked_for += 1
            assert found.lower() not in written, found
    assert looked_for > 200


def test_what_stands_there_is_numbers_and_words_of_this_program(work):
    """Beside the hash of a bench and a week, no text that is not in the lists."""
    out = builds_out(work.desk.store, SALT)
    for build in out["builds"]:
        assert re.fullmatch(r"[0-9a-f]{8}", build.pop("bench"))
        assert re.fullmatch(r"2026-W10", build.pop("week"))
        assert set(texts_of_values(build)) <= all_words() | OWN
    assert not re.search(r"[0-9]{4}-[0-9]{2}-[0-9]{2}|[0-9]{2}:[0-9]{2}", json.dumps(out["builds"]))


def texts_of_values(value):
    """Give the texts within plain values, their keys left out."""
    if isinstance(value, dict):
        for key, inner in value.items():
            if key not in ("record", "kind", "type"):  # this program's own words
                yield from texts_of_values(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from texts_of_values(inner)
    elif isinstance(value, str):
        yield value


def test_the_readings_and_numbers_are_there(work):
    """What is left is worth comparing: plan, readings, bench, in SI-like units."""
    (build,) = builds_out(work.desk.store, SALT)["builds"]
    assert ("two-cam", "hmpe-lcp", 24, "Z") == (
        build["bow"], build["fibre"], build["strands"], build["hand"],
    )  # fmt: skip
    assert 1454.15 == build["planned"]["finished_mm"]
    assert ["length", "bare diameter", "served diameter", "mass"] == [
        reading["what"] for reading in build["readings"]
    ]
    told = work.advice.plan.stage("bare").length.value
    assert told * 1e3 == pytest.approx(build["readings"][0]["length_mm"], abs=6.0)
    assert 3.7 == build["readings"][3]["lost_g"]


def test_two_exports_cannot_be_joined_and_one_holds_together(work):
    """One key: the same bench, the same hash. Another key: another."""
    second = Work("TARN-1", bench=work.desk.job("RIDGE-1").job.bench.model_dump(mode="json"))
    store, other = work.desk.store, second.desk.store
    one, two = (builds_out(s, SALT)["builds"][0]["bench"] for s in (store, other))
    assert one == two
    assert one != builds_out(store, b"another export")["builds"][0]["bench"]
    assert [] == builds_out(MemoryStore(), SALT)["builds"]
