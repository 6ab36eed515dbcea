"""A row of builds as it is drawn: values, limits, marks, in the unit they are shown in."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.errors import SpecError

MARKS = ("plain", "out", "high", "low")
#: A tolerance so many times as wide as all else that is drawn would leave that a thin line.
_TOO_WIDE = 6.0


@dataclass(frozen=True)
class ControlBuild:
    """One build, in the unit it is shown in.

    Attributes
    ----------
    label : str
        Its name; a page finds it again by it.
    value, average : float
        What it gave, and the average after it [unit].
    sigma : float
        Standard deviation expected of the value, > 0 [unit].
    average_low, average_high : float
        Limits of the average [unit].
    mark : str
        ``plain``, ``out``, ``high`` or ``low``.
    words : str
        What is shown when it is pointed at.
    moved : float or None
        How far it lies from the build before it; None for the first, and where ranges are not
        shown [unit].
    moved_most : float
        What a steady bench keeps that under [unit].
    """

    label: str
    value: float
    average: float
    sigma: float
    average_low: float
    average_high: float
    mark: str
    words: str
    moved: float | None = None
    moved_most: float = 0.0

    @property
    def is_average_beyond(self) -> bool:
        """Whether the average lies beyond its limits."""
        return not self.average_low <= self.average <= self.average_high

    @property
    def is_move_beyond(self) -> bool:
        """Whether it lies further from the one before than a steady bench lets it."""
        return self.moved is not None and self.moved > self.moved_most


@dataclass(frozen=True)
class ControlLevel:
    """A stretch of builds with a level of its own, which may rise or fall.

    Attributes
    ----------
    first, last : int
        First and last build of it, from 0 [-].
    begin, end : float
        The level at the two [unit].
    """

    first: int
    last: int
    begin: float
    end: float


@dataclass(frozen=True)
class ControlChart:
    """A row of builds, oldest first, in the unit it is shown in.

    Attributes
    ----------
    builds : tuple of ControlBuild
        One at the least.
    centre : float
        What they are held against [unit].
    tolerance : tuple of float or None
        Its ends [unit].
    levels : tuple of ControlLevel
        Levels that moved by more than chance, oldest first; empty where none did.
    name, unit : str
        What is shown, and its unit.
    verdict : str
        What the chart says, for those who cannot see it.
    """

    builds: tuple[ControlBuild, ...]
    centre: float
    tolerance: tuple[float, float] | None
    levels: tuple[ControlLevel, ...]
    name: str
    unit: str
    verdict: str = ""

    def __post_init__(self) -> None:
        if not self.builds:
            raise SpecError("builds", 0, "must be one or more", "chart a bench that has built")
        for build in self.builds:
            if build.mark not in MARKS:
                raise SpecError("mark", build.mark, f"must be one of {', '.join(MARKS)}", "choose")

    @property
    def value_ends(self) -> tuple[float, float]:
        """Least and most of values, limits and a tolerance that is drawn [unit]."""
        low, high = self._ends
        if self.tolerance is None or not self.shows_tolerance:
            return low, high
        return min(low, self.tolerance[0]), max(high, self.tolerance[1])

    @property
    def average_ends(self) -> tuple[float, float]:
        """Least and most of the averages and their limits [unit]."""
        ends = [e for b in self.builds for e in (b.average, b.average_low, b.average_high)]
        return min(ends), max(ends)

    @property
    def moves(self) -> list[float]:
        """Distances between neighbours, oldest first; empty where they are not shown [unit]."""
        return [b.moved for b in self.builds if b.moved is not None]

    @property
    def most_moved(self) -> float:
        """The largest distance between neighbours, or its limit [unit]."""
        return max([*self.moves, *(b.moved_most for b in self.builds)])

    @property
    def shows_tolerance(self) -> bool:
        """Whether there is a tolerance that can be drawn beside the rest."""
        low, high = self._ends
        return self.tolerance is not None and (
            self.tolerance[1] - self.tolerance[0] < _TOO_WIDE * (high - low)
        )

    @property
    def _ends(self) -> tuple[float, float]:
        reach = 3.0 * max(b.sigma for b in self.builds)
        values = [b.value for b in self.builds]
        return min([*values, self.centre - reach]), max([*values, self.centre + reach])
