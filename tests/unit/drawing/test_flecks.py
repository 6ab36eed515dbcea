"""Speckled yarns and single threads: seen where their strands are, on strip and close by."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from strandwright.drawing import (
    SpanPicture,
    StrandPicture,
    StripPicture,
    ThreadPicture,
    strip_svg,
    twisted_svg,
)
from strandwright.drawing.flecks import fleck_rows, surface_marks
from strandwright.errors import SpecError
from strandwright.geometry.packing import unit_centres

YELLOW, RED, WHITE = "#E8C547", "#AA0000", "#FFFFFF"


def picture(flecks: tuple[str, ...] = (), turns: float = 12.0, hand: str = "Z") -> StripPicture:
    """Give a bare line of two colours, half of it of a yarn with those flecks."""
    strands = tuple(
        StrandPicture(x, y, "#2F6B57", "spruce", flecks) if x > 0
        else StrandPicture(x, y, "#E3D3A5", "straw")
        for x, y in unit_centres(24).tolist()
    )  # fmt: skip
    span = SpanPicture(0.0, 0.6, 0.0028, 0.0, turns)
    return StripPicture("", "", 0.6, "a", "b", (span,), strands, hand)


def test_rows_of_flecks_lie_on_their_own_yarn_alone() -> None:
    """Half of the surface, its colours in turn; none for plain strands."""
    assert fleck_rows(picture().strands) == ()
    rows = fleck_rows(picture((YELLOW, RED)).strands)
    assert {colour for _, colour in rows} == {YELLOW, RED}
    # x > 0 looks from y towards z, which is phi from 0 to pi.
    assert all(0.0 < phi % (2.0 * math.pi) < math.pi for phi, _ in rows)
    assert len(rows) == pytest.approx(math.pi / 0.45, abs=2)


def test_a_plain_picture_is_drawn_and_named_as_before() -> None:
    """No fleck, no thread, no mark; and neither is in the text that ids are made from."""
    plain = picture()
    assert surface_marks(plain, plain.spans[0], 0.0, 900.0, 50.0, 20.0) == ""
    assert "flecks" not in repr(plain) and "threads" not in repr(plain)
    assert "dasharray" not in strip_svg(plain).split("data-span")[1].split("</g></g>")[0]


@pytest.mark.parametrize("turns", [0.0, 12.0])
def test_flecks_and_a_thread_are_on_the_strip(turns: float) -> None:
    """With twist and without it."""
    made = replace(picture((YELLOW,), turns), threads=(ThreadPicture("white", 1.2, WHITE),))
    svg = strip_svg(made)
    assert YELLOW in svg
    assert svg.count('data-thread="separator"') == 1
    assert WHITE in svg


def test_the_other_hand_leans_the_thread_the_other_way() -> None:
    """S is the mirror image of Z."""
    paths = []
    for hand in "ZS":
        made = replace(picture(hand=hand), threads=(ThreadPicture("white", 1.2, WHITE),))
        drawn = surface_marks(made, made.spans[0], 0.0, 900.0, 50.0, 20.0)
        paths.append(re.findall(r"c(-?[\d.]+) 0", drawn)[0])
    assert float(paths[0]) == -float(paths[1])
    assert float(paths[0]) > 0.0


def test_close_by_every_strand_of_the_yarn_has_its_flecks() -> None:
    """Dashes of both colours; none for plain strands."""
    plain, speckled = picture(), picture((YELLOW, RED))
    assert "dasharray" not in twisted_svg(plain, 0.1, 0.14)
    close = twisted_svg(speckled, 0.1, 0.14)
    assert close.count("stroke-dasharray") > 20
    assert close.count('stroke-dashoffset="0.00"') * 2 == close.count("stroke-dashoffset")


def test_what_is_no_colour_is_refused() -> None:
    """A fleck and a thread are drawn in colours."""
    with pytest.raises(SpecError):
        StrandPicture(0.0, 0.0, "#000000", flecks=("gold",))
    with pytest.raises(SpecError):
        ThreadPicture("white", 0.0, "white")
