"""Drawings turned end for end, and label lanes under any load."""

from __future__ import annotations

import itertools
import math
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from strandwright.drawing import (
    ContactPicture,
    MarkPicture,
    ServingPicture,
    SpanPicture,
    StrandPicture,
    StripPicture,
    strip_svg,
    turned_end_for_end,
)
from strandwright.drawing.helix import helix_point
from strandwright.drawing.labels import place_labels, spread_feet

COLOURS = st.sampled_from(["#2F6B57", "#E3D3A5", "#3A3A3A", "#8C2F22"])
HANDS = st.sampled_from(["S", "Z"])


@st.composite
def pictures(draw: st.DrawFn) -> StripPicture:
    """Draw a line with some spans, marks and contacts."""
    length = draw(st.floats(0.2, 2.5))
    cuts = sorted(draw(st.sets(st.integers(1, 199), min_size=2, max_size=9)))
    stops = [cut / 200.0 * length for cut in cuts]
    turns = 0.0
    spans: list[SpanPicture] = []
    for start, stop in itertools.pairwise(stops):
        more = draw(st.floats(0.0, 15.0))
        serving = ServingPicture(draw(st.text(max_size=12)), draw(COLOURS), 5e-4, 6e-4, draw(HANDS))
        served = draw(st.sampled_from([None, serving]))
        diameter = draw(st.floats(0.001, 0.005))
        spans.append(SpanPicture(start, stop, diameter, turns, turns + more, served))
        turns += more
    places = st.floats(0.0, 1.0).map(lambda share: share * length)
    marks = draw(st.lists(st.builds(MarkPicture, places, st.text(max_size=12)), max_size=9))
    contact = ContactPicture(0.1 * length, 0.4 * length, "track")
    strands = tuple(StrandPicture(float(k), 0.3, draw(COLOURS)) for k in range(4))
    return StripPicture(
        "", "", length, "a", "b", tuple(spans), strands, draw(HANDS), marks=tuple(marks),
        contacts=draw(st.sampled_from([(), (contact,)])),
    )  # fmt: skip


@given(pictures())
def test_turning_mirrors_servings_and_marks_and_keeps_the_hand(picture: StripPicture) -> None:
    """Every position x goes to L - x with its name; every hand stays."""
    turned = turned_end_for_end(picture)
    length = picture.length
    assert turned.hand == picture.hand
    assert (turned.zero_end_label, turned.far_end_label) == ("b", "a")
    for span, other in zip(picture.spans, reversed(turned.spans), strict=True):
        assert (span.start + other.stop, span.stop + other.start) == pytest.approx((length, length))
        assert span.served == other.served
        assert other.turns_at_stop - other.turns_at_start == pytest.approx(
            span.turns_at_stop - span.turns_at_start, abs=1e-9
        )
    for mark, other in zip(picture.marks, reversed(turned.marks), strict=True):
        assert mark.position + other.position == pytest.approx(length)
        assert mark.label == other.label
    for contact, other in zip(picture.contacts, reversed(turned.contacts), strict=True):
        assert contact.start + other.stop == pytest.approx(length)


@given(pictures())
def test_turning_moves_no_strand_in_the_line(picture: StripPicture) -> None:
    """Half a round in the picture's plane: up becomes down, what faced the viewer still does.

    That the strands after turning lie on the same helix, of the same hand, is what says that
    a Z helix is Z from either end.
    """
    turned = turned_end_for_end(picture)
    for span, other in zip(picture.spans, reversed(turned.spans), strict=True):
        for mine, its in (
            (span.turns_at_start, other.turns_at_stop),
            (span.turns_at_stop, other.turns_at_start),
        ):
            here = _section(picture, mine)
            there = _section(turned, its)
            assert there == pytest.approx(here * np.array([[-1.0], [1.0]]), abs=1e-9)


def _section(picture: StripPicture, turns: float) -> np.ndarray:
    """Give height and depth of every strand after some turns."""
    radius = np.array([math.hypot(s.x, s.y) for s in picture.strands])
    phi = np.array([math.atan2(s.x, s.y) for s in picture.strands])
    return np.stack(helix_point(radius, phi, np.full(len(phi), turns), picture.hand))


@given(pictures())
def test_turning_twice_gives_the_line_back(picture: StripPicture) -> None:
    """Nothing is lost on the way."""
    again = turned_end_for_end(turned_end_for_end(picture))
    for span, other in zip(picture.spans, again.spans, strict=True):
        assert (other.start, other.stop) == pytest.approx((span.start, span.stop))
        assert other.turns_at_start == pytest.approx(span.turns_at_start, abs=1e-9)
    for strand, other in zip(picture.strands, again.strands, strict=True):
        assert (other.x, other.y) == pytest.approx((strand.x, strand.y), abs=1e-9)


@given(pictures(), st.sampled_from([320.0, 390.0, 800.0, 1600.0]))
def test_any_line_gives_well_formed_finite_svg(picture: StripPicture, width: float) -> None:
    """Whatever the names and the places, it parses and holds no lost number."""
    svg = strip_svg(picture, width=width)
    root = ET.fromstring(svg)
    numbers = " ".join(e.get(n, "") for e in root.iter() for n in ("x", "y", "d", "width"))
    assert "nan" not in numbers
    assert "inf" not in numbers


@given(
    st.lists(st.tuples(st.floats(0.0, 900.0), st.floats(5.0, 290.0)), max_size=16),
)
def test_texts_never_overlap_in_any_lane(labels: list[tuple[float, float]]) -> None:
    """Up to a third of the lane wide, however crowded: texts apart, each over its own foot."""
    placed = place_labels([a for a, _ in labels], [w for _, w in labels], 0.0, 900.0)
    for a, b in itertools.combinations(placed, 2):
        assert a.row != b.row or a.right <= b.left or b.right <= a.left
    for label in placed:
        assert -1e-9 <= label.left <= label.foot <= label.right <= 900.0 + 1e-9


@given(
    st.lists(st.tuples(st.floats(0.0, 580.0), st.floats(5.0, 200.0)), max_size=12),
    st.booleans(),
)
def test_leaders_cross_no_text_with_room_on_one_side(
    labels: list[tuple[float, float]], mirrored: bool
) -> None:
    """Where every text has room to run to one side, every leader has a free way down."""
    anchors = [900.0 - a if mirrored else a for a, _ in labels]
    placed = place_labels(anchors, [w for _, w in labels], 0.0, 900.0)
    for deep, other in itertools.permutations(placed, 2):
        assert other.row >= deep.row or not other.left < deep.foot < other.right


@given(st.lists(st.floats(0.0, 500.0), max_size=20))
def test_feet_keep_order_bounds_and_gap(anchors: list[float]) -> None:
    """Spreading never swaps two feet."""
    feet = spread_feet(anchors, 0.0, 500.0, 12.0)
    order = sorted(range(len(anchors)), key=lambda i: anchors[i])
    for before, after in itertools.pairwise(order):
        assert feet[after] - feet[before] >= 12.0 - 1e-9
    assert all(-1e-9 <= foot <= 500.0 + 1e-9 for foot in feet)
