"""Plucks far from the load asked for: heard as they are, or refused, never a mistaken octave."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from sample_job import INCH, LBF, RIDGE, job_of, plan_of
from strandwright.errors import SpecError
from strandwright.planning.hearing.believing import believable, may_be_elsewhere, strayed
from strandwright.planning.hearing.ear import ear_for
from strandwright.planning.hearing.heard_load import HeardLoad, Listened
from strandwright.planning.hearing.said import hearing
from strandwright.planning.hearing.standing import standing_in
from strandwright.planning.strand_stock import known_strand
from strandwright.planning.written import Written
from strandwright.vibration.heard import Heard, OtherOctave, Partial, Refusal, SecondPitch, refused
from strandwright.vibration.modes import modes
from strandwright.vibration.sound import Sound

ASKED = 100.0 * LBF


@cache
def ear():
    """The ear for the finished string of the ridge bow."""
    job = job_of(RIDGE)
    return ear_for(job, known_strand(job), standing_in(plan_of(RIDGE), "proof", ASKED))


def plucked_at(load, missing=0, seed=0):
    """A pluck of the mean string at a load, its lowest modes lost to a small microphone."""
    line = ear()._line(np.array([load]), np.zeros((1, len(ear().known.names))))
    found = modes(line, 12).value.frequency[0]
    rng = np.random.default_rng(seed)
    t = np.arange(38400) / 24000.0 - 0.15
    x = np.zeros_like(t)
    for i, f in list(enumerate(found))[missing:]:
        size = np.sin(0.2 * np.pi * (i + 1)) / (i + 1) * f**2 / (f**2 + 60.0**2)
        swing = np.sin(2.0 * np.pi * f * t + rng.uniform(0.0, 6.0))
        x += (t > 0) * np.exp(-np.maximum(t, 0.0) * (2.0 + 0.3 * i)) * swing * size
    x *= 0.4 / np.max(np.abs(x))
    return Sound(x + 1e-3 * rng.standard_normal(len(t)), 24000.0)


@pytest.mark.parametrize("missing", [0, 1, 2])
@pytest.mark.parametrize("times", [0.04, 0.0625, 0.1, 0.25, 4.0])
def test_a_line_far_from_its_load_is_heard_as_it_is(times, missing):
    """A strap hardly pulled, and one pulled four times too far, first modes heard or not."""
    heard = ear().hear(plucked_at(times * ASKED, missing)).load
    assert heard is not None
    assert heard.load.value == pytest.approx(times * ASKED, rel=2e-3)


@pytest.mark.parametrize("missing", [0, 1, 2])
@pytest.mark.parametrize("times", [0.01, 0.02, 5.2, 6.0, 8.0])
def test_a_line_outside_all_loads_that_are_looked_for_gives_none(times, missing):
    """Its modes are not passed off as those of another load."""
    assert ear().hear(plucked_at(times * ASKED, missing)).load is None


def heard_modes(*which, shape=0.0, worse=None):
    """A pluck of which these modes were heard."""
    partials = tuple(Partial(n, 95.0 * n, 0.01, 2.0, 0.0) for n in which)
    octave = None if worse is None else OtherOctave(50.0, worse)
    return Heard(95.0, np.eye(2) * 1e-8, np.array([shape]), None, 0.1, 1.0, partials, octave=octave)


def test_modes_that_another_pitch_explains_are_not_believed():
    """Every second or third alone, few beside another reading, or a line like none planned."""
    assert believable(heard_modes(1, 2, 3, 4))
    assert believable(heard_modes(1))
    assert believable(heard_modes(2, 3))
    assert not believable(heard_modes(2, 4, 6, 8))
    assert not believable(heard_modes(3, 6, 9))
    assert not believable(heard_modes(1, 2, worse=2.0))
    assert believable(heard_modes(1, 2, worse=4.0))
    assert believable(heard_modes(1, 2, 3, 4, worse=2.0))
    assert not believable(heard_modes(1, 2, 3, 4, shape=-6.6))
    assert believable(heard_modes(1, 2, 3, 4, shape=6.6))
    assert not believable(heard_modes(1, 2, 3, 4, shape=13.0))


def test_only_what_another_series_could_mend_is_listened_to_again():
    """Not a sound that is cut off or silent, nor one that is clear already."""
    of = HeardLoad(ear().pitch_at(ASKED), 1e-3)
    assert not may_be_elsewhere(Listened(((heard_modes(1, 2, 3, 4), of),)))
    assert may_be_elsewhere(Listened(((heard_modes(1, 2, 3), of),)))
    assert may_be_elsewhere(Listened((), refused(Refusal.UNDECIDED, 1)))
    assert not may_be_elsewhere(Listened((), refused(Refusal.CLIPPED, 1)))


def test_a_sound_of_two_pitches_is_no_surer_than_they_lie_apart():
    """Swung both ways the load may be that of either: their distance is in the +-."""
    heard = ear().hear(plucked_at(ASKED)).plucks[-1][0]
    alone = ear().load_of(heard)
    twofold = ear().load_of(replace(heard, second=SecondPitch(1.03 * heard.pitch, 0.01, -6.0)))
    assert twofold.load.value == alone.load.value
    assert twofold.own == pytest.approx(2.0 * math.log(1.03), rel=0.02)
    assert twofold.common == pytest.approx(alone.common, rel=1e-3)


@pytest.mark.parametrize(("inches", "pull"), [(6.0, 300.0), (6.0, 100.0), (100.0, 100.0)])
def test_short_and_long_lines_are_heard_over_all_loads_they_promise(inches, pull):
    """A leg of a yoke near 1.7 kHz, a long slack line near 50 Hz: table against the modes."""
    short = ear_of_length(inches, pull)
    low, high = (share * pull * LBF for share in short.shares)
    for load in np.geomspace(low, high, 9):
        line = short._line(np.array([load]), np.zeros((1, len(short.known.names))))
        exact = modes(line, 12).value.frequency[0]
        assert short.partials_at(load) == pytest.approx(exact, rel=2e-3)


def test_a_line_too_short_and_stiff_for_its_load_is_refused():
    """Four inches at 5 lbf are a rod, not a string: how it bends sets its pitch."""
    with pytest.raises(SpecError, match="more load, to be heard"):
        ear_of_length(4.0, 5.0)


def ear_of_length(inches, pull):
    """The ear for the string's body cut short, with its loops."""
    whole = standing_in(plan_of(RIDGE), "half", pull * LBF)
    body = inches * INCH - whole.length[0] - whole.length[-1]
    job = job_of(RIDGE)
    cut = replace(whole, length=np.array([whole.length[0], body, whole.length[-1]]))
    return ear_for(job, known_strand(job), cut)


@cache
def bare_ear():
    """The same while it is a bare skein."""
    job = job_of(RIDGE)
    return ear_for(job, known_strand(job), standing_in(plan_of(RIDGE), "bare", ASKED))


def test_a_line_that_does_not_ring_like_the_one_of_the_step_is_doubted_aloud():
    """The finished string heard as a bare skein is told a fifth too low, and that it may be."""
    sound = plucked_at(ASKED)
    told = {
        name: hearing(one, one.hear(sound), Written("in", 32))
        for name, one in (("proof", ear()), ("bare", bare_ear()))
    }
    assert told["bare"]["load"] < 0.85 * ASKED
    assert any("does not ring" in note for note in told["bare"]["notes"])
    assert not any("does not ring" in note for note in told["proof"]["notes"])


def test_how_far_modes_stray_is_taken_after_pitch_and_shapes():
    """A series on itself strays by nothing, of few modes nothing is said."""
    series = ear().series_at(ASKED)
    shape = np.linspace(-0.4, 0.4, series.shapes)
    f = 95.0 * series.ratio * np.exp(series.shaping @ shape)
    partials = tuple(Partial(n, float(f[n - 1]), 0.01, 2.0, 0.0) for n in range(1, 9))
    heard = replace(heard_modes(1), shape=shape, partials=partials)
    assert strayed(heard, series) < 1e-12
    off = replace(partials[3], frequency=1.02 * partials[3].frequency)
    moved = replace(heard, partials=(*partials[:3], off, *partials[4:]))
    assert strayed(moved, series) == pytest.approx(math.log(1.02) * math.sqrt(7.0) / 8.0, rel=1e-6)
    assert strayed(replace(moved, partials=moved.partials[2:5]), series) == 0.0
