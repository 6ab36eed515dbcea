"""Drawings: pure functions from frozen pictures in SI to SVG text."""

from strandwright.drawing.picture import (
    ContactPicture,
    EyePicture,
    FlagPicture,
    ForkPicture,
    MarkPicture,
    ServingPicture,
    SpanPicture,
    StrandPicture,
    StripPicture,
    ThreadPicture,
)
from strandwright.drawing.section import colour_bar_svg, cross_section_svg
from strandwright.drawing.strip import (
    StripDrawing,
    contacts_strip,
    draw_strip,
    notebook_svg,
    strip_svg,
)
from strandwright.drawing.tokens import THEMES, Palette, palette_of
from strandwright.drawing.turning import turned_end_for_end
from strandwright.drawing.twisted import twisted_svg

__all__ = [
    "THEMES",
    "ContactPicture",
    "EyePicture",
    "FlagPicture",
    "ForkPicture",
    "MarkPicture",
    "Palette",
    "ServingPicture",
    "SpanPicture",
    "StrandPicture",
    "StripDrawing",
    "StripPicture",
    "ThreadPicture",
    "colour_bar_svg",
    "contacts_strip",
    "cross_section_svg",
    "draw_strip",
    "notebook_svg",
    "palette_of",
    "strip_svg",
    "turned_end_for_end",
    "twisted_svg",
]
