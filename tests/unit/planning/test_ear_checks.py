"""Checks of the jig's ear: which are refused, which count for a line, what the next one takes."""

from __future__ import annotations

import math

import numpy as np
import pytest

from bench_work import Work
from sample_job import LBF, RIDGE, job_of, plan_of
from strandwright.errors import InputError, LimitError
from strandwright.planning.hearing.ear import ear_for
from strandwright.planning.hearing.heard_load import HeardLoad
from strandwright.planning.hearing.known import jig_known
from strandwright.planning.hearing.said import load_text
from strandwright.planning.hearing.standing import standing_in
from strandwright.planning.strand_stock import known_strand
from strandwright.planning.written import Written
from strandwright.vibration.heard import Heard
from strandwright.vibration.modes import modes

INCHES, LINE = Written("in", 32), job_of(RIDGE).id


def ear_with(*checks, state="proof"):
    """The ear for the string of the ridge bow on a jig with checks."""
    job = job_of(RIDGE, {"bench.ear_checks": list(checks)})
    standing = standing_in(plan_of(RIDGE), state, 100.0 * LBF)
    return ear_for(job, known_strand(job), standing)


def heard_at(ear, pitch):
    """The load that a well heard pitch tells of, the ratios telling nothing besides."""
    shapes = len(ear._shaping)
    covariance = np.diag([1e-8, *np.ones(shapes)])
    load = ear.load_of(Heard(pitch, covariance, np.zeros(shapes), None, 0.1, 1.0))
    assert load is not None
    return load


@pytest.mark.parametrize(
    ("heard", "true"),
    [("100 lbf", "1000 lbf"), ("100 lbf", "5 lbf"), ("100 lbf", "100 N"), ("400 lbf", "100 lbf")],
)
def test_a_check_that_no_line_could_give_is_refused_in_a_file_and_at_the_jig(heard, true):
    """Another unit, a slipped point, a mistaken octave: all that is heard after would be wrong."""
    with pytest.raises(InputError, match="known load"):
        plan_of(RIDGE, {"bench.ear_checks": [{"heard": heard, "true": true}]})
    with pytest.raises(LimitError, match="known load"):
        Work().did("ear-checked", step="read-bare", heard=heard, true=true)


@pytest.mark.parametrize(("heard", "true"), [("0 lbf", "100 lbf"), ("100 lbf", "0 lbf")])
def test_a_check_of_no_load_is_refused_by_its_field(heard, true):
    """Not by a division by zero."""
    with pytest.raises(LimitError, match=r"bench\.ear_checks\[1\]"):
        plan_of(RIDGE, {"bench.ear_checks": [{"heard": heard, "true": true}]})


def test_checking_again_does_not_undo_the_first_check():
    """Heard 110 at a true 100: after one check, and after three, 100 is heard."""
    pitch = ear_with().pitch_at(110.0 * LBF).value
    checks = []
    for _ in range(3):
        ear = ear_with(*checks)
        load = heard_at(ear, pitch)
        entry = load_text(ear.unchecked(load), INCHES)
        checks.append({"heard": entry, "true": "100 lbf +- 0.4 lbf", "line": LINE, "served": True})
    last = heard_at(ear_with(*checks), pitch)
    assert last.load.value / LBF == pytest.approx(100.0, abs=0.1)
    assert last.load.u / last.load.value < 0.005


def test_what_a_check_takes_is_as_unsure_as_if_nothing_had_been_checked():
    """For the next line it speaks of this one's mass too."""
    pitch = ear_with().pitch_at(100.0 * LBF).value
    check = {"heard": "100 lbf +- 13", "true": "100 lbf +- 0.4", "line": LINE, "served": True}
    plain, checked = (heard_at(ear, pitch) for ear in (ear_with(), ear_with(check)))
    raw = ear_with(check).unchecked(checked)
    assert checked.load.u < 0.2 * plain.load.u
    assert raw.value == pytest.approx(plain.load.value, rel=1e-3)
    assert raw.u == pytest.approx(plain.load.u, rel=0.05)


def test_a_check_before_serving_says_nothing_of_the_thread():
    """Hidden strings: mass and thread off, checked bare, then heard finished; covered and tight."""
    unchecked = {"bare": ear_with(state="bare"), "proof": ear_with()}
    names = unchecked["proof"].known.names
    rng = np.random.default_rng(3)
    off, pitch = [], 0.0
    for _ in range(40):
        hidden = dict.fromkeys(names, 0.0) | {"mass": rng.normal(), "thread": rng.normal()}
        at = np.array([[hidden[name] for name in names]])
        heard, pitch = 0.0, 0.0
        for state, ear in unchecked.items():
            line = ear._line(np.array([100.0 * LBF]), at)
            pitch = float(modes(line, 1).value.frequency[0, 0])
            if state == "bare":
                heard = heard_at(ear, pitch).load.value
        check = {"heard": f"{heard:.4f} N +- 60 N", "true": f"{100.0 * LBF:.4f} N +- 1.5 N",
                 "line": LINE, "served": False}  # fmt: skip
        load = heard_at(ear_with(check), pitch)
        off.append(math.log(load.load.value / (100.0 * LBF)) * load.load.value / load.load.u)
    assert 0.6 < float(np.sqrt(np.mean(np.square(off)))) < 1.4
    # Another finished line of the same job is told at once.
    same = {"heard": "100 lbf +- 13", "true": "100 lbf +- 0.3", "line": LINE}
    bare, served = (heard_at(ear_with(same | {"served": s}), pitch) for s in (False, True))
    assert served.load.u < 0.25 * bare.load.u


def test_a_load_does_not_rest_on_checks_far_outside_the_table():
    """A jig checked at 2000 lbf: the table is not carried on beyond where it was worked out."""
    check = {"heard": "2000 lbf", "true": "1990 lbf +- 10", "line": LINE, "served": True}
    load = heard_at(ear_with(check), ear_with().pitch_at(100.0 * LBF).value)
    assert load.load.u / load.load.value < 0.02
    assert load.load.value / LBF == pytest.approx(99.5, abs=0.5)


def test_checks_at_the_jig_know_whether_the_line_was_served():
    """By the step they were made at, and whether it is served before its twist."""
    work = Work()
    for step in ("read-bare", "read-proof"):
        work.did("ear-checked", step=step, heard="104 lbf +- 7", true="100 lbf +- 0.5")
    kept = work.advice.plan.job.bench.ear_checks
    assert [c.served for c in kept] == [False, True]
    first = Work(route={"order": "serve, then twist"})
    for step in ("read-bare", "settle-part", "read-half"):
        first.did("ear-checked", step=step, heard="104 lbf +- 7", true="100 lbf +- 0.5")
    kept = first.advice.plan.job.bench.ear_checks
    assert [c.served for c in kept] == [False, True, True]
    assert isinstance(heard_at(ear_with(), 95.0), HeardLoad)


def test_many_checks_with_one_other_line_count_as_one():
    """Its mass is in all of them; with as many lines they would tell of the jig."""
    check = {"heard": "107 lbf +- 7", "true": "100 lbf +- 0.5"}
    one = jig_known(job_of(RIDGE, {"bench.ear_checks": [check | {"line": "OTHER"}]}))
    same = jig_known(job_of(RIDGE, {"bench.ear_checks": [check | {"line": "OTHER"}] * 20}))
    many = [check | {"line": f"OTHER-{i}"} for i in range(20)]
    apart = jig_known(job_of(RIDGE, {"bench.ear_checks": many}))
    assert same.mean == pytest.approx(one.mean, rel=1e-9)
    assert same.standard_uncertainty == pytest.approx(one.standard_uncertainty, rel=1e-9)
    assert 1.0 - apart.mean > 5.0 * (1.0 - same.mean)
