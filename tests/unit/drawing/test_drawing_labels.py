"""Label lanes: feet apart, texts apart, leaders clear of texts."""

from __future__ import annotations

import itertools

import pytest

from strandwright.drawing.labels import Placed, place_labels, spread_feet
from strandwright.errors import GeometryError


def overlaps(placed: list[Placed]) -> list[tuple[Placed, Placed]]:
    """Find pairs of texts in one row that touch."""
    return [
        (a, b)
        for a, b in itertools.combinations(placed, 2)
        if a.row == b.row and a.left < b.right and b.left < a.right
    ]


def crossings(placed: list[Placed]) -> list[tuple[Placed, Placed]]:
    """Find leaders that run through a text on their way to their own."""
    return [
        (deep, other)
        for deep, other in itertools.permutations(placed, 2)
        if other.row < deep.row and other.left < deep.foot < other.right
    ]


def test_lone_label_is_centred_under_what_it_names() -> None:
    """A label with room stands in the first row, in the middle."""
    (label,) = place_labels([200.0], [50.0], 0.0, 400.0)
    assert (label.row, label.middle, label.foot) == (0, 200.0, 200.0)


def test_label_near_a_side_is_pushed_inside() -> None:
    """No text leaves its lane."""
    first, last = place_labels([1.0, 399.0], [60.0, 60.0], 0.0, 400.0)
    assert first.left >= 0.0
    assert last.right <= 400.0


@pytest.mark.parametrize("start", [0.0, 60.0, 340.0, 700.0])
@pytest.mark.parametrize("step", [0.0, 1.0, 7.0, 19.0])
def test_crowded_labels_never_meet_and_no_leader_crosses_a_text(start: float, step: float) -> None:
    """Fourteen labels in a heap, anywhere on the lane, still read one by one."""
    anchors = [min(start + step * k, 800.0) for k in range(14)]
    widths = [40.0 + 9.0 * (k % 5) for k in range(14)]
    placed = place_labels(anchors, widths, 0.0, 800.0)
    assert overlaps(placed) == []
    assert crossings(placed) == []
    assert all(0.0 <= label.left and label.right <= 800.0 for label in placed)
    assert all(label.left <= label.foot <= label.right for label in placed)


def test_order_given_is_the_order_returned() -> None:
    """The caller can zip the answer with its own list."""
    anchors = [300.0, 20.0, 150.0]
    assert [label.anchor for label in place_labels(anchors, [30.0] * 3, 0.0, 400.0)] == anchors


def test_feet_move_as_little_as_may_be() -> None:
    """Two feet in one place part evenly; a third far off stays."""
    assert spread_feet([100.0, 100.0, 300.0], 0.0, 400.0, 10.0) == [95.0, 105.0, 300.0]


def test_feet_keep_inside_a_lane_too_short_for_their_gap() -> None:
    """The gap gives way before the bounds do."""
    feet = spread_feet([5.0] * 10, 0.0, 50.0, 10.0)
    assert min(feet) >= 0.0
    assert max(feet) <= 50.0
    assert feet == sorted(feet)


def test_label_wider_than_its_lane_is_refused() -> None:
    """A text that cannot fit is the caller's to shorten."""
    with pytest.raises(GeometryError, match="fit its lane"):
        place_labels([10.0], [500.0], 0.0, 400.0)


def test_no_labels_take_no_room() -> None:
    """An empty lane is empty."""
    assert place_labels([], [], 0.0, 400.0) == []
