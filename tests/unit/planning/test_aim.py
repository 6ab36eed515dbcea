"""Settings from which the line comes to length on the average."""

from __future__ import annotations

import pytest

from sample_job import EXAMPLE_NAMES, RIDGE, TARN, chosen_of, example_plan, plan_of


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_the_mean_of_the_length_is_what_is_asked(name: str) -> None:
    """The finished length is expected at what is asked, to half of the half turn's effect."""
    plan = example_plan(name)
    off = abs(plan.landing.blind.value - plan.target.length.value)
    assert off <= 0.3 * abs(plan.twist.next_turn.value)


@pytest.mark.parametrize("name", EXAMPLE_NAMES)
def test_few_skeins_come_out_too_short(name: str) -> None:
    """Without any turn the mean length is 1.96 standard uncertainties longer than what is asked."""
    plan = example_plan(name)
    if plan.job.route.wound_at is not None:
        return
    longest = plan.twist.longest - plan.target.length.value
    # Posts are set to the shop's fraction, which may take a little of it away.
    longest += max(plan.chosen.exact_posts - plan.winding.posts_outside.value, 0.0)
    assert longest >= 1.85 * plan.landing.blind.u


def test_a_light_twist_gets_a_reserve_and_says_so() -> None:
    """Few turns asked for on a bench without a gauge: wound longer, and the plan says by what."""
    changes = {"makeup.twist": None, "makeup.turns": 6.0}
    plan = plan_of(TARN, changes)
    assert plan.chosen.reserve > 0.0
    assert plan.twist.turns > 6.0
    assert any("longer than 6 turns need" in said for said in plan.warnings)


def test_posts_that_are_given_are_kept() -> None:
    """Where the posts are given, only the turns answer for the mean."""
    posts = f"{chosen_of(example_plan(RIDGE).job).exact_posts * 1000.0:.6f} mm"
    plan = plan_of(RIDGE, {"route.wound_at": posts, "makeup.twist": None, "makeup.turns": 6.0})
    assert plan.chosen.reserve == 0.0
    assert plan.winding.posts_outside.value == pytest.approx(float(posts[:-3]) / 1000.0)


def test_no_turns_wanted_are_none() -> None:
    """A line asked for without twist is aimed at as it is."""
    plan = plan_of(RIDGE, {"makeup.twist": None, "makeup.turns": 0.0})
    assert plan.chosen.aim.ahead == 0.0
