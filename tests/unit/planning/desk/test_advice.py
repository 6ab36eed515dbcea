"""Advice: the one next act, what readings change, what is questioned, how a build ends."""

from __future__ import annotations

import pytest

from bench_work import Work
from strandwright.errors import LimitError, SpecError
from strandwright.planning.desk.advice import turns_text
from strandwright.planning.desk.advice_data import advice_data, verdict_of
from strandwright.planning.written import Written
from strandwright.units import INCH


def act(work):
    """Give the identity of the next act."""
    return None if work.advice.act is None else work.advice.act.step.id


def test_the_acts_follow_the_route_to_a_proved_line():
    """Doing what the advice says, step by step, ends in a proved and locked line."""
    work = Work()
    assert act(work) == "posts"
    work.wound()
    assert act(work) == "read-bare"
    work.read("bare")
    assert act(work) == "slide-out"
    # What is done last stands for what comes before it.
    work.did("step-done", step="loops")
    assert act(work) == "twist-half"
    work.did("turned", turns=work.advice.act.step.turns)
    assert act(work) == "read-half"
    work.read("half")
    assert act(work) == "twist-full"
    work.did("turned", turns=work.advice.plan.twist.turns)
    assert act(work) == "stretch-twisted"
    work.did("step-done", step="stretch-twisted")
    work.read("twisted")
    if act(work) == "twist-full":  # half a turn is cheap before the servings go on
        work.did("turned", turns=work.advice.plan.twist.turns)
    assert act(work) == "serve"
    work.did("step-done", step="serve")
    assert act(work) == "read-proof"
    off = work.advice.plan.target.length.value - work.advice.plan.stage("proof").length.value
    work.read("proof", off)
    assert act(work) == "tag"
    work.did("locked", turns=work.advice.state.turns, hand="Z")
    assert act(work) is None
    assert verdict_of(work.advice) == "proved"


def test_a_colour_is_wound_when_its_half_rounds_are_laid():
    """The act goes to the next colour with the last half round of the one before."""
    work = Work()
    work.did("posts-set", outside="57 19/32 in")
    work.did("rounds-laid", run=0, halves=11)
    assert act(work) == "wind-1"
    work.did("rounds-laid", run=0, halves=1)
    assert act(work) == "wind-2"


def test_a_withdrawn_round_counts_no_more():
    """Taking back a round that was laid by mistake leaves the count as it was before."""
    work = Work()
    work.did("posts-set", outside="57 19/32 in")
    work.did("rounds-laid", run=0, halves=10)
    slip = work.did("rounds-laid", run=0, halves=2)
    assert act(work) == "wind-2"
    work.did("withdrawn", event=slip.id)
    assert work.advice.state.laid(0) == 10
    assert act(work) == "wind-1"


def test_a_longer_reading_asks_for_more_turns_and_says_why():
    """A bare skein that reads long has bedded in more: more turns, with the unknown named."""
    work = Work().wound()
    before = work.advice.plan.twist.turns
    work.read("bare", 0.12 * INCH)
    assert work.advice.plan.twist.turns > before + 1.0
    assert any("bedding-in is" in said and "±" in said for said in work.advice.why)
    assert work.advice.why[-1].endswith("turns more")


def test_a_reading_narrows_what_is_stated():
    """The finished length is stated more surely after the bare reading than before it."""
    work = Work().wound()
    before = work.advice.plan.landing.blind.u
    work.read("bare")
    assert work.advice.plan.landing.blind.u < 0.8 * before


def test_a_surprising_reading_is_questioned_and_does_not_count():
    """A reading far off is asked about; the plan stays as it was."""
    work = Work().wound()
    before = work.advice.plan.twist.turns
    work.read("bare", 0.45 * INCH)
    assert work.advice.question is not None
    assert "further off" in work.advice.question.said
    assert work.advice.plan.twist.turns == before
    assert act(work) == "read-bare"


def test_a_surprising_reading_stands_when_it_is_read_twice_the_same():
    """The second look that reads the same answers the question."""
    work = Work().wound()
    work.read("bare", 0.45 * INCH)
    work.read("bare", 0.45 * INCH + 0.0002)
    assert work.advice.question is None
    assert act(work) == "slide-out"


def test_a_surprising_reading_stands_when_somebody_is_sure():
    """The technician's word answers the question too."""
    work = Work().wound()
    work.read("bare", 0.45 * INCH, sure=True)
    assert work.advice.question is None
    assert act(work) == "slide-out"


def test_a_second_look_that_reads_as_expected_replaces_the_first():
    """After a misread, the good reading counts and the odd one does not."""
    work = Work().wound()
    work.read("bare", 0.45 * INCH)
    work.read("bare")
    assert work.advice.question is None
    assert [False, True] == [said.counts for said in work.advice.readings]


def test_turns_that_are_not_as_advised_are_put_right():
    """With more turns in than wanted the act is to take the rest out."""
    work = Work().wound()
    work.read("bare")
    work.did("step-done", step="loops")
    work.did("turned", turns=work.advice.plan.stage("half").turns)
    work.read("half")
    work.did("turned", turns=work.advice.plan.twist.turns + 1.5)
    assert act(work) == "twist-full"
    assert work.advice.act.step.headline == "1 1/2 turns out"


def test_a_long_proof_asks_for_turns_and_a_second_proof():
    """Out of tolerance at the proof: turns on, settled under load, proved again."""
    work = Work().wound()
    work.read("bare")
    work.did("step-done", step="loops")
    work.did("turned", turns=work.advice.plan.stage("half").turns)
    work.read("half")
    work.did("turned", turns=work.advice.plan.twist.turns)
    work.did("step-done", step="stretch-twisted")
    work.read("twisted")
    work.did("step-done", step="serve")
    off = work.advice.plan.target.length.value - work.advice.plan.stage("proof").length.value
    work.read("proof", off + 0.1 * INCH)
    assert act(work) == "twist-full"
    assert "settle" in " ".join(work.advice.act.step.lines)
    assert work.advice.act.step.caution
    work.did("turned", turns=work.advice.plan.twist.turns)
    assert act(work) == "read-proof"


def test_more_strands_counted_than_planned_are_planned_with():
    """A strand more in the skein is thicker, stronger and takes up more."""
    work = Work().wound()
    before = work.advice.plan.bare_diameter.value
    work.did("strands-counted", strands=25)
    assert work.advice.plan.winding.strands == 25
    assert work.advice.plan.bare_diameter.value > before


def test_a_diameter_narrows_the_packing():
    """A bare diameter by caliper moves the diameter towards it and makes it surer."""
    work = Work().wound()
    before = work.advice.plan.bare_diameter
    work.did("diameter-read", of="bare", diameter="0.104 in")
    after = work.advice.plan.bare_diameter
    assert after.u < before.u
    assert abs(after.value - 0.104 * INCH) < abs(before.value - 0.104 * INCH)


def test_a_heavier_spool_loss_makes_the_line_thicker():
    """A strand that weighs more than its label says is thicker too, and the rest is surer."""
    work = Work().wound()
    before = work.advice.plan.bare_diameter
    lost = work.advice.plan.winding.runs[0].mass.value * 1.04
    work.did("mass-read", run=0, lost=f"{lost * 1e3:.3f} g")
    after = work.advice.plan.bare_diameter
    assert after.value > before.value
    assert after.u < before.u


def test_rest_is_told_by_the_clock():
    """After the stretch the advice says until when to rest."""
    work = Work().wound()
    assert work.advice.rest_until > work.now.isoformat()[:16]


@pytest.mark.parametrize(
    ("type", "body", "field"),
    [
        ("rounds-laid", {"run": 2, "halves": 2}, "rounds-laid.run"),
        ("step-done", {"step": "bake"}, "step-done.step"),
        ("length-read", {"stage": "bare", "length": "57 in"}, "length-read"),
        ("diameter-read", {"of": "moon", "diameter": "0.1 in"}, "build.diameters[1].of"),
        ("mass-read", {"run": 7, "lost": "38 gr"}, "mass-read.run"),
    ],
)
def test_what_this_line_has_not_is_refused_and_not_kept(type, body, field):
    """An event that cannot be of this line names its field; the log stays as it was."""
    work = Work()
    with pytest.raises(SpecError) as caught:
        work.did(type, **body)
    assert field == caught.value.field
    assert work.desk.state(work.build).seq == 1


@pytest.mark.parametrize(
    ("type", "body", "field"),
    [
        ("posts-set", {"outside": "5719 in"}, "posts-set.outside"),
        ("length-read", {"stage": "bare", "length": "577 in"}, "length-read.length"),
        ("length-read", {"stage": "bare", "length": "57 5/8 mm"}, "length-read.length"),
        ("length-read", {"stage": "bare", "length": "57 in", "temperature": "666 degF"},
         "length-read.temperature"),
        ("step-done", {"step": "stretch-bare", "load": "30000 lbf"}, "step-done.load"),
        ("diameter-read", {"of": "bare", "diameter": "109 in"}, "diameter-read.diameter"),
        ("mass-read", {"run": 0, "lost": "38 kg"}, "mass-read.lost"),
    ],
)  # fmt: skip
def test_a_number_that_cannot_be_meant_is_refused_and_not_kept(type, body, field):
    """A slipped point or a wrong unit is told before it is in the log for good."""
    work = Work().wound()
    before = work.desk.state(work.build).seq
    with pytest.raises(LimitError, match="must lie between") as caught:
        work.did(type, **body)
    assert field == caught.value.field
    assert work.desk.state(work.build).seq == before


def test_a_reading_of_another_line_is_told_without_a_place_in_a_file():
    """Who typed it at the jig reads what is wrong with it and what to do."""
    work = Work().wound()
    work.read("bare", 2.0 * INCH)
    said = work.advice.question.said
    assert "must be a reading of this line" in said
    assert "read it again" in said
    assert "build.readings" not in said


def test_an_accepted_proof_asks_for_no_turns():
    """What half a turn could still better is not asked of a line that is good as it is."""
    work = Work().wound()
    while act(work) != "read-proof":
        step = work.advice.act.step
        if step.key == "read":
            work.read(step.stage)
        elif step.key == "twist":
            work.did("turned", turns=work.advice.plan.twist.turns if step.id == "twist-full"
                     else step.turns)  # fmt: skip
        else:
            work.did("step-done", step=step.id)
    off = work.advice.plan.target.length.value - work.advice.plan.stage("proof").length.value
    before = work.advice.plan.twist.turns
    work.read("proof", off + 0.024 * INCH)
    assert act(work) == "tag"
    assert work.advice.plan.twist.turns > before
    assert work.advice.why[-1] == "the turns stay as they were"


def test_an_event_sent_twice_is_one():
    """The same event again is acknowledged with its old place and changes nothing."""
    work = Work()
    event = work.did("posts-set", outside="57 19/32 in")
    stored, advice = work.desk.record(work.build, [event])
    assert [2] == [s.seq for s in stored]
    assert advice.state.seq == 2


def test_a_build_can_be_put_aside():
    """A build that is given up asks for nothing more."""
    work = Work()
    work.did("put-aside", why="cut a strand")
    assert work.advice.act is None
    assert verdict_of(work.advice) == "put aside"


def test_the_data_hold_every_field_of_the_interface():
    """What the jig's screen rests on is there, at the start and at a reading."""
    work = Work().wound()
    data = advice_data(work.build, work.advice)
    assert data["act"]["ask"]["kind"] == "length"
    assert data["act"]["ask"]["expected_text"].endswith(" in")
    assert data["winding"]["strands_laid"] == 24
    assert data["turns"]["to_go_text"].endswith("turns more")
    assert {"name", "start_text", "stop_text", "thread"} <= data["serve"]["rows"][0].keys()


@pytest.mark.parametrize(
    ("turns", "text"),
    [(0.5, "1/2 turn"), (1.0, "1 turn"), (1.5, "1 1/2 turns"), (14.0, "14 turns")],
)
def test_turns_are_written_in_halves(turns, text):
    """Half turns as a fraction, the word in its number."""
    assert text == turns_text(turns)


def test_a_reading_after_months_is_a_well_rested_one():
    """A line that hung for a season can still be read."""
    work = Work().wound()
    work.did("length-read", after=60.0 * 24.0 * 100.0, stage="bare", length="57 19/32 in")
    assert [True] == [said.counts for said in work.advice.readings]


def test_rest_counts_from_whatever_loaded_the_line_last():
    """Serving under load sets the rest anew; a step without load, and a note, do not."""
    work = Work().wound()
    after_stretch = work.advice.rest_until
    work.did("noted", text="tea")
    work.did("step-done", step="loops")
    assert after_stretch == work.advice.rest_until
    work.did("step-done", step="serve")
    assert after_stretch < work.advice.rest_until


def test_read_again_means_as_finely_as_the_tape_is_read():
    """Two readings a tape's step apart are the same; two steps apart they are not."""
    for again, counts in (("58 3/32 in", True), ("58 1/8 in", False)):
        work = Work().wound()
        for length in ("58 1/16 in", again):
            work.did("length-read", after=90.0, stage="bare", length=length)
        assert counts is work.advice.readings[-1].counts


def test_the_proof_is_judged_by_what_the_tape_should_show():
    """A line that has not quite come back may read longer than it is asked to be, by just that."""
    work = Work("TARN-1")
    landing = work.advice.plan.landing
    assert landing.to_come > 0.0
    step = next(s for s in work.advice.steps if s.key == "proof")
    assert step.stage == "proof"
    asked = work.advice.plan.target.length.value
    to = Written.on(work.advice.plan.job.paper)
    assert step.headline == to.fine(asked + landing.to_come)
