"""The answer for a line on its bow: what is to be done, in words, and when to look again."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from finished_line import FITTED, settling_life
from strandwright.planning.settling.answer import rounded_shots, settling_of
from strandwright.planning.settling.before import prior_of
from strandwright.planning.settling.data import settling_data
from strandwright.planning.settling.words import cautions, headline, sentences
from strandwright.planning.written import Written
from strandwright.statistics.settling import Ranged
from strandwright.units import INCH
from strandwright.workshop.service import entry_from_table

TO = Written("in", 16)


def test_before_it_is_on_a_bow_nothing_is_said_but_that(answer):
    """The first act is to write down when it was fitted."""
    found = answer([])
    assert ("not on a bow", None) == (found.act, found.look)
    assert "when it was fitted" in sentences(found, TO)[0]


def test_just_fitted_it_moves_by_the_tables(answer, life):
    """Without a reading no turn is advised, and the words say where the numbers come from."""
    found = answer([life("on-bow")], days=0.1)
    assert ("still moving", 0) == (found.act, found.halves)
    assert any("nothing was read yet" in said for said in sentences(found, TO))
    assert 10 <= found.look_shots <= 100
    assert found.judgement.further.high > found.rule.tolerance


def test_a_line_that_stays_is_done(answer, life):
    """Level readings over 200 shots: done, with the next look far off."""
    found = answer(settling_life(life, *["57 1/4 in"] * 4), days=10)
    assert ("done", "Done: it has settled") == (found.act, headline(found))
    assert found.look_shots > 500
    assert "Read it next at" in " ".join(sentences(found, TO))


def test_a_line_that_got_longer_and_stays_is_twisted_back(answer, life):
    """By about 3/64 in: a turn and a half at 0.033 in a turn; presses are warned of."""
    found = answer(
        settling_life(life, "57 1/4 in", "57 9/32 in", "57 19/64 in", "57 19/64 in"), days=10
    )
    assert "twist back" == found.act
    assert found.halves in (2, 3)
    per_turn = abs(found.plan.twist.next_turn.value)
    length = found.plan.target.length.value
    assert found.judgement.off.mean * length == pytest.approx(
        0.5 * found.halves * per_turn, abs=0.3 * per_turn
    )
    assert "Twist back" in headline(found)
    assert "press" in cautions(found)[0].lower()


def test_turns_on_the_bow_belong_to_the_same_curve(answer, life):
    """After the turns that were advised it is as long as it should be, and done."""
    rows = settling_life(life, "57 1/4 in", "57 9/32 in", "57 19/64 in", "57 19/64 in")
    before = answer(rows, days=10)
    rows += [life("turns-changed", 9, 200, turns=0.5 * before.halves)]
    after = answer(rows, days=10)
    assert "done" == after.act
    assert after.turns == before.turns + 0.5 * before.halves
    assert abs(after.judgement.off.mean) < 0.5 * abs(before.judgement.off.mean)


def test_turns_used_up_end_it(answer, life):
    """Off by more than its tolerance, with no turn left within those advised: replace it."""
    rows = settling_life(life, "57 1/4 in", "57 17/64 in", "57 17/64 in", "57 17/64 in")
    rows.append(life("turns-changed", 9, 200, turns=27.0))
    shorter = 57.265625 - 27 * 0.0328
    rows += [
        life("length-off", 10 + k, 210 + k, length=f"{shorter + 0.99:.3f} in") for k in range(3)
    ]
    found = answer(rows, days=15)
    if found.act == "read again":
        pytest.skip("the readings contradict the turns")
    assert ("retire", "Replace this line") == (found.act, headline(found))


@pytest.mark.parametrize(
    ("type", "body", "act", "why"),
    [
        ("looked-over", {"seen": ["cut strand"]}, "do not draw", "a strand is cut"),
        ("looked-over", {"seen": ["separated serving"]}, "do not draw", "come apart"),
        ("looked-over", {"seen": ["fuzzy strand", "loose serving"]}, "done", ""),
        ("dry-fired", {}, "do not draw", "dry-fired"),
        ("retired", {"why": "sold"}, "retired", "sold"),
    ],
)
def test_what_is_seen_goes_before_what_is_read(answer, life, type, body, act, why):
    """A done line with a cut strand is not drawn; a fuzzy one is told of, no more."""
    rows = [*settling_life(life, *["57 1/4 in"] * 4), life(type, 10, 210, **body)]
    found = answer(rows, days=11)
    assert act == found.act
    assert why in found.why
    if act == "do not draw":
        assert "Do not draw" in cautions(found)[0]
        assert "qualified technician" in cautions(found)[0]
        assert found.look is None


def test_looked_over_after_a_dry_fire_it_may_be_drawn(answer, life):
    """A cut strand does not heal, a dry fire is looked after."""
    rows = [
        *settling_life(life, *["57 1/4 in"] * 4),
        life("dry-fired", 10, 210),
        life("looked-over", 10.5, 210, seen=["nothing"]),
    ]
    assert "done" == answer(rows, days=11).act


def test_the_shop_s_own_limit_goes_before_the_sources(answer, life):
    """Older than every source ends it; the shop's own rule sooner, or later."""
    rows = settling_life(life, *["57 1/4 in"] * 4)
    assert answer(rows, days=800).act == "done"
    assert ("retire", True) == (lambda a: (a.act, "every source" in a.why))(answer(rows, days=1500))
    own = [*rows, life("replace-by", 10, 200, months=12)]
    assert answer(own, days=300).act == "done"
    assert "12 months" in answer(own, days=400).why
    later = [*rows, life("replace-by", 10, 200, shots=5000)]
    assert answer(later, days=1500).act == "done"


def bounded(finished, rows, *, off, **twist):
    """Answer for a line of other turns, so many metres off its asked length at every reading."""
    advice = finished.desk.advice(finished.build)
    plan = replace(advice.plan, twist=replace(advice.plan.twist, **twist))
    entries = [entry_from_table({"shots": 0} | row) for row in rows(57.25 + off / INCH)]
    turns = 0.0 if off < 0.0 else advice.state.locked.turns
    return settling_of(plan, turns, entries, FITTED + timedelta(days=12))


@pytest.mark.parametrize(("off", "act"), [(0.04, "done"), (0.1, "retire"), (-0.05, "done")])
def test_a_line_within_tolerance_is_not_replaced_for_its_turns(finished, life, off, act):
    """With no turn left that would better it, one within 1/16 in is done; one outside ends."""
    found = bounded(
        finished,
        lambda inches: settling_life(life, *[f"{inches:.3f} in"] * 4),
        off=off * INCH,
        most_turns=finished.advice.state.locked.turns,
    )
    assert found.judgement.halves != 0
    assert (act, 0) == (found.act, found.halves)


def test_the_count_of_the_next_look_lies_ahead(answer, life):
    """However it is rounded: never at shots that were fired, nor half as far again."""
    rows = settling_life(life, *["57 1/4 in"] * 4)
    for last in (1203, 1226, 1249):
        rows.append(life("length-off", last / 100.0, last, length="57 3/8 in"))
        found = answer(rows, days=20)
        ahead = found.look.shots
        assert found.look_shots == pytest.approx(last + ahead, abs=max(0.25 * ahead, 2.5))
        assert found.look_shots > last or ahead == 0.0


@pytest.mark.parametrize(("now", "ahead"), [(1203, 10), (1203, 24), (203, 10), (12, 1), (498, 11)])
def test_a_look_soon_is_rounded_finely(now, ahead):
    """Rounding to fifties told 1200 shots of a line that had 1203 and was to get ten more."""
    told = rounded_shots(now, ahead)
    assert now < told
    assert told == pytest.approx(now + ahead, abs=4)


def test_what_is_to_be_twisted_is_not_about_as_long_as_it_should_be(answer, life):
    """Where turns are advised the sentence says how far off it is."""
    found = answer(settling_life(life, *["57.285 in"] * 3), days=5)
    off = replace(found.judgement, off=Ranged(0.0006, -0.0001, 0.0013), halves=2)
    told = replace(found, act="twist back", halves=2, judgement=off)
    assert "longer than asked for" in sentences(told, TO)[0]
    assert "about as long" not in sentences(told, TO)[0]


def test_taken_back_entries_count_no_more(answer, life):
    """A slip taken back leaves the answer as it was without it."""
    rows = settling_life(life, *["57 1/4 in"] * 4)
    before = answer(rows, days=10)
    slip = life("length-off", 9.5, 200, length="57 7/8 in")
    again = answer([*rows, slip, life("taken-back", 9.6, 200, entry=slip["id"])], days=10)
    assert again.judgement == before.judgement


def test_held_to_the_bow_as_wanted(answer, life):
    """Set as wanted at a length that was not asked for, the later readings are held to that."""
    rows = settling_life(life, "57 1/4 in", "57 9/32 in", "57 19/64 in")
    rows.append(life("set-as-wanted", 5, 100))
    rows.append(life("length-off", 9, 200, length="57 19/64 in"))
    found = answer(rows, days=10)
    assert "done" == found.act
    assert abs(found.judgement.off.mean) * found.plan.target.length.value < 0.25e-3
    assert any("as wanted" in said for said in sentences(found, TO))


def test_a_figure_of_the_bow_tells_how_far_it_moved(answer, life):
    """Brace height down by 3/32 in at -2.5 to one: the line 1/26 in longer than at its zero."""
    rows = [life("on-bow"), life("length-off", 0, 0, length="57 1/4 in")]
    for day, shots, read in ((0, 0, "7 in"), (4, 60, "6 29/32 in"), (8, 150, "6 29/32 in")):
        body = {"figure": "brace height", "read": read, "per_length": -2.5}
        rows.append(life("figure-on", day, shots, **body))
    found = answer(rows, days=9)
    moved = found.judgement.off.mean * found.plan.target.length.value / INCH
    assert moved == pytest.approx(3.0 / 32.0 / 2.5, abs=0.015)


def test_where_nothing_says_what_a_figure_does_the_bow_is_asked(answer, life):
    """The slope that is not given comes from the bow's model, with its doubt."""
    asked = []

    def slope(plan, figure):
        asked.append(figure)
        return -2.0, 0.4

    rows = [life("on-bow")]
    rows += [life("figure-on", d, 30 * d, figure="brace height", read=r)
             for d, r in ((0, "7 in"), (3, "6 15/16 in"))]  # fmt: skip
    found = answer(rows, days=4, slope=slope)
    assert set(asked) == {"brace height"}
    elongation = found.course.readings[1].elongation * found.plan.target.length.value
    assert elongation == pytest.approx(INCH / 32.0, rel=1e-6)


def test_another_load_is_carried_to_the_measuring_load(answer, life):
    """Read at 50 lbf it is shorter than it would be at 100 lbf, and made longer for it."""
    rows = [life("on-bow"), life("length-off", 1, 20, length="57 7/32 in", load="50 lbf")]
    at_fifty = answer(rows).course.readings[0]
    plain = answer([rows[0], life("length-off", 1, 20, length="57 7/32 in")]).course.readings[0]
    length = answer(rows).plan.target.length.value
    assert 0.3e-3 < (at_fifty.elongation - plain.elongation) * length < 8e-3
    assert at_fifty.u >= plain.u


def test_shots_per_day_come_from_the_record_once_it_tells_them(answer, life):
    """Forty shots in two days and more: twenty a day; before that the table's."""
    assert not answer([life("on-bow")]).pace_known
    found = answer(settling_life(life, *["57 1/4 in"] * 2))
    assert (True, pytest.approx(20.0)) == (found.pace_known, found.pace * 86400.0)


def test_the_prior_is_the_plan_s_own(finished):
    """Bedding-in, creep and length are those that the build's readings left."""
    plan = finished.desk.advice(finished.build).plan
    prior = prior_of(plan)
    assert prior.amplitude == pytest.approx(0.35 * plan.parameters.value("bedding"))
    assert prior.offset == pytest.approx(0.0, abs=2e-4)
    assert 0.02 < prior.creep / plan.parameters.value("creep") < 0.5


@pytest.mark.parametrize("count", range(6))
def test_the_data_are_plain_and_whole(answer, life, count):
    """JSON of format 1, with the chart in three lights from the fitting on."""
    lengths = ["57 1/4 in", "57 9/32 in", "57 19/64 in", "57 19/64 in", "57 5/16 in"]
    rows = settling_life(life, *lengths)[: count + 1] if count else []
    written = [entry_from_table({"shots": 0} | row) for row in rows]
    data = settling_data(answer(rows), written, width=520.0)
    assert json.loads(json.dumps(data, allow_nan=False)) == data
    assert (1, len(rows)) == (data["format"], len(data["entries"]))
    assert set(data["svg"]) == ({"light", "dark", "sun"} if rows else set())
    assert len(data["readings"]) == max(len(rows) - 1, 0)
    off = data["off"]
    assert off["low_m"] <= off["m"] <= off["high_m"]
    assert np.isfinite(data["chance_moved"])
