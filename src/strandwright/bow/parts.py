"""The parts of a bow: limbs on a riser, wheels on the limbs, lines over everything.

The frame of the bow lies on its grip: the origin is the pivot point of the grip, +x points
towards the archer, +y up, or on a crossbow to the shooter's right. A body is named by its index:
the riser, then the limb tips, then the wheels, then the nocking point.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.limb import Limb
from strandwright.errors import SpecError
from strandwright.geometry.taut import Contact

Floats = NDArray[np.float64]

RISER = 0
#: What the sides at +y and -y are called on a bow held upright, and on a crossbow, which lies flat.
UPRIGHT, FLAT = ("upper", "lower"), ("right", "left")


@dataclass(frozen=True)
class Mount:
    """A limb and where it stands on the riser.

    Attributes
    ----------
    name : str
        What the technician calls it.
    limb : Limb
        What bends; it bends towards its own left.
    x, y : ndarray, shape () or (batch,)
        Its root in the bow's frame [m].
    heading : ndarray, shape () or (batch,)
        Direction of its root from +x, counter-clockwise [rad].
    mirrored : bool
        Whether its frame is mirrored, so that it bends towards its right: an upper limb.
    """

    name: str
    limb: Limb
    x: Floats
    y: Floats
    heading: Floats
    mirrored: bool = False


@dataclass(frozen=True)
class Wheel:
    """A wheel or cam that turns freely on an axle at a limb's tip.

    Attributes
    ----------
    name : str
        What the technician calls it.
    limb : int
        Index of the limb whose tip carries the axle [-].
    """

    name: str
    limb: int


@dataclass(frozen=True)
class Reach:
    """A part of a line with one tension: between its ends and the nocking point.

    Attributes
    ----------
    contacts : tuple of Contact
        What it touches, in order.
    natural_length : ndarray, shape () or (batch,)
        Its length without load, from contact to contact along the path [m].
    stiffness : ndarray, shape () or (batch,)
        EA [N].
    """

    contacts: tuple[Contact, ...]
    natural_length: Floats
    stiffness: Floats


@dataclass(frozen=True)
class BowLine:
    """A line on the bow, from its zero end to its far end.

    Attributes
    ----------
    name : str
        What the technician calls it.
    reaches : tuple of Reach
        One, or two that meet at the nocking point.
    """

    name: str
    reaches: tuple[Reach, ...]


@dataclass(frozen=True)
class Stop:
    """What ends the draw: the wheels come up against limbs or cables.

    Wheels may share a stop, which then goes by the mean of their turns.

    Attributes
    ----------
    wheels : tuple of (int, int)
        Index of each wheel, and +1 where it turns counter-clockwise in the draw, -1 where
        clockwise [-].
    limit : ndarray, shape () or (batch,)
        Mean turn of the wheels against their limbs' tips at the touch, each in its sense [rad].
    stiffness : ndarray, shape () or (batch,)
        Torque per angle beyond it, > 0 [N m/rad].
    """

    wheels: tuple[tuple[int, int], ...]
    limit: Floats
    stiffness: Floats


@dataclass(frozen=True)
class Bow:
    """Everything that decides how a bow stands and draws.

    Attributes
    ----------
    mounts : tuple of Mount
        Its limbs.
    wheels : tuple of Wheel
        Its wheels; none on a recurve or longbow.
    lines : tuple of BowLine
        Its string and cables.
    stops : tuple of Stop
        What ends the draw; none where nothing does.
    """

    mounts: tuple[Mount, ...]
    wheels: tuple[Wheel, ...]
    lines: tuple[BowLine, ...]
    stops: tuple[Stop, ...] = ()

    def __post_init__(self) -> None:
        for wheel in self.wheels:
            if not 0 <= wheel.limb < len(self.mounts):
                rule = f"must sit on one of the {len(self.mounts)} limbs"
                raise SpecError(f"wheel {wheel.name}", wheel.limb, rule, "name a limb it sits on")
        for line in self.lines:
            for reach in line.reaches:
                self._check(line.name, reach)

    def tip(self, limb: int) -> int:
        """Body index of a limb's tip.

        Parameters
        ----------
        limb : int
            Index of the limb [-]

        Returns
        -------
        int
            Index among the bodies [-].
        """
        return 1 + limb

    def wheel(self, wheel: int) -> int:
        """Body index of a wheel.

        Parameters
        ----------
        wheel : int
            Index of the wheel [-]

        Returns
        -------
        int
            Index among the bodies [-].
        """
        return 1 + len(self.mounts) + wheel

    @property
    def nock(self) -> int:
        """Body index of the nocking point [-]."""
        return 1 + len(self.mounts) + len(self.wheels)

    def line(self, name: str) -> int:
        """Index of a line by its name.

        Parameters
        ----------
        name : str
            Its name.

        Returns
        -------
        int
            Place among the bow's lines [-].

        Raises
        ------
        SpecError
            If the bow has no such line.
        """
        names = [line.name for line in self.lines]
        if name not in names:
            raise SpecError("line", name, f"must be one of {', '.join(names)}", "name one of them")
        return names.index(name)

    def _check(self, name: str, reach: Reach) -> None:
        if np.any(np.asarray(reach.natural_length) <= 0):
            shortest = float(np.min(reach.natural_length))
            rule = "is too short to run over what it touches"
            raise SpecError(f"line {name}", f"{shortest:.4g} m", rule, "make it longer")
        if np.any(np.asarray(reach.stiffness) <= 0):
            least = float(np.min(reach.stiffness))
            raise SpecError(
                f"line {name}", f"EA {least:.4g} N", "must be stiff", "check the make-up"
            )
        for contact in reach.contacts:
            if not 0 <= contact.body <= self.nock:
                rule = f"touches a body the bow does not have (0 to {self.nock})"
                raise SpecError(f"line {name}", contact.body, rule, "mend its routing")
