"""Rotation: which backups stay, said in words and held to them."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandwright.store.backup import back_up
from strandwright.store.memory import MemoryStore
from strandwright.store.rotation import Found, Thinning, backups_in, name_at, thin

NOON = datetime(2026, 3, 2, 12, 0, tzinfo=UTC)


def hours(folder, *ago):
    """Give backups taken so many hours before noon of a Monday."""
    moments = [NOON - timedelta(hours=h) for h in ago]
    return [Found(folder / name_at(moment), moment) for moment in moments]


def test_the_newest_and_one_a_day_week_and_month_stay(tmp_path):
    """Taken every eight hours for a year: two of today, one of each rule's periods."""
    found = hours(tmp_path, *range(0, 365 * 24, 8))
    stay = Thinning(last=2, daily=3, weekly=2, monthly=3).kept(found)
    kept = sorted((one.at for one in found if one.path in stay), reverse=True)
    told = [moment.strftime("%d.%m. %H") for moment in kept]
    # 2 March was a Monday: its week began that day, the week before ended on Sunday, 1 March.
    assert ["02.03. 12", "02.03. 04", "01.03. 20", "28.02. 20", "31.01. 20"] == told


@given(
    ago=st.lists(st.integers(0, 24 * 800), min_size=1, max_size=60, unique=True),
    last=st.integers(1, 5),
    daily=st.integers(0, 5),
    weekly=st.integers(0, 5),
    monthly=st.integers(0, 5),
)
def test_thinning_again_takes_nothing_more(tmp_path_factory, ago, last, daily, weekly, monthly):
    """The newest stays, each rule is kept, and what stays stays."""
    found = hours(tmp_path_factory.getbasetemp(), *ago)
    rule = Thinning(last, daily, weekly, monthly)
    stay = rule.kept(found)
    left = [one for one in found if one.path in stay]
    assert stay == rule.kept(left)
    newest = sorted(found, key=lambda one: one.at, reverse=True)
    assert {one.path for one in newest[:last]} <= stay
    assert len(stay) <= last + daily + weekly + monthly
    days = {one.at.date() for one in found}
    assert min(daily, len(days)) <= len({one.at.date() for one in left})


@pytest.mark.parametrize(
    ("rule", "said"),
    [
        (Thinning(1), "kept are the newest; "),
        (Thinning(5, 1), "kept are the newest 5 and the newest of the last day that has one; "),
        (
            Thinning(3, 7, 5, 12),
            "kept are the newest 3, the newest of each of the last 7 days that have one, the "
            "newest of each of the last 5 weeks that have one and the newest of each of the last "
            "12 months that have one; ",
        ),
    ],
)
def test_the_rule_is_said_in_words(rule, said):
    """What is kept is stated plainly."""
    assert rule.said().startswith(said)


def test_nothing_else_in_the_folder_is_touched(tmp_path):
    """A file of another name, one named so that is none, a link: all stay."""
    store = MemoryStore()
    for hour in range(4):
        back_up(store, tmp_path / name_at(NOON - timedelta(hours=hour)))
    back_up(store, tmp_path / "before-the-move.jsonl.gz")
    other = tmp_path / name_at(NOON - timedelta(days=900))
    other.write_text("not a backup", encoding="utf-8")
    (tmp_path / "strandwright-20269999T000000Z.jsonl.gz").write_bytes(b"")
    gone = thin(tmp_path, Thinning(last=2))
    assert [name_at(NOON - timedelta(hours=h)) for h in (2, 3)] == [path.name for path in gone]
    left = {path.name for path in tmp_path.iterdir()}
    assert {"before-the-move.jsonl.gz", other.name, name_at(NOON)} <= left
    assert 5 == len(left)
    assert NOON == backups_in(tmp_path)[0].at


def test_a_folder_that_is_not_there_holds_none(tmp_path):
    """Nothing is listed, and nothing is raised."""
    assert () == backups_in(tmp_path / "none")
