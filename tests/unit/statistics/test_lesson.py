"""Lesson: readings of one build, checked and scaled."""

from __future__ import annotations

import numpy as np
import pytest

from strandwright.errors import InputError
from strandwright.statistics.lesson import Lesson

GROUPS = (("bench", "north"), ("lot", "7"))


def test_arrays_are_copied_and_frozen():
    """What is given may change afterwards; the lesson does not."""
    value = np.array([1.0])
    lesson = Lesson(GROUPS, np.ones((1, 2)), value, np.eye(1))
    value[0] = 5.0
    assert lesson.value[0] == 1.0
    with pytest.raises(ValueError, match="read-only"):
        lesson.noise[0, 0] = 2.0


@pytest.mark.parametrize(
    ("groups", "slopes", "value", "noise", "field"),
    [
        ((("lot", "1"), ("lot", "2")), np.ones((1, 2)), np.ones(1), np.eye(1), "lesson.groups"),
        (GROUPS, np.ones((2, 2)), np.ones(1), np.eye(1), "lesson.slopes"),
        (GROUPS, np.ones(2), np.ones(2), np.eye(2), "lesson.slopes"),
        (GROUPS, np.ones((1, 2)), np.ones(1), np.eye(2), "lesson.noise"),
        (GROUPS, np.ones((1, 2)), np.ones(1), np.array([[np.nan]]), "lesson.noise"),
    ],
)
def test_what_makes_no_sense_is_refused(groups, slopes, value, noise, field):
    """A level twice, shapes that disagree and numbers that are none are told with their field."""
    with pytest.raises(InputError) as told:
        Lesson(groups, slopes, value, noise)
    assert told.value.field == field


def test_scaled_readings_have_unit_variance():
    """Scaling by the root of noise and own variance together leaves the unit matrix."""
    random = np.random.default_rng(3)
    slopes, variance = random.normal(size=(3, 4)), np.array([0.5, 0.0, 1.0, 2.0])
    noise = np.diag([0.1, 0.2, 0.3]) + 0.05
    mean = random.normal(size=4)
    lesson = Lesson(GROUPS, slopes, random.normal(size=3), noise)
    scaled, residual = lesson.whitened(mean, variance)
    total = noise + (slopes * variance) @ slopes.T
    assert scaled.T @ scaled == pytest.approx(slopes.T @ np.linalg.solve(total, slopes))
    expected = slopes.T @ np.linalg.solve(total, lesson.value - slopes @ mean)
    assert scaled.T @ residual == pytest.approx(expected)


def test_readings_without_any_uncertainty_are_refused():
    """Two exact readings of one unknown leave nothing to weigh them by."""
    lesson = Lesson(GROUPS, np.ones((2, 1)), np.ones(2), np.zeros((2, 2)))
    with pytest.raises(InputError, match="positive definite"):
        lesson.whitened(np.zeros(1), np.zeros(1))
