"""The body of a line cut into served and bare segments, throat to throat."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import SpecError
from strandwright.fibre.strand_law import FloatArray
from strandwright.geometry.eye import fit_eye
from strandwright.line.parts import Line, Loop, in_both_units

IntArray = NDArray[np.int_]


@lru_cache(maxsize=256)
def throat_distance(loop: Loop, pin_diameter: float) -> float:
    """Distance from the outside of the pin to the throat of a closed loop on it.

    Parameters
    ----------
    loop : Loop
        The loop.
    pin_diameter : float
        Diameter of the pin [m]

    Returns
    -------
    float
        Distance along the line [m]
    """
    fit = fit_eye(loop.perimeter, loop.seat, pin_diameter, loop.throat_offset)
    return float(np.asarray(fit.throat_distance)) + 0.5 * pin_diameter


@dataclass(frozen=True)
class Layout:
    """Segments of the finished body, in order from the zero throat to the far throat.

    Attributes
    ----------
    edges : ndarray
        Shape (K + 1,); segment edges on the finished line, first and last the throats [m]
    serving : tuple of int
        Shape (K,); index of the serving on each segment, -1 where it is bare [-]
    kind_of_serving : tuple of int
        Kind of each serving, from 1: servings of one thread and tension are of one kind [-]
    """

    edges: FloatArray
    serving: tuple[int, ...]
    kind_of_serving: tuple[int, ...]

    @cached_property
    def lengths(self) -> FloatArray:
        """Finished segment lengths, shape (K,) [m]."""
        return np.diff(self.edges)

    @cached_property
    def kinds(self) -> IntArray:
        """Index of each segment's kind: 0 bare, then one for each thread; shape (K,) [-]."""
        return np.array([self.kind_of_serving[i] if i >= 0 else 0 for i in self.serving])

    @cached_property
    def first_of_kind(self) -> tuple[int, ...]:
        """Index of the first serving of each kind, from kind 1."""
        return tuple(
            self.kind_of_serving.index(kind) for kind in sorted(set(self.kind_of_serving))
        )

    def bounds(self, serving: int) -> tuple[int, int]:
        """Edge indices of a serving inside the body.

        Parameters
        ----------
        serving : int
            Index of the serving [-]

        Returns
        -------
        tuple of int
            Index of its first and last edge in ``edges``.
        """
        first = self.serving.index(serving)
        return first, first + 1


def lay_out(line: Line) -> Layout:
    """Cut the finished body at the edges of its servings.

    Parameters
    ----------
    line : Line
        The line.

    Returns
    -------
    Layout
        Segments from throat to throat; the part of an end serving that lies beyond the throat
        belongs to the loop.

    Raises
    ------
    SpecError
        If a serving lies wholly beyond a throat, or the loops leave no body.
    """
    first = throat_distance(line.zero, line.pin_diameter)
    last = line.length - throat_distance(line.far, line.pin_diameter)
    if not last > first:
        rule = f"must be longer than its two loops, {in_both_units(first + line.length - last)}"
        remedy = "check the length, and the sizes of the loops"
        raise SpecError("line.finished", in_both_units(line.length), rule, remedy)
    edges, kinds = [first], []
    for index, serving in enumerate(line.servings):
        start, stop = max(serving.start, first), min(serving.stop, last)
        if stop - start <= 1e-6:
            raise SpecError(
                f"line.servings '{serving.name}'",
                in_both_units(serving.start, serving.stop),
                f"must reach into the body, {in_both_units(first, last)} between the throats",
                "a serving of the loop alone belongs to the end: set the end's loop thread",
            )
        if start - edges[-1] > 1e-6:
            edges.append(start)
            kinds.append(-1)
        edges.append(stop)
        kinds.append(index)
    if last - edges[-1] > 1e-6:
        edges.append(last)
        kinds.append(-1)
    else:
        edges[-1] = last
    threads = [s.thread for s in line.servings]
    distinct = list(dict.fromkeys(threads))
    return Layout(
        np.array(edges), tuple(kinds), tuple(distinct.index(t) + 1 for t in threads)
    )
