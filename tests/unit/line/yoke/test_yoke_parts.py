"""The parts of a yoke cable: what contradicts itself is refused, and the drawing adds up."""

from dataclasses import replace

import pytest

from sample_line import INCH
from sample_yoke import BODY, FRAME, THROAT, cable, leg
from strandwright.errors import SpecError
from strandwright.line.yoke.drawn import drawn_overall, drawn_throat, leg_length_for
from strandwright.line.yoke.parts import YokeCable, check_yoke


def test_a_sound_cable_passes() -> None:
    """The sample and its mirror image contradict nothing."""
    check_yoke(cable())
    check_yoke(cable().swapped())


@pytest.mark.parametrize(
    ("made", "field"),
    [
        (cable(replace(leg(), strand_count=10)), "makeup.strands"),
        (cable(throat=replace(THROAT, start=33 * INCH)), "line.servings.start"),
        (cable(throat=replace(THROAT, stop=31.5 * INCH)), "line.servings.stop"),
        (cable(throat=replace(THROAT, start=0.5 * INCH)), "line.servings.start"),
        (cable(leg(turns=-1.0)), "line.yoke.turns"),
        (cable(body=replace(BODY, turns=-1.0)), "line.yoke.turns"),
        (cable(leg(length=1.2 * INCH), leg(length=1.2 * INCH)), "line.yoke.leg"),
        (cable(leg(length=9 * INCH)), "line.yoke.leg"),
    ],
)
def test_a_contradiction_is_refused_at_its_field(made: YokeCable, field: str) -> None:
    """Strands that do not add up, a throat off its serving, legs that do not span."""
    with pytest.raises(SpecError) as caught:
        check_yoke(made)
    assert caught.value.field == field


def test_the_throat_of_unequal_legs_by_pythagoras() -> None:
    """Legs of 3 and 4 over a span of 5 stand at a right angle: 1.8 and 3.2 of the span."""
    frame = replace(FRAME, span=5 * INCH, leg_pin=0.5 * INCH)
    made = cable(leg(length=3.25 * INCH), leg(length=4.25 * INCH), frame=frame)
    across, along = drawn_throat(made)
    assert across / INCH == pytest.approx(2.5 - 1.8)
    assert along / INCH == pytest.approx(2.4)


def test_legs_for_an_overall_length_bring_it_there() -> None:
    """Back and forth between overall length and legs."""
    length = leg_length_for(38 * INCH, 32 * INCH, FRAME)
    made = cable(leg(length=length), leg("right", length=length))
    assert drawn_overall(made) == pytest.approx(38 * INCH, rel=1e-14)


def test_equal_legs_cannot_be_asked_for_where_there_is_no_room() -> None:
    """A body as long as the cable, or a pin that stands aside, is refused."""
    with pytest.raises(SpecError):
        leg_length_for(38 * INCH, 38 * INCH, FRAME)
    with pytest.raises(SpecError):
        leg_length_for(38 * INCH, 32 * INCH, replace(FRAME, aside=0.01))
