"""Hours: the open clock, and waits and handwork on it."""

from __future__ import annotations

import random
from datetime import date, datetime

import pytest

from strandwright.planning.queue.course import after_wait, begin
from strandwright.planning.queue.hours import DAY, Hours
from strandwright.planning.queue.nouns import Task
from strandwright.planning.queue.week import USUAL, Week

MONDAY = date(2026, 3, 2)


def test_a_usual_week_is_open_five_days_from_nine_to_five():
    """The open clock has 40 hours a week and stands still over the weekend."""
    hours = USUAL.hours(MONDAY, 14)
    assert len(hours.windows) == 10
    assert hours.bounds[-1] == 10 * 480
    assert hours.moment(hours.ends(5 * 480)) == datetime(2026, 3, 6, 17)
    assert hours.moment(hours.begins(5 * 480)) == datetime(2026, 3, 9, 9)


def test_the_open_clock_and_the_clock_agree_at_every_open_minute():
    """From the clock to open minutes and back is the same minute."""
    hours = USUAL.hours(MONDAY, 8)
    for a, b in hours.windows:
        for minute in range(a, b):
            assert hours.begins(hours.opened(minute)) == minute
        for minute in range(a + 1, b + 1):
            assert hours.ends(hours.opened(minute)) == minute


def test_closed_days_and_overtime_change_single_days():
    """A closed day has no window; overtime that touches the day's end joins it."""
    extra = {date(2026, 3, 3): ((17 * 60, 19 * 60),)}
    week = Week(USUAL.days, frozenset({MONDAY}), extra)
    hours = week.hours(MONDAY, 3)
    assert hours.windows == ((DAY + 540, DAY + 1140), (2 * DAY + 540, 2 * DAY + 1020))


def test_a_day_ends_at_its_closing_and_a_closed_day_with_the_last_before_it():
    """Due on Sunday is due by Friday's closing; due last week lies before the first minute."""
    hours = USUAL.hours(MONDAY, 14)
    assert hours.closing(date(2026, 3, 2)) == 480
    assert hours.closing(date(2026, 3, 8)) == hours.closing(date(2026, 3, 6)) == 5 * 480
    assert hours.closing(date(2026, 2, 27)) < 0


@pytest.mark.parametrize("minutes", [1, 15, 45, 480, 700, 1000, 3000])
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_a_wait_is_over_when_the_clock_says_so(minutes, seed):
    """Against the clock: over at that minute, or in the closed time that follows a closing."""
    rng = random.Random(seed)
    windows, at = [], 0
    for _ in range(12):
        at += rng.randint(1, 900)
        windows.append((at, at := at + rng.randint(5, 600)))
    hours = Hours(datetime(2026, 3, 2), tuple(windows))
    last = hours.opened(windows[-1][0] - minutes - 1)
    assert last > 0
    for begun in range(1, last, 7):
        over = hours.ends(begun) + minutes
        assert after_wait(hours, begun, minutes) == hours.opened(over)


def test_work_that_is_not_broken_off_waits_for_a_day_it_fits():
    """With 20 minutes left before closing, 30 minutes of winding begin the next morning."""
    hours = USUAL.hours(MONDAY, 3)
    whole = Task("A", "wind", hands=30)
    assert begin(hours, whole, 450) == 450
    assert begin(hours, whole, 451) == 480
    assert begin(hours, Task("A", "serve", hands=30, splits=True), 460) == 460


def test_what_stands_under_load_ends_while_somebody_is_there():
    """A pull-up whose hour under load would end after closing waits; one of 17 hours may start."""
    hours = USUAL.hours(MONDAY, 4)
    assert begin(hours, Task("A", "s", hands=10, stands=60), 411) == 480
    assert begin(hours, Task("A", "s", hands=10, stands=60), 410) == 410
    # Begun at 15:51 and up at 16:01 it may be let down at 9:01.
    assert begin(hours, Task("A", "s", hands=10, stands=17 * 60), 0) == 411
