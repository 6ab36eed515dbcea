"""A line of several sections: plain ones change nothing, legs and married ends keep their laws."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import sample_yoke
from sample_line import BENCH, BLEND, INCH, LBF, LOADS, line, model, unknowns
from strandwright.errors import SpecError
from strandwright.line.build import Settings, build, marking_edges, naturals_for, posts_for
from strandwright.line.layout import lay_out
from strandwright.line.model import LineModel
from strandwright.line.parts import Line, check_line
from strandwright.line.route import Order, Pins, make_route
from strandwright.line.sections import Section
from strandwright.line.yoke.model import YokeModel

ORDERS = list(Order)


def with_sections(made: LineModel, *sections: Section) -> LineModel:
    """Give a line sections."""
    return replace(made, line=replace(made.line, sections=sections))


def cut(made: LineModel, at: float, **changes: object) -> LineModel:
    """The line cut in two sections, the further one changed."""
    length = made.line.length
    further = replace(Section("legs", at, length), **changes)  # pyright: ignore[reportArgumentType]
    return with_sections(made, Section("body", 0.0, at), further)


def nominal(made: LineModel, turns: float = 20.0) -> Settings:
    """Settings that bring a line to its drawing at the middle of the unknowns."""
    q = unknowns()
    naturals = naturals_for(made, q, np.array([turns]))
    posts = float(posts_for(made, q, naturals)[0])
    edges = marking_edges(made, q, made.wound(q, posts), turns, naturals)
    return Settings(posts, turns, tuple(float(e) for e in edges[1:-1]))


@pytest.mark.parametrize("order", ORDERS)
def test_plain_sections_are_the_line_without_them(order: Order) -> None:
    """A cut through a plain line is none."""
    whole = model(order)
    parted = cut(whole, 0.55 * whole.line.length)
    q = unknowns()
    one, two = (build(m, q, nominal(m)) for m in (whole, parted))
    assert len(parted.layout.lengths) == len(whole.layout.lengths) + 1
    for key, state in one.stages.items():
        np.testing.assert_allclose(two.stages[key].length, state.length, atol=2e-9)
    np.testing.assert_allclose(two.turn_effect, one.turn_effect, rtol=1e-5)


@pytest.mark.parametrize("order", ORDERS)
@pytest.mark.parametrize(
    "changes",
    [
        {"members": 2, "turns": 7.0, "takes_turns": False},
        {"strands": 1.5, "turns": 3.0},
        {"strands": 1.5},
    ],
)
def test_the_nominal_build_of_sections_comes_to_its_drawing(
    order: Order, changes: dict[str, float]
) -> None:
    """Settings for the middle of the unknowns give the drawing."""
    made = cut(model(order), 0.55 * model(order).line.length, **changes)
    found = build(made, unknowns(), nominal(made)).finished
    np.testing.assert_allclose(found.length, made.line.length, atol=1e-7)
    np.testing.assert_allclose(found.edges[0], made.layout.edges, atol=2e-6)


def test_legs_take_none_of_the_lines_turns() -> None:
    """Turns stop where the legs begin, and the legs keep their own."""
    made = cut(
        model(Order.SERVE_THEN_TWIST), 20 * INCH, members=2, turns=7.0, takes_turns=False
    )
    state = build(made, unknowns(), nominal(made)).finished
    naturals = naturals_for(made, unknowns(), np.array([20.0]))
    in_legs = np.array(made.layout.section) == 1
    turns = (state.turn_rates[:, made.kinds] * naturals)[0]
    assert turns[in_legs].sum() == pytest.approx(7.0, rel=1e-6)
    assert turns[~in_legs].sum() == pytest.approx(20.0, rel=1e-6)


def test_two_legs_carry_half_the_load_with_half_the_strands() -> None:
    """Untwisted, two halves beside each other are the whole."""
    whole = model(Order.SERVE_THEN_TWIST)
    legs = cut(whole, 20 * INCH, members=2, takes_turns=False)
    q, none = unknowns(), np.array([0.0])
    np.testing.assert_allclose(
        naturals_for(legs, q, none).sum(), naturals_for(whole, q, none).sum(), rtol=1e-12
    )


def test_no_leg_is_no_yoke() -> None:
    """As the legs shorten to nothing, a split line comes to the straight one."""
    whole, q, turns = model(Order.STRETCH_TWIST_SERVE), unknowns(), np.array([20.0])
    straight = naturals_for(whole, q, turns).sum()
    end, apart = whole.layout.edges[-1], list[float]()
    for leg in (4.0 * INCH, 1.0 * INCH, 1e-5):
        made = cut(whole, end - leg, members=2, turns=leg / INCH, takes_turns=False)
        apart.append(abs(naturals_for(made, q, turns).sum() - straight))
    assert apart[0] > apart[1] > apart[2]
    assert apart[2] < 1e-6


def test_thicker_ends_stretch_less_and_weigh_on_the_turns() -> None:
    """More strands stretch less, and take fewer turns of the same torque."""
    whole = model(Order.STRETCH_TWIST_SERVE)
    thick = cut(whole, 40 * INCH, strands=1.5)
    q, none = unknowns(), np.array([0.0])
    plain, more = (naturals_for(m, q, none).sum() for m in (whole, thick))
    load = np.array([whole.line.measuring_load])
    strains = [float(whole.strain(q, load / s)[0]) for s in (1.0, 1.5)]
    last = whole.layout.edges[-1] - 40 * INCH
    expected = last * (1.0 / (1.0 + strains[1]) - 1.0 / (1.0 + strains[0]))
    assert more - plain == pytest.approx(expected, rel=1e-9)
    rates = build(thick, q, nominal(thick)).finished.turn_rates[0]
    assert rates[1] < 0.8 * rates[0]


def test_a_yoke_with_legs_side_by_side_is_the_tripod() -> None:
    """The sections of a straight line against the model of a yoke, both legs on one pin."""
    frame = replace(sample_yoke.FRAME, span=0.0)
    leg = sample_yoke.leg(turns=6.0)
    parts = sample_yoke.cable(leg, replace(leg, name="right"), frame=frame)
    yoke = YokeModel(BLEND, parts)
    throat, body = parts.throat, parts.body
    length = body.length + leg.length
    as_line = Line(
        length=length,
        zero=body.loop,
        far=leg.loop,
        servings=(),
        marks=(),
        strand_count=24,
        hand=body.hand,
        measuring_load=100 * LBF,
        pin_diameter=0.25 * INCH,
        sections=(
            Section("body", 0.0, throat.start),
            Section("throat", throat.start, throat.stop, takes_turns=False),
            Section("legs", throat.stop, length, members=2, turns=6.0, takes_turns=False),
        ),
    )
    check_line(as_line)
    pins = Pins(0.5 * INCH, 0.5 * INCH, 0.25 * INCH, 0.25 * INCH)
    made = LineModel(as_line, BLEND, BENCH, make_route(Order.TWIST_THEN_SERVE, LOADS, pins))
    q = unknowns()
    found = naturals_for(made, q, np.array([body.turns]))[0]
    legs, _, whole = yoke.naturals(q)[0]
    # A leg of 12 strands stands in the line as 24 weaker ones, packed a little otherwise: that
    # is 0.05 mm in a leg of 6 in twisted at more than a turn an inch.
    assert found[2] == pytest.approx(legs, rel=5e-4)
    assert found[0] + found[1] == pytest.approx(whole, rel=2e-5)


def test_a_line_turned_end_for_end_turns_its_sections() -> None:
    """Turned twice it is as before."""
    made = cut(model(Order.SERVE_THEN_TWIST), 20 * INCH, members=2, takes_turns=False).line
    turned = made.turned()
    assert [s.name for s in turned.sections] == ["legs", "body"]
    again = turned.turned()
    np.testing.assert_allclose([s.start for s in again.sections], [0.0, 20 * INCH], atol=1e-12)
    np.testing.assert_allclose(
        lay_out(turned).lengths, lay_out(made).lengths[::-1], atol=1e-12
    )


@pytest.mark.parametrize(
    ("sections", "says"),
    [
        ((Section("body", 0.0, 1.0),), "reach to the line's end"),
        ((Section("body", 0.0, 1.0), Section("legs", 1.1, 2.0)), "begin where"),
        ((Section("body", 0.0, 1.0, strands=0.0),), "must leave the body strands"),
        ((Section("body", 0.0, 1.0, turns=-1.0),), "0 or more"),
    ],
)
def test_sections_that_make_no_line_are_refused(
    sections: tuple[Section, ...], says: str
) -> None:
    """Gaps, no strands and turns below none are refused."""
    with pytest.raises(SpecError, match=says):
        check_line(replace(line(), sections=sections))


def test_a_line_without_a_part_to_twist_is_refused() -> None:
    """Something must take the turns."""
    length = line().length
    with pytest.raises(SpecError, match="a part that is twisted"):
        check_line(replace(line(), sections=(Section("legs", 0.0, length, takes_turns=False),)))
