"""The look's tokens: raw colours by theme, their meanings, and the sizes of lettering."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from strandwright.errors import SpecError

FONT_FAMILY: Final = "Inter, sans-serif"

TEXT_SIZE: Final = 14.0
"""Lettering of labels and numbers [px]."""

TITLE_SIZE: Final = 20.0
"""Lettering of a picture's title [px]."""


@dataclass(frozen=True)
class Palette:
    """What each colour of a theme means.

    Attributes
    ----------
    ground : str or None
        Ground to lay under a picture, ``#rrggbb``; None leaves the paper bare.
    paper : str
        Colour text may assume behind it, ``#rrggbb``.
    card : str
        Surface of what can be taken hold of, ``#rrggbb``.
    ink : str
        Text and numbers, ``#rrggbb``.
    soft : str
        Text that may wait, ``#rrggbb``.
    hair : str
        Rules and tape edges, ``#rrggbb``.
    edge : str
        Outline that keeps a body visible on its ground, ``#rrggbb``.
    wax : str
        The one next act, as a line or as text, ``#rrggbb``.
    touch : str
        What the bow touches, ``#rrggbb``.
    band : float
        How strongly a range is laid under its curve, 0 to 1 [-].
    """

    ground: str | None
    paper: str
    card: str
    ink: str
    soft: str
    hair: str
    edge: str
    wax: str
    touch: str
    band: float = 0.22


THEMES: Final = {
    "light": Palette(
        ground="#FBF7EF",
        paper="#FBF7EF",
        card="#FFFFFF",
        ink="#22201C",
        soft="#6B6456",
        hair="#DDD3C0",
        edge="#22201C",
        wax="#9A6200",
        touch="#3F5F7A",
    ),
    "dark": Palette(
        ground="#171512",
        paper="#171512",
        card="#211E1A",
        ink="#F3EDE0",
        soft="#B5AB98",
        hair="#3B362E",
        edge="#B5AB98",
        wax="#F2B632",
        touch="#9DBDD8",
    ),
    # Read in the open, where only black on white and broad steps of light are left.
    "sun": Palette(
        ground="#FFFFFF",
        paper="#FFFFFF",
        card="#FFFFFF",
        ink="#000000",
        soft="#2E2B26",
        hair="#6B6456",
        edge="#000000",
        wax="#6B4400",
        touch="#16364F",
        band=0.45,
    ),
    "print": Palette(
        ground=None,
        paper="#FFFFFF",
        card="#FFFFFF",
        ink="#000000",
        soft="#4A463E",
        hair="#A39C8E",
        edge="#000000",
        wax="#9A6200",
        touch="#3F5F7A",
    ),
}


def palette_of(theme: str) -> Palette:
    """Give the palette of a theme.

    Parameters
    ----------
    theme : str
        ``light``, ``dark``, ``sun`` or ``print``.

    Returns
    -------
    Palette
        The theme's colours.

    Raises
    ------
    SpecError
        If there is no such theme.
    """
    try:
        return THEMES[theme]
    except KeyError:
        raise SpecError(
            "theme", theme, "the themes are light, dark, sun and print", "choose one of these"
        ) from None
