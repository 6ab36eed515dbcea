"""The body cut into segments."""

import numpy as np
import pytest

from sample_line import INCH, line, loop, serving
from strandwright.errors import SpecError
from strandwright.geometry.eye import outside_offset
from strandwright.line.layout import lay_out, throat_distance


def test_segments_from_throat_to_throat() -> None:
    """Edges are throats and servings; kinds say which serving, -1 is bare."""
    made = line()
    layout = lay_out(made)
    first = throat_distance(made.zero, made.pin_diameter)
    last = made.length - throat_distance(made.far, made.pin_diameter)
    inner = np.array([15.0, 20.5, 22.25, 26.75, 30.5, 40.25]) * INCH
    np.testing.assert_allclose(layout.edges, [first, *inner, last])
    assert layout.serving == (0, -1, 1, -1, 2, -1, 3)
    assert float(layout.lengths.sum()) == pytest.approx(last - first)


def test_the_throat_is_where_the_eye_has_it() -> None:
    """The larger loop's throat lies further in, by the eye's own geometry."""
    small, large = loop("a", 0.875), loop("b", 1.0)
    near, far = (throat_distance(one, 0.25 * INCH) for one in (small, large))
    assert far - near == pytest.approx(0.125 * INCH, rel=0.1)
    assert near == pytest.approx(
        float(outside_offset(small.perimeter, small.leg_thickness, 0.25 * INCH,
                             small.throat_offset))
    )  # fmt: skip


def test_a_bare_line_is_one_segment() -> None:
    """No servings, no cuts."""
    assert lay_out(line(servings=())).serving == (-1,)


def test_a_line_served_all_along() -> None:
    """One serving from end to end leaves nothing bare."""
    assert lay_out(line(servings=(serving("all", 0.0, 57.25),))).serving == (0,)


def test_servings_that_meet() -> None:
    """No bare segment of nothing between them."""
    layout = lay_out(line(servings=(serving("a", 0.0, 10.0), serving("b", 10.0, 20.0))))
    assert layout.serving == (0, 1, -1)


def test_loops_longer_than_the_line() -> None:
    """A line without a body is refused."""
    with pytest.raises(SpecError, match=r"line\.finished"):
        lay_out(line(length=1.5 * INCH, servings=(), marks=()))


def test_a_serving_of_the_loop_alone() -> None:
    """A serving that ends before the throat belongs to the loop."""
    with pytest.raises(SpecError, match="little"):
        lay_out(line(servings=(serving("little", 0.0, 0.5),)))
