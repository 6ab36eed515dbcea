"""The parts of a line as the physics sees them: loops, servings, marks, strands, bench.

Everything here is plain numbers in SI, measured along the finished line from the outside of the
pin at the zero end, at the measuring condition.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

from strandwright.errors import SpecError
from strandwright.geometry.eye import perimeter_from_loop_size
from strandwright.line.sections import Section, check_sections
from strandwright.units import INCH


class Hand(StrEnum):
    """Hand of a helix as ISO 2 has it: the slope of the letter's middle stroke."""

    S = "S"
    Z = "Z"

    @property
    def other(self) -> Hand:
        """The opposite hand."""
        return Hand.Z if self is Hand.S else Hand.S


class ServingKind(StrEnum):
    """What a serving is for."""

    END = "end"
    LOOP = "loop"
    TRACK = "track"
    STOP = "stop"
    CENTRE = "centre"
    FREE = "free"
    THROAT = "throat"


@dataclass(frozen=True)
class ServingThread:
    """A serving thread as it leaves the bobbin.

    Attributes
    ----------
    name : str
        Name in the reference table or of the user's own.
    diameter : float
        Nominal diameter [m]
    flattening : float
        Laid thickness over nominal diameter, in (0, 1] [-]
    linear_density : float
        Mass per length [kg/m]
    stiffness : float
        Axial stiffness EA [N]
    friction : float
        Coefficient on the strands [-]
    tension : float
        Tension it is laid with [N]
    """

    name: str
    diameter: float
    flattening: float
    linear_density: float
    stiffness: float
    friction: float
    tension: float


@dataclass(frozen=True)
class Serving:
    """A served stretch of the finished line.

    Attributes
    ----------
    name : str
        What the technician calls it.
    kind : ServingKind
        What it is for.
    start, stop : float
        Edges on the finished line, start < stop [m]
    thread : ServingThread
        The thread.
    hand : Hand
        Hand in which the thread is wound.
    colour : str
        Colour of the thread, ``#rrggbb``.
    """

    name: str
    kind: ServingKind
    start: float
    stop: float
    thread: ServingThread
    hand: Hand
    colour: str = "#3A3A3A"

    @property
    def length(self) -> float:
        """Served length [m]."""
        return self.stop - self.start

    def turned(self, line_length: float) -> Serving:
        """Give the serving on a line turned end for end; a helix keeps its hand.

        Parameters
        ----------
        line_length : float
            Length of the line [m]

        Returns
        -------
        Serving
            With both edges measured from the other end.
        """
        return replace(self, start=line_length - self.stop, stop=line_length - self.start)


@dataclass(frozen=True)
class Mark:
    """A marked place on the finished line.

    Attributes
    ----------
    name : str
        What it marks: nock, peep, centre.
    position : float
        From the zero end [m]
    mass : float
        What is tied in there [kg]
    """

    name: str
    position: float
    mass: float = 0.0


@dataclass(frozen=True)
class Loop:
    """The closed eye at one end.

    Attributes
    ----------
    name : str
        Which end: lower, upper, cam.
    perimeter : float
        Along the centreline of the served leg, from throat round the pin to throat [m]
    leg_thickness : float
        Diameter of the leg, served if it is served [m]
    throat_offset : float
        Distance of each leg's centreline from the line's axis at the throat [m]
    thread : ServingThread or None
        Thread of the loop's serving; None for a bare loop.
    flattened : float
        Thickness of the leg where it lies on a pin over its round one, > 0 [-]
    strands : float
        Strands in the loop's two legs together over those of the body, > 0: 1 for a skein, 2
        where the whole body is led round the pin [-]
    late : float
        Of those the ones laid in after the stretch, >= 0: slack at the measuring load [-]
    """

    name: str
    perimeter: float
    leg_thickness: float
    throat_offset: float
    thread: ServingThread | None
    flattened: float = 1.0
    strands: float = 1.0
    late: float = 0.0

    @property
    def bearing(self) -> float:
        """Strands of both legs that bear at the measuring load, over those of the body [-]."""
        return self.strands - self.late

    @property
    def seat(self) -> float:
        """Thickness of the leg where it lies on a pin [m]."""
        return self.flattened * self.leg_thickness

    @classmethod
    def from_size(
        cls,
        name: str,
        size: float,
        leg_thickness: float,
        throat_offset: float,
        thread: ServingThread | None,
    ) -> Loop:
        """Make a loop from its size, the inside length of the closed loop laid flat.

        Parameters
        ----------
        name : str
            Which end.
        size : float
            Loop size, > 0 [m]
        leg_thickness : float
            Diameter of the leg [m]
        throat_offset : float
            Centreline offset at the throat [m]
        thread : ServingThread or None
            Thread of the loop's serving.

        Returns
        -------
        Loop
            The loop.
        """
        perimeter = float(perimeter_from_loop_size(size, leg_thickness))
        return cls(name, perimeter, leg_thickness, throat_offset, thread)


@dataclass(frozen=True)
class Line:
    """A finished line: what is to be built.

    Attributes
    ----------
    length : float
        Outside to outside of the pins at the measuring load [m]
    zero, far : Loop
        The two ends; positions run from the zero end.
    servings : tuple of Serving
        In order along the line, not overlapping.
    marks : tuple of Mark
        In order along the line.
    strand_count : int
        Strands in the body [-]
    hand : Hand
        Hand of the twist.
    measuring_load : float
        Load at which the length is stated [N]
    pin_diameter : float
        Diameter of both pins at which the length is stated [m]
    sections : tuple of Section
        Stretches of their own make-up in order, end to end; none for a straight line.
    bundles : int
        Bundles that are laid about each other; 1 for a skein [-]
    """

    length: float
    zero: Loop
    far: Loop
    servings: tuple[Serving, ...]
    marks: tuple[Mark, ...]
    strand_count: int
    hand: Hand
    measuring_load: float
    pin_diameter: float
    sections: tuple[Section, ...] = ()
    bundles: int = 1

    @property
    def parts(self) -> tuple[Section, ...]:
        """Its sections; a straight line is one."""
        return self.sections or (Section("body", 0.0, self.length),)

    def turned(self) -> Line:
        """Give the same line measured from its other end: servings and marks are mirrored."""
        return replace(
            self,
            zero=self.far,
            far=self.zero,
            servings=tuple(s.turned(self.length) for s in reversed(self.servings)),
            marks=tuple(
                replace(m, position=self.length - m.position) for m in reversed(self.marks)
            ),
            sections=tuple(s.turned(self.length) for s in reversed(self.sections)),
        )


@dataclass(frozen=True)
class StrandStock:
    """The strand as it comes off the spool: the fixed numbers; the uncertain ones are unknowns.

    Attributes
    ----------
    name : str
        Name in the reference table or of the user's own.
    fibre : str
        Fibre by chemistry.
    linear_density : float
        Mass per length, without wax [kg/m]
    break_load : float
        Breaking load [N]
    break_strain : float
        Strain at break [-]
    density : float
        Density of the fibre [kg/m^3]
    expansion : float
        Thermal expansion along the fibre; negative for HMPE [1/K]
    wax : float
        Mass of wax over mass of fibre [-]
    friction : float
        Coefficient strand on strand [-]
    """

    name: str
    fibre: str
    linear_density: float
    break_load: float
    break_strain: float
    density: float
    expansion: float
    wax: float
    friction: float


@dataclass(frozen=True)
class Bench:
    """The jig: two posts on a beam, a pull, a gauge and a tape.

    Attributes
    ----------
    name : str
        What the shop calls it.
    zero_post, far_post : float
        Diameter of the posts the skein is wound on [m]
    loop_pin : float
        Diameter of the pins that closed loops are hung on [m]
    longest, shortest : float
        Range of outside-to-outside post settings [m]
    rated_load : float or None
        Rating of strap, posts and beam, the lowest; None when nobody knows [N]
    tape_expansion : float
        Thermal expansion of the tape [1/K]
    bobbin : float
        Thread that the serving tool's bobbin holds [m]
    """

    name: str
    zero_post: float
    far_post: float
    loop_pin: float
    longest: float
    shortest: float
    rated_load: float | None
    tape_expansion: float
    bobbin: float


def check_line(line: Line) -> None:
    """Refuse a line whose parts contradict each other.

    Parameters
    ----------
    line : Line
        The line.

    Raises
    ------
    SpecError
        For an empty or reversed serving, one off the line, two that overlap, a mark off the
        line, fewer than two strands.
    """
    if line.strand_count < 2:
        raise SpecError("makeup.strands", line.strand_count, "must be 2 or more", "count again")
    check_sections(line.parts, line.length)
    before = 0.0
    for serving in line.servings:
        field = f"line.servings '{serving.name}'"
        given = in_both_units(serving.start, serving.stop)
        if serving.length <= 0.0:
            raise SpecError(field, given, "must start before it stops", "swap start and stop")
        if serving.start < -1e-9 or serving.stop > line.length + 1e-9:
            rule = f"must lie on the line, {in_both_units(0.0, line.length)}"
            raise SpecError(field, given, rule, "check the edge or the line's length")
        if serving.start < before - 1e-9:
            rule = f"must not overlap the serving that stops at {in_both_units(before)}"
            raise SpecError(field, given, rule, "move one edge")
        before = serving.stop
    for mark in line.marks:
        if not 0.0 <= mark.position <= line.length:
            rule = f"must lie on the line, {in_both_units(0.0, line.length)}"
            remedy = "check the place, and the end it is measured from"
            raise SpecError(
                f"line.marks '{mark.name}'", in_both_units(mark.position), rule, remedy
            )


def in_both_units(*positions: float) -> str:
    """Write one position, or a stretch from one to another, in inches and in millimetres.

    A line knows nothing of the units its job is written in.

    Parameters
    ----------
    *positions : float
        One position, or two [m]

    Returns
    -------
    str
        ``20 to 22.25 in (508 to 565.2 mm)``.
    """
    inches = " to ".join(f"{p / INCH:.5g}" for p in positions)
    return f"{inches} in ({' to '.join(f'{p * 1e3:.5g}' for p in positions)} mm)"
