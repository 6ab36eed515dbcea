"""Orders over a desk: whole or not at all, once however often, and decided anew where it grew."""

from __future__ import annotations

import hashlib
import threading
from typing import Any

import pytest

from bench_work import Work
from finished_line import finish
from order_events import event, measured, opened, sound
from strandwright.errors import Conflict, InputError, InputErrors, NotFound, SpecError
from strandwright.planning.desk.builds import Desk
from strandwright.planning.entries.editing import tables_of
from strandwright.planning.examples import example
from strandwright.planning.orders.customers import customer_of, keep_customer
from strandwright.planning.orders.keeping import find_order, kept_order, open_order, record
from strandwright.planning.orders.lines import add_job
from strandwright.planning.orders.photos import keep_photo
from strandwright.store.memory import MemoryStore

ORDER = "12345678" + "0" * 24
JPEG = b"\xff\xd8\xff\xe0 not much of a picture"
PNG = b"\x89PNG\r\n\x1a\n not much of one either"
RIDGE = tables_of(example("RIDGE-1"))
HEAD = {"id": "5" * 32, "at": "2026-11-28T11:00:00Z", "by": "counter"}
LINE = {
    "id": "CRAG-1",
    "name": "String for the crag bow",
    "shorthand": "57 1/4: 0-17, 26 3/4-30 1/2, 17-0",
    "strand": RIDGE["makeup"]["strand"],
    "strands": 24,
    "thread": "braid-018",
    "loop": "7/8 in",
}


@pytest.fixture
def desk() -> Desk:
    """Give a desk that knows one customer."""
    found = Desk(MemoryStore())
    reach = [{"by": "telephone", "at": "01 23 45"}]
    keep_customer(found, "C1", {"name": "Ada Reed", "reach": reach}, 0)
    return found


def at_counter(desk: Desk, *events: Any) -> Desk:
    """Open the order and record what follows."""
    open_order(desk, ORDER, opened().table())
    for one in events:
        record(desk, ORDER, [one.table()])
    return desk


def log(desk: Desk) -> list[str]:
    """Give the types of what is recorded."""
    return [stored.event.type for stored in desk.store.events(ORDER)]


def test_a_customer_is_kept_with_name_and_ways_to_reach_them(desk):
    """And nothing else of a person."""
    document, customer = customer_of(desk, "C1")
    assert ("Ada Reed", "01 23 45") == (customer.name, customer.reach[0].at)
    assert set(document.table) == {"name", "reach"}
    keep_customer(desk, "C1", {"name": "Ada Reed", "notes": "left-handed"}, 1)
    with pytest.raises(Conflict):
        keep_customer(desk, "C1", {"name": "Ada Read"}, 1)


@pytest.mark.parametrize(
    ("table", "field"),
    [
        ({}, "customer.name"),
        ({"name": "  "}, "customer.name"),
        ({"name": "Ada\u202eReed"}, "customer.name"),
        ({"name": "Ada", "born": "1980"}, "customer.born"),
        ({"name": "Ada", "reach": [{"by": "pigeon", "at": "x"}]}, "customer.reach[1].by"),
    ],
)
def test_a_customer_that_cannot_be_is_refused(desk, table, field):
    """At its field; what the program has no use for is not kept."""
    with pytest.raises((InputError, InputErrors)) as refused:
        keep_customer(desk, "C2", table, 0)
    assert field in str(refused.value)
    with pytest.raises(NotFound):
        customer_of(desk, "C2")


def test_an_order_opened_twice_is_one(desk):
    """The same event again is harmless; another one is not taken."""
    at_counter(desk)
    open_order(desk, ORDER, opened().table())
    assert ["order-opened"] == log(desk)
    with pytest.raises(SpecError, match="once in an order"):
        open_order(desk, ORDER, opened(number=9).table())
    with pytest.raises(Conflict):
        open_order(desk, ORDER, opened(lines=5).table())


def test_an_order_of_nobody_is_not_opened(desk):
    """Nor is its log begun."""
    with pytest.raises(SpecError, match="keep the customer first"):
        open_order(desk, ORDER, opened(customer="C9").table())
    with pytest.raises(NotFound):
        kept_order(desk, ORDER)


def test_an_order_is_opened_by_its_first_event(desk):
    """A look is none."""
    with pytest.raises(SpecError, match="open it first"):
        open_order(desk, ORDER, sound().table())
    with pytest.raises(SpecError, match="128 random bits"):
        open_order(desk, "order 7", opened().table())


def test_bare_figures_are_in_the_shops_units(desk):
    """As they are said: inches and pounds, or millimetres and newtons."""
    look = event(3, "bow-looked-at").table()
    look["body"] = {"baseline": {"brace_height": "6 7/8", "draw_weight": "61", "let_off": "80"}}
    at_counter(desk)
    record(desk, ORDER, [look])
    found = kept_order(desk, ORDER).state.baseline
    assert ("6 7/8 in", "61 lbf", "80 %") == (
        found.brace_height.text, found.draw_weight.text, found.let_off.text,
    )  # fmt: skip
    metric = event(4, "bow-looked-at").table()
    metric["body"] = {"baseline": {"brace_height": "175", "draw_weight": "270"}}
    record(desk, ORDER, [metric], units="mm")
    found = kept_order(desk, ORDER).state.baseline
    assert ("175 mm", "270 N") == (found.brace_height.text, found.draw_weight.text)


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"baseline": {"brace_height": "68 7/8 in"}}, "bow-looked-at.baseline.brace_height"),
        ({"baseline": {"let_off": "800 %"}}, "bow-looked-at.baseline.let_off"),
        ({"bow": {"kind": "recurve", "bow_length": "6 in", "draw_weight": "3000 lbf"}},
         "bow-looked-at.bow.draw_weight"),
        ({"sound": ["bent axle"], "findings": [{"finding": "bent axle"}]}, "bow-looked-at.sound"),
        ({"findings": [{"finding": "other", "where": "at\u202ethe grip"}]},
         "bow-looked-at.findings[1].where"),
        ({"photos": ["0" * 64]}, "bow-looked-at.photos"),
    ],
)  # fmt: skip
def test_what_cannot_be_meant_is_not_recorded(desk, body, field):
    """With the field it was typed in."""
    at_counter(desk)
    look = event(3, "bow-looked-at").table() | {"body": body}
    with pytest.raises((InputError, InputErrors)) as refused:
        record(desk, ORDER, [sound().table(), look])
    assert field in str(refused.value)
    assert ["order-opened"] == log(desk)


def test_a_remark_may_run_over_lines(desk):
    """Other texts may not."""
    at_counter(desk, event(3, "noted", text="Comes on Friday.\nFrom the north."))
    assert kept_order(desk, ORDER).state.notes


def test_a_photo_is_kept_under_its_digest_and_named_in_a_look(desk):
    """Sent twice it is one; what is no picture by its bytes is refused."""
    name = hashlib.sha256(JPEG).hexdigest()
    keep_photo(desk, name, JPEG)
    keep_photo(desk, name, JPEG)
    keep_photo(desk, hashlib.sha256(PNG).hexdigest(), PNG)
    assert ("image/jpeg", JPEG) == (desk.store.blob(name).media, desk.store.blob(name).content)
    at_counter(desk, event(3, "bow-looked-at", photos=[name]))
    assert (name,) == kept_order(desk, ORDER).state.photos
    for content in (b"<svg/>", b"GIF89a", b"", b"\xff\xd8"):
        with pytest.raises(SpecError, match="JPEG or PNG by its bytes"):
            keep_photo(desk, hashlib.sha256(content).hexdigest(), content)
    with pytest.raises(SpecError, match="SHA-256"):
        keep_photo(desk, name, JPEG + b"!")


def test_a_job_of_the_order_has_its_customer_its_bow_and_what_was_found(desk):
    """What is typed of the line goes over what the order knows of the bow."""
    dirt = {"finding": "dirt in the slide", "decision": "note"}
    at_counter(desk, sound(but=["dirt in the slide"]), event(4, "bow-looked-at", findings=[dirt]))
    look = measured()
    record(desk, ORDER, [look.table() | {"body": {"baseline": {"brace_height": "6 7/8 in"}}}])
    entry = LINE | {"bow": {"kind": "two-cam", "name": "", "draw_length": "28 in"}}
    assert "CRAG-1" == add_job(desk, ORDER, HEAD, entry, RIDGE["bench"])
    job = desk.job("CRAG-1").job
    assert ("Ada Reed", "crag bow") == (job.customer, job.bow.name)
    assert ("6 7/8 in", "28 in") == (job.bow.brace_height.text, job.bow.draw_length.text)
    assert [("dirt in the slide", "note")] == [(f.finding, f.decision) for f in job.original.stop]
    assert ("CRAG-1",) == kept_order(desk, ORDER).state.jobs


def test_what_the_owner_answered_is_asked_no_more_at_the_bench(desk):
    """It is noted on the job; what waits for an answer is asked there, too."""
    burr, twist = {"finding": "burred peg or track"}, {"finding": "twisted limb"}
    asked = event(4, "asked", question="May we?", about="burred peg or track")
    said = event(5, "answered", question=asked.id, answer="Smooth it.")
    at_counter(desk, event(3, "bow-looked-at", findings=[burr, twist]), asked, said)
    add_job(desk, ORDER, HEAD, LINE, RIDGE["bench"])
    stop = desk.job("CRAG-1").job.original.stop
    assert [("burred peg or track", "note"), ("twisted limb", "ask")] == [
        (one.finding, one.decision) for one in stop
    ]


def test_a_job_sent_twice_is_one(desk):
    """After a lost answer: the same event, or the same line under another."""
    at_counter(desk)
    for head in (HEAD, HEAD, HEAD | {"id": "6" * 32}):
        add_job(desk, ORDER, head, LINE, RIDGE["bench"])
    assert 1 == desk.job("CRAG-1").document.revision
    assert ("CRAG-1",) == kept_order(desk, ORDER).state.jobs


def test_an_id_that_another_job_has_leaves_the_order_as_it_was(desk):
    """Neither the job nor the event is kept without the other."""
    at_counter(desk)
    desk.add_job(RIDGE | {"id": "CRAG-1"})
    with pytest.raises(Conflict, match="another id"):
        add_job(desk, ORDER, HEAD, LINE, RIDGE["bench"])
    assert ["order-opened"] == log(desk)


def test_a_line_that_cannot_be_meant_is_not_added(desk):
    """Nor is its job kept."""
    at_counter(desk)
    with pytest.raises((InputError, InputErrors)):
        add_job(desk, ORDER, HEAD, LINE | {"loop": "9 ft"}, RIDGE["bench"])
    assert ["order-opened"] == log(desk)
    with pytest.raises(NotFound):
        desk.job("CRAG-1")


def test_a_line_of_a_wooden_bow_is_asked_about(desk):
    """The verdict follows from the job's own strand."""
    bow = {"kind": "longbow", "limbs": "wood", "draw_weight": "45 lbf", "bow_length": "66 in"}
    open_order(desk, ORDER, opened(bow=bow).table())
    assert "go" == kept_order(desk, ORDER).verdict.word
    entry = LINE | {"shorthand": "62: 0-4, 4-0", "loop": "2 3/4 in"}
    add_job(desk, ORDER, HEAD, entry, RIDGE["bench"])
    assert "ask" == kept_order(desk, ORDER).verdict.word


@pytest.mark.parametrize(
    ("one", "said"),
    [
        (event(7, "job-added", job="NONE-1"), "make the job first"),
        (event(7, "answered", question="9" * 32, answer="Yes."), "ask it first"),
        (event(7, "line-made", job="CRAG-1", build="a" * 32), "add the job first"),
        (event(7, "withdrawn", event="9" * 32), "look at its log"),
        (event(7, "paid", amount="0.00"), "some money"),
        (event(7, "quoted", quote="28T5CY", revision=1), "make the quote first"),
        (event(7, "quote-accepted", quote="28T5CY", revision=1), "tell it first"),
    ],
)
def test_what_cannot_have_happened_is_refused(desk, one, said):
    """And nothing is recorded."""
    at_counter(desk)
    with pytest.raises(SpecError, match=said):
        record(desk, ORDER, [one.table()])
    assert ["order-opened"] == log(desk)


def test_a_line_is_made_once_its_build_is_locked(desk):
    """A build at the jig is none."""
    at_counter(desk)
    add_job(desk, ORDER, HEAD, LINE, RIDGE["bench"])
    desk.start("CRAG-1", "a" * 32, "b" * 32, at="2026-11-28T12:00:00Z")
    with pytest.raises(SpecError, match="lock its turns"):
        record(desk, ORDER, [event(7, "line-made", job="CRAG-1", build="a" * 32).table()])


def test_a_finished_line_is_known_until_the_order_names_it():
    """From the listing of its builds, not from what anybody ticks."""
    work = finish(Work())
    keep_customer(work.desk, "C1", {"name": "Ada Reed"}, 0)
    open_order(work.desk, ORDER, opened(9001).table())
    record(work.desk, ORDER, [event(9002, "job-added", job="RIDGE-1").table()])
    assert {"RIDGE-1": work.build} == kept_order(work.desk, ORDER).finished
    made = event(9003, "line-made", job="RIDGE-1", build=work.build)
    record(work.desk, ORDER, [made.table()])
    kept = kept_order(work.desk, ORDER)
    assert ({}, True) == (kept.finished, kept.state.all_made)


def test_a_refused_order_takes_no_more_work_until_that_is_taken_back(desk):
    """The refusal is withdrawn by its event."""
    refusal = event(5, "order-refused", why="A limb is cracked.")
    at_counter(desk, refusal)
    with pytest.raises(SpecError, match="take that back first"):
        add_job(desk, ORDER, HEAD, LINE, RIDGE["bench"])
    record(desk, ORDER, [event(6, "withdrawn", event=refusal.id).table()])
    add_job(desk, ORDER, HEAD, LINE, RIDGE["bench"])


def test_an_order_is_found_by_what_people_say(desk):
    """Its number with its letters misread, or its identity."""
    at_counter(desk)
    for typed in ("28T5CY", "28t5-cy", ORDER):
        assert ORDER == find_order(desk, typed)
    with pytest.raises(NotFound):
        find_order(desk, "000000")
    other = "1234567b" + "0" * 24
    open_order(desk, other, opened(number=50).table())
    with pytest.raises(SpecError, match="2 have this number"):
        find_order(desk, "28T5CY")


def test_another_log_is_no_order(desk):
    """A build that is asked for as an order is not found."""
    at_counter(desk)
    add_job(desk, ORDER, HEAD, LINE, RIDGE["bench"])
    desk.start("CRAG-1", "a" * 32, "b" * 32, at="2026-11-28T12:00:00Z")
    with pytest.raises(NotFound):
        kept_order(desk, "a" * 32)
    with pytest.raises((Conflict, NotFound)):
        open_order(desk, "a" * 32, opened(number=60).table())


def test_two_counters_at_once_lose_nothing(desk):
    """What grew meanwhile is decided on anew."""
    at_counter(desk)
    failed: list[Exception] = []

    def note(first: int) -> None:
        for number in range(first, first + 20):
            try:
                record(desk, ORDER, [event(number, "noted", text=f"note {number}").table()])
            except Exception as error:
                failed.append(error)

    hands = [threading.Thread(target=note, args=(first,)) for first in (100, 200, 300)]
    for hand in hands:
        hand.start()
    for hand in hands:
        hand.join()
    assert not failed
    assert 60 == len(set(kept_order(desk, ORDER).state.notes))
