"""Hearing at the jig: the ear of a step, what is said, checks that stay with the bench."""

from __future__ import annotations

import io
import math

import numpy as np
import pytest

from bench_work import Work
from sample_job import INCH, RIDGE, job_of, plan_of
from strandwright.errors import LimitError, SpecError
from strandwright.planning.estimate import Estimate
from strandwright.planning.hearing.bare_line import ear_for_bare_line
from strandwright.planning.hearing.ear import ear_for
from strandwright.planning.hearing.ears import Ears, step_of
from strandwright.planning.hearing.heard_load import HeardLoad, together
from strandwright.planning.hearing.said import hearing, listening, load_text, verdict_of
from strandwright.planning.hearing.sound_file import read_sound
from strandwright.planning.hearing.standing import can_hear, standing_at, standing_in
from strandwright.planning.strand_stock import known_strand
from strandwright.planning.written import Written
from strandwright.units import LBF, Dimension, parse
from strandwright.vibration.sound import Sound
from strandwright.workshop.parts import BenchSpec

INCHES = Written("in", 32)


def ear_in(key, load=100.0 * LBF, **changes):
    """The ear for the string of the ridge bow in a state."""
    job = job_of(RIDGE, changes)
    return ear_for(job, known_strand(job), standing_in(plan_of(RIDGE), key, load))


def plucked(frequencies, seconds=1.6, rate=24000.0, hiss=1e-3, seed=0):
    """A plain pluck of partials that die away."""
    t = np.arange(int(seconds * rate)) / rate - 0.15
    x = np.zeros_like(t)
    for i, f in enumerate(frequencies[:8]):
        x += (
            (t > 0)
            * np.exp(-np.maximum(t, 0) * (2.0 + 0.2 * i))
            * np.sin(6.2831853 * f * t)
            / (i + 1)
        )
    noise = np.random.default_rng(seed).standard_normal(len(t))
    return Sound(0.2 * x + hiss * noise, rate)


def wav(sound, **how):
    """The same as the bytes of a file."""
    soundfile = pytest.importorskip("soundfile")
    file = io.BytesIO()
    soundfile.write(file, sound.samples, int(sound.rate), **({"format": "WAV"} | how))
    return file.getvalue()


# ------------------------------------------------------------------------------- how it stands


def test_every_step_under_load_can_be_heard_and_no_other():
    """Evening out, stretches, readings, serving and the proof; not winding, loops or turns."""
    heard = [s.id for s in plan_of(RIDGE).steps if can_hear(s)]
    assert heard == ["even", "stretch-bare", "read-bare", "read-half", "stretch-twisted",
                     "read-twisted", "serve", "read-proof"]  # fmt: skip
    winding = plan_of(RIDGE).steps[1]
    with pytest.raises(SpecError, match="under load"):
        standing_at(plan_of(RIDGE), winding)


def test_the_masses_of_the_sections_are_those_of_the_line():
    """Strands, servings and loops by section add up to the plan's own mass of the line."""
    plan, standing = plan_of(RIDGE), standing_in(plan_of(RIDGE), "proof", 100.0 * LBF)
    total = float(((standing.fibre + standing.thread) * standing.length).sum())
    tied = math.fsum(m.mass.si for m in plan.job.line.marks if m.mass is not None)
    # What lies round the pins does not swing.
    round_pins = 2.0 * 0.25 * INCH * math.pi * 6e-3
    assert total == pytest.approx(plan.mass.value - tied, abs=round_pins + 1e-3)
    assert total < plan.mass.value


def test_a_skein_on_posts_sounds_as_a_bare_line_between_their_middles():
    """By Mersenne's law on its own mass and length, stiffness and ends aside."""
    ear = ear_in("bare")
    s = ear.standing
    by_hand = math.sqrt(s.target / s.fibre[0]) / (2.0 * s.length[0])
    assert ear.pitch_at(s.target).value == pytest.approx(by_hand, rel=0.02)
    assert ear.pitch_at(s.target).value > by_hand


def test_the_table_of_loads_gives_what_the_modes_themselves_give():
    """Between the loads that were worked out, pitches are good to a thousandth of a cent."""
    from strandwright.vibration.modes import modes

    ear = ear_in("proof")
    for share in (0.1, 0.43, 0.97, 1.4, 3.3):
        load = share * ear.standing.target
        line = ear._line(np.array([load]), np.zeros((1, len(ear.known.names))))
        exact = modes(line, 12).value.frequency[0]
        assert ear.partials_at(load) == pytest.approx(exact, rel=1e-6)


# ------------------------------------------------------------------------------------ what it says


def test_a_pluck_at_the_load_asked_says_so_and_less_or_more_says_what_to_do():
    """Loads a little and far from the one asked, each with its word."""
    assert verdict_of(100.0, 100.0) == ("at", "that is the load")
    assert verdict_of(92.0, 100.0) == ("low", "tighten a little")
    assert verdict_of(60.0, 100.0) == ("low", "tighten")
    assert verdict_of(110.0, 100.0) == ("high", "let it down a little")
    assert verdict_of(160.0, 100.0) == ("high", "let it down")


def test_an_answer_names_load_budget_and_the_biggest_part():
    """Heard at 90 lbf of the mean line: read to a thousandth, unsure by the mass of its strands."""
    ear = ear_in("proof")
    told = hearing(ear, ear.hear(plucked(ear.partials_at(90.0 * LBF))), INCHES)
    assert told["heard"]
    assert told["load"] / LBF == pytest.approx(90.0, rel=2e-3)
    assert told["biggest"] == "mass of the strands, not weighed"
    assert sum(p["share"] for p in told["budget"]) == pytest.approx(1.0, abs=0.06)
    entered = parse(Dimension.FORCE, told["load_entry"], field="load")
    assert entered.si == pytest.approx(told["load"], rel=1e-3)
    assert entered.standard_uncertainty is not None
    assert told["verdict"] == "low"


def test_silence_and_noise_are_refused_in_plain_words():
    """No pitch is made up; what to do is said."""
    ear = ear_in("proof")
    rng = np.random.default_rng(1)
    for samples in (np.zeros(24000), 0.05 * rng.standard_normal(24000)):
        told = hearing(ear, ear.hear(Sound(samples, 24000.0)), INCHES)
        assert not told["heard"]
        assert told["why_not"].endswith(".")
        assert ":" in told["why_not"]


def test_before_any_pluck_it_says_what_to_expect_and_where_to_pluck():
    """The band holds the pitch; the places lie on the line; the pluck is a soft one."""
    ear = ear_in("proof")
    told = listening(ear, INCHES)
    low, high = told["band_hz"]
    assert low < told["expected_hz"] < high
    assert told["search_hz"][0] < low < high < told["search_hz"][1]
    assert "up and down" in told["pluck_text"]
    first, last = ear.standing.free
    assert first < ear.places.pluck < last
    assert 0.0005 < ear.places.aside < 0.01


def test_plucks_together_are_surer_and_never_surer_than_what_they_share():
    """Agreeing plucks halve their own part; disagreeing ones count by their scatter."""
    one = HeardLoad(Estimate(400.0, 400.0 * math.hypot(0.02, 0.004), "N"), 0.004)
    four = together([one] * 4)
    assert four.own == pytest.approx(0.002)
    assert four.common == pytest.approx(0.02)
    assert four.scatter == 0.0
    off = [HeardLoad(Estimate(v, 0.02 * v, "N"), 0.001) for v in (396.0, 400.0, 408.0)]
    spread = together(off)
    assert spread.own > 5.0 * 0.001
    assert spread.scatter == pytest.approx(408.0 / 396.0 - 1.0)
    assert load_text(spread.load, INCHES).endswith("lbf")
    # One that says it is sure, and the others disagree with, does not decide alone.
    sure = [HeardLoad(Estimate(v, 0.02 * v, "N"), own) for v, own in ((396.0, 1e-5), (400.0, 2e-3),
                                                                     (408.0, 2e-3))]  # fmt: skip
    assert together(sure).load.value == pytest.approx(401.3, abs=0.3)


# ------------------------------------------------------------------------------------ sound files


@pytest.mark.parametrize(
    "how",
    [{}, {"subtype": "FLOAT"}, {"subtype": "PCM_24"}, {"format": "FLAC"}, {"format": "WAVEX"}],
)
def test_files_of_every_kind_give_the_same_sound(how):
    """WAV of some depths, and FLAC."""
    sound = plucked([110.0, 220.0])
    read = read_sound(wav(sound, **how))
    assert read.rate == sound.rate
    assert read.samples == pytest.approx(sound.samples, abs=1e-4)


def test_of_two_channels_the_louder_is_heard():
    """Not their mean, in which two microphones cancel."""
    soundfile = pytest.importorskip("soundfile")
    sound = plucked([110.0, 220.0])
    both = np.stack([-0.5 * sound.samples, sound.samples], axis=1)
    file = io.BytesIO()
    soundfile.write(file, both, 24000, format="WAV", subtype="FLOAT")
    assert read_sound(file.getvalue()).samples == pytest.approx(sound.samples, abs=1e-6)


@pytest.mark.parametrize(
    ("content", "rule"),
    [
        (b"", "can be read"),
        (b"not a sound at all", "can be read"),
        (b"RIFF\x24\x00\x00\x00WAVE", "can be read"),
    ],
)
def test_what_is_no_sound_is_refused_by_name(content, rule):
    """The file is named, the rule and the remedy said."""
    pytest.importorskip("soundfile")
    with pytest.raises(SpecError, match=rule) as refused:
        read_sound(content, "note.txt")
    assert refused.value.given == "'note.txt'" or "note.txt" in str(refused.value)
    assert "WAV or FLAC" in str(refused.value)


def test_lossy_empty_and_endless_sounds_are_refused():
    """Each with its own words."""
    ogg = plucked([110.0])
    with pytest.raises(SpecError, match="must be WAV or FLAC"):
        read_sound(wav(ogg, format="OGG", subtype="VORBIS"))
    with pytest.raises(SpecError, match="is empty"):
        read_sound(wav(Sound(np.zeros(0), 8000.0)))
    with pytest.raises(SpecError, match="must last 120 s at most"):
        read_sound(wav(Sound(np.zeros(8000 * 121), 8000.0)))


def test_a_bare_line_is_heard_by_mersennes_law():
    """T = mu (2 L f)^2; nonsense for a length or a mass is refused."""
    length, mass = (
        parse(Dimension.LENGTH, "40 in", field="--length"),
        parse(Dimension.MASS, "5 g", field="--mass"),
    )
    ear = ear_for_bare_line(length, mass)
    heard = ear.hear(plucked([90.0 * n for n in range(1, 9)])).load
    assert heard is not None
    by_law = mass.si / length.si * (2.0 * length.si * 90.0) ** 2
    assert heard.load.value == pytest.approx(by_law, rel=1e-3)
    with pytest.raises(SpecError, match=r"0\.05 to 20 m"):
        ear_for_bare_line(parse(Dimension.LENGTH, "40 m", field="x"), mass)
    with pytest.raises(SpecError, match="for each metre"):
        ear_for_bare_line(length, parse(Dimension.MASS, "5 kg", field="x"))


# ---------------------------------------------------------------------------------- at the jig


def test_an_ear_is_made_once_for_a_step_of_a_plan():
    """Asked again it is the same; a step without load is refused by its name."""
    work, ears = Work(), Ears()
    step = step_of(work.advice, "read-bare")
    assert ears.at(work.advice.plan, step) is ears.at(work.advice.plan, step)
    with pytest.raises(SpecError, match="choose even, stretch-bare"):
        step_of(work.advice, "posts")


def test_a_check_at_the_jig_stays_with_its_bench_and_can_be_taken_back():
    """The next job on that bench starts from it; a withdrawn one is gone; sent twice it is one."""
    work = Work()
    bench = job_of(RIDGE).bench
    table = bench.model_dump(mode="json", exclude_defaults=True)
    work.desk.keep_bench("LONG", table, 0)
    before = work.desk.advice(work.build).plan.parameters
    slip = work.did("ear-checked", step="read-bare", heard="104 lbf +- 7", true="100 lbf +- 0.5")
    kept = BenchSpec(**work.desk.store.document("bench", "LONG").table)
    assert [(c.heard.text, c.true.text, c.line) for c in kept.ear_checks] == [
        ("104 lbf +- 7", "100 lbf +- 0.5", "RIDGE-1")
    ]
    assert work.advice.plan.job.bench.ear_checks == kept.ear_checks
    work.did("withdrawn", event=slip.id)
    kept = BenchSpec(**work.desk.store.document("bench", "LONG").table)
    assert kept.ear_checks == ()
    assert work.advice.plan.job.bench.ear_checks == ()
    assert work.desk.advice(work.build).plan.parameters.names == before.names


def test_a_check_of_no_step_or_beyond_reason_is_refused():
    """By field, value, rule and remedy, like every act at the jig."""
    work = Work()
    with pytest.raises(SpecError, match="must be a step of this route"):
        work.did("ear-checked", step="lunch", heard="100 lbf", true="100 lbf")
    with pytest.raises(SpecError, match="under load"):
        work.did("ear-checked", step="posts", heard="100 lbf", true="100 lbf")
    with pytest.raises(LimitError, match="must lie between"):
        work.did("ear-checked", step="read-bare", heard="100 lbf", true="10000 lbf")
