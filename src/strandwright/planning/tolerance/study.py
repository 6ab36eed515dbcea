"""The study itself: a batch of builds drawn, read, corrected, proved and put on bows, counted."""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce

import numpy as np
from numpy.typing import NDArray

from strandwright.numerics.batches import Batches
from strandwright.numerics.tally import Ruler, Tally
from strandwright.planning.tolerance.bow_slopes import BowSlopes
from strandwright.planning.tolerance.builds import Builds
from strandwright.planning.tolerance.course import Course

Floats = NDArray[np.float64]
Mask = NDArray[np.bool_]
#: Version of what a study's numbers mean; a change that moves them raises it.
STUDY_VERSION = 1
BLIND, GUIDED = "blind", "guided"


@dataclass(frozen=True)
class Proving:
    """How the corrected line is proved.

    Attributes
    ----------
    key : str
        The state it is proved in.
    to_come : float
        What it reads there more than it is when finished, as the plan says [m]
    noise : float
        Standard uncertainty of one reading by itself [m]
    acceptance_limit : float
        Largest error of either sign that is accepted; 0 accepts none [m]
    rejection_limit : float
        Errors past it are rejected [m]
    """

    key: str
    to_come: float
    noise: float
    acceptance_limit: float
    rejection_limit: float


@dataclass(frozen=True, eq=False)
class Study:
    """A tolerance study, whole: it can be sent to whoever works out its batches.

    Attributes
    ----------
    identity : str
        The same for the same job, builds and seed; another for any other.
    builds : Builds
        What is built.
    course : Course
        What is read on the way, and which turns follow.
    proving : Proving
        How it is proved.
    wanted : float
        Finished length that is asked for [m]
    tolerance : float
        Half-width that counts as landed [m]
    original_u : float
        Standard uncertainty of the length asked for as the length of the original [m]
    most_turns : float
        Most turns that are advised [turn]
    bow : BowSlopes or None
        What a length off does to the bow; None where it cannot be asked.
    batches : Batches
        How the draws are cut.
    ruler : Ruler
        On which errors of the finished length are counted.
    """

    identity: str
    builds: Builds
    course: Course
    proving: Proving
    wanted: float
    tolerance: float
    original_u: float
    most_turns: float
    bow: BowSlopes | None
    batches: Batches
    ruler: Ruler

    def batch(self, index: int) -> Tally:
        """Work out one batch of builds.

        Parameters
        ----------
        index : int
            Which, from 0 [-]

        Returns
        -------
        Tally
            Its builds, counted.

        Notes
        -----
        The stream gives, in this order: the unknowns, the noise of each reading and of the
        proof, the error of the original, the bow each line goes on.
        """
        count, stream = self.batches.drawn_in(index), self.batches.stream(index)
        drawn = self.builds.draw(stream, count)
        noise = stream.standard_normal((len(self.course.stages) + 1, count))
        original = self.original_u * stream.standard_normal(count)
        on_bow = None if self.bow is None else self.bow.drawn(stream, count)
        # Unknowns far out may leave no line at all: that is counted, and no fault of the program.
        with np.errstate(all="ignore"):
            return self._followed(drawn, noise, original, on_bow)

    def _followed(
        self, drawn: object, noise: Floats, original: Floats, on_bow: Floats | None
    ) -> Tally:
        """Build as planned and as corrected, prove, and count both."""
        planned = np.full(noise.shape[1], self.course.turns)
        blind = self.builds.finished(drawn, planned) - self.wanted
        turns, beyond = self._corrected(drawn, noise, planned)
        guided = self.builds.finished(drawn, turns) - self.wanted
        read = self.builds.read(drawn, self.proving.key, turns)
        read = read + self.proving.noise * noise[-1]
        fine = np.isfinite(blind) & np.isfinite(guided) & np.isfinite(read)
        # A number that failed is NaN from here on: within nothing, over nothing, in no cell.
        blind, guided, turns, read = (
            np.where(fine, values, np.nan) for values in (blind, guided, turns, read)
        )
        parts = [
            Tally({"builds": fine.size, "failed": _count(~fine)}),
            self._landed(BLIND, blind, original, on_bow),
            self._landed(GUIDED, guided, original, on_bow),
            self._turned(guided, turns, beyond),
            Tally(self._proved(read, guided)),
        ]
        return reduce(Tally.merged, parts)

    def _landed(self, way: str, error: Floats, original: Floats, on_bow: Floats | None) -> Tally:
        """Count how far off lines are that were built in one way, and what they do to bows."""
        counts = {
            f"{way}.within": _count(np.abs(error) <= self.tolerance),
            f"{way}.of_original": _count(np.abs(error + original) <= self.tolerance),
        }
        tally = Tally(counts, {f"{way}.length": self.ruler.counted(error)})
        if self.bow is None or on_bow is None:
            return tally
        return tally.merged(Tally(*self.bow.counted(way, error, on_bow)))

    def _turned(self, guided: Floats, turns: Floats, beyond: Floats) -> Tally:
        """Count the turns that lines end with, and those that turns cannot bring to length."""
        fine, within = np.isfinite(guided), np.abs(guided) <= self.tolerance
        reached = fine & (beyond == 0.0)
        counts = {
            # What ought to have fewer turns than none, and yet lies within, has been brought there.
            "short": _count(fine & ~within & (beyond < 0.0)),
            "long": _count(fine & ~within & (beyond > 0.0)),
            "reached": _count(reached),
            "reached.within": _count(reached & within),
            "over_twisted": _count(turns > self.most_turns),
        }
        spreads = {
            "turns": self._turn_ruler.counted(turns),
            "reached.length": self.ruler.counted(np.where(reached, guided, np.nan)),
        }
        return Tally(counts, spreads)

    def _corrected(self, drawn: object, noise: Floats, turns: Floats) -> tuple[Floats, Floats]:
        """Read each stage, learn from it, and choose the turns anew."""
        course, beyond = self.course, np.zeros_like(turns)
        known = course.begun(len(turns))
        for place, stage in enumerate(course.stages):
            at = course.counted(place, turns)
            read = self.builds.read(drawn, stage.key, at) + stage.noise * noise[place]
            known = course.learned(known, place, at, read)
            turns, beyond = course.corrected(known, self.wanted)
            # A build of which nothing can be read is turned as planned, and counted as failed.
            turns = np.where(np.isfinite(turns), turns, course.turns)
        return turns, beyond

    def _proved(self, read: Floats, guided: Floats) -> dict[str, int]:
        """Count what the proof says against what is so."""
        size = np.abs(read - self.wanted - self.proving.to_come)
        limit = self.proving.acceptance_limit
        fine, within = np.isfinite(size), np.abs(guided) <= self.tolerance
        accepted = (size <= limit) & (limit > 0.0)
        rejected = size > self.proving.rejection_limit
        found: dict[str, int] = {}
        for name, mask in (
            ("accepted", accepted),
            ("rejected", rejected),
            ("undecided", fine & ~accepted & ~rejected),
        ):
            found[f"{name}.within"] = _count(mask & within)
            found[f"{name}.out"] = _count(mask & ~within)
        return found

    @property
    def _turn_ruler(self) -> Ruler:
        """One cell a step, each count in the middle of its cell."""
        step = self.course.step
        cells = int(np.ceil(self.course.highest / step)) + 1
        return Ruler(-0.5 * step, (cells - 0.5) * step, cells)


def _count(mask: Mask) -> int:
    return int(np.count_nonzero(mask))
