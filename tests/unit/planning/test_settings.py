"""Settings: posts, turns and marks belong together and lie on the shop's steps."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sample_job import CABLE, EXAMPLE_NAMES, INCH, RIDGE, chosen_of, exact, job_of, prepared_of
from strandwright.errors import SpecError
from strandwright.line.build import build
from strandwright.planning.prepare import at_mean
from strandwright.planning.settings import FINEST_POSTS, paper_step, round_to, wanted_turns
from strandwright.reference import practice


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_settings_lie_on_the_shops_steps(name):
    """Marks come out in the tape's steps, posts in those or 1/32 in, turns in halves."""
    job = job_of(name)
    chosen = chosen_of(job)
    step = paper_step(job)
    posts_step = step / 2.0 ** max(0, math.ceil(math.log2(step / FINEST_POSTS) - 1e-9))
    marks = [(mark, step) for mark in chosen.settings.marks]
    for value, least in [(chosen.settings.posts, posts_step), *marks]:
        steps = value / least
        assert steps == pytest.approx(round(steps), abs=1e-6)
    assert 2.0 * chosen.settings.turns == round(2.0 * chosen.settings.turns)


def _turns_off(turns, fraction):
    """Give how far the turns are from those asked for, with the posts left to the plan."""
    changes = {"route.wound_at": None, "makeup.twist": None, "makeup.turns": turns}
    chosen = chosen_of(job_of(RIDGE, changes | {"paper.fraction": fraction}))
    return abs(chosen.exact_turns - turns), chosen.settings.posts


@pytest.mark.parametrize("turns", [6.0, 12.0, 24.0, 40.0])
def test_a_coarse_tape_costs_about_a_turn_at_most(turns):
    """Posts go below the shop's eighth, to 1/32 in at most, where an eighth would cost turns."""
    off, posts = _turns_off(turns, 8)
    at_the_finest, _ = _turns_off(turns, 32)
    assert posts / FINEST_POSTS == pytest.approx(round(posts / FINEST_POSTS), abs=1e-6)
    assert off <= max(1.2, at_the_finest + 1e-6)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_chosen_settings_bring_the_line_to_length(name):
    """Built at the means with the exact turns, the line is its target; rounded, half a step off."""
    job = job_of(name)
    prepared, chosen = prepared_of(job), chosen_of(job)
    q = at_mean(prepared.parameters)
    settings = chosen.settings
    lengths = [
        float(build(prepared.model, q, type(settings)(settings.posts, turns, settings.marks))
              .finished.length[0])
        for turns in (chosen.exact_turns, settings.turns, settings.turns + 0.5)
    ]  # fmt: skip
    # Marks rounded to the tape divide the twist a little otherwise than the drawing does.
    assert lengths[0] == pytest.approx(prepared.model.line.length, abs=0.02e-3)
    half_turn = lengths[1] - lengths[2]
    assert abs(lengths[1] - prepared.model.line.length) <= 0.55 * half_turn


@pytest.mark.parametrize("name", [RIDGE, CABLE])
@pytest.mark.parametrize("turns", [5.0, 20.0, 33.5])
def test_exact_posts_give_the_turns_back(name, turns):
    """Wound exactly where a plan's turns would put the posts, those turns are needed."""
    free = {"route.wound_at": None, "makeup.twist": None, "makeup.turns": turns}
    chosen = chosen_of(job_of(name, free))
    again = chosen_of(job_of(name, free | {"route.wound_at": exact(chosen.exact_posts)}))

    assert again.exact_turns == pytest.approx(turns, abs=1e-3)
    assert again.settings.turns == turns


def test_wider_posts_need_more_turns():
    """A longer skein needs more turns to come to the same length, in its square about evenly."""
    start = chosen_of(job_of()).exact_posts
    widths = start + INCH / 16.0 * np.arange(-4, 5)
    turns = np.array(
        [chosen_of(job_of(changes={"route.wound_at": exact(w)})).exact_turns for w in widths]
    )
    assert (np.diff(turns) > 0.0).all()
    # Take-up goes with the square of the turns: the squares rise in almost equal steps.
    steps = np.diff(turns**2)
    # Strands that do not share fall slack one after the other: each turn then takes a little more.
    assert steps.max() / steps.min() < 1.2


def test_posts_too_close_are_refused():
    """No turns lengthen a line: wound shorter than it can be, the plan says so and what to do."""
    wider = "too short before any turn; wind a skein anew, the posts wider: at "
    with pytest.raises(SpecError, match=wider):
        chosen_of(job_of(changes={"route.wound_at": "56 3/4 in"}))


def test_posts_too_wide_are_refused():
    """A skein that no sane twist shortens enough is refused too."""
    closer = "too long at 2 turns per inch; wind a skein anew, the posts closer: at "
    with pytest.raises(SpecError, match=closer):
        chosen_of(job_of(changes={"route.wound_at": "70 in"}))


def test_build_overrules_the_route():
    """Where a skein is wound already, what the route had planned no longer counts."""
    wound = {"route.wound_at": "57 1/2 in", "build.wound_at": "57 5/8 in"}
    assert chosen_of(job_of(changes=wound)).settings.posts == pytest.approx(57.625 * INCH)


def test_millimetre_jobs_are_set_in_half_millimetres():
    """A job in millimetres has its posts to half a millimetre."""
    job = job_of(changes={"paper.units": "mm"})
    assert paper_step(job) == 0.0005
    assert chosen_of(job).settings.posts * 2000.0 == pytest.approx(
        round(chosen_of(job).settings.posts * 2000.0), abs=1e-6
    )


@pytest.mark.parametrize(("value", "step"), [(1.0312, 0.0005), (57.26 * INCH, INCH / 16.0)])
def test_rounding_is_to_the_nearest(value, step):
    """A rounded value is a multiple of the step within half a step."""
    rounded = round_to(value, step)
    assert abs(rounded - value) <= step / 2.0
    assert rounded / step == pytest.approx(round(rounded / step))


def test_turns_and_twist_are_not_both_given():
    """Turns and a twist rate together contradict each other."""
    job = job_of(changes={"makeup.turns": 28.0, "makeup.twist": "0.5 per in"})
    with pytest.raises(SpecError) as caught:
        wanted_turns(prepared_of(job))
    assert caught.value.field == "makeup.turns"


def test_twist_mistaken_for_turns_is_refused():
    """A count written as turns per inch is caught by its size."""
    with pytest.raises(SpecError, match="at most 2 turns per inch"):
        wanted_turns(prepared_of(job_of(changes={"makeup.twist": "28 per in"})))


@pytest.mark.parametrize(
    ("name", "row"),
    [(RIDGE, "compound_string"), (CABLE, "cable"), ("mere-string", "recurve_endless")],
)
def test_usual_rate_goes_by_the_kind_of_line(name, row):
    """Without turns or twist, practice's rate for that kind of line over its body is taken."""
    prepared = prepared_of(job_of(name, {"makeup.twist": None, "makeup.turns": None}))
    body = float(np.ptp(prepared.model.layout.edges))
    assert abs(wanted_turns(prepared) - practice(f"twist.{row}").value * body) <= 0.25


def test_the_posts_named_for_a_new_skein_bring_the_turns_asked_for():
    """Who winds anew at the posts that the refusal names comes to length with the turns wanted."""
    with pytest.raises(SpecError) as caught:
        chosen_of(job_of(changes={"route.wound_at": "56 3/4 in"}))
    posts = str(caught.value).rpartition("at ")[2]
    chosen = chosen_of(job_of(changes={"route.wound_at": posts}))
    wanted = wanted_turns(prepared_of(job_of()))
    # Posts are written to 1/32 in, which is about a turn.
    assert chosen.exact_turns == pytest.approx(wanted, abs=1.5)
