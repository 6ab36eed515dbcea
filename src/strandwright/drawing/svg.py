"""SVG text: numbers, escaped lettering and the document round a picture."""

from __future__ import annotations

import re
from typing import Final

from strandwright.drawing.tokens import FONT_FAMILY, TEXT_SIZE, Palette
from strandwright.errors import SpecError

_COLOUR: Final = re.compile(r"#[0-9A-Fa-f]{6}")
_PREFIX: Final = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
_NOT_XML: Final = re.compile("[^\t\n\r\x20-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_ESCAPES: Final = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;"})
_SPREAD: Final = re.compile(r"±\s*[0-9][^ ,;·]*")


def colour_or_fail(colour: str, field: str) -> str:
    """Give a colour back if it is one.

    Parameters
    ----------
    colour : str
        As entered.
    field : str
        Where it was entered.

    Returns
    -------
    str
        The colour, ``#rrggbb``.

    Raises
    ------
    SpecError
        If it is not ``#`` and six hexadecimal digits.
    """
    if not _COLOUR.fullmatch(colour):
        raise SpecError(
            field, colour, "a colour is # and six hexadecimal digits", "write it like #2F6B57"
        )
    return colour


def prefix_or_fail(prefix: str) -> str:
    """Give an id prefix back if ids can start with it.

    Parameters
    ----------
    prefix : str
        Put before every id, so that several pictures can share a page.

    Returns
    -------
    str
        The prefix.

    Raises
    ------
    SpecError
        If it is not a letter followed by letters, digits, ``_`` or ``-``.
    """
    if not _PREFIX.fullmatch(prefix):
        raise SpecError(
            "prefix",
            prefix,
            "a prefix is a letter, then letters, digits, _ or -",
            "choose another, e.g. strip2",
        )
    return prefix


def is_dark(colour: str) -> bool:
    """Tell whether light lines show better than dark ones on a colour.

    Parameters
    ----------
    colour : str
        ``#rrggbb``.

    Returns
    -------
    bool
        True below a weighted brightness of 0.3.
    """
    return _brightness(colour) < 0.3


def is_black(colour: str) -> bool:
    """Tell whether even a dark line between two strands would be lost on a colour.

    Parameters
    ----------
    colour : str
        ``#rrggbb``.

    Returns
    -------
    bool
        True below a weighted brightness of 0.15.
    """
    return _brightness(colour) < 0.15


def _brightness(colour: str) -> float:
    """Weigh red, green and blue as the eye does, 0 to 1."""
    red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
    return (0.299 * red + 0.587 * green + 0.114 * blue) / 255.0


def blend(first: str, second: str, share: float) -> str:
    """Mix two colours.

    Parameters
    ----------
    first, second : str
        ``#rrggbb``.
    share : float
        Share of the second, 0 to 1 [-].

    Returns
    -------
    str
        ``#RRGGBB``.
    """
    pairs = [(int(first[i : i + 2], 16), int(second[i : i + 2], 16)) for i in (1, 3, 5)]
    return "#" + "".join(f"{round(a + (b - a) * share):02X}" for a, b in pairs)


def escaped(text: str) -> str:
    """Make a text safe inside SVG, as content or as an attribute.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
        With markup escaped and what XML cannot carry replaced by U+FFFD.
    """
    return _NOT_XML.sub("\ufffd", text).translate(_ESCAPES)


def lettering(
    x: float,
    y: float,
    text: str,
    *,
    fill: str | None = None,
    anchor: str = "start",
    size: float = TEXT_SIZE,
    strong: bool = False,
    soft: str | None = None,
) -> str:
    """Write one line of text.

    Parameters
    ----------
    x, y : float
        Where its baseline starts, is centred or ends, after ``anchor`` [px].
    text : str
        The text, not yet escaped.
    fill : str or None
        Colour; None for the picture's ink.
    anchor : str
        ``start``, ``middle`` or ``end``.
    size : float
        Letter size [px].
    strong : bool
        True for the heavier weight.
    soft : str or None
        Colour for each "± value" in the text; None leaves it as the rest.

    Returns
    -------
    str
        A ``text`` element.
    """
    content = escaped(text)
    if soft is not None and "±" in content:
        content = _SPREAD.sub(lambda m: f'<tspan fill="{soft}">{m[0]}</tspan>', content)
    attributes = f'x="{x:.1f}" y="{y:.1f}"'
    if size != TEXT_SIZE:
        attributes += f' font-size="{size:g}"'
    if strong:
        attributes += ' font-weight="600"'
    if anchor != "start":
        attributes += f' text-anchor="{anchor}"'
    if fill is not None:
        attributes += f' fill="{fill}"'
    return f"<text {attributes}>{content}</text>"


def shade_definition(prefix: str) -> str:
    """Give the gradient that makes a flat band look round.

    Parameters
    ----------
    prefix : str
        Id prefix; the gradient is ``<prefix>-shade``.

    Returns
    -------
    str
        A ``linearGradient`` element.
    """
    stops = ((0, "#000", 0.38), (0.28, "#fff", 0.2), (0.6, "#000", 0), (1, "#000", 0.42))
    inner = "".join(
        f'<stop offset="{at}" stop-color="{colour}" stop-opacity="{opacity}"/>'
        for at, colour, opacity in stops
    )
    head = f'<linearGradient id="{prefix}-shade" x1="0" x2="0" y1="0" y2="1">'
    return f"{head}{inner}</linearGradient>"


def document(
    width: float,
    height: float,
    parts: list[str],
    *,
    palette: Palette,
    prefix: str,
    name: str,
    description: str = "",
) -> str:
    """Close a picture into a whole SVG document.

    Parameters
    ----------
    width, height : float
        Size, > 0 [px].
    parts : list of str
        Elements in painting order.
    palette : Palette
        The theme.
    prefix : str
        Id prefix.
    name : str
        What the picture shows, for those who cannot see it.
    description : str
        The same at more length; may be empty.

    Returns
    -------
    str
        An ``svg`` element, ready to be written inside HTML or to a file.
    """
    size = f"{width:.0f}"
    tall = f"{height:.0f}"
    labelled = f"{prefix}-name {prefix}-about" if description else f"{prefix}-name"
    about = f'<desc id="{prefix}-about">{escaped(description)}</desc>' if description else ""
    ground = (
        f'<rect width="{size}" height="{tall}" fill="{palette.ground}"/>' if palette.ground else ""
    )
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {size} {tall}" width="{size}"'
        f' height="{tall}" role="img" aria-labelledby="{labelled}" font-family="{FONT_FAMILY}"'
        f' font-size="{TEXT_SIZE:g}" font-variant="tabular-nums" fill="{palette.ink}">'
        f'<title id="{prefix}-name">{escaped(name)}</title>{about}'
    )
    return "\n".join([head + ground, *parts, "</svg>"])
