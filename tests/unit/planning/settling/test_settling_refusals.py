"""What cannot have happened to a line on its bow is refused: field, value, rule, remedy."""

from __future__ import annotations

from datetime import timedelta

import pytest

from bench_work import Work
from finished_line import FITTED, Life, finish
from strandwright.errors import Conflict, InputError, NotFound
from strandwright.planning.settling.keeping import answer_for, write
from strandwright.planning.settling.record import written_of


def later(days=30.0):
    """Give a finished line at a desk whose day is so long after the fitting."""
    work = finish(Work())
    work.now = FITTED + timedelta(days=days)
    return work


@pytest.fixture(scope="module")
def line():
    """Give a line with two readings, and who wrote them."""
    work, life = later(), Life()
    rows = [life("on-bow"), life("length-off", 2, 40, length="57 9/32 in"),
            life("length-off", 5, 100, length="57 9/32 in")]  # fmt: skip
    for row in rows:
        write(work.desk, work.build, row)
    return work, life, rows


@pytest.mark.parametrize(
    ("type", "day", "shots", "body", "field"),
    [
        ("moon", 6, 120, {}, "service.type"),
        ("on-bow", 6, 0, {}, "service.type"),
        ("waxed", 6, 90, {}, "service.shots"),
        ("waxed", 3, 120, {}, "service.shots"),
        ("waxed", 6, -1, {}, "service.shots"),
        ("waxed", 6, "many", {}, "service.shots"),
        ("waxed", -1, 0, {}, "service.at"),
        ("waxed", 900, 120, {}, "service.at"),
        ("length-off", 6, 120, {"length": "58 3/8 in"}, "length-off.length"),
        ("length-off", 6, 120, {"length": "57"}, None),
        ("length-off", 6, 120, {"length": "57 lbf"}, "length-off.length"),
        ("length-off", 6, 120, {}, "length-off.length"),
        ("length-off", 6, 120, {"length": "57 1/4 in", "load": "9 tons"}, "length-off.load"),
        ("length-off", 6, 120, {"length": "57 1/4 in", "load": "4000 lbf"}, "length-off.load"),
        ("length-off", 6, 120, {"length": "57 1/4 in", "zero_pin": "9 in"}, "length-off.zero_pin"),
        ("figure-on", 6, 120, {"figure": "moon", "read": "7 in"}, "figure-on.figure"),
        ("figure-on", 6, 120, {"figure": "brace height", "read": "90 in", "per_length": -2.0},
         "figure-on.read"),
        ("figure-on", 6, 120, {"figure": "brace height", "read": "7 in", "per_length": 0.01},
         "figure-on.per_length"),
        ("turns-changed", 6, 120, {"turns": 0.3}, "turns-changed.turns"),
        ("turns-changed", 6, 120, {"turns": 0.0}, "turns-changed.turns"),
        ("turns-changed", 6, 120, {"turns": -80.0}, "turns-changed.turns"),
        ("turns-changed", 6, 120, {"turns": "one"}, "turns-changed.turns"),
        ("looked-over", 6, 120, {"seen": []}, "looked-over.seen"),
        ("looked-over", 6, 120, {"seen": ["nothing", "cut strand"]}, "looked-over.seen"),
        ("looked-over", 6, 120, {"seen": ["moth"]}, "looked-over.seen[1]"),
        ("replace-by", 6, 120, {}, "replace-by.months"),
        ("replace-by", 6, 120, {"months": 0}, "replace-by.months"),
        ("taken-back", 6, 120, {"entry": "f" * 32}, "taken-back.entry"),
        ("waxed", 6, 120, {"how": "well"}, "waxed.how"),
    ],
)  # fmt: skip
def test_a_slip_is_refused_in_words(line, type, day, shots, body, field):
    """Nothing of it is kept."""
    work, life, _ = line
    before = written_of(work.desk.store, work.build)
    if field is None:
        write(work.desk, work.build, life(type, day, shots, length="57 9/32"))
        newest = written_of(work.desk.store, work.build)[-1]
        assert newest.table()["body"] == {"length": "57 9/32 in"}
        write(work.desk, work.build, life("taken-back", day, shots, entry=newest.id))
        return
    with pytest.raises(InputError) as refused:
        write(work.desk, work.build, life(type, day, shots, **body))
    assert field == refused.value.field
    assert refused.value.rule
    assert refused.value.remedy
    assert written_of(work.desk.store, work.build) == before


def test_nothing_counts_before_it_is_on_a_bow():
    """A reading before the fitting is asked to wait; a look over is not."""
    work, life = later(), Life(0x7000)
    with pytest.raises(InputError, match="after the line came onto its bow"):
        write(work.desk, work.build, life("length-off", 0, 0, length="57 1/4 in"))
    write(work.desk, work.build, life("looked-over", -0.5, 0, seen=["nothing"]))
    assert "not on a bow" == answer_for(work.desk, work.build).act


def test_an_entry_sent_twice_is_one_and_another_under_its_identity_is_none(line):
    """As after a lost answer."""
    work, _, rows = line
    before = written_of(work.desk.store, work.build)
    assert before == write(work.desk, work.build, rows[1])
    with pytest.raises(Conflict, match="other content"):
        write(work.desk, work.build, rows[1] | {"shots": 41})


def test_without_shots_it_has_those_counted_last(line):
    """Waxed a day after the second reading: its shots."""
    work, life, _ = line
    write(work.desk, work.build, life("waxed", 5.5))
    assert 100 == written_of(work.desk.store, work.build)[-1].shots


def test_the_fitting_is_not_taken_back_under_what_counts_from_it(line):
    """Later entries first."""
    work, life, rows = line
    with pytest.raises(InputError, match="take those back first"):
        write(work.desk, work.build, life("taken-back", 6, 100, entry=rows[0]["id"]))


def test_a_line_still_at_the_jig_has_no_service():
    """It is proved and locked first; of a build that is not kept nothing is said."""
    work = Work()
    with pytest.raises(Conflict, match="not finished"):
        answer_for(work.desk, work.build)
    with pytest.raises(NotFound):
        answer_for(work.desk, "f" * 32)


def test_after_its_end_nothing_more_is_written():
    """But that the end was a slip."""
    work, life = later(), Life(0x9000)
    end = life("retired", 0.2, 0, why="cut")
    for row in (life("on-bow"), end):
        write(work.desk, work.build, row)
    with pytest.raises(InputError, match="must not follow the line's end"):
        write(work.desk, work.build, life("waxed", 0.3, 0))
    write(work.desk, work.build, life("taken-back", 0.4, 0, entry=end["id"]))
    assert "still moving" == answer_for(work.desk, work.build).act
