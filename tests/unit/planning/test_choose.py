"""The choice of a make-up: what more strands buy, and the rule that misleads."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest

from sample_job import (
    CABLE,
    EXAMPLE_NAMES,
    GRAIN,
    INCH,
    MERE,
    RIDGE,
    TARN,
    example_plan,
    job_of,
    plan_of,
    prepared_of,
)
from strandwright.errors import SpecError
from strandwright.planning.choose import SHOWN_DIAMETERS, SHOWN_SHARES, choose, with_strands
from strandwright.planning.settings import wanted_turns
from strandwright.planning.strand_stock import WAX_SHARE
from strandwright.reference import practice, strand, strands, threads


def by_strand(choice):
    """Group rows by their strand."""
    names = dict.fromkeys(r.strand for r in choice.rows)
    return {n: [r for r in choice.rows if r.strand == n] for n in names}


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_more_strands_are_thicker_and_safer(name):
    """Along one strand's rows, count and diameter rise; share, stress and creep fall."""
    groups = by_strand(choose(job_of(name)))
    assert groups
    for rows in groups.values():
        for one, more in pairwise(rows):
            assert more.strand_count > one.strand_count
            for attribute in ("bare", "centre", "end", "derated", "mass"):
                if attribute == "centre" and more.centre_thread != one.centre_thread:
                    continue
                assert getattr(more, attribute).value > getattr(one, attribute).value
            assert more.resting.value < one.resting.value
            assert more.highest.value < one.highest.value
            if one.release is not None:
                assert more.release.value < one.release.value
            assert more.stress < one.stress
            assert more.creep_month < one.creep_month


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_warmth_creeps(name):
    """A month in the heat is never kinder than one at 20 degC."""
    for row in choose(job_of(name)).rows:
        assert row.creep_warm_month >= row.creep_month > 0.0


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_rows_are_worth_comparing(name):
    """Every row lies in the shown ranges; the present make-up is pointed at."""
    job = job_of(name)
    choice = choose(job)
    for row in choice.rows:
        assert SHOWN_SHARES[0] <= row.resting.value <= SHOWN_SHARES[1]
        assert SHOWN_DIAMETERS[0] <= row.bare.value <= SHOWN_DIAMETERS[1]
        assert row.strand in strands()
    if choice.present is not None:
        row = choice.rows[choice.present]
        assert (row.strand, row.strand_count) == (job.makeup.strand, job.makeup.strands)


def test_a_row_is_hand_arithmetic():
    """Bare diameter, derated break and stress of one row, worked out here."""
    row = next(
        r for r in choose(job_of(RIDGE)).rows if (r.strand, r.strand_count) == ("hmpe-lcp", 24)
    )
    known, loads = strand("hmpe-lcp"), choose(job_of(RIDGE)).loads
    section = 24 * known.linear_density.value / known.density.value
    # The mean over an unsure packing is a little over the diameter at its middle value.
    diameter = math.sqrt(4.0 * section / (math.pi * known.packing.value))
    relative = math.hypot(
        known.packing.relative_uncertainty, known.linear_density.relative_uncertainty
    )
    assert row.bare.value == pytest.approx(diameter * (1.0 + relative**2 / 8.0), rel=1e-5)
    assert row.bare.u == pytest.approx(0.5 * relative * diameter, rel=0.01)
    assert row.stress == pytest.approx(loads.resting.value / (24 * known.linear_density.value))
    assert row.resting.value == pytest.approx(loads.resting.value / row.derated.value)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_a_choice_agrees_with_the_plan(name):
    """The present make-up's row and its plan tell the same, with the same +-."""
    choice, plan = choose(job_of(name)), example_plan(name)
    if choice.present is None:
        pytest.skip("the present make-up is outside what is shown")
    row = choice.rows[choice.present]
    if not plan.learned:
        assert row.bare.value == pytest.approx(plan.bare_diameter.value, rel=1e-6)
        assert row.bare.u == pytest.approx(plan.bare_diameter.u, rel=1e-6)
    # The table spreads the turns over the whole body; under servings the plan's line turns less,
    # a line wound at a mark of old takes the turns that bring it to length, and a skein that is
    # wound longer, lest it come out too short, takes more than are asked for.
    asked = wanted_turns(prepared_of(plan.job))
    # Most of a yoke's short body is served, and its bare part takes the more.
    near = 1.0 if abs(plan.twist.turns - asked) <= 1.0 and plan.job.line.yoke is None else 2.0
    assert row.derated.value == pytest.approx(plan.strength.derated.value, rel=0.015 * near)
    assert row.derated.u == pytest.approx(plan.strength.derated.u, rel=0.02 * near)
    # The plan's line comes to length by half turns, so that its servings end a little off.
    assert row.mass.value == pytest.approx(plan.mass.value, rel=0.002 * near)
    assert row.mass.u == pytest.approx(plan.mass.u, rel=0.02 * near)


@pytest.mark.parametrize("name", [RIDGE, MERE, TARN])
def test_the_rule_of_four_is_shown_for_what_it_is(name):
    """Strands that break at four draw weights, what they rest at, and both in the note."""
    job = job_of(name)
    choice = choose(job)
    weight = job.bow.draw_weight.si
    load = strand(job.makeup.strand).break_load.value
    assert choice.rule_of_four % 2 == 0
    assert choice.rule_of_four * load >= 4.0 * weight
    assert (choice.rule_of_four - 2) * load < 4.0 * weight or choice.rule_of_four == 2
    assert f"asks for {choice.rule_of_four} strands of {job.makeup.strand}" in choice.note
    assert f"rest at {100.0 * choice.rule_of_four_share:.0f} %" in choice.note
    # On any bow the rule's line rests far nearer its break than the one that is built.
    present = job.makeup.strands
    assert choice.rule_of_four < present
    ratio = choice.loads.resting.value / plan_of(name).strength.derated.value
    assert choice.rule_of_four_share > ratio


def test_counts_are_the_ones_asked_for():
    """Only the counts that were asked for are tried."""
    rows = choose(job_of(RIDGE), counts=[20, 23]).rows
    assert {r.strand_count for r in rows} <= {20, 23}
    assert {r.strand_count for r in rows if r.strand == "hmpe-lcp"} == {20, 23}


def test_nothing_known_of_the_loads_is_refused():
    """A choice without draw weight or loads says what it lacks."""
    with pytest.raises(SpecError) as caught:
        choose(job_of(RIDGE, {"bow.draw_weight": None}))
    assert caught.value.field == "bow.draw_weight"


def test_remarks_say_what_speaks_against_a_row():
    """High rest, creep, nock, track and an old bow are each named where they apply, only there."""
    for row in choose(job_of(TARN)).rows:
        stiff = strand(row.strand).fibre != "polyester"
        assert ("too stiff for an old or wooden bow" in row.remarks) is stiff
    for row in choose(job_of(RIDGE)).rows:
        refuse, warn = practice("safety.refuse").value, practice("safety.warn").value
        assert ("rests too near its break" in row.remarks) is (row.resting.value > refuse)
        assert ("rests high" in row.remarks) is (warn < row.resting.value <= refuse)
        assert ("creeps over 1/16 in in a month" in row.remarks) is (
            row.creep_month > INCH / 16.0
        )
        assert (f"{row.nock} in the nock" in row.remarks) is (row.nock in ("tight", "loose"))
        assert ("too thick for the track" in row.remarks) is (row.track == "tight")


def test_the_users_own_strand_is_compared_too():
    """A strand from its label stands beside the table's."""
    own = {"name": "grey spool", "fibre": "hmpe", "linear_density": "0.19 g/m"}
    choice = choose(job_of(RIDGE, {"makeup.own_strand": own, "makeup.strand": "grey spool"}))
    assert any(r.strand == "grey spool" for r in choice.rows)
    assert choice.present is not None
    assert choice.rows[choice.present].strand == "grey spool"


@pytest.mark.parametrize("count", [2, 7, 16, 25, 60])
def test_colours_follow_the_count(count):
    """With another count the colours still add up to it, in about the same parts."""
    changed = with_strands(job_of(RIDGE), "hmpe", count).makeup
    assert changed.strand == "hmpe"
    assert sum(c.strands for c in changed.colours) == changed.strands == count
    parts = [c.strands for c in changed.colours]
    assert max(parts) - min(parts) <= 1
    assert not with_strands(job_of(RIDGE, {"makeup.colours": []}), "hmpe", 9).makeup.colours


def test_mass_counts_wax_and_loops():
    """A line without thread weighs its strands, run through the loops, and their wax."""
    job = job_of(RIDGE, {
        "line.servings": [], "original.shorthand": None, "line.marks": [],
        "line.zero_end.thread": None, "line.far_end.thread": None,
    })  # fmt: skip
    row = next(
        r for r in choose(job).rows if (r.strand, r.strand_count) == ("hmpe-lcp", 24)
    )
    density = strand("hmpe-lcp").linear_density.value * (1.0 + WAX_SHARE)
    bare = 24 * 57.25 * INCH * density
    assert 0.98 * bare < row.mass.value < 1.05 * bare


def test_what_is_tied_in_is_weighed():
    """Marks that weigh something make every row heavier by just that."""
    light, heavy = (
        choose(job_of(RIDGE, {"line.marks": [
            {"name": "nock", "at": "27 in", "mass": m}
        ]}), counts=[24]).rows[0].mass.value
        for m in ("1 gr", "21 gr")
    )  # fmt: skip
    assert heavy - light == pytest.approx(20.0 * GRAIN)


def test_every_thread_is_offered():
    """Each row shows every centre and end thread, thinnest first, and the ones it takes."""
    job = job_of(RIDGE)
    width = min(t.width.si for t in job.bow.tracks)
    for row in choose(job, counts=[20, 24]).rows:
        for use, options in (("centre", row.centre_options), ("end", row.end_options)):
            assert {o[0] for o in options} == {n for n, t in threads().items() if use in t.use}
            sizes = [o[1].value for o in options]
            assert sizes == sorted(sizes)
        assert (row.centre_thread, row.centre, row.nock) in row.centre_options
        seat = job.bow.nock.seat.si
        nearest = min(row.centre_options, key=lambda o: abs(o[1].value - seat))
        assert nearest[0] == row.centre_thread
        for _, over, fit in row.end_options:
            assert (fit == "tight") is (over.value - over.u95 > width)


def test_without_nock_and_track_no_fit_is_judged():
    """Nothing to fit: the diameters stand, and no verdict is made up."""
    job = job_of(RIDGE, {"bow.nock": None, "bow.tracks": [], "line.servings.0.track": None,
                         "line.servings.3.track": None})  # fmt: skip
    row = choose(job, counts=[24]).rows[0]
    assert {o[2] for o in (*row.centre_options, *row.end_options)} == {""}
    assert row.centre_thread == next(s.thread for s in job.line.servings if s.use == "centre")


def test_a_cable_is_compared_without_a_release():
    """A cable's rows carry its own loads and no bound at release."""
    choice = choose(job_of(CABLE))
    assert choice.loads.release is None
    assert choice.rows
    assert all(r.release is None for r in choice.rows)


def test_a_heavier_bow_rests_higher():
    """All shares rise in proportion to the draw weight, the release less than that."""
    low, high = (
        {(r.strand, r.strand_count): r for r in choose(job_of(RIDGE, {"bow.draw_weight": w})).rows}
        for w in ("50 lbf", "60 lbf")
    )
    both = low.keys() & high.keys()
    assert both
    for key in both:
        assert high[key].resting.value == pytest.approx(1.2 * low[key].resting.value)
        assert 1.0 < high[key].release.value / low[key].release.value <= 1.2 + 1e-9


def test_a_choice_shows_itself_in_a_notebook():
    """Every row is in the table, and what is typed by hand cannot become markup."""
    choice = choose(job_of(RIDGE))
    shown = choice._repr_html_()
    assert shown.count("<tr>") == len(choice.rows) + 1
    assert "<script" not in shown
