"""Colour layout: which packed centre each strand takes, so that a colour stays one bundle."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from strandwright.drawing.helix import surface_owners
from strandwright.drawing.picture import StrandPicture
from strandwright.geometry.packing import unit_centres

Array = NDArray[np.float64]
Colour = tuple[str, str, int]

#: Directions the bundle is cut in, to find the cut that keeps colours whole and seen.
_DIRECTIONS = 48
#: Strands this much further apart than touching ones still count as neighbours: packings have
#: gaps that a real bundle closes.
_NEAR = 1.25


@lru_cache(maxsize=64)
def lay_colours(colours: tuple[Colour, ...], pattern: str) -> tuple[StrandPicture, ...]:
    """Give every strand a place at the zero end.

    Parameters
    ----------
    colours : tuple of (str, str, int)
        Name, ``#rrggbb`` and strands of each colour, in the order they are laid.
    pattern : str
        ``halves``, ``thirds``, ``pinstripe`` or ``free``; a pinstripe lays its thinnest colours
        between the others.

    Returns
    -------
    tuple of StrandPicture
        One for each strand, colour by colour, each colour one bundle where the packing lets it.

    Notes
    -----
    The bundle is cut either into bands across it or into sectors round its axis, in each of
    48 directions. The first cut wins that leaves most colours whole and then shows its least
    seen colour best.
    """
    order = _striped(colours) if pattern == "pinstripe" else list(colours)
    counts = [strands for _, _, strands in order]
    centres = unit_centres(sum(counts))
    owners = _owners(centres)
    best, best_score = np.arange(len(centres)), (-1, -1.0)
    for ranking in _rankings(centres, len(order)):
        groups = np.split(ranking, np.cumsum(counts)[:-1])
        score = _score(groups, centres, owners)
        if score > best_score:
            best, best_score = ranking, score
    strands: list[StrandPicture] = []
    places = iter(best.tolist())
    for name, colour, number in order:
        for _ in range(number):
            x, y = centres[next(places)].tolist()
            strands.append(StrandPicture(x, y, colour, name))
    return tuple(strands)


def _striped(colours: tuple[Colour, ...]) -> list[Colour]:
    """Lay the thinner half of the colours between the thicker."""
    mains = math.ceil((len(colours) + 1) / 2) if len(colours) > 2 else len(colours)
    thick = sorted(range(len(colours)), key=lambda i: (-colours[i][2], i))[:mains]
    main = [c for i, c in enumerate(colours) if i in thick]
    pins = [c for i, c in enumerate(colours) if i not in thick]
    order: list[Colour] = []
    for colour in main:
        order.append(colour)
        if pins:
            order.append(pins.pop(0))
    return order + pins


def _rankings(centres: Array, colours: int) -> Iterator[NDArray[np.intp]]:
    """Order the centres across the bundle and round it, in every direction."""
    x, y = centres.T
    radius = np.hypot(x, y)
    around = np.arctan2(y, x)
    for turn in np.arange(_DIRECTIONS) * (2.0 * np.pi / _DIRECTIONS) + 1e-3:
        if colours <= 3:
            across = np.round(x * np.cos(turn) + y * np.sin(turn), 9)
            yield np.lexsort((np.round(x * np.sin(turn) - y * np.cos(turn), 9), across))
        if colours >= 2:
            yield np.lexsort((radius, np.round((around - turn) % (2.0 * np.pi), 9)))


def _owners(centres: Array) -> NDArray[np.intp]:
    """Find the strand on the surface in each direction."""
    return surface_owners([StrandPicture(x, y, "#000000") for x, y in centres.tolist()])


def _score(
    groups: list[NDArray[np.intp]], centres: Array, owners: NDArray[np.intp]
) -> tuple[int, float]:
    """Count colours that lie in one bundle, and the least share of surface for its strands."""
    whole = sum(is_one_bundle(centres[group], centres) for group in groups)
    seen = [
        float(np.isin(owners, group).mean()) / (len(group) / len(centres)) for group in groups
    ]
    return whole, round(min(seen), 6)


def is_one_bundle(points: Array, centres: Array) -> bool:
    """Tell whether strands hang together, each beside another of them.

    Parameters
    ----------
    points : ndarray, shape (m, 2)
        Centres of the strands, m >= 1, in any unit [-]
    centres : ndarray, shape (n, 2)
        Centres of the whole bundle they lie in, in the same unit [-]

    Returns
    -------
    bool
        True if every strand can be reached from the first, neighbour by neighbour.
    """
    if len(centres) < 2:
        return True
    gaps = np.hypot(*(centres[:, None] - centres).transpose(2, 0, 1))
    touching = float(gaps[~np.eye(len(centres), dtype=bool)].min())
    near = np.hypot(*(points[:, None] - points).transpose(2, 0, 1)) < _NEAR * touching
    reached = near[0]
    while True:
        further = near[reached].any(axis=0)
        if (further == reached).all():
            return bool(reached.all())
        reached = further
