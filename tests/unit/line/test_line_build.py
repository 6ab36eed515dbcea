"""Building in numbers."""

from dataclasses import replace

import numpy as np
import pytest

from sample_line import INCH, model, unknowns
from strandwright.errors import OutsideValidRange
from strandwright.line.build import (
    Settings,
    build,
    build_finished,
    finished_lengths,
    map_position,
    marking_edges,
    naturals_for,
    posts_for,
    read_lengths,
    turns_for,
)
from strandwright.line.model import LineModel
from strandwright.line.route import Order


def planned(made: LineModel, turns: float) -> Settings:
    """Posts and marks for the middle case."""
    q = unknowns()
    naturals = naturals_for(made, q, np.array([turns]))
    posts = float(posts_for(made, q, naturals)[0])
    edges = marking_edges(made, q, made.wound(q, posts), turns, naturals)
    return Settings(posts, turns, tuple(edges[1:-1]))


@pytest.mark.parametrize("order", list(Order))
def test_posts_and_turns_are_inverse(order: Order) -> None:
    """Posts set for 29 turns ask for 29 turns, from any guess."""
    made, q = model(order), unknowns()
    settings = planned(made, 29.0)
    skein = made.wound(q, settings.posts)
    for guess in (1.0, 25.0, 60.0):
        turns, naturals, _ = turns_for(made, q, skein, guess, 80.0)
        assert turns == pytest.approx(29.0, abs=1e-5)
        np.testing.assert_allclose(naturals, naturals_for(made, q, np.array([29.0])), atol=1e-8)


def test_posts_too_near_and_too_far() -> None:
    """A line too short before any turn, and one too long whatever the turns, are refused."""
    made, q = model(), unknowns()
    right = planned(made, 29.0).posts
    with pytest.raises(OutsideValidRange, match="too short"):
        turns_for(made, q, made.wound(q, right - 1.0 * INCH), 29.0, 80.0)
    with pytest.raises(OutsideValidRange, match="too long"):
        turns_for(made, q, made.wound(q, right + 1.0 * INCH), 29.0, 40.0)


def test_wider_posts_make_a_longer_line() -> None:
    """An inch more between the posts is an inch more of line, or very nearly."""
    made, q = model(), unknowns()
    settings = planned(made, 29.0)
    wide = replace(settings, posts=settings.posts + 0.1 * INCH)
    longer = build(made, q, wide).finished.length[0] - made.line.length
    assert longer == pytest.approx(0.1 * INCH, rel=0.02)


def test_marks_are_kept_by_the_line() -> None:
    """A mark laid a little further on is a serving edge a little further on, others unmoved."""
    made, q = model(), unknowns()
    settings = planned(made, 29.0)
    shifted = list(settings.marks)
    shifted[2] += 0.1 * INCH
    outcome = build(made, q, replace(settings, marks=tuple(shifted)))
    moved = (outcome.finished.edges[0] - made.layout.edges) / INCH
    assert moved[3] == pytest.approx(0.1, abs=0.005)
    np.testing.assert_allclose(np.delete(moved, 3), 0.0, atol=0.005)


def test_lengths_for_several_turns() -> None:
    """They are those of a build with each, the marks where they are."""
    made, q = model(Order.TWIST_THEN_SERVE), unknowns()
    settings = planned(made, 29.0)
    naturals = naturals_for(made, q, np.array([29.0]))
    skein = made.wound(q, settings.posts)
    lengths = finished_lengths(made, q, skein, naturals, np.array([27.0, 29.0, 31.0]))
    assert float(lengths[1]) == pytest.approx(made.line.length, abs=1e-9)
    assert np.all(np.diff(lengths) < 0.0)
    for turns, length in zip((27.0, 31.0), lengths[[0, 2]], strict=True):
        one = build(made, q, replace(settings, turns=turns))
        assert float(one.finished.length[0]) == pytest.approx(float(length), abs=2e-5)


def test_map_beyond_the_throats() -> None:
    """In the loops a place keeps its distance from the throat; in between it is shared out."""
    here, there = np.array([1.0, 2.0, 4.0]), np.array([1.1, 2.3, 4.1])
    places = np.array([0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 4.5])
    np.testing.assert_allclose(
        map_position(places, here, there), [0.6, 1.1, 1.7, 2.3, 3.2, 4.1, 4.6]
    )


def test_a_batch_is_its_cases() -> None:
    """Each case of a batch is built as it would be alone."""
    made = model()
    settings = planned(made, 29.0)
    shares = np.array([0.1, 0.5, 0.9])
    together = build(made, unknowns(3, share=shares), settings).finished
    for i, share in enumerate(shares):
        alone = build(made, unknowns(share=share), settings).finished
        np.testing.assert_allclose(together.edges[i], alone.edges[0], atol=1e-11)


@pytest.mark.parametrize("order", list(Order))
def test_a_part_of_a_build_is_that_of_the_whole(order: Order) -> None:
    """Lengths read in one stage or in all, and the finished line alone, are the whole build's."""
    made = model(order)
    q = unknowns(3, gauge=np.array([0.9, 1.0, 1.2]), tape_scale=1e-4, warmth=3.0)
    settings = planned(made, 29.0)
    whole = build(made, q, settings)
    keys = [s.key for s in made.route.stages]
    for some in (keys, *([key] for key in keys)):
        read = read_lengths(made, q, settings, some)
        assert some == list(read)
        for key in some:
            np.testing.assert_allclose(read[key], whole.stages[key].length, rtol=1e-12)
    finished, tighter = build_finished(made, q, settings)
    np.testing.assert_allclose(finished.length, whole.finished.length, rtol=1e-12)
    np.testing.assert_allclose(
        tighter.length - finished.length, whole.turn_effect, rtol=1e-6, atol=1e-12
    )
