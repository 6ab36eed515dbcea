"""The drawing of a row of builds: every build can be met, and what it says is in its shape."""

from __future__ import annotations

import dataclasses
import itertools
from typing import Any

import pytest
from svg_reading import SVG, parsed, text_boxes

from strandwright.drawing.control import control_svg
from strandwright.drawing.control_picture import ControlBuild, ControlChart, ControlLevel
from strandwright.drawing.tokens import THEMES
from strandwright.errors import SpecError

MARKS = ["plain"] * 20
MARKS[4], MARKS[10], MARKS[15] = "out", "low", "high"


def chart(**changes) -> ControlChart:
    """Give twenty builds, one past the limits, two in runs."""
    builds = tuple(
        ControlBuild(
            label=f"{i + 12}",
            value=0.09 if mark == "out" else 0.01 * ((i % 5) - 2),
            average=0.03 if i == 5 else 0.002,
            sigma=0.02,
            average_low=-0.02,
            average_high=0.02,
            mark=mark,
            words=f"build {i + 12}",
        )
        for i, mark in enumerate(MARKS)
    )
    about: dict[str, Any] = {
        "builds": builds,
        "centre": 0.0,
        "tolerance": (-0.0625, 0.0625),
        "levels": (),
        "name": "length over target",
        "unit": "in",
        "verdict": "Not in control.",
    }
    return ControlChart(**(about | changes))


def groups(svg: str):
    """Give the builds of a drawing."""
    return [g for g in parsed(svg).iter(f"{SVG}g") if g.get("class") == "build"]


def test_a_page_finds_every_build_by_its_label():
    """In order, with its mark, its own id, its words and a place a finger can meet."""
    found = groups(control_svg(chart(), prefix="bench"))
    assert [g.get("data-build") for g in found] == [str(i + 12) for i in range(20)]
    assert [g.get("data-mark") for g in found] == MARKS
    assert [g.get("id") for g in found] == [f"bench-build-{i}" for i in range(20)]
    assert [g.findtext(f"{SVG}title") for g in found] == [f"build {i + 12}" for i in range(20)]
    places: list[Any] = [g.find(f"{SVG}rect") for g in found]
    for one, following in itertools.pairwise(places):
        end = float(one.get("x")) + float(one.get("width"))
        assert end == pytest.approx(float(following.get("x")), abs=0.02)
    assert all(p.get("pointer-events") == "all" for p in places)


def test_what_a_build_says_is_in_its_shape():
    """A dot, a diamond of four corners, wedges of three that point to their side."""
    found = groups(control_svg(chart()))
    shapes: list[Any] = [list(g)[1] for g in found]
    assert shapes[0].tag == f"{SVG}circle"
    corners = {
        i: [tuple(map(float, p.split(","))) for p in shapes[i].get("points").split()]
        for i in (4, 10, 15)
    }
    assert [len(corners[i]) for i in (4, 10, 15)] == [4, 3, 3]
    # Down the page is up in y.
    assert corners[10][0][1] > max(y for _, y in corners[10][1:])
    assert corners[15][0][1] < min(y for _, y in corners[15][1:])


def test_an_average_past_its_limits_is_ringed():
    """In its own panel, with the build it belongs to."""
    found = groups(control_svg(chart()))
    ringed = [i for i, g in enumerate(found) if len(g.findall(f"{SVG}circle")) == 2]
    assert ringed == [5]


def test_the_tolerance_is_hatched_and_dashed_and_the_limits_are_not():
    """Two hatched fields, two dashed edges; limits are whole lines."""
    root = parsed(control_svg(chart(), prefix="a"))
    hatched = [r for r in root.iter(f"{SVG}rect") if r.get("fill") == "url(#a-hatch)"]
    assert len(hatched) == 2
    dashed = [e for e in root.iter() if e.get("stroke-dasharray") == "9 4"]
    # Two edges and the key's own.
    assert len(dashed) == 3
    assert not [e for e in root.iter(f"{SVG}polyline") if e.get("stroke-dasharray")]


def test_a_tolerance_too_wide_to_draw_is_said_and_not_drawn():
    """The builds would be a line."""
    svg = control_svg(chart(tolerance=(-3.0, 3.0)))
    assert "hatch" not in svg
    assert "tolerance: beyond the drawing" in svg
    assert "tolerance" not in control_svg(chart(tolerance=None))


def test_the_key_names_what_is_there_and_no_more():
    """Without marks only the limits are left."""
    plain = tuple(dataclasses.replace(b, mark="plain", average=0.0) for b in chart().builds)
    texts = {box.text for box in text_boxes(control_svg(chart(builds=plain, tolerance=None)))}
    assert "limits of a steady bench" in texts
    assert not texts & {"past the limits", "one of a run", "average past its limits", "tolerance"}
    levels = (ControlLevel(0, 11, -0.01, -0.01), ControlLevel(12, 19, 0.01, 0.01))
    assert "level before and after" in control_svg(chart(levels=levels))
    assert "level, moving on" in control_svg(chart(levels=(ControlLevel(0, 19, -0.01, 0.02),)))


@pytest.mark.parametrize("width", [280.0, 320.0, 420.0, 700.0])
@pytest.mark.parametrize("theme", sorted(THEMES))
def test_no_text_meets_another_or_leaves_the_drawing(width, theme):
    """On a phone as on a screen, in every light."""
    levels = (ControlLevel(0, 11, -0.01, -0.01), ControlLevel(12, 19, 0.01, 0.01))
    boxes = text_boxes(control_svg(chart(levels=levels), width=width, theme=theme))
    assert all(box.left >= -0.5 and box.right <= width + 0.5 for box in boxes)
    for one, other in itertools.combinations(boxes, 2):
        assert not one.meets(other), (one.text, other.text)


def test_long_labels_and_markup_do_no_harm():
    """Cut on the axis, whole in the attribute, escaped."""
    builds = tuple(
        dataclasses.replace(b, label=f'<b> & "a very long name of a build" {i}')
        for i, b in enumerate(chart().builds)
    )
    found = groups(control_svg(chart(builds=builds), width=320.0))
    assert found[3].get("data-build") == '<b> & "a very long name of a build" 3'


def test_one_build_and_very_many_are_drawn():
    """From one to five hundred."""
    one = chart().builds[:1]
    assert len(groups(control_svg(chart(builds=one)))) == 1
    many = tuple(dataclasses.replace(chart().builds[i % 20], label=str(i)) for i in range(500))
    assert len(groups(control_svg(chart(builds=many), width=320.0))) == 500


def test_what_is_no_row_of_builds_is_refused():
    """None at all, or a mark that is none."""
    with pytest.raises(SpecError, match="builds"):
        chart(builds=())
    with pytest.raises(SpecError, match="mark"):
        chart(builds=(dataclasses.replace(chart().builds[0], mark="odd"),))
