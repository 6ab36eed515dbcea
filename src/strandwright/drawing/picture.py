"""What a strip shows: frozen values in SI, checked once when they are made."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from strandwright.drawing.graduation import metres_per_unit
from strandwright.drawing.svg import colour_or_fail
from strandwright.errors import GeometryError, SpecError


@dataclass(frozen=True)
class StrandPicture:
    """One strand of the bundle, at its packed centre.

    Attributes
    ----------
    x, y : float
        Centre seen from the zero end along the line, before any twist: ``x`` towards whoever
        looks at the strip, ``y`` up; in any unit common to all strands [-].
    colour : str
        ``#rrggbb``.
    colour_name : str
        The colour in words.
    flecks : tuple of str
        ``#rrggbb`` of a speckled yarn's other colours; none for a plain one.
    """

    x: float
    y: float
    colour: str
    colour_name: str = ""
    # Not in the text of a picture, by which its ids are made: plain pictures keep theirs.
    flecks: tuple[str, ...] = field(default=(), repr=False)

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        _finite("strand.x", self.x)
        _finite("strand.y", self.y)
        colour_or_fail(self.colour, "strand.colour")
        for fleck in self.flecks:
            colour_or_fail(fleck, "strand.flecks")


@dataclass(frozen=True)
class ThreadPicture:
    """A single thread that lies on the bundle's surface and goes round with the twist.

    Attributes
    ----------
    name : str
        As the technician calls it.
    phi : float
        Its angle without twist, from y towards z [rad].
    colour : str
        ``#rrggbb``.
    """

    name: str
    phi: float
    colour: str

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        _finite("thread.phi", self.phi)
        colour_or_fail(self.colour, "thread.colour")


@dataclass(frozen=True)
class ServingPicture:
    """Thread wrapped round a span.

    Attributes
    ----------
    name : str
        As the technician calls it.
    thread_colour : str
        ``#rrggbb``.
    thread_diameter : float
        Of the thread as it comes off the bobbin, > 0 [m].
    wrap_pitch : float
        From one wrap to the next along the line, > 0 [m].
    hand : str
        ``S`` or ``Z``, by ISO 2.
    kind : str
        What it is for; written on the picture's element, not shown.
    label : str
        A second line under the name, e.g. a diameter and its spread; may be empty.
    """

    name: str
    thread_colour: str
    thread_diameter: float
    wrap_pitch: float
    hand: str = "Z"
    kind: str = "serving"
    label: str = ""

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        colour_or_fail(self.thread_colour, "serving.thread_colour")
        _positive("serving.thread_diameter", self.thread_diameter)
        _positive("serving.wrap_pitch", self.wrap_pitch)
        _hand("serving.hand", self.hand)


@dataclass(frozen=True)
class SpanPicture:
    """A stretch of the line with one make-up and one rate of twist.

    Attributes
    ----------
    start, stop : float
        From the zero end, start < stop [m].
    diameter : float
        Outside diameter: of the thread where served, else of the bundle, > 0 [m].
    turns_at_start, turns_at_stop : float
        Turns put in between the zero end and there, never falling along the line; the hand
        is the picture's [-].
    served : ServingPicture or None
        The thread round it.
    written : tuple of float or None
        Start and stop as they are written beside it, where that is not what is drawn: a serving
        that runs on round the loop is told from the end of the line [m].
    """

    start: float
    stop: float
    diameter: float
    turns_at_start: float = 0.0
    turns_at_stop: float = 0.0
    served: ServingPicture | None = None
    written: tuple[float, float] | None = None

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        for name in ("start", "stop", "turns_at_start", "turns_at_stop"):
            _finite(f"span.{name}", getattr(self, name))
        _positive("span.diameter", self.diameter)
        _ordered("span", self.start, self.stop)
        if self.written is not None:
            _ordered("span.written", *self.written)
        if self.turns_at_stop < self.turns_at_start:
            raise SpecError(
                "span.turns_at_stop",
                self.turns_at_stop,
                "turns are counted from the zero end and do not fall",
                "give the sense of twist as the picture's hand",
            )

    @property
    def told(self) -> tuple[float, float]:
        """Start and stop as they are written [m]."""
        return self.written or (self.start, self.stop)

    @property
    def core_diameter(self) -> float:
        """Diameter under the thread [m], taking a wrap as flattened to its own area.

        A round thread of diameter d, squeezed to the width p of one wrap, is left with the
        height (pi/4) d^2 / p.
        """
        if self.served is None:
            return self.diameter
        height = math.pi / 4.0 * self.served.thread_diameter**2 / self.served.wrap_pitch
        return max(self.diameter - 2.0 * height, 0.5 * self.diameter)


@dataclass(frozen=True)
class EyePicture:
    """The loop at one end.

    Attributes
    ----------
    throat : float
        From the end of the line to where the two legs meet, > 0 [m].
    pin_diameter : float
        Of the pin it was measured over, > 0 [m].
    leg_thickness : float
        Outside diameter of one leg, > 0 [m].
    colour : str
        Of what is seen on the legs, ``#rrggbb``.
    served : bool
        True if the legs are wrapped with thread.
    laid : tuple of str
        ``#rrggbb`` of each bundle that is laid about the others round it; none for a skein's.
    """

    throat: float
    pin_diameter: float
    leg_thickness: float
    colour: str
    served: bool = True
    # Not in the text of a picture, by which its ids are made: other pictures keep theirs.
    laid: tuple[str, ...] = field(default=(), repr=False)

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        for name in ("throat", "pin_diameter", "leg_thickness"):
            _positive(f"eye.{name}", getattr(self, name))
        colour_or_fail(self.colour, "eye.colour")


@dataclass(frozen=True)
class MarkPicture:
    """A point on the line that has a name.

    Attributes
    ----------
    position : float
        From the zero end [m].
    label : str
        Its name.
    kind : str
        What it is for; written on the picture's element, not shown.
    """

    position: float
    label: str
    kind: str = "mark"

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        _finite("mark.position", self.position)


@dataclass(frozen=True)
class ContactPicture:
    """A stretch that something on the bow touches.

    Attributes
    ----------
    start, stop : float
        From the zero end, start < stop [m].
    label : str
        What touches it.
    """

    start: float
    stop: float
    label: str

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        _finite("contact.start", self.start)
        _finite("contact.stop", self.stop)
        _ordered("contact", self.start, self.stop)


@dataclass(frozen=True)
class FlagPicture:
    """A reading, or the one reading to take next, as a flag at its place on the tape.

    Attributes
    ----------
    position : float
        From the zero end [m].
    text : str
        What was read.
    detail : str
        What follows from it; may be empty.
    is_next : bool
        True for the one next act; it alone is drawn in wax.
    """

    position: float
    text: str
    detail: str = ""
    is_next: bool = False

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        _finite("reading.position", self.position)


@dataclass(frozen=True)
class ForkPicture:
    """Where a line parts in two legs, drawn apart from there to their loops.

    Attributes
    ----------
    parting : float
        From the zero end to where the legs part [m].
    legs : tuple of tuple of StrandPicture
        Strands of the upper and of the lower leg.
    is_far : bool
        True where the legs run to the far end.
    """

    parting: float
    legs: tuple[tuple[StrandPicture, ...], tuple[StrandPicture, ...]]
    is_far: bool = True

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        _finite("fork.parting", self.parting)
        if not all(self.legs):
            raise SpecError("fork.legs", "none", "each leg has strands", "add one or more")

    def holds(self, span: SpanPicture) -> bool:
        """Tell whether a span is one of the legs'.

        Parameters
        ----------
        span : SpanPicture
            The span.

        Returns
        -------
        bool
            True past the parting, by its middle.
        """
        middle = 0.5 * (span.start + span.stop)
        return middle > self.parting if self.is_far else middle < self.parting


@dataclass(frozen=True)
class StripPicture:
    """A whole line as the strip shows it.

    Attributes
    ----------
    title, subtitle : str
        Above the line; either may be empty.
    length : float
        Over the pins, outside to outside, > 0 [m].
    zero_end_label, far_end_label : str
        Names of the two ends.
    spans : tuple of SpanPicture
        From the zero end on, none overlapping the next.
    strands : tuple of StrandPicture
        All strands at one section, equally thick, at least two of them touching.
    hand : str
        ``S`` or ``Z`` of the line's twist, by ISO 2.
    zero_eye, far_eye : EyePicture or None
        The loops; None for an end without one.
    marks : tuple of MarkPicture
        Named points.
    contacts : tuple of ContactPicture
        What the bow touches; may be empty.
    readings : tuple of FlagPicture
        Flags; may be empty.
    units : str
        ``in`` or ``mm``, for the tape and the numbers.
    fraction : int
        Parts of a unit that positions are rounded to, >= 1 [-].
    threads : tuple of ThreadPicture
        Threads laid between the strands, such as a separator; may be empty.
    fork : ForkPicture or None
        Where it parts in two legs; None for a line that does not.
    """

    title: str
    subtitle: str
    length: float
    zero_end_label: str
    far_end_label: str
    spans: tuple[SpanPicture, ...]
    strands: tuple[StrandPicture, ...]
    hand: str = "Z"
    zero_eye: EyePicture | None = None
    far_eye: EyePicture | None = None
    marks: tuple[MarkPicture, ...] = ()
    contacts: tuple[ContactPicture, ...] = ()
    readings: tuple[FlagPicture, ...] = ()
    units: str = "in"
    fraction: int = 16
    threads: tuple[ThreadPicture, ...] = field(default=(), repr=False)
    fork: ForkPicture | None = field(default=None, repr=False)

    def __post_init__(self) -> None:
        """Refuse what cannot be drawn."""
        _positive("length", self.length)
        _hand("hand", self.hand)
        metres_per_unit(self.units)
        if self.fraction < 1:
            raise SpecError(
                "fraction", self.fraction, "a unit has one part or more", "give e.g. 16"
            )
        if not self.strands:
            raise SpecError("strands", "none", "a line has strands", "add one or more")
        if sum(flag.is_next for flag in self.readings) > 1:
            raise SpecError("readings", "several", "one act is next", "mark one flag as next")
        self._check_places()

    def _check_places(self) -> None:
        """Refuse what lies off the line or on top of its neighbour."""
        places = [("mark.position", mark.position) for mark in self.marks]
        places += [("span.start", span.start) for span in self.spans]
        places += [("span.stop", span.stop) for span in self.spans]
        places += [("contact.start", contact.start) for contact in self.contacts]
        places += [("contact.stop", contact.stop) for contact in self.contacts]
        slack = 1e-9 * self.length
        for named, place in places:
            if not -slack <= place <= self.length + slack:
                raise GeometryError(
                    named,
                    f"{place:.4f} m",
                    f"it must lie on the line, 0 to {self.length:.4f} m",
                    "mend the position or the length",
                )
        for before, after in zip(self.spans, self.spans[1:], strict=False):
            if after.start < before.stop - slack:
                raise GeometryError(
                    "span.start",
                    f"{after.start:.4f} m",
                    f"the span before it stops at {before.stop:.4f} m",
                    "give spans in order, without overlap",
                )


def _finite(field: str, value: float) -> None:
    """Refuse a number that is not one."""
    if not math.isfinite(value):
        raise GeometryError(field, value, "it must be a finite number", "enter the number again")


def _positive(field: str, value: float) -> None:
    """Refuse a size that is not above zero."""
    if not (math.isfinite(value) and value > 0.0):
        raise GeometryError(field, value, "it must be more than zero", "enter the size again")


def _ordered(field: str, start: float, stop: float) -> None:
    """Refuse a stretch that does not run from the zero end."""
    if not start < stop:
        raise GeometryError(
            f"{field}.stop", stop, f"it must lie beyond the start, {start:.4f} m", "swap them"
        )


def _hand(field: str, hand: str) -> None:
    """Refuse a sense of twist that ISO 2 does not name."""
    if hand not in ("S", "Z"):
        raise SpecError(field, hand, "twist is S or Z", "choose one of these")
