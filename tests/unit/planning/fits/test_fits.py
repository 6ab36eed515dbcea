"""Fits: diameters against nock, track and peg, and the thread solved for them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sample_job import INCH, RIDGE, example_plan, job_of, plan_of, prepared_of
from strandwright.planning.estimate import Estimate
from strandwright.planning.fits.checks import NOCK_ALLOWANCE, thread_for, verdict_of
from strandwright.planning.readings.learning import learn_from_trial_wraps
from strandwright.reference import threads
from strandwright.statistics.interval import reading_of_interval

CENTRE = 2


def outside(**trial):
    """Diameter over the centre serving after a trial wrap."""
    places = {f"line.servings.{CENTRE}.{k}": v for k, v in trial.items()}
    return plan_of(RIDGE, places).servings[CENTRE].outside


@given(
    core=st.floats(1.5e-3, 3.2e-3),
    grow=st.floats(0.2e-3, 1.2e-3),
    use=st.sampled_from(["end", "centre"]),
    flattening=st.floats(0.8, 1.2),
)
def test_solved_thread_reproduces_the_seat(core, grow, use, flattening):
    """A thread of the solved diameter, laid twice over the core's width, gives what was wanted."""
    solved = thread_for(core, core + grow, use, flattening)
    flat = flattening * threads()[solved.name].flattening.value
    assert core + 2.0 * flat * solved.needed == pytest.approx(core + grow, rel=1e-9)


@given(core=st.floats(1.5e-3, 3.2e-3), grow=st.floats(-0.2e-3, 1.2e-3))
def test_solved_thread_is_the_nearest_of_its_use(core, grow):
    """No other thread of that use comes nearer to the wanted diameter."""
    solved = thread_for(core, core + grow, "centre")
    rows = {n: t for n, t in threads().items() if "centre" in t.use}
    assert solved.name in rows
    misses = {
        n: abs(core + 2.0 * t.flattening.value * t.diameter.value - core - grow)
        for n, t in rows.items()
    }
    assert misses[solved.name] == pytest.approx(min(misses.values()), abs=1e-12)
    assert abs(solved.outside - core - grow) == pytest.approx(misses[solved.name], abs=1e-12)


def test_a_core_too_thick_needs_no_thread():
    """Where the core fills the seat already, the solved thread is none."""
    assert thread_for(3.2e-3, 3.0e-3, "centre").needed == 0.0


@given(
    value=st.floats(1e-3, 5e-3),
    u=st.floats(0.0, 0.5e-3),
    low=st.floats(1e-3, 4e-3),
    width=st.floats(0.01e-3, 1e-3),
)
def test_a_verdict_is_given_only_when_sure(value, u, low, width):
    """Fits, tight or loose holds at both ends of the 95 % range; else nobody can tell."""
    high = low + width
    verdict = verdict_of(Estimate(value, u, "m"), low, high)
    kinds = {
        "loose" if x < low else ("tight" if x > high else "fits")
        for x in (value - 2.0 * u, value + 2.0 * u)
    }
    assert verdict == (kinds.pop() if len(kinds) == 1 else "cannot tell")


@pytest.mark.parametrize("trial", ["fits", "tight", "loose"])
def test_a_go_no_go_trial_narrows(trial):
    """How a trial wrap sits in the nock makes the outside diameter surer."""
    assert outside(trial_in_nock=trial).u < example_plan(RIDGE).servings[CENTRE].outside.u


def test_a_go_no_go_trial_moves_the_right_way():
    """Tight means thicker than loose, and a fit lies between."""
    loose, fits, tight = (outside(trial_in_nock=t).value for t in ("loose", "fits", "tight"))
    assert loose < fits < tight


def test_a_wrap_that_fits_the_nock_is_planned_to_fit():
    """After a fitting trial, the diameter expected lies at the seat to the nock's allowance."""
    found = outside(trial_in_nock="fits")
    assert abs(found.value - 0.125 * INCH) < NOCK_ALLOWANCE + found.u


def test_a_go_no_go_trial_is_moment_matching():
    """The trial's news is that of the truncated normal, worked out with SciPy."""
    from scipy.stats import truncnorm

    mean, u, low, high = 3.1e-3, 0.15e-3, 3.05e-3, 3.3e-3
    value, variance = reading_of_interval(mean, u, low, high)
    cut = truncnorm((low - mean) / u, (high - mean) / u, mean, u)
    after = 1.0 / (1.0 / u**2 + 1.0 / variance)
    assert after == pytest.approx(cut.var(), rel=1e-6)
    assert after * (mean / u**2 + value / variance) == pytest.approx(cut.mean(), rel=1e-9)


def test_a_caliper_over_a_trial_wrap_moves_the_diameter():
    """A measured wrap pulls the expected diameter nearly all the way, and more when surer."""
    before = example_plan(RIDGE).servings[CENTRE].outside
    thin = before.value - 1.5 * before.u
    measured = f"{1e3 * thin:.6f} mm"
    fine, coarse = (
        outside(trial_diameter=f"{measured} +- {h} mm") for h in ("0.01", "0.2")
    )
    assert abs(fine.value - thin) < 0.05 * (before.value - thin)
    assert fine.value < coarse.value < before.value
    assert fine.u < coarse.u < before.u


def test_a_caliper_alone_is_weighed_by_its_variance():
    """Prior and caliper combine as two measurements of one diameter."""
    before = example_plan(RIDGE).servings[CENTRE].outside
    thin, u = before.value - before.u, 0.04e-3
    found = outside(trial_diameter=f"{1e3 * thin:.6f} mm +- {2e3 * u:.6f} mm")
    gain = before.u**2 / (before.u**2 + u**2)
    assert found.value == pytest.approx(before.value - gain * before.u, abs=0.05 * before.u)
    assert found.u == pytest.approx(math.sqrt(1.0 - gain) * before.u, rel=0.05)


def test_a_trial_without_a_nock_says_nothing():
    """How a wrap sits in a nock nobody measured cannot be used; nothing moves."""
    job = job_of(RIDGE, {"bow.nock": None, f"line.servings.{CENTRE}.trial_in_nock": "fits"})
    prepared = prepared_of(job)
    assert learn_from_trial_wraps(prepared).parameters is prepared.parameters


def fit_of(plan, what, against):
    """Find one fit of a plan."""
    return next(f for f in plan.fits if f.what == what and f.against == against)


def test_a_narrow_track_is_tight_and_names_a_thread():
    """A serving too thick for its track is tight; the advice is a thread with its diameter."""
    fit = fit_of(plan_of(RIDGE, {"bow.tracks.0.width": "0.09 in"}), "lower end", "track cam track")
    assert fit.verdict == "tight"
    assert any(f"thinner thread: {name} would come to" in fit.sentence for name in threads())


def test_a_wide_track_fits():
    """A serving runs freely in a track that is surely wider."""
    plan = plan_of(RIDGE, {"bow.tracks.0.width": "0.3 in"})
    assert fit_of(plan, "lower end", "track cam track").verdict == "fits"


def test_a_wide_nock_is_loose_and_its_entry_a_dry_fire():
    """A nock far wider than the serving is loose, and the entry lets it fall out."""
    plan = plan_of(RIDGE, {"bow.nock": {"seat": "0.18 in", "entry": "0.17 in"}})
    seat, entry = fit_of(plan, "centre", "nock seat"), fit_of(plan, "centre", "nock entry")
    assert (seat.verdict, entry.verdict) == ("loose", "loose")
    assert "dry fire" in entry.sentence


def test_a_bundle_thicker_than_the_nock_says_so():
    """Where no thread can help, the advice is fewer strands."""
    plan = plan_of(RIDGE, {"bow.nock": {"seat": "0.08 in"}})
    assert "fewer strands" in fit_of(plan, "centre", "nock seat").sentence


@pytest.mark.parametrize(("peg", "passes"), [("5/16 in", True), ("5/8 in", False)])
def test_a_loop_passes_over_what_it_goes_round(peg, passes):
    """A 7/8 in loop goes over a peg of 5/16 in, not over one as wide as it opens."""
    plan = plan_of(RIDGE, {"bow.pegs.0.diameter": peg})
    fit = fit_of(plan, "lower cam loop", "peg cam peg")
    assert fit.verdict == ("fits" if passes else "tight")
    assert ("make the loop larger" in fit.sentence) is not passes


def test_threads_are_solved_for_the_core_that_lies_there():
    """On the leg of a yoke for half the strands: no thread is asked for the core of the body."""
    name, track = "crag-upper-cable", {"name": "guide", "width": "0.08 in"}
    tracks = [*job_of(name).model_dump(mode="json")["bow"]["tracks"], track]
    plan = plan_of(name, {"bow.tracks": tracks, "line.servings.3.track": "guide"})
    core = plan.servings[3].core.value
    assert core == pytest.approx(plan.servings[1].core.value * math.sqrt(0.5))
    fit = fit_of(plan, "leg ends", "track guide")
    assert fit.verdict == "tight"
    assert f"{thread_for(core, 0.08 * INCH, 'end').outside / INCH:.3f} in" in fit.sentence
