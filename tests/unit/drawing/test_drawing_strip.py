"""The strip: sound SVG, true to length, nothing on top of anything."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from drawn_line import (
    BRICK,
    CHARCOAL,
    INCH,
    SPRUCE,
    STRAW,
    crowded_strip,
    packed,
    sample_strip,
    spans_of,
)
from svg_reading import SVG, assert_sound, parsed, text_boxes

from strandwright.drawing import notebook_svg, strip_svg
from strandwright.drawing.picture import FlagPicture, MarkPicture, StripPicture
from strandwright.drawing.tokens import THEMES
from strandwright.errors import GeometryError, SpecError

WIDTHS = (390.0, 720.0, 1100.0, 1600.0)


@pytest.mark.parametrize("theme", sorted(THEMES))
@pytest.mark.parametrize("width", WIDTHS)
@pytest.mark.parametrize("picture", [sample_strip(), crowded_strip()], ids=["calm", "crowded"])
def test_every_strip_is_sound(picture: StripPicture, width: float, theme: str) -> None:
    """It parses, ids are its own, no number is lost, and no text lies on another."""
    assert_sound(strip_svg(picture, width=width, theme=theme, prefix="row7"), "row7")


def test_metric_strip_is_sound() -> None:
    """Millimetres, at every width."""
    for width in WIDTHS:
        svg = strip_svg(sample_strip(units="mm", fraction=2), width=width)
        assert_sound(svg, "strip")
        assert "1454.0 mm" in {box.text for box in text_boxes(svg)}


def test_bare_minimum_is_sound() -> None:
    """A line of which only the length is known can be drawn."""
    picture = StripPicture("", "", 1.2, "a", "b", (), packed(1))
    assert_sound(strip_svg(picture), "strip")


@pytest.mark.parametrize("turns", [0.0, 1e-4, 0.3, 60.0, 2000.0])
def test_any_twist_can_be_drawn(turns: float) -> None:
    """From none to more than a screen can resolve."""
    cuts = [(1.0, 30.0, None), (30.0, 56.0, None)]
    svg = strip_svg(replace(sample_strip(), spans=spans_of(cuts, turns)), width=390.0)
    assert_sound(svg, "strip")
    assert len(svg) < 60_000


def test_same_picture_gives_the_same_text() -> None:
    """Nothing depends on the hour or the run."""
    assert strip_svg(sample_strip()) == strip_svg(sample_strip())


def test_servings_lie_true_to_the_tape() -> None:
    """Where a body is drawn is where the tape reads it."""
    picture = sample_strip()
    root = parsed(strip_svg(picture))
    ticks = next(p for p in root.iter(SVG + "path") if p.get("stroke-width") == "1.2")
    places = [float(x) for x in re.findall(r"M([\d.]+) ", ticks.attrib["d"])]
    scale = (max(places) - min(places)) / picture.length
    bodies = [g for g in root.iter(SVG + "g") if g.get("data-span") and g.get("data-kind")]
    served = [span for span in picture.spans if span.served]
    assert len(bodies) == len(served)
    for body, span in zip(bodies, served, strict=True):
        rect = body.find(SVG + "rect")
        assert rect is not None
        assert float(rect.attrib["x"]) == pytest.approx(min(places) + span.start * scale, abs=0.02)
        wide = (span.stop - span.start) * scale
        assert float(rect.attrib["width"]) == pytest.approx(wide, abs=0.02)


@pytest.mark.parametrize(("hand", "sign"), [("Z", 1.0), ("S", -1.0)])
def test_bands_fall_to_the_right_for_z(hand: str, sign: float) -> None:
    """Bands and wraps are drawn with their hand: downwards, Z runs right and S runs left."""
    picture = sample_strip(hand)
    root = parsed(strip_svg(picture))
    bare = next(g for g in root.iter(SVG + "g") if g.get("data-span") == "1")
    band = next(p for p in bare.iter(SVG + "path") if p.get("fill") in (SPRUCE, STRAW))
    run = re.match(r"M[\d.]+ [\d.]+c\S+ 0 \S+ (\S+) (\S+) ", band.attrib["d"])
    assert run is not None
    assert float(run[1]) > 0.0
    assert float(run[2]) * sign > 0.0
    # Two halves of a turn: the pitch is what the twist says.
    span = picture.spans[1]
    rate = (span.turns_at_stop - span.turns_at_start) / (span.stop - span.start)
    left, right = (1600.0 - 2.0 * (64.0 + 8.0)), picture.length
    assert abs(float(run[2])) == pytest.approx(left / right / rate / 2.0, abs=0.01)


def test_users_colours_and_words_are_there() -> None:
    """Fibre and thread are drawn in their own colours, and named beside."""
    svg = strip_svg(sample_strip())
    assert all(colour in svg for colour in (SPRUCE, STRAW, CHARCOAL, BRICK))
    texts = {box.text for box in text_boxes(svg)}
    assert {"lower end", "centre", "0.122 ± 0.008 in", "nock", "upper cam"} <= texts
    assert "26 3\u20444 \u2013 30 1\u20442" in texts


def test_wax_is_kept_for_the_next_act() -> None:
    """One flag at most is drawn in wax, and nothing else ever is."""
    for palette_name, palette in THEMES.items():
        with_next = strip_svg(sample_strip(), theme=palette_name)
        without = strip_svg(replace(sample_strip(), readings=()), theme=palette_name)
        assert with_next.count(palette.wax) == 2  # its card and its leader
        assert palette.wax not in without
    flags = tuple(FlagPicture(0.1 * k, "read", is_next=True) for k in (1, 2))
    with pytest.raises(SpecError, match="one act is next"):
        replace(sample_strip(), readings=flags)


def test_exaggeration_is_said() -> None:
    """The small print gives the ratio that was drawn."""
    svg = strip_svg(sample_strip(), width=1600.0)
    scale = (1600.0 - 2.0 * 72.0) / (57.25 * INCH)
    times = round(30.0 / (0.118 * INCH) / scale)
    assert any(f"thickness drawn {times} times" in box.text for box in text_boxes(svg))


def test_hostile_words_stay_words() -> None:
    """Markup and control characters in names come out as text."""
    name = '</text><script>alert("x")</script>&amp;'
    picture = replace(
        sample_strip(), title=name, marks=(MarkPicture(0.5, "a\x00b\ud800<", kind='"><x'),)
    )
    svg = strip_svg(picture)
    assert_sound(svg, "strip")
    texts = {box.text for box in text_boxes(svg)}
    assert name in texts
    assert "a\ufffdb\ufffd<" in texts
    svg.encode("utf-8")


def test_long_words_are_cut_not_overlapped() -> None:
    """Names longer than the drawing end in an ellipsis."""
    long = "a serving with a name that goes on " * 8
    spans = tuple(
        replace(span, served=replace(span.served, name=long) if span.served else None)
        for span in sample_strip().spans
    )
    for width in WIDTHS:
        picture = replace(sample_strip(), spans=spans, title=long, far_end_label=long)
        assert_sound(strip_svg(picture, width=width), "strip")


def test_narrow_strip_has_fewer_numbers() -> None:
    """On a telephone the tape keeps only the numbers there is room for."""
    wide, narrow = (text_boxes(strip_svg(sample_strip(), width=w)) for w in (1600.0, 390.0))
    numbers = [sum(box.text.isdecimal() for box in boxes) for boxes in (wide, narrow)]
    assert numbers[0] > 2 * numbers[1] > 4


def test_notebook_pictures_share_no_id() -> None:
    """Two cells on a page do not borrow each other's gradients."""
    first, second = notebook_svg(sample_strip("Z")), notebook_svg(sample_strip("S"))
    ids = [set(re.findall(r'id="([^"]+)"', svg)) for svg in (first, second)]
    assert not ids[0] & ids[1]


def test_unusable_arguments_are_refused() -> None:
    """Width, theme and prefix say what they want."""
    with pytest.raises(GeometryError, match="300 px"):
        strip_svg(sample_strip(), width=120.0)
    with pytest.raises(SpecError, match="light, dark, sun and print"):
        strip_svg(sample_strip(), theme="sepia")
    with pytest.raises(SpecError, match="prefix"):
        strip_svg(sample_strip(), prefix='a"b')
