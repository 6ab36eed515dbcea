"""The steps: one act and one number each, the caution where the danger is, the job's own units."""

from __future__ import annotations

import re

import pytest

from sample_job import LBF, ORDERS, RIDGE, TARN, WOUND_NAMES, example_plan, plan_of
from strandwright.planning import cautions

METRIC = {"paper.units": "mm"}
EVERY = [(name, order) for name in (RIDGE, TARN) for order in ORDERS]


def steps_of(name=RIDGE, order=ORDERS[2], **more):
    """Lay out an example's steps in this order of work."""
    return plan_of(name, {"route.order": order} | more).steps


def the(key, steps):
    """Give the only step of a kind."""
    (found,) = [step for step in steps if step.key == key]
    return found


def words(step):
    """Everything a step says."""
    return " ".join((step.title, step.headline, *step.lines))


@pytest.mark.parametrize(("name", "order"), EVERY)
def test_every_danger_has_its_caution(name, order):
    """First load, stretch and re-tension carry their plain words on every route."""
    steps = steps_of(name, order)
    by_key = {key: [s for s in steps if s.key == key] for key in {s.key for s in steps}}
    assert [s.caution for s in by_key["even"]] == [
        f"{cautions.FIRST_LOAD} {cautions.AT_THE_LINE}"
    ]
    assert all(s.caution == cautions.STRETCH for s in by_key["stretch"])
    assert all(s.caution == cautions.TURNING for s in by_key["twist"])
    for key, told in (
        ("read", cautions.RETENSION),
        ("serve", cautions.AT_THE_LINE),
        ("proof", cautions.RETENSION),
    ):
        assert by_key[key]
        assert all(s.caution == told for s in by_key[key])


@pytest.mark.parametrize("order", ORDERS)
def test_fitting_has_its_words_on_every_route(order):
    """Press, first draw and what stands above the plan are told where the line is fitted."""
    fit = the("tag", steps_of(order=order))
    for told in (cautions.PRESS, cautions.FIRST_DRAW, cautions.DEFER):
        assert told in f"{words(fit)} {fit.caution}"


@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("mere-string", (cautions.UNSTRING, cautions.FIRST_DRAW)),
        ("tarn-string", (cautions.UNSTRING, cautions.FIRST_DRAW)),
        ("fell-string", (cautions.CROSSBOW_PRESS, cautions.FIRST_COCKING)),
    ],
)
def test_a_bow_is_opened_as_its_kind_is(name, told):
    """Bows without wheels have no press but a stringer; a crossbow is not drawn but cocked."""
    fit = the("tag", steps_of(name))
    assert all(caution in fit.caution for caution in told)
    assert cautions.PRESS not in fit.caution


def test_fitting_is_marked_as_a_danger():
    """Pressing a bow can hurt: the step's caution says so, not only its lines."""
    assert cautions.PRESS in the("tag", steps_of()).caution


@pytest.mark.parametrize(("name", "order"), EVERY)
def test_steps_run_from_posts_to_tag(name, order):
    """Numbered without a gap, posts to proof, tag, bow; no load before it is evened out."""
    steps = steps_of(name, order)
    keys = [s.key for s in steps]
    assert [s.number for s in steps] == list(range(1, len(steps) + 1))
    at_the_jig = keys[: keys.index("tag") + 1]
    assert (at_the_jig[0], at_the_jig[-2]) == ("posts", "proof")
    assert set(keys[len(at_the_jig) :]) <= {"brace", "serve", "tie-in", "cock"}
    assert keys.index("even") < min(keys.index("stretch"), keys.index("read"))
    assert all(s.title and s.headline for s in steps)
    # A verb first, so a capital.
    assert all(s.title[0].isupper() for s in steps)


@pytest.mark.parametrize(("name", "order"), EVERY)
def test_every_asked_reading_has_its_step(name, order):
    """Each stage whose length is asked for is read once, at the step of that name or the proof."""
    plan = plan_of(name, {"route.order": order})
    titles = [s.title for s in plan.steps if s.key == "read"]
    asked = [s for s in plan.stages if s.reading and s.key != "proof"]
    assert titles == [f"Read the length: {s.title}" for s in asked]


@pytest.mark.parametrize(
    ("order", "first"), [(ORDERS[0], "serve"), (ORDERS[1], "twist"), (ORDERS[2], "twist")]
)
def test_the_order_is_the_one_asked_for(order, first):
    """Served before the twist or after it, as the route says."""
    keys = [s.key for s in steps_of(order=order) if s.key in ("serve", "twist")]
    assert keys[0] == first
    assert keys.count("serve") == 1
    assert keys.count("twist") == 2


@pytest.mark.parametrize("order", ORDERS)
def test_a_skein_is_stretched_before_it_is_proved(order):
    """Every route has its stretch, at the route's load, before the proof."""
    steps = steps_of(order=order, **{"route.stretch": "240 lbf"})
    stretch = [s for s in steps if s.key == "stretch"]
    assert any("240 lbf" in s.headline for s in stretch)
    assert stretch[-1].number < the("proof", steps).number


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize("name", [RIDGE, TARN])
def test_a_millimetre_job_has_no_inches(name, order):
    """Every number of a job in millimetres is metric."""
    for step in steps_of(name, order, **METRIC):
        said = words(step).replace(" in all", "").replace("put in", "").replace(" hung in ", " ")
        assert not re.search(r"\d\s*(in|lbf|gr|ft|degF)\b", said), said
        assert not re.search(r"\d/\d", re.sub(r"\b1/2 (turns|rounds)", "", said)), said


@pytest.mark.parametrize("order", ORDERS)
def test_an_inch_job_has_no_millimetres(order):
    """Every number of a job in inches is in shop units."""
    for step in steps_of(order=order):
        assert not re.search(r"\d\s*(mm|N|g|m|degC)\b", words(step)), words(step)


@pytest.mark.parametrize("name", WOUND_NAMES)
def test_headlines_are_the_plans_numbers(name):
    """Posts, strands and turns stand large as the plan has them."""
    plan = example_plan(name)
    by_key = {s.key: s for s in plan.steps}
    turns = plan.twist.turns
    written = f"{int(turns)} 1/2" if turns % 1.0 else f"{int(turns)}"
    assert by_key["twist"].headline.startswith(f"{written} turns {plan.twist.hand}")
    assert by_key["tag"].headline == f"{written} turns {plan.twist.hand}"
    winds = [s for s in plan.steps if s.key == "wind"]
    for step, run in zip(winds, plan.winding.runs, strict=True):
        rounds = f"{int(run.rounds)} 1/2" if run.rounds % 1.0 else f"{int(run.rounds)}"
        assert step.headline.startswith(f"{rounds} rounds")
        assert f"{run.strands} " in words(step)
        assert run.starts_at in words(step)
        assert run.ends_at in words(step)


def test_slack_strands_are_told_before_they_worry_anybody():
    """Where the posts give, the technician is told that the first strands will hang."""
    soft = [s for s in steps_of(**{"bench.post_stiffness": "8 N/mm"}) if s.key == "wind"]
    hard = [s for s in steps_of(**{"bench.post_stiffness": "9000 N/mm"}) if s.key == "wind"]
    assert "hang slack" in words(soft[0])
    assert all("hang slack" not in words(step) for step in hard)


def test_equalising_at_the_load_the_job_gives():
    """The first load is the one the route states."""
    for order in ORDERS:
        steps = steps_of(order=order, **{"route.equalise": "120 lbf"})
        even = next(s for s in steps if s.key == "even")
        assert even.headline == "120 lbf", order


def test_proof_limit_is_rounded_down():
    """The limit written for the proof never lets a line pass that the rule would not accept."""
    plan = example_plan(RIDGE)
    proof = next(s for s in plan.steps if s.key == "proof")
    written = re.search(r"accept up to ([0-9.]+) in off", words(proof))
    assert written is not None
    limit = plan.landing.proof.acceptance_limit / 0.0254
    assert limit - 0.001 <= float(written[1]) <= limit + 1e-9


def test_a_proof_that_cannot_accept_says_so():
    """Where the reading is too coarse, the step gives no limit but the reason."""
    steps = steps_of(TARN, **{"bench.gauge": "none", "line.tolerance": "1/16 in"})
    proof = next(s for s in steps if s.key == "proof")
    assert "accept up to" not in words(proof)
    assert "load cell" in words(proof)


def test_loads_are_those_of_the_route():
    """The proof step names the measuring load of the job."""
    proof = the("proof", steps_of(**{"route.measure": "80 lbf"}))
    assert "80 lbf" in words(proof)
    plan = plan_of(RIDGE, {"route.measure": "80 lbf"})
    assert plan.target.measuring_load == pytest.approx(80.0 * LBF)
