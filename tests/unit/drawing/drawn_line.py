"""An invented line for the tests of the drawings; run as a script, it writes them to look at."""

from __future__ import annotations

import math
import sys
from collections.abc import Sequence
from pathlib import Path

from strandwright.drawing.picture import (
    ContactPicture,
    EyePicture,
    FlagPicture,
    MarkPicture,
    ServingPicture,
    SpanPicture,
    StrandPicture,
    StripPicture,
)

INCH = 0.0254
SPRUCE, STRAW, CHARCOAL, BRICK = "#2F6B57", "#E3D3A5", "#3A3A3A", "#8C2F22"


def packed(count: int, colours: tuple[str, ...] = (SPRUCE, STRAW)) -> tuple[StrandPicture, ...]:
    """Pack strands on a triangular lattice, the first colour on one side of the bundle."""
    lattice = [
        (i + 0.5 * (j % 2) + 0.23, j * math.sqrt(0.75) + 0.11)
        for i in range(-8, 9)
        for j in range(-8, 9)
    ]
    near = sorted(lattice, key=lambda centre: math.hypot(*centre))[:count]
    ranked = sorted(near, key=lambda centre: centre[0] + 0.3 * centre[1])
    names = {SPRUCE: "spruce", STRAW: "straw"}
    return tuple(
        StrandPicture(x, y, colour, names.get(colour, "other"))
        for k, (x, y) in enumerate(ranked)
        for colour in [colours[k * len(colours) // count]]
    )


def serving(name: str, colour: str, hand: str = "Z", label: str = "") -> ServingPicture:
    """Serve with an 0.018 in thread, flattened to 0.022 in along the line."""
    return ServingPicture(name, colour, 0.018 * INCH, 0.022 * INCH, hand, name, label)


def spans_of(
    cuts: Sequence[tuple[float, float, ServingPicture | None]], turns: float
) -> tuple[SpanPicture, ...]:
    """Lay spans with one even twist from the first cut to the last."""
    first, last = cuts[0][0], cuts[-1][1]
    return tuple(
        SpanPicture(
            start * INCH,
            stop * INCH,
            (0.118 if served else 0.088) * INCH,
            turns * (start - first) / (last - first),
            turns * (stop - first) / (last - first),
            served,
        )
        for start, stop, served in cuts
    )


def sample_strip(hand: str = "Z", units: str = "in", fraction: int = 16) -> StripPicture:
    """Give a string of seven spans with marks, contacts and one flag."""
    cuts = [
        (1.125, 17.0, serving("lower end", CHARCOAL)),
        (17.0, 20.5, None),
        (20.5, 22.25, serving("stop", CHARCOAL)),
        (22.25, 26.75, None),
        (26.75, 30.5, serving("centre", BRICK, label="0.122 ± 0.008 in")),
        (30.5, 40.25, None),
        (40.25, 56.125, serving("upper end", CHARCOAL)),
    ]
    eye = EyePicture(1.125 * INCH, 0.25 * INCH, 0.1 * INCH, CHARCOAL)
    return StripPicture(
        title="String, two-cam, spruce and straw",
        subtitle=(
            "finished 57 1\u20444 in at 100 lbf over 1\u20444 in pins · 24 strands · 29 turns, Z"
            " · chance to land within 1\u204416 in: 0.91"
        ),
        length=57.25 * INCH,
        zero_end_label="lower",
        far_end_label="upper",
        spans=spans_of(cuts, 29.0),
        strands=packed(24),
        hand=hand,
        zero_eye=eye,
        far_eye=eye,
        marks=(MarkPicture(28.6 * INCH, "nock", "nock"), MarkPicture(33.4 * INCH, "peep", "peep")),
        contacts=(
            ContactPicture(0.0, 13.1 * INCH, "lower cam"),
            ContactPicture(20.9 * INCH, 21.8 * INCH, "stop"),
            ContactPicture(43.9 * INCH, 57.25 * INCH, "upper cam"),
        ),
        readings=(
            FlagPicture(
                57.25 * INCH,
                "read 57 5\u204416 at 96 ± 4 lbf",
                "two turns more: 57 1\u20444 ± 1\u204432",
                is_next=True,
            ),
        ),
        units=units,
        fraction=fraction,
    )


def crowded_strip() -> StripPicture:
    """Give a line whose marks, servings, contacts and flags crowd each other."""
    cuts: list[tuple[float, float, ServingPicture | None]] = []
    at = 1.0
    for k in range(9):
        cuts.append((at, at + 1.2, serving(f"serving number {k}", BRICK, "SZ"[k % 2])))
        cuts.append((at + 1.2, at + 1.6, None))
        at += 1.6
    cuts.append((at, 38.0, None))
    return StripPicture(
        title="Cable",
        subtitle="crowded on purpose",
        length=39.0 * INCH,
        zero_end_label="bottom wheel, anchor peg",
        far_end_label="top wheel, the long way round",
        spans=spans_of(cuts, 20.0),
        strands=packed(19, (SPRUCE, STRAW, SPRUCE, STRAW)),
        hand="S",
        marks=tuple(MarkPicture((1.5 + 0.31 * k**1.3) * INCH, f"mark {k}") for k in range(14))
        + tuple(MarkPicture((38.9 - 0.1 * k) * INCH, f"late mark {k}") for k in range(5)),
        contacts=(
            ContactPicture(0.0, 9.0 * INCH, "track"),
            ContactPicture(8.0 * INCH, 9.2 * INCH, "module"),
            ContactPicture(8.5 * INCH, 12.0 * INCH, "guard rod"),
        ),
        readings=tuple(
            FlagPicture((30.0 + 2.0 * k) * INCH, f"read 39 1\u20448 at {80 + k} lbf", "later")
            for k in range(4)
        ),
    )


if __name__ == "__main__":
    import strandwright.drawing as drawing

    out = Path(sys.argv[1])
    for theme in ("light", "dark", "print"):
        for width in (1600, 720, 390):
            for name, strip in (("strip", sample_strip()), ("crowd", crowded_strip())):
                text = drawing.strip_svg(strip, width=width, theme=theme)
                (out / f"{name}-{theme}-{width}.svg").write_text(text, encoding="utf-8")
        for hand in ("Z", "S"):
            strip = sample_strip(hand)
            text = drawing.twisted_svg(strip, 24.5 * INCH, 28.5 * INCH, theme=theme)
            (out / f"close-{hand}-{theme}.svg").write_text(text, encoding="utf-8")
        strands = sample_strip().strands
        text = drawing.cross_section_svg(strands, 0.088 * INCH, 0.118 * INCH, theme=theme)
        (out / f"section-{theme}.svg").write_text(text, encoding="utf-8")
        text = drawing.colour_bar_svg(packed(24, (SPRUCE, STRAW, SPRUCE)), theme=theme)
        (out / f"colours-{theme}.svg").write_text(text, encoding="utf-8")
