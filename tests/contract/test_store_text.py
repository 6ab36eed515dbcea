"""Odd content: what every store keeps as it came, and what every store refuses."""

from __future__ import annotations

import json
import math
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from kept_things import AT, a_note, a_plan, begun, digits

from strandwright.errors import InputError
from strandwright.store.open import open_store
from strandwright.workshop.events import make_event

ODD = [
    "",
    " two  blanks, a tab\tand a line\nend ",
    "'; DROP TABLE document; --",
    "100 % of {this} :name ?",
    "\\u0000 written out, and a \\ alone",
    "Grön älv 弓弦 🎯 e\u0301 \u202e\u2028\ufeff\x7f\x01",
    "59 3/16″ ± 1\u204432",
    "x" * 200_000,
]


@pytest.mark.parametrize("text", ODD, ids=range(len(ODD)))
def test_odd_text_comes_back_as_it_came(store, text):
    """As a value and as a key, in a document, a plan and an event."""
    store.save("job", "a", {"text": text, f"key {text[:50]}": [text]}, at=AT, expected=0)
    assert {"text": text, f"key {text[:50]}": [text]} == store.document("job", "a").table
    build = begun(store)
    store.keep_plan(a_plan("p2", words=text))
    assert text == store.plan("p2").sheet["words"]
    note = make_event(digits("odd"), "noted", {"text": text[:2000] or "-"}, at=AT, by=text[:60])
    store.append(build, [note])
    assert note == store.events(build)[0].event


@pytest.mark.parametrize(
    ("bad", "rule"),
    [
        ("a\0b", "must not hold the character U\\+0000"),
        ("half \ud83c of one", "must not hold half a character"),
        (math.nan, "must be a finite number"),
        (-math.inf, "must be a finite number"),
        (10**5000, "numbers of a sane size"),
        (b"bytes", "must be text, a number"),
        ({1: "one"}, "must have texts for keys"),
        ({"a\0": 1}, "must not hold the character U\\+0000"),
    ],
    ids=["nul", "surrogate", "nan", "infinity", "huge", "bytes", "number-key", "nul-key"],
)
def test_what_some_store_could_not_hold_is_refused_by_all(store, bad, rule):
    """Refused on the way in, named by its place, and nothing is written."""
    for write in (
        lambda: store.save("job", "a", {"line": {"serving": [1, bad]}}, at=AT, expected=0),
        lambda: store.keep_plan(a_plan(odd=bad)),
    ):
        with pytest.raises(InputError, match=rule):
            write()
    assert 0 == store.mark()


def test_the_place_of_what_is_refused_is_named(store):
    """The field reads as in a job file, and the message can be printed anywhere."""
    with pytest.raises(InputError) as caught:
        store.save("job", "a", {"line": {"serving": ["x", "\ud800"]}}, at=AT, expected=0)
    assert "job.line.serving[2]" == caught.value.field
    assert str(caught.value).isascii()


@pytest.mark.parametrize("bad", ["a\0b", "\udfff"], ids=["nul", "surrogate"])
def test_an_event_with_such_text_is_refused_with_its_batch(store, bad):
    """In its text and in who wrote it."""
    build = begun(store)
    mark = store.mark()
    for text, by in ((bad, ""), ("x", bad)):
        with pytest.raises(InputError):
            store.append(build, [a_note("good"), a_note("bad", text, by)])
    assert mark == store.mark()


def nested(levels: int) -> dict:
    """Give tables within each other."""
    table: dict = {}
    for _ in range(levels):
        table = {"t": table}
    return table


def test_deep_nesting_comes_back_and_too_deep_is_refused(store):
    """Sixty levels are kept; more, or endlessly many, are refused and not a fault."""
    store.save("job", "a", nested(60), at=AT, expected=0)
    assert nested(60) == store.document("job", "a").table
    endless: dict = {}
    endless["again"] = endless
    for table in (nested(61), nested(5000), endless, {"x": [[[nested(60)]]]}):
        with pytest.raises(InputError, match="more than 60 tables or lists"):
            store.save("job", "a", table, at=AT, expected=1)


def test_a_large_record_is_kept_and_a_huge_one_refused(store):
    """Ten megabytes are; more than sixteen are not."""
    store.save("job", "a", {"text": "x" * 10_000_000}, at=AT, expected=0)
    assert 10_000_000 == len(store.document("job", "a").table["text"])
    with pytest.raises(InputError, match="must be under 16 MB"):
        store.save("job", "a", {"text": "x" * 16_000_000}, at=AT, expected=1)


def test_what_is_no_table_is_refused(store):
    """A list or a text is no document."""
    for table in ([], "x", None):
        with pytest.raises(InputError, match="must be a table"):
            store.save("job", "a", table, at=AT, expected=0)
        with pytest.raises(InputError, match="must be a table"):
            store.keep_plan(replace(a_plan(), job=table))


plain = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0")),
    lambda inside: st.lists(inside, max_size=4)
    | st.dictionaries(
        st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=8),
        inside,
        max_size=4,
    ),
    max_leaves=20,
)  # fmt: skip


@pytest.fixture(scope="module", params=["memory", "sqlite", "postgresql"])
def shared(request, tmp_path_factory):
    """Open one store for many examples."""
    if request.param == "memory":
        place = "memory:"
    elif request.param == "sqlite":
        place = str(tmp_path_factory.mktemp("text") / "store.sqlite3")
    else:
        place = request.getfixturevalue("server").database()
    store = open_store(place)
    yield store
    store.close()


@given(table=st.dictionaries(st.just("value"), plain, min_size=1))
@settings(max_examples=40)
def test_any_plain_table_comes_back(shared, table):
    """Whatever plain values a table holds, they come back with their types."""
    known = shared.revisions("job", "any")
    shared.save("job", "any", table, at=AT, expected=len(known))
    again = shared.document("job", "any").table
    assert json.dumps(table, sort_keys=True) == json.dumps(again, sort_keys=True)
