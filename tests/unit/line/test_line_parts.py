"""Parts of a line: what is checked, and turning end for end."""

from dataclasses import replace

import numpy as np
import pytest

from sample_line import INCH, THREAD, line, loop, serving
from strandwright.errors import SpecError
from strandwright.line.parts import Hand, Loop, Mark, check_line


def test_the_sample_passes() -> None:
    """A sound line raises nothing."""
    check_line(line())


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"strand_count": 1}, "makeup.strands"),
        ({"servings": (serving("back", 10.0, 9.0),)}, "back"),
        ({"servings": (serving("nothing", 10.0, 10.0),)}, "nothing"),
        ({"servings": (serving("early", -1.0, 10.0),)}, "early"),
        ({"servings": (serving("late", 50.0, 57.5),)}, "late"),
        ({"servings": (serving("one", 0.0, 10.0), serving("two", 9.0, 12.0))}, "two"),
        ({"marks": (Mark("off", 60 * INCH),)}, "off"),
    ],
)
def test_parts_that_contradict_each_other(changes: dict[str, object], field: str) -> None:
    """The error names the part and what to do."""
    with pytest.raises(SpecError) as caught:
        check_line(line(**changes))
    assert field in caught.value.field
    assert caught.value.remedy


def test_turned_end_for_end() -> None:
    """Ends change places, servings and marks are mirrored, hands stay; twice is the line."""
    made = line()
    turned = made.turned()
    assert turned.zero == made.far
    assert [s.name for s in turned.servings] == [s.name for s in reversed(made.servings)]
    assert turned.servings[1].start == pytest.approx((57.25 - 30.5) * INCH)
    assert turned.marks[0].name == "peep"
    assert turned.marks[0].position == pytest.approx((57.25 - 34.0) * INCH)
    assert {s.hand for s in turned.servings} == {Hand.S}
    check_line(turned)
    again = turned.turned()
    np.testing.assert_allclose(
        [s.start for s in again.servings], [s.start for s in made.servings], atol=1e-15
    )


def test_a_loop_by_its_size() -> None:
    """Laid flat, two legs of the size and half a turn at half a thickness."""
    made = Loop.from_size("end", 1.0 * INCH, 0.1 * INCH, 0.0, THREAD)
    assert made.perimeter == pytest.approx((2 + 0.05 * np.pi) * INCH)
    assert loop("end", 1.0).perimeter == pytest.approx(made.perimeter)


def test_hands() -> None:
    """Each hand's other is the other."""
    assert Hand.S.other is Hand.Z
    assert Hand.Z.other is Hand.S
    assert replace(serving("x", 1, 2), hand=Hand.Z).turned(1.0).hand is Hand.Z
