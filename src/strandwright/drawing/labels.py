"""Labels along a lane: rows and leader lines so that no text lies on another.

Each label hangs from a *foot*, the point where its vertical leader starts::

    body   ======v====v=v==========      anchors
                 |    | |                feet (moved apart to `foot_gap`)
    row 0        |    | peep             a label covers its own foot,
    row 1        |    nock               and no foot of a label that lies deeper
    row 2      tail end

Widths are in pixels; rows count away from the body.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from strandwright.errors import GeometryError


@dataclass(frozen=True)
class Placed:
    """Where a label lies.

    Attributes
    ----------
    left : float
        Left edge of its text [px].
    width : float
        Width of its text [px].
    row : int
        Row away from the body, 0 the nearest [-].
    anchor : float
        What it names [px].
    foot : float
        Where its leader runs, within its text [px].
    """

    left: float
    width: float
    row: int
    anchor: float
    foot: float

    @property
    def middle(self) -> float:
        """Middle of the text [px]."""
        return self.left + self.width / 2.0

    @property
    def right(self) -> float:
        """Right edge of the text [px]."""
        return self.left + self.width


def spread_feet(anchors: Sequence[float], left: float, right: float, gap: float) -> list[float]:
    """Move points apart to a least gap, each as little as may be.

    Parameters
    ----------
    anchors : sequence of float, shape "(n,)"
        Where the points want to be, in any order [px].
    left, right : float
        Bounds of the lane [px].
    gap : float
        Least distance between neighbours; less only where the lane is too short [px].

    Returns
    -------
    list of float
        Where they are, in the order given [px].

    Notes
    -----
    Least squares by pooling adjacent violators on ``anchor - i gap``; the bounds are kept by
    clipping, which leaves the order as it is.
    """
    count = len(anchors)
    if count == 0:
        return []
    gap = min(gap, (right - left) / count)
    order = sorted(range(count), key=lambda index: anchors[index])
    pools: list[list[float]] = []  # sum, count
    for rank, index in enumerate(order):
        pools.append([anchors[index] - rank * gap, 1.0])
        while len(pools) > 1 and pools[-2][0] / pools[-2][1] > pools[-1][0] / pools[-1][1]:
            total, members = pools.pop()
            pools[-1][0] += total
            pools[-1][1] += members
    levels = [total / members for total, members in pools for _ in range(int(members))]
    feet = [0.0] * count
    for rank, index in enumerate(order):
        level = min(max(levels[rank], left), right - (count - 1) * gap)
        feet[index] = level + rank * gap
    return feet


def place_labels(
    anchors: Sequence[float],
    widths: Sequence[float],
    left: float,
    right: float,
    *,
    gap: float = 10.0,
    foot_gap: float = 10.0,
    inset: float = 4.0,
) -> list[Placed]:
    """Give every label a row and a left edge so that texts and leaders never meet.

    Parameters
    ----------
    anchors : sequence of float, shape "(n,)"
        What each label names, in any order [px].
    widths : sequence of float, shape "(n,)"
        Their text widths, each at most ``right - left`` [px].
    left, right : float
        Bounds of the lane [px].
    gap : float
        Least distance between two texts in a row [px].
    foot_gap : float
        Least distance between two leaders, more than ``inset`` [px].
    inset : float
        How far within its text a leader ends, where the text begins at it [px].

    Returns
    -------
    list of Placed
        In the order given.

    Raises
    ------
    GeometryError
        If a text is wider than the lane.

    Notes
    -----
    Greedy, in up to four orders, keeping the one with the fewest crossings.  Texts never
    overlap.  A label never covers the foot of one not yet placed, so that from right to left,
    with texts that run to the right, a new deepest row is always free, and no leader passes
    behind a text if each has room to run to one and the same side.  Elsewhere, with long texts
    or many feet between both sides of the lane, a leader may have no other way.
    """
    for width in widths:
        if width > right - left + 1e-9:
            raise GeometryError(
                "label", f"{width:.0f} px", "a label must fit its lane", "shorten it or widen"
            )
    feet = spread_feet(anchors, left, right, foot_gap)
    best: _Lane | None = None
    for order in _orders(feet, widths, right, inset):
        lane = _Lane(feet, left, right, gap, inset)
        for index in order:
            lane.place(index, widths[index])
        if best is None or lane.crossings < best.crossings:
            best = lane
        if lane.crossings == 0:
            break
    spots = best.spots if best is not None else {}
    return [
        Placed(spots[i][1], widths[i], spots[i][0], anchors[i], feet[i]) for i in range(len(feet))
    ]


def _orders(
    feet: Sequence[float], widths: Sequence[float], right: float, inset: float
) -> Iterator[list[int]]:
    """Give orders of placing to try, the likeliest first."""
    order = sorted(range(len(feet)), key=lambda index: feet[index])
    yield order[::-1]
    onward = [i for i in order if feet[i] - inset + widths[i] <= right]
    back = [i for i in order if feet[i] - inset + widths[i] > right]
    yield [*reversed(onward), *back]
    yield [*back, *reversed(onward)]
    yield order


@dataclass
class _Lane:
    """A lane being filled."""

    feet: list[float]
    left: float
    right: float
    gap: float
    inset: float

    def __post_init__(self) -> None:
        self.boxes: list[tuple[int, float, float]] = []
        self.spots: dict[int, tuple[int, float]] = {}
        self.crossings = 0

    def place(self, index: int, width: float) -> None:
        """Put one label in the nearest free spot."""
        foot = self.feet[index]
        wanted = (foot - width / 2.0, foot - self.inset, foot + self.inset - width)
        starts = [min(max(start, self.left), self.right - width) for start in wanted]
        deepest = max((row for row, _, _ in self.boxes), default=-1) + 1
        for row in range(deepest + 1):
            for start in starts:
                if self._is_free(index, row, start, start + width):
                    self._put(index, row, start, width)
                    return
        self.crossings += 1
        self._put(index, deepest, starts[0], width)

    def _put(self, index: int, row: int, start: float, width: float) -> None:
        """Note a label's spot."""
        self.spots[index] = (row, start)
        self.boxes.append((row, start, start + width))

    def _is_free(self, index: int, row: int, start: float, stop: float) -> bool:
        """Tell whether a text there meets no text, no leader, and covers no waiting foot."""
        foot = self.feet[index]
        for other_row, other_start, other_stop in self.boxes:
            if other_row == row:
                if start < other_stop + self.gap and other_start < stop + self.gap:
                    return False
            elif other_row < row and other_start - 2.0 < foot < other_stop + 2.0:
                return False
        for other, other_foot in enumerate(self.feet):
            if other != index and start - 2.0 < other_foot < stop + 2.0:
                spot = self.spots.get(other)
                if spot is None or spot[0] > row:
                    return False
        return True
