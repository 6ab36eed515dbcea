"""Sharing out: which strands of which colours make each bundle."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import permutations

from strandwright.planning.result.laid import Share

#: A line whose colours are not told is drawn and named with this
PLAIN = ("all", "#8A8172")


def bundle_sizes(strands: int, bundles: int) -> tuple[int, ...]:
    """Share strands out to bundles as evenly as whole numbers go, the smaller ones first.

    Parameters
    ----------
    strands : int
        In all, at least one a bundle [-]
    bundles : int
        How many bundles [-]

    Returns
    -------
    tuple of int
        Strands of each: 15 in two are 7 and 8 [-]
    """
    each, over = divmod(strands, bundles)
    return (each,) * (bundles - over) + (each + 1,) * over


def share_out(colours: Sequence[tuple[str, str, int]], bundles: int) -> tuple[Share, ...]:
    """Share coloured strands out to bundles, so that colours stay together.

    Parameters
    ----------
    colours : sequence of (str, str, int)
        Name, ``#rrggbb`` and strands of each colour, in their order [-]
    bundles : int
        How many bundles [-]

    Returns
    -------
    tuple of Share
        Colour by colour, bundle by bundle; of the ways to order uneven bundles the one that
        splits the fewest colours.
    """
    sizes = bundle_sizes(sum(count for _, _, count in colours), bundles)
    ways = sorted(set(permutations(sizes)))
    return min((_filled(colours, way) for way in ways), key=len)


def _filled(colours: Sequence[tuple[str, str, int]], sizes: Sequence[int]) -> tuple[Share, ...]:
    """Fill bundles of these sizes one after the other."""
    waiting = [[name, colour, count] for name, colour, count in colours]
    shares: list[Share] = []
    for number, size in enumerate(sizes, start=1):
        room, taken = size, list[tuple[str, str, int]]()
        while room:
            name, colour, count = waiting[0]
            strands = min(room, int(count))
            taken.append((str(name), str(colour), strands))
            room -= strands
            waiting[0][2] = int(count) - strands
            if not waiting[0][2]:
                waiting.pop(0)
        shares += [Share(number, *one, alone=len(taken) == 1) for one in taken]
    return tuple(shares)
