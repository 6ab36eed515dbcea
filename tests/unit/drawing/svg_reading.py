"""Reading drawings back: numbers, texts with their boxes, ids."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import dataclass

from strandwright.drawing.lettering import text_width

SVG = "{http://www.w3.org/2000/svg}"


@dataclass(frozen=True)
class TextBox:
    """A text and the rectangle it fills."""

    text: str
    left: float
    top: float
    right: float
    bottom: float

    def meets(self, other: TextBox) -> bool:
        """Tell whether two rectangles overlap."""
        across = self.left < other.right and other.left < self.right
        return across and self.top < other.bottom and other.top < self.bottom


def parsed(svg: str) -> ET.Element:
    """Parse a drawing; fails if it is not well-formed."""
    return ET.fromstring(svg)


def text_boxes(svg: str) -> list[TextBox]:
    """Give every line of text with its box, by the drawing's own measure."""
    boxes: list[TextBox] = []
    for element in parsed(svg).iter(SVG + "text"):
        text = "".join(element.itertext())
        size = float(element.get("font-size", "14"))
        wide = text_width(text, size, strong=element.get("font-weight") == "600") / 1.03
        shift = {"start": 0.0, "middle": 0.5, "end": 1.0}[element.get("text-anchor", "start")]
        left = float(element.attrib["x"]) - shift * wide
        y = float(element.attrib["y"])
        boxes.append(TextBox(text, left, y - 0.76 * size, left + wide, y + 0.24 * size))
    return boxes


def size_of(svg: str) -> tuple[float, float]:
    """Give a drawing's width and height."""
    root = parsed(svg)
    return float(root.attrib["width"]), float(root.attrib["height"])


def assert_sound(svg: str, prefix: str) -> None:
    """Hold a drawing to what every drawing promises."""
    root = parsed(svg)
    ids = [element.attrib["id"] for element in root.iter() if "id" in element.attrib]
    assert len(ids) == len(set(ids))
    assert all(name.startswith(prefix + "-") for name in ids)
    assert set(re.findall(r"url\(#([^)]*)\)", svg)) <= set(ids)
    assert set(root.attrib["aria-labelledby"].split()) <= set(ids)
    tags = {element.tag.removeprefix(SVG) for element in root.iter()}
    assert not tags & {"style", "filter", "mask", "foreignObject", "script", "image"}
    numbers = " ".join(
        value
        for element in root.iter()
        for name, value in element.attrib.items()
        if name in {"x", "y", "d", "width", "height", "r", "cx", "cy", "stroke-width"}
    )
    assert not re.search("nan|inf|e[+-]", numbers)
    width, height = size_of(svg)
    boxes = text_boxes(svg)
    for box in boxes:
        assert 0.0 <= box.left <= box.right <= width, box
        assert 0.0 <= box.top <= box.bottom <= height, box
    meeting = [(a.text, b.text) for i, a in enumerate(boxes) for b in boxes[i + 1 :] if a.meets(b)]
    assert meeting == []
