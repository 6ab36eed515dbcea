"""Loops over pins: the loops of a line, new or worn, and the pins they do not close round."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.errors import GeometryError
from strandwright.geometry.eye import shortest_perimeter
from strandwright.line.parts import Loop
from strandwright.planning.line_of_job import make_line
from strandwright.planning.strand_stock import known_strand
from strandwright.planning.take_off.original import as_original
from strandwright.workshop.job import Job

#: A loop does not depend on the length of the line between: any long one will do [m]
_ANY_LENGTH = 10.0


@dataclass(frozen=True)
class EndLoop:
    """The loop at one end, and where its size was entered.

    Attributes
    ----------
    loop : Loop
        Perimeter, leg and throat.
    place : str
        Field of its size in the job file.
    size : str
        Its size as it was entered.
    """

    loop: Loop
    place: str
    size: str

    def least_perimeter(self, pin: float) -> float:
        """Least perimeter with which this loop would close round a pin.

        Parameters
        ----------
        pin : float
            Diameter of the pin, > 0 [m]

        Returns
        -------
        float
            Along the centreline of the leg [m]
        """
        loop = self.loop
        return float(shortest_perimeter(loop.leg_thickness, pin, loop.throat_offset))

    def closes(self, pin: float) -> bool:
        """Tell whether the loop closes round a pin, the thickness of its legs counted.

        Parameters
        ----------
        pin : float
            Diameter of the pin, > 0 [m]

        Returns
        -------
        bool
            True where the legs meet at the throat.
        """
        return self.loop.perimeter >= self.least_perimeter(pin)

    def refusal(self, field: str, given: str) -> GeometryError:
        """Say that a pin is too thick for this loop.

        Parameters
        ----------
        field : str
            Where the pin was entered.
        given : str
            The pin as it was entered.

        Returns
        -------
        GeometryError
            To be raised, or told in a note.
        """
        return GeometryError(
            field,
            given,
            f"must pass through the loop {self.place}, whose size is {self.size}, "
            "with room for its legs",
            "check the pin, and the loop's inside length laid flat",
        )


def line_loops(job: Job) -> tuple[EndLoop, EndLoop]:
    """Give the loops of the line to be built.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    tuple of EndLoop
        Zero end and far end.

    Raises
    ------
    SpecError
        If a thread or the strand is not known.
    """
    return _loops(job, "line.zero_end", "line.far_end")


def original_loops(job: Job) -> tuple[EndLoop, EndLoop]:
    """Give the loops of the original; where they were not measured, those of the new line.

    Parameters
    ----------
    job : Job
        The job.

    Returns
    -------
    tuple of EndLoop
        Zero end and far end.

    Raises
    ------
    SpecError
        If a thread or the strand is not known.
    """
    old = job.original
    return _loops(
        as_original(job),
        "line.zero_end" if old.zero_loop is None else "original.zero_loop",
        "line.far_end" if old.far_loop is None else "original.far_loop",
    )


def _loops(job: Job, zero_place: str, far_place: str) -> tuple[EndLoop, EndLoop]:
    ends = job.line.model_copy(update={"servings": (), "marks": ()})
    line = make_line(job.model_copy(update={"line": ends}), _ANY_LENGTH, known_strand(job))
    return (
        EndLoop(line.zero, zero_place, ends.zero_end.size.text),
        EndLoop(line.far, far_place, ends.far_end.size.text),
    )
