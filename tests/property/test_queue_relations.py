"""Relations that hold for every queue."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from queue_loads import MONDAY, judged, line
from strandwright.planning.queue.nouns import Load, QueueBench
from strandwright.planning.queue.solve import solve
from strandwright.planning.queue.week import Week

EVERY_DAY = Week((((480, 720), (780, 960)),) * 7)
SCALES = st.lists(st.sampled_from([0.5, 0.8, 1.0, 1.4]), min_size=2, max_size=3)
DUES = st.lists(st.integers(1, 900), min_size=3, max_size=3)


def shop(scales, dues, benches: int = 1, hands: int = 1, shift: int = 0) -> Load:
    """A few lines in a shop that is open alike every day."""
    hours = EVERY_DAY.hours(MONDAY + timedelta(days=shift), 60)
    works = tuple(
        line(f"J{n}", scale, due=due)
        for n, (scale, due) in enumerate(zip(scales, dues, strict=False))
    )
    return Load(
        hours,
        tuple(QueueBench(f"b{n}", "posts") for n in range(benches)),
        ("Ann", "Ben")[:hands],
        works,
    )


@settings(max_examples=12)
@given(SCALES, DUES)
def test_more_benches_or_hands_are_never_later(scales, dues):
    """What is proved least late with one bench is no later with two, or with two pairs of hands."""
    one = solve(shop(scales, dues))
    judged(shop(scales, dues), one)
    assert one.is_least_late
    assert solve(shop(scales, dues, benches=2)).lateness <= one.lateness
    assert solve(shop(scales, dues, hands=2)).lateness <= one.lateness


@settings(max_examples=12)
@given(SCALES, DUES, st.integers(1, 400))
def test_an_earlier_due_date_never_makes_the_whole_less_late(scales, dues, sooner):
    """And a later one never more."""
    load = shop(scales, dues)
    hurried = replace(
        load, works=(replace(load.works[0], due=max(0, dues[0] - sooner)), *load.works[1:])
    )
    assert solve(hurried).lateness >= solve(load).lateness


@settings(max_examples=8)
@given(SCALES, DUES, st.integers(1, 9))
def test_a_shop_begun_some_days_later_is_the_same_some_days_later(scales, dues, days):
    """Where every day is alike the answer is moved by as many days, and nothing else."""
    load, later = shop(scales, dues), shop(scales, dues, shift=days)
    one, other = solve(load), solve(later)
    assert one == other
    for p, q in zip(one.placed, other.placed, strict=True):
        begins = load.hours.moment(load.hours.begins(p.start))
        assert later.hours.moment(later.hours.begins(q.start)) == begins + timedelta(days=days)


@settings(max_examples=8)
@given(SCALES, DUES, st.integers(0, 500))
def test_what_is_fixed_never_makes_the_whole_less_late(scales, dues, at):
    """A start that is held where it can be costs lateness or nothing."""
    from strandwright.planning.queue.nouns import Fixed
    from strandwright.planning.queue.overrides import sift

    load = shop(scales, dues)
    asked = replace(load, fixed=(Fixed("J0", "wind", at), Fixed("J1", before="J0")))
    held, flags = sift(asked)
    found = solve(held)
    judged(held, found)
    at_start = {p.task.key: p.start for p in found.placed}
    kept = [fixed for fixed in asked.fixed if fixed not in [flag.fixed for flag in flags]]
    assert kept == list(held.fixed)
    for fixed in kept:
        if fixed.start is not None:
            assert at_start["J0", "wind"] == at
        else:
            assert at_start["J1", "wind"] < at_start["J0", "wind"]
    assert found.lateness >= solve(load).lateness
