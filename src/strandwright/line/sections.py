"""The sections of a line: stretches with strands or turns of their own.

A straight line between two posts is one section. The legs of a yoke, the married ends of a
laid-in string and ends with strands laid in beside are sections of their own::

    zero pin                                               far pin
       (o)==== body: all strands, the line's turns ====<  legs  (o)
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from strandwright.errors import SpecError


@dataclass(frozen=True)
class Section:
    """A stretch of the finished line with a make-up of its own.

    Attributes
    ----------
    name : str
        What the technician calls it: body, legs, married end.
    start, stop : float
        Where it lies on the finished line, from the outside of the zero pin [m]
    strands : float
        Strands that carry the load there over those of the body, > 0 [-]
    members : int
        Bundles side by side that share strands and load alike: 1, two legs 2 [-]
    turns : float
        Turns put into each member when it was made, before those of the line, >= 0 [turn]
    takes_turns : bool
        True where the turns of the line run on through it; False where they stop at its end.
    late : float
        Of its strands those laid in after the stretch, over those of the body, >= 0: they fill
        it, and bear once they follow the others [-]
    field : str
        What of the job says where it ends, for an error to name.
    """

    name: str
    start: float
    stop: float
    strands: float = 1.0
    members: int = 1
    turns: float = 0.0
    takes_turns: bool = True
    late: float = 0.0
    field: str = "line.finished"

    @property
    def length(self) -> float:
        """Finished length [m]."""
        return self.stop - self.start

    @property
    def member_strands(self) -> float:
        """Strands of one member over those of the body [-]."""
        return self.strands / self.members

    @property
    def is_plain(self) -> bool:
        """True where it is like the body of a straight line."""
        alike = self.strands == 1.0 and self.members == 1
        return alike and self.turns == 0.0 and self.takes_turns

    def turned(self, line_length: float) -> Section:
        """Give the section on a line turned end for end.

        Parameters
        ----------
        line_length : float
            Length of the line [m]

        Returns
        -------
        Section
            Measured from the other end.
        """
        return replace(self, start=line_length - self.stop, stop=line_length - self.start)


def check_sections(sections: tuple[Section, ...], length: float) -> None:
    """Refuse sections that do not make up a line.

    Parameters
    ----------
    sections : tuple of Section
        In order along the line.
    length : float
        Length of the line [m]

    Raises
    ------
    SpecError
        If they leave a gap, overlap, do not reach both ends, have no strands, or none takes the
        turns of the line.
    """
    at = 0.0
    for section in sections:
        field, named = section.field, f"the {section.name}"
        if abs(section.start - at) > 1e-9 or section.length <= 0.0:
            rule = f"must let {named} begin where the section before it ends, and have a length"
            raise SpecError(field, f"{section.length * 1e3:.1f} mm", rule, "check its length")
        if not section.strands > section.late:
            rule = f"must leave {named} strands of the line"
            raise SpecError(field, section.strands, rule, "check its strands")
        if section.turns < 0.0:
            rule = f"must have 0 or more turns in {named}"
            raise SpecError(field, section.turns, rule, "name the other hand")
        at = section.stop
    if abs(at - length) > 1e-9:
        rule = f"must reach to the line's end, {length * 1e3:.1f} mm"
        raise SpecError(
            "line.finished", f"{at * 1e3:.1f} mm", rule, "check the lengths of its parts"
        )
    if not any(s.takes_turns for s in sections):
        rule = "must have a part that is twisted"
        raise SpecError("line.finished", "no body", rule, "leave a body")
