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
from strandwright.line.sections import Section

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
class Kind:
    """What segments of one kind have in common.

    Attributes
    ----------
    section : int
        Index of their section on the line [-]
    serving : int
        Index of the first serving of that thread there, -1 where they are bare [-]
    """

    section: int
    serving: int


@dataclass(frozen=True)
class Layout:
    """Segments of the finished body, in order from the zero throat to the far throat.

    Attributes
    ----------
    edges : ndarray
        Shape (K + 1,); segment edges on the finished line, first and last the throats [m]
    serving : tuple of int
        Shape (K,); index of the serving on each segment, -1 where it is bare [-]
    section : tuple of int
        Shape (K,); index of the section each segment lies in [-]
    kinds : ndarray
        Shape (K,); kind of each segment: first the bare ones, one for each section, the main
        one first, then one for each thread in each section [-]
    kind : tuple of Kind
        What the kinds are.
    """

    edges: FloatArray
    serving: tuple[int, ...]
    section: tuple[int, ...]
    kinds: IntArray
    kind: tuple[Kind, ...]

    @cached_property
    def lengths(self) -> FloatArray:
        """Finished segment lengths, shape (K,) [m]."""
        return np.diff(self.edges)

    @cached_property
    def bare_count(self) -> int:
        """Number of bare kinds, one for each section [-]."""
        return sum(kind.serving < 0 for kind in self.kind)

    @cached_property
    def bare_kinds(self) -> IntArray:
        """Bare kind of each section, shape (sections,) [-]."""
        order = [kind.section for kind in self.kind[: self.bare_count]]
        return np.array([order.index(i) for i in range(self.bare_count)])

    @cached_property
    def open_shares(self) -> FloatArray:
        """Each section's share of the body, shape (sections,) [-]."""
        lengths = np.bincount(self.section, self.lengths, minlength=self.bare_count)
        return lengths / lengths.sum()

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
        return first, first + self.serving.count(serving)


def lay_out(line: Line) -> Layout:
    """Cut the finished body at the edges of its servings and of its sections.

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
        If a serving lies wholly beyond a throat, the loops leave no body, or a section has none
        of it.
    """
    first = throat_distance(line.zero, line.pin_diameter)
    last = line.length - throat_distance(line.far, line.pin_diameter)
    if not last > first:
        rule = f"must be longer than its two loops, {in_both_units(first + line.length - last)}"
        remedy = "check the length, and the sizes of the loops"
        raise SpecError("line.finished", in_both_units(line.length), rule, remedy)
    edges, served = _cut_at_servings(line, first, last)
    edges, served, section = _cut_at_sections(line, edges, served)
    kind = _kinds_of(line, served, section)
    index = {k: i for i, k in enumerate(kind)}
    leader = _first_of_thread(line, served, section)
    kinds = [index[Kind(s, leader.get((s, i), -1))] for i, s in zip(served, section, strict=True)]
    return Layout(np.array(edges), tuple(served), tuple(section), np.array(kinds), kind)


def _cut_at_servings(line: Line, first: float, last: float) -> tuple[list[float], list[int]]:
    """Edges of the segments between the throats, and the serving on each, -1 where it is bare."""
    edges, served = [first], []
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
            served.append(-1)
        edges.append(stop)
        served.append(index)
    if last - edges[-1] > 1e-6:
        edges.append(last)
        served.append(-1)
    else:
        edges[-1] = last
    return edges, served


def _cut_at_sections(
    line: Line, edges: list[float], served: list[int]
) -> tuple[list[float], list[int], list[int]]:
    """Cut the segments where a section ends: edges, serving and section of each."""
    parts = line.parts
    _refuse_empty(parts, edges[0], edges[-1])
    new_edges, new_served, section, at = [edges[0]], list[int](), list[int](), 0
    for start, stop, serving in zip(edges, edges[1:], served, strict=False):
        while at < len(parts) - 1 and parts[at].stop <= start + 1e-6:
            at += 1
        while at < len(parts) - 1 and parts[at].stop < stop - 1e-6:
            new_edges.append(parts[at].stop)
            new_served.append(serving)
            section.append(at)
            at += 1
        new_edges.append(stop)
        new_served.append(serving)
        section.append(at)
    return new_edges, new_served, section


def _refuse_empty(parts: tuple[Section, ...], first: float, last: float) -> None:
    """Refuse a section of which nothing lies between the throats."""
    for part in parts:
        if min(part.stop, last) - max(part.start, first) <= 1e-6:
            raise SpecError(
                part.field,
                in_both_units(part.start, part.stop),
                f"must let the {part.name} reach into the body, {in_both_units(first, last)} "
                "between the throats",
                "make it longer, or the loop smaller",
            )


def _first_of_thread(
    line: Line, served: list[int], section: list[int]
) -> dict[tuple[int, int], int]:
    """First serving of the same thread and tension in the same section, by section and serving."""
    seen: dict[tuple[int, object], int] = {}
    found: dict[tuple[int, int], int] = {}
    for i, s in sorted((i, s) for i, s in zip(served, section, strict=True) if i >= 0):
        found[s, i] = seen.setdefault((s, line.servings[i].thread), i)
    return found


def _kinds_of(line: Line, served: list[int], section: list[int]) -> tuple[Kind, ...]:
    """The kinds of a line: the bare ones of all sections, the main one first, then the served."""
    parts = range(len(line.parts))
    main = next((i for i in parts if line.parts[i].is_plain), 0)
    bare = [Kind(i, -1) for i in (main, *(i for i in parts if i != main))]
    leaders = _first_of_thread(line, served, section)
    return (*bare, *dict.fromkeys(Kind(s, first) for (s, _), first in leaders.items()))
