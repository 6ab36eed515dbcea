"""The picture of a plan: everything in place, colours as they are laid."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from strandwright.drawing import strip_svg
from strandwright.drawing.helix import surface_owners
from strandwright.geometry.packing import unit_centres
from strandwright.planning.examples import example
from strandwright.planning.picture import strip_picture
from strandwright.planning.plan_line import plan_line
from strandwright.planning.result import Plan
from strandwright.planning.winding.colours import is_one_bundle, lay_colours
from strandwright.workshop.job import job_from_table


@pytest.fixture(scope="module")
def plan() -> Plan:
    """Plan a string with four servings and a mark."""
    end = {"name": "lower end", "use": "end", "thread": "braid-018"}
    return plan_line(
        job_from_table(
            {
                "id": "P-1",
                "name": "string",
                "bow": {"kind": "two-cam", "draw_weight": "60 lbf"},
                "line": {
                    "name": "string",
                    "finished": "57 1/4 in",
                    "shorthand": "57 1/4: 0-17, 20 1/2-22 1/4, 26 3/4-30 1/2, 17-0",
                    "zero_end": {"name": "lower", "size": "7/8 in", "thread": "braid-018"},
                    "far_end": {"name": "upper", "size": "7/8 in"},
                    "servings": [
                        end,
                        {"name": "stop", "use": "stop", "thread": "braid-018"},
                        {"name": "centre", "use": "centre", "thread": "braid-021",
                         "colour": "#8C2F22", "hand": "S"},
                        end | {"name": "upper end"},
                    ],
                    "marks": [{"name": "nock", "at": "28 5/8 in"}],
                },
                "makeup": {
                    "strand": "hmpe-lcp",
                    "strands": 24,
                    "colours": [
                        {"name": "spruce", "colour": "#2F6B57", "strands": 14},
                        {"name": "straw", "colour": "#E3D3A5", "strands": 10},
                    ],
                    "pattern": "free",
                    "twist": "0.5 per in",
                },
                "bench": {"zero_post": "1/2 in", "longest": "110 in"},
            }
        )
    )  # fmt: skip


def test_spans_run_from_throat_to_throat_without_gaps(plan: Plan) -> None:
    """The body is covered once, and the turns add up to those of the plan."""
    picture = strip_picture(plan)
    spans = picture.spans
    assert spans[0].start == pytest.approx(plan.throats[0])
    assert spans[-1].stop == pytest.approx(plan.target.length.value - plan.throats[1])
    for before, after in pairwise(spans):
        assert before.stop == pytest.approx(after.start)
        assert before.turns_at_stop == pytest.approx(after.turns_at_start)
    assert spans[0].turns_at_start == 0.0
    assert spans[-1].turns_at_stop == pytest.approx(plan.twist.turns)


def test_servings_keep_place_thread_and_thickness(plan: Plan) -> None:
    """Each serving is drawn where the plan ends it, with its hand, colour and both diameters."""
    drawn = {span.served.name: span for span in strip_picture(plan).spans if span.served}
    assert list(drawn) == [serving.name for serving in plan.servings]
    for serving in plan.servings:
        span = drawn[serving.name]
        assert span.served is not None
        assert (serving.colour, serving.hand) == (span.served.thread_colour, span.served.hand)
        assert span.diameter == pytest.approx(serving.outside.value)
        assert span.core_diameter == pytest.approx(serving.core.value, rel=1e-6)
    centre = plan.servings[2]
    assert drawn["centre"].start == pytest.approx(centre.start.value)
    assert drawn["centre"].stop == pytest.approx(centre.stop.value)


def test_eyes_marks_and_ends_are_the_plans(plan: Plan) -> None:
    """A served loop shows its thread, a bare one its strands; marks stand where planned."""
    picture = strip_picture(plan)
    assert picture.zero_eye is not None
    assert picture.far_eye is not None
    assert picture.zero_eye.served
    assert not picture.far_eye.served
    assert picture.far_eye.colour == "#2F6B57"
    assert picture.zero_eye.throat == pytest.approx(plan.throats[0])
    assert [mark.position for mark in picture.marks] == [plan.marks[0].position.value]
    assert (picture.zero_end_label, picture.far_end_label) == ("lower", "upper")


def test_the_picture_can_be_drawn(plan: Plan) -> None:
    """The strip comes out with the line's title and every serving's name."""
    svg = strip_svg(strip_picture(plan))
    for text in ("spruce and straw", "lower end", "centre", "nock"):
        assert text in svg


def colour_points(colours: tuple[tuple[str, str, int], ...], pattern: str) -> dict[str, list[int]]:
    """Give the indices into the packed centres that each colour takes."""
    strands = lay_colours(colours, pattern)
    centres = unit_centres(len(strands)).tolist()
    found: dict[str, list[int]] = {}
    for strand in strands:
        found.setdefault(strand.colour_name, []).append(centres.index([strand.x, strand.y]))
    return found


@pytest.mark.parametrize("total", range(8, 37, 2))
def test_halves_are_two_whole_bundles(total: int) -> None:
    """Each half hangs together, and every packed place is taken once."""
    half = total // 2
    found = colour_points((("a", "#000000", half), ("b", "#FFFFFF", total - half)), "halves")
    centres = unit_centres(total)
    assert sorted(i for group in found.values() for i in group) == list(range(total))
    for group in found.values():
        assert is_one_bundle(centres[group], centres)


@pytest.mark.parametrize("total", range(12, 37, 3))
def test_thirds_are_three_whole_bundles(total: int) -> None:
    """Each third hangs together and shows on the surface."""
    third = total // 3
    colours = tuple((name, "#000000", third) for name in "abc")
    found = colour_points(colours, "thirds")
    centres = unit_centres(total)
    for group in found.values():
        assert len(group) == third
        assert is_one_bundle(centres[group], centres)


@pytest.mark.parametrize(("main", "pin"), [(11, 2), (10, 4), (8, 2), (12, 4)])
def test_a_pinstripe_lies_between_its_neighbours_and_shows(main: int, pin: int) -> None:
    """The thin colour touches both others, hangs together and is seen on the surface."""
    colours = (("a", "#000000", main), ("b", "#FFFFFF", main), ("pin", "#FF0000", pin))
    strands = lay_colours(colours, "pinstripe")
    centres = unit_centres(len(strands))
    found = colour_points(colours, "pinstripe")
    assert is_one_bundle(centres[found["pin"]], centres)
    gaps = np.hypot(*(centres[:, None] - centres).transpose(2, 0, 1))
    touching = gaps[gaps > 0.0].min()
    for other in ("a", "b"):
        assert gaps[np.ix_(found["pin"], found[other])].min() < 1.25 * touching
    seen = {strands[i].colour_name for i in surface_owners(strands).tolist()}
    assert seen == {"a", "b", "pin"}


def test_one_strand_left_alone_is_no_bundle() -> None:
    """The check of a bundle can fail: two strands on opposite sides do not hang together."""
    centres = unit_centres(19)
    far = [int(np.argmax(centres[:, 0])), int(np.argmin(centres[:, 0]))]
    assert not is_one_bundle(centres[far], centres)
    assert is_one_bundle(centres, centres)


def test_one_colour_takes_every_place() -> None:
    """A line of one colour needs no cut."""
    strands = lay_colours((("plain", "#C9BFA8", 18),), "free")
    assert len({(s.x, s.y) for s in strands}) == 18
    assert all(math.hypot(s.x, s.y) < 1.0 for s in strands)


def test_a_serving_is_lettered_with_the_places_that_were_asked_for(plan: Plan) -> None:
    """A mark laid to the step of the tape does not make the strip read another place."""
    served = [span for span in strip_picture(plan).spans if span.served is not None]
    told = [tuple(round(x / 0.0254, 3) for x in span.told) for span in served]
    assert [(0.0, 17.0), (20.5, 22.25), (26.75, 30.5), (40.25, 57.25)] == told
    assert any(
        serving.start.value != span.told[0]
        for serving, span in zip(plan.servings, served, strict=True)
    )


def test_a_crossbow_string_shows_its_middle_and_the_rails_edges() -> None:
    """Half a rail either side of half the string, in that order along it."""
    quarry = plan_line(example("QUARRY-1"))
    left, middle, right = [m for m in strip_picture(quarry).marks if m.kind == "rail"]
    assert [m.label for m in (left, middle, right)] == ["rail", "middle", "rail"]
    rail = quarry.job.bow.rail
    assert rail is not None
    assert right.position - left.position == pytest.approx(rail.si, rel=0.02)
    assert middle.position == pytest.approx(0.5 * quarry.target.length.value, abs=1.5e-3)


def test_other_lines_show_no_rail(plan: Plan) -> None:
    """Only a string on a rail has one."""
    assert all(mark.kind != "rail" for mark in strip_picture(plan).marks)
