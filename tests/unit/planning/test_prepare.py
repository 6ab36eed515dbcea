"""Preparation: the job's words become the model's numbers, contradictions are named."""

from __future__ import annotations

import numpy as np
import pytest

from sample_job import INCH, LBF, ORDERS, RIDGE, WOUND_NAMES, job_of, plan_of, prepared_of
from strandwright.errors import LimitError, SpecError
from strandwright.line.unknowns import UNKNOWNS
from strandwright.planning.line_of_job import job_shorthand, make_line, measuring_load, strand_count
from strandwright.planning.prepare import bow_family, make_bench, make_loads
from strandwright.planning.strand_stock import known_strand
from strandwright.reference import practice, thread


def line_of(length_in, **changes):
    """Make the ridge string's line at a length in inches."""
    job = job_of(RIDGE, {k.replace("__", "."): v for k, v in changes.items()})
    return make_line(job, length_in * INCH, known_strand(job))


@pytest.mark.parametrize("name", WOUND_NAMES)
def test_every_unknown_has_one_parameter_with_a_source(name):
    """The model's unknowns, each once, each with words on where it comes from."""
    parameters = prepared_of(job_of(name)).parameters
    assert sorted(parameters.names) == sorted(n for n, _, _ in UNKNOWNS)
    assert all(s.strip() for s in parameters.sources)
    assert all(label.strip() for label in parameters.labels)


def test_servings_keep_their_end_when_the_length_changes():
    """Built longer, a serving measured from an end keeps that distance; the middle ones scale."""
    short, long = line_of(57.25), line_of(58.25)
    first, stop, centre, last = zip(short.servings, long.servings, strict=True)
    assert (first[0].start, first[0].stop) == (first[1].start, first[1].stop)
    assert [s.length for s in last] == pytest.approx([17.0 * INCH] * 2)
    assert last[1].stop == pytest.approx(58.25 * INCH)
    for a, b in (stop, centre):
        assert b.start / a.start == pytest.approx(58.25 / 57.25)
        assert b.stop / a.stop == pytest.approx(58.25 / 57.25)


def test_given_edges_stand_before_the_shorthand():
    """A serving with its own start and stop takes no run of the shorthand."""
    line = line_of(
        57.25,
        line__servings__1__start="20 in",
        line__servings__1__stop="23 in",
        original__shorthand="57 1/4: 0-17, 26 3/4-30 1/2, 17-0",
    )
    edges = [(s.start / INCH, s.stop / INCH) for s in line.servings]
    assert edges == [
        pytest.approx(e) for e in [(0, 17), (20, 23), (26.75, 30.5), (40.25, 57.25)]
    ]


def test_shorthand_and_servings_must_match():
    """A run nobody named is an error, not a serving left out."""
    with pytest.raises(SpecError, match="match the shorthand's 3 runs one to one"):
        line_of(57.25, original__shorthand="57 1/4: 0-17, 26 3/4-30 1/2, 17-0")


def test_the_lines_shorthand_overrules_the_originals():
    """What is to be built may differ from what was read off."""
    job = job_of(RIDGE, {"line.shorthand": "57 3/4: 0-16, 16-0"})
    found = job_shorthand(job)
    assert found is not None
    assert float(found.length) == pytest.approx(57.75 * INCH)
    assert job_shorthand(job_of(RIDGE, {"original.shorthand": None})) is None


def test_a_bad_shorthand_names_its_field():
    """An error in a shorthand says which of the two it is in."""
    job = job_of(RIDGE, {"line.shorthand": "57 1/4: 0-18, 17-20"})
    with pytest.raises(SpecError) as caught:
        job_shorthand(job)
    assert caught.value.field == "line.shorthand"


def test_marks_from_the_far_end_are_turned():
    """A mark measured from the far end lies as far from it at any length."""
    line = line_of(58.0, line__marks__1__from_far_end=True, line__marks__1__at="10 in")
    peep = next(m for m in line.marks if m.name == "peep")
    assert peep.position == pytest.approx(48.0 * INCH)


def test_colours_must_add_up():
    """Colours that make another count than the strands are refused, with the sum."""
    job = job_of(RIDGE, {"makeup.colours.0.strands": 13})
    with pytest.raises(SpecError, match=r"13 \+ 12 = 25.*add up to makeup.strands, 24"):
        strand_count(job)
    assert strand_count(job_of(RIDGE)) == 24


def test_an_unknown_thread_names_the_serving():
    """A thread nobody knows is refused where it was written."""
    with pytest.raises(SpecError) as caught:
        line_of(57.25, line__servings__2__thread="braid-021x")
    assert caught.value.field == "line.servings[3].thread"


def test_tension_of_its_own():
    """A serving's stated tension stands in place of its thread's."""
    line = line_of(57.25, line__servings__0__tension="9 lbf")
    assert line.servings[0].thread.tension == pytest.approx(9.0 * LBF)
    assert line.servings[1].thread.tension == thread("braid-018").wrap_tension.value


def test_hand_of_a_serving_is_the_lines_unless_said():
    """Servings run with the twist where nothing is said."""
    line = line_of(57.25, line__servings__0__hand="S")
    assert [s.hand.value for s in line.servings] == ["S", "Z", "Z", "Z"]


def test_bench_stands_as_written():
    """Far post as the zero post, pin as the standard's, no rating where it is unknown."""
    bench = make_bench(job_of(RIDGE, {"bench.rating": "unknown", "bench.loop_pin": None}))
    assert bench.far_post == bench.zero_post == pytest.approx(INCH / 2.0)
    assert bench.loop_pin == practice("measuring.pin_diameter").value
    assert bench.rated_load is None
    assert make_bench(job_of(RIDGE)).rated_load == pytest.approx(600.0 * LBF)


def test_only_a_steel_tape_grows_with_warmth():
    """A tape of glass fibre or cloth is taken not to grow."""
    assert make_bench(job_of(RIDGE)).tape_expansion > 0.0
    assert make_bench(job_of(RIDGE, {"bench.tape": "cloth"})).tape_expansion == 0.0


def test_loads_come_from_practice_unless_stated():
    """A compound's HMPE/LCP line is stretched at 300 lbf; what the job states stands."""
    job = job_of(RIDGE)
    usual = make_loads(job, known_strand(job))
    assert usual.stretch == pytest.approx(300.0 * LBF)
    assert usual.measure == measuring_load(job)
    assert usual.equalise <= usual.stretch
    changed = job_of(RIDGE, {"route.stretch": "250 lbf", "route.stretch_dwell": "10 min"})
    stated = make_loads(changed, known_strand(changed))
    assert stated.stretch == pytest.approx(250.0 * LBF)
    assert stated.stretch_dwell == 600.0
    assert stated.settle == stated.stretch


@pytest.mark.parametrize(
    ("kind", "family"),
    [("one-cam", "compound"), ("two-cam", "compound"), ("hybrid-cam", "compound"),
     ("recurve", "recurve"), ("longbow", "longbow"), ("crossbow", "crossbow")],
)  # fmt: skip
def test_every_bow_has_its_rows(kind, family):
    """Each kind of bow finds a stretch for each fibre of the table."""
    assert bow_family(job_of(RIDGE, {"bow.kind": kind})) == family
    for fibre in ("polyester", "hmpe", "hmpe-lcp", "aramid"):
        assert practice(f"prestretch.{fibre}.{family}.load").value > 0.0
        assert practice(f"prestretch.{fibre}.{family}.dwell").value > 0.0


def test_a_line_longer_than_the_beam_is_refused():
    """A beam that cannot hold the line is named."""
    with pytest.raises(LimitError) as caught:
        plan_of(RIDGE, {"bench.longest": "57 in"})
    assert caught.value.field == "bench.longest"


@pytest.mark.parametrize("order", ORDERS)
def test_every_order_ends_with_the_proof(order):
    """Each route has its marking stage and ends at the standard's pins and load."""
    route = prepared_of(job_of(RIDGE, {"route.order": order})).model.route
    assert route.stages[-1].key == "proof"
    assert "marking" in [s.key for s in route.stages]
    assert route.stages[-1].load == pytest.approx(100.0 * LBF)


@pytest.mark.parametrize(
    ("changes", "name", "value", "u"),
    [
        ({"bench.drag": "6 lbf +- 3"}, "drag", 6.0 * LBF, 0.25),
        ({"bench.gauge_uncertainty": "7 %"}, "gauge", 1.0, 0.07),
        # Each post gives; the two together come in twice as far.
        ({"bench.post_stiffness": "100 N/mm +- 20"}, "post_stiffness", 0.5e5, 0.1),
    ],
)
def test_what_the_bench_states_is_taken(changes, name, value, u):
    """A +- stated for the bench is a 95 % half-range of the parameter, relative on a log scale."""
    parameters = prepared_of(job_of(RIDGE, changes)).parameters
    assert parameters.value(name) == pytest.approx(value)
    assert parameters.standard_uncertainty(name) == pytest.approx(u)


def test_a_better_gauge_is_surer():
    """Load cell, spring scale, nothing: in that order."""
    u = [
        prepared_of(job_of(RIDGE, {"bench.gauge": g})).parameters.standard_uncertainty("gauge")
        for g in ("load cell", "spring scale", "none")
    ]
    assert (np.diff(u) > 0.0).all()
