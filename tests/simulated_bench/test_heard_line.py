"""A served string of 57 in, its load hidden in its generator, is heard within what is stated.

The string and its pluck are simulated apart from the program (see ``plucked_line``): elements in
place of exact modes, a tension that rises with the swing, a shop about it. What the program is not
told of the string (mass, wax, thread, stiffness, how pins hold) is thrown anew each time.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from plucked_line import LBF, pluck_of, recorded, thrown
from plucked_strings import in_the_shop, ringing
from sample_job import RIDGE, job_of, plan_of
from strandwright.planning.hearing.ear import ear_for
from strandwright.planning.hearing.heard_load import together
from strandwright.planning.hearing.known import heard_uncertainty
from strandwright.planning.hearing.said import hearing
from strandwright.planning.hearing.standing import standing_in
from strandwright.planning.strand_stock import known_strand
from strandwright.planning.written import Written

pytestmark = pytest.mark.simulated_bench
COUNT = 20


@pytest.fixture(scope="module")
def strings():
    """Strings with hidden loads."""
    return [thrown(seed) for seed in range(COUNT)]


@pytest.fixture(scope="module")
def sounds(strings):
    """What a microphone made of their plucks, hum and hiss included."""
    return recorded(strings, hum=0.01)


def ear_of(**changes):
    """The ear for the finished string on its pins at the measuring load."""
    job = job_of(RIDGE, changes)
    plan = plan_of(RIDGE)
    return ear_for(job, known_strand(job), standing_in(plan, "proof", 100.0 * LBF))


def test_a_hidden_load_is_read_within_its_stated_range(strings, sounds):
    """Unweighed: most of the +- is the strands' mass, and it covers as a 95 % range should."""
    ear = ear_of()
    heard = [ear.hear(sound).load for sound in sounds]
    off = np.array(
        [(h.load.value - s.load) / h.load.u for h, s in zip(heard, strings, strict=True)]
    )
    assert np.mean(np.abs(off) < 2.0) >= 0.9
    assert 0.5 < math.sqrt(np.mean(off**2)) < 1.5
    assert {h.budget[0].parameter for h in heard} == {"mass"}
    # What an octave does to a load is a factor of four.
    assert (
        max(abs(math.log(h.load.value / s.load)) for h, s in zip(heard, strings, strict=True)) < 0.3
    )


def test_weighed_spools_make_it_several_times_surer(strings, sounds):
    """With the mass told by the scale the load is known to a few per cent, and still covered."""
    off: list[float] = []
    for hidden, sound in zip(strings, sounds, strict=True):
        lost = f"{10.0 * hidden.mass:.4f} g"
        masses = [{"run": run, "planned": "10 g", "lost": lost} for run in (0, 1)]
        heard = ear_of(**{"build.masses": masses}).hear(sound).load
        assert heard is not None
        assert heard.load.u / heard.load.value < 0.025
        off.append((heard.load.value - hidden.load) / heard.load.u)
    assert np.mean(np.abs(off) < 2.0) >= 0.9
    assert math.sqrt(np.mean(np.square(off))) < 1.5


def test_a_check_on_the_same_line_takes_its_mass_out(strings, sounds):
    """A known load heard once on the line: another load on it then needs neither mass nor jig."""
    loads = [1.2 * hidden.load for hidden in strings[:6]]
    pulled = [replace(h, load=load) for h, load in zip(strings, loads, strict=False)]
    for hidden, now, sound, then in zip(strings, pulled, sounds, recorded(pulled), strict=False):
        first = ear_of().hear(sound).load
        assert first is not None
        check = {
            "heard": f"{first.load.value:.3f} N",
            "true": f"{hidden.load:.3f} N +- {0.004 * hidden.load:.3f} N",
            "line": job_of(RIDGE).id,
        }
        again = ear_of(**{"bench.ear_checks": [check]}).hear(then).load
        assert again is not None
        assert again.load.u < 0.2 * first.load.u
        assert abs(again.load.value - now.load) < 2.5 * again.load.u


def test_the_plan_promises_what_the_ear_then_gives():
    """The +- that a plan counts on, in closed form, is that of the ear's own budget."""
    job = job_of(RIDGE)
    ear = ear_of()
    promised = heard_uncertainty(job, known_strand(job), 100.0 * LBF, 57.25 * 0.0254)
    low, high = (ear.pitch_at(100.0 * LBF * k).value for k in (0.99, 1.01))
    power = math.log(high / low) / math.log(1.01 / 0.99)
    pitch = ear.pitch_at(100.0 * LBF)
    assert pitch.u / pitch.value / power == pytest.approx(promised, rel=0.15)


def test_three_plucks_show_their_scatter(strings):
    """Plucked at three places, softly and hard: the loads agree, and are taken together."""
    hidden = strings[0]
    plucks = [pluck_of(hidden, seed=77 + i, hum=0.01) for i in range(3)]
    plucks = [
        replace(p, pick=pick, swing=swing)
        for p, pick, swing in zip(plucks, (0.15, 0.22, 0.3), (1e-3, 2e-3, 4e-3), strict=True)
    ]
    swings, _, _ = ringing(plucks)
    ear = ear_of()
    loads = [ear.hear(in_the_shop(p, s)).load for p, s in zip(plucks, swings, strict=True)]
    whole = together([load for load in loads if load is not None])
    assert whole.plucks == 3
    assert whole.scatter < 0.005
    assert abs(whole.load.value - hidden.load) < 2.0 * whole.load.u


def test_a_load_that_is_far_off_is_doubted_aloud():
    """Heard at four times what the step asks, the answer says that an octave may be mistaken."""
    hidden = thrown(3, load=390.0 * LBF)
    sound = recorded([hidden])[0]
    ear, to = ear_of(), Written.on(job_of(RIDGE).paper)
    told = hearing(ear, ear.hear(sound), to)
    assert told["heard"]
    assert abs(told["load"] - hidden.load) < 2.0 * told["load"] * 0.08
    assert told["verdict"] == "high"
    assert any("octave" in note for note in told["notes"])
