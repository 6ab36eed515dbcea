"""Look again: due by what was seen, by how a line settles, by each source's own days."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from bench_work import Work
from finished_line import FITTED, Life, finish, settling_life
from strandwright.planning.register.data import look_again_data
from strandwright.planning.register.forecasts import Forecasts
from strandwright.planning.register.intervals import first_day, intervals_of
from strandwright.planning.register.lines import retired_lines, watched_lines
from strandwright.planning.register.look_again import look_again
from strandwright.planning.settling.keeping import answer_for, write

DAY = timedelta(days=1)


@pytest.fixture
def shop():
    """Give a finished line, a month after its fitting."""
    work = finish(Work())
    work.now = FITTED + 30 * DAY
    return work


def entries(work: Work, *rows: dict) -> None:
    """Write entries."""
    for row in rows:
        write(work.desk, work.build, row)


def at(work: Work, seconds: float | None = None):
    """Look at the register at the work's own now."""
    now = datetime.fromisoformat(work.desk.now())
    return look_again(Forecasts(work.desk), now, seconds=seconds)


def test_a_line_on_no_bow_is_not_in_the_register(shop):
    """It comes in with the day on which it is put on."""
    assert () == at(shop)
    entries(shop, Life()("on-bow"))
    (look,) = at(shop)
    assert (shop.build, "RIDGE-1", FITTED) == (look.line.build, look.line.job, look.line.fitted)


def test_a_forecast_goes_before_what_sources_say(shop):
    """Its day and count are those that the line's own record answers with."""
    entries(shop, *settling_life(Life(), *["57 1/4 in"] * 4))
    answer = answer_for(shop.desk, shop.build)
    (look,) = at(shop)
    assert ("forecast", answer.look_at, "done") == (look.by, look.at, look.verdict)
    assert f"{answer.look_shots:,} shots" in look.why
    assert "later" == look.when
    assert answer.look_at is not None
    shop.now = answer.look_at - 3 * DAY
    assert ["soon"] == [look.when for look in at(shop)]
    shop.now = answer.look_at
    assert ["due"] == [look.when for look in at(shop)]


def test_without_a_forecast_the_first_source_that_holds_says_the_day(shop):
    """It settles in 50 to 100 shots, at thirty a day where the record does not tell."""
    entries(shop, Life()("on-bow"))
    (look,) = at(shop, seconds=0.0)
    assert ("practice", False) == (look.by, look.told)
    assert FITTED + (50 / 30) * DAY == look.at
    assert "50" in look.why


def test_every_source_stands_for_itself(shop):
    """Years apart, none averaged; of those who shoot much only where much is shot."""
    entries(shop, *settling_life(Life(), *["57 1/4 in"] * 4))
    (line,) = watched_lines(shop.desk.store)
    rows = intervals_of(line, shop.now)
    ages = [one for one in rows if one.about == "age"]
    days = [(one.first - FITTED).days for one in ages if one.first is not None]
    assert [365, 365, 730, 183, 730, 365, 1095] == days
    assert [True, True, True, False, True, False, True] == [one.holds for one in ages]
    first = first_day(rows)
    assert first is not None
    assert ("age", FITTED + 365 * DAY) == (first.about, first.first)


def test_sources_that_disagree_do_not_retire_a_line_until_all_agree(shop):
    """After four years and a day every one of them is behind."""
    entries(shop, Life()("on-bow"))
    for days, over in ((1460, False), (1462, True)):
        shop.now = FITTED + days * DAY
        (look,) = at(shop)
        assert over == (look.why == "it is older than every source allows")


def test_waxing_is_the_archer_s_and_calls_no_line_in(shop):
    """Its days count from the last waxing."""
    life = Life()
    entries(shop, *settling_life(life, *["57 1/4 in"] * 4), life("waxed", 25, 410))
    (line,) = watched_lines(shop.desk.store)
    wax = [one for one in intervals_of(line, shop.now) if one.about == "wax"]
    weekly = next(one for one in wax if "weekly" in one.said)
    assert FITTED + 32 * DAY == weekly.first
    assert 4 == len(wax)
    assert ["later"] == [look.when for look in at(shop)]


def test_what_must_not_be_drawn_is_due_before_all(shop):
    """Whatever the forecast; looked over and found sound, it is on its bow again."""
    life = Life()
    entries(shop, *settling_life(life, *["57 1/4 in"] * 4), life("dry-fired", 22, 410))
    (look,) = at(shop)
    assert ("due", "record", "do not draw") == (look.when, look.by, look.line.status)
    assert look.why.startswith("do not draw it: the bow was dry-fired")
    entries(shop, life("looked-over", 23, 410, seen=["nothing"]))
    assert ["later"] == [look.when for look in at(shop)]


def test_this_shop_s_rule_goes_before_every_source(shop):
    """By months or by shots; before it is reached it is one of the days."""
    life = Life()
    entries(shop, *settling_life(life, *["57 1/4 in"] * 4), life("replace-by", 25, months=6))
    assert ["later"] == [look.when for look in at(shop)]
    shop.now = FITTED + 190 * DAY
    (look,) = at(shop)
    assert ("due", "record") == (look.when, look.by)
    assert "6 months" in look.why


def test_retiring_a_line_closes_its_row(shop):
    """It is looked at no more, and told of with its reason and its day."""
    life = Life()
    entries(shop, life("on-bow"), life("retired", 20, 900, why="fuzzy all over"))
    assert () == at(shop)
    (line,) = retired_lines(shop.desk.store)
    assert ("fuzzy all over", 900) == (line.why, line.shots)
    told = look_again_data(Forecasts(shop.desk), shop.now)
    assert [shop.build] == [row["build"] for row in told["retired"]]
    assert {"due": 0, "soon": 0, "later": 0} == told["counts"]


def test_turns_run_up_from_the_lock(shop):
    """Half a turn put in on the bow stands in the register."""
    locked = shop.advice.state.locked.turns
    life = Life()
    entries(shop, life("on-bow"), life("turns-changed", 3, 60, turns=0.5))
    (line,) = watched_lines(shop.desk.store)
    assert locked + 0.5 == line.turns


def test_words_find_customer_bow_and_line(shop):
    """Each word in any of the names."""
    entries(shop, Life()("on-bow"))
    store = shop.desk.store
    assert 1 == len(watched_lines(store, "ranger RIDGE"))
    assert () == watched_lines(store, "ranger tarn")


def test_a_forecast_is_reckoned_once_until_something_is_written(shop, monkeypatch):
    """A further entry makes it anew."""
    asked = []
    monkeypatch.setattr(
        "strandwright.planning.register.forecasts.answer_for",
        lambda desk, build: asked.append(build) or answer_for(desk, build),
    )
    life, forecasts = Life(), Forecasts(shop.desk)
    entries(shop, life("on-bow"))
    for _ in range(3):
        look_again(forecasts, shop.now)
    assert 1 == len(asked)
    entries(shop, life("waxed", 2, 30))
    look_again(forecasts, shop.now)
    assert 2 == len(asked)
    (late,) = look_again(Forecasts(shop.desk), shop.now, seconds=0.0)
    assert (False, 2) == (late.told, len(asked))


def test_lines_behind_the_most_pressing_wait_for_no_forecast(shop, monkeypatch):
    """They go by what sources say, and hold nobody up."""
    monkeypatch.setattr("strandwright.planning.register.look_again.AHEAD", 0)
    entries(shop, Life()("on-bow"))
    (look,) = at(shop, seconds=60.0)
    assert ("practice", True) == (look.by, look.told)
    (look,) = at(shop)
    assert "forecast" == look.by


def test_the_register_is_read_anew_when_anything_is_written(shop):
    """What is remembered of a line is that of its last entry."""
    life, forecasts = Life(), Forecasts(shop.desk)
    entries(shop, life("on-bow"))
    assert [0] == [look.line.shots for look in look_again(forecasts, shop.now)]
    entries(shop, life("waxed", 3, 70))
    assert [70] == [look.line.shots for look in look_again(forecasts, shop.now)]
    shop.now = FITTED + 2000 * DAY
    (look,) = look_again(forecasts, shop.now)
    assert ("due", "it is older than every source allows") == (look.when, look.why)
