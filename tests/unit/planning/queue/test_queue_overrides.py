"""What is fixed: kept where it can be, flagged with the reason where it cannot."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from queue_loads import MONDAY, judged, line
from strandwright.errors import SpecError
from strandwright.planning.queue.board import Board, Pin, Waiting, rounded_up
from strandwright.planning.queue.data import day_data, headline, mends_data, queue_data
from strandwright.planning.queue.laid_out import lay_out
from strandwright.planning.queue.late import mends, why_late
from strandwright.planning.queue.nouns import QueueBench
from strandwright.planning.queue.week import USUAL, Week

NOW = datetime(2026, 3, 2, 9)


def waiting(job: str, due: date | None = None, weight: int = 1) -> Waiting:
    """A usual line that waits."""
    return Waiting(job, f"line {job}", line(job).tasks, due, weight)


def board(*waiting_ones: Waiting, pins: tuple[Pin, ...] = ()) -> Board:
    """One bench, one pair of hands, a usual week."""
    return Board(USUAL, NOW, (QueueBench("long", "posts"),), ("Ann",), waiting_ones, pins)


def test_a_held_start_is_kept():
    """The task begins at that minute, and all rules hold."""
    at = datetime(2026, 3, 2, 10, 30)
    laid = lay_out(board(waiting("A"), waiting("B"), pins=(Pin("A", at=at),)))
    judged(laid.load, laid.schedule)
    assert not laid.flags
    begun = next(p for p in laid.schedule.placed if p.task.key == ("A", "wind"))
    assert laid.load.hours.moment(laid.load.hours.begins(begun.start)) == at


@pytest.mark.parametrize(
    ("at", "why"),
    [
        (datetime(2026, 3, 2, 8), "has gone by"),
        (datetime(2026, 3, 2, 18), "the shop is closed"),
        (datetime(2026, 3, 7, 10), "the shop is closed"),
        (datetime(2026, 3, 2, 16, 50), "do not end while somebody is there"),
    ],
)
def test_a_start_that_the_hours_rule_out_is_flagged(at, why):
    """It says what stands against it and what would do; the rest is laid out without it."""
    laid = lay_out(board(waiting("A"), pins=(Pin("A", at=at),)))
    ((pin, flag),) = laid.flags
    assert pin.at == at
    assert why in flag.why and flag.remedy
    assert laid.schedule.placed


def test_a_start_before_what_goes_before_it_is_flagged():
    """The loops cannot be closed before the skein was wound, stretched and at rest."""
    pin = Pin("A", "loops", datetime(2026, 3, 2, 9, 30))
    ((_, flag),) = lay_out(board(waiting("A"), pins=(pin,))).flags
    assert flag.why == "what goes before it is not over before Mon 2 Mar 10:07"


def test_two_that_clash_are_told_with_each_other():
    """The first stands, the second is flagged by the name of the first."""
    at = datetime(2026, 3, 2, 11)
    laid = lay_out(board(waiting("A"), waiting("B"), pins=(Pin("A", at=at), Pin("B", at=at))))
    ((pin, flag),) = laid.flags
    assert pin.job == "B"
    assert "A at Mon 2 Mar 11:00" in flag.why


def test_a_circle_of_orders_is_broken_where_it_closes():
    """A before B before A: the second is flagged."""
    pins = (Pin("A", before="B"), Pin("B", before="A"))
    laid = lay_out(board(waiting("A"), waiting("B"), pins=pins))
    assert [pin.job for pin, _ in laid.flags] == ["B"]


def test_what_is_held_of_a_job_that_is_gone_is_passed_over():
    """A pin on a line that is built already is no flag."""
    laid = lay_out(board(waiting("A"), pins=(Pin("GONE", at=NOW), Pin("A", "gone", NOW))))
    assert not laid.flags


def test_a_job_is_late_for_what_was_set_and_letting_it_go_mends_it():
    """The chain ends at the held start; of what is tried, unpinning cures it."""
    pin = Pin("A", at=datetime(2026, 3, 3, 10))
    laid = lay_out(board(waiting("A", MONDAY), waiting("B"), pins=(pin,)))
    assert laid.schedule.late["A"] > 0
    links = why_late(laid, "A")
    assert links[-1].kind == "fixed"
    found = mends(laid, "A")
    assert found[0].what == "unpin A" and found[0].is_cure and found[0].others == ()
    assert "not" not in headline(laid)


def test_a_job_that_waits_for_hands_is_mended_by_putting_another_back():
    """The weightier job goes first; put back behind the other it is the later one."""
    day = Week((((540, 780),),) + ((),) * 6)
    first = waiting("A", MONDAY, 9)
    shop = replace(board(first, waiting("B", MONDAY)), week=day)
    laid = lay_out(shop)
    assert laid.schedule.late == {"A": 0, "B": laid.schedule.late["B"]}
    assert laid.schedule.late["B"] > 0
    told = mends_data(laid, "B")
    assert any("Ann at A" in why or "A on long" in why for why in told["why"])
    said = [mend["said"] for mend in told["mends"]]
    assert any(text.startswith("put A back behind B") and "but A" in text for text in said)
    assert any(text.startswith("work 2 h longer on Mon 2 Mar") for text in said)


def test_the_data_of_a_queue_and_of_a_day():
    """Moments by the clock; what stands is let down on time, each task on its day and bench."""
    laid = lay_out(board(waiting("A", date(2026, 3, 3)), waiting("B")))
    told = queue_data(laid)
    assert told["headline"].endswith("nothing is late")
    wind = next(t for t in told["tasks"] if (t["job"], t["step"]) == ("A", "wind"))
    assert wind["stop"] < wind["down"]
    assert told["said"] == [
        "Proved: no order is less late, and none as late is sooner done over all."
    ]
    day = day_data(laid, MONDAY)
    assert [bench["bench"] for bench in day["benches"]] == ["long"]
    assert all(task["start"][:10] == "2026-03-02" for task in day["benches"][0]["tasks"])
    assert day["caution"]
    assert day_data(laid, date(2026, 3, 8))["benches"] == []


def test_no_hands_no_bench_and_no_hours_are_refused_by_name():
    """What is missing is named with what to do."""
    with pytest.raises(SpecError, match="hands"):
        lay_out(replace(board(waiting("A")), hands=()))
    with pytest.raises(SpecError, match="benches"):
        lay_out(replace(board(waiting("A")), benches=()))
    with pytest.raises(SpecError, match="hours"):
        lay_out(replace(board(waiting("A")), week=Week((((540, 550),),) * 7)))


def test_the_clock_is_read_to_the_next_quarter_of_an_hour():
    """So that a queue stays the same for a while."""
    assert rounded_up(datetime(2026, 3, 2, 9, 0)) == datetime(2026, 3, 2, 9, 0)
    assert rounded_up(datetime(2026, 3, 2, 9, 0, 1)) == datetime(2026, 3, 2, 9, 15)
    assert rounded_up(datetime(2026, 3, 2, 23, 50)) == datetime(2026, 3, 3, 0, 0)
