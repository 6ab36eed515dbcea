r"""The Y: three members that meet in a throat, and the state in which they lie at rest.

In the plane of the axle and the body's pull, x runs across towards the pin of leg 1 and z along
from the axle's line towards the body's pin::

      pin of leg 2   pin of leg 1
          (o)-----|------(o) ----> x
            \     |     /
             \    |    /
              \   |   /
               throat (x, z)
                  |
                  |          z
                 (o)  pin of the body, pulled along z
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strandwright.fibre.strand_law import FloatArray
from strandwright.line.yoke.member import Member
from strandwright.line.yoke.parts import Frame


@dataclass(frozen=True)
class Tripod:
    """Three members that meet in a throat.

    Attributes
    ----------
    legs : tuple of Member
        Leg 1 and leg 2.
    body : Member
        The body.
    frame : Frame
        The pins.
    """

    legs: tuple[Member, Member]
    body: Member
    frame: Frame

    @property
    def members(self) -> tuple[Member, Member, Member]:
        """Leg 1, leg 2 and body."""
        return (*self.legs, self.body)


@dataclass(frozen=True)
class YokeState:
    """A yoke cable at rest, for every case of a batch.

    Attributes
    ----------
    throat : ndarray
        Shape (B, 2); across towards leg 1, and along from the middle of the axle [m]
    far : ndarray
        Shape (B,); the body's pin, along from the middle of the axle, centre to centre [m]
    distances : ndarray
        Shape (B, 3); throat to the pins' centres: leg 1, leg 2, body [m]
    pulls : ndarray
        Shape (B, 3); pull of leg 1, leg 2 and body, 0 where slack [N]
    toward : ndarray
        Shape (B, 3, 2); unit vectors from the throat to the three pins [-]
    lean : ndarray
        Shape (B,); angle of the axle, positive where the end of leg 1 is nearer the body [rad]
    frame : Frame
        The pins.
    """

    throat: FloatArray
    far: FloatArray
    distances: FloatArray
    pulls: FloatArray
    toward: FloatArray
    lean: FloatArray
    frame: Frame

    @property
    def overall(self) -> FloatArray:
        """Outside of the axle to outside of the body's pin along the pull, shape (B,) [m]."""
        return self.far + 0.5 * (self.frame.leg_pin + self.frame.body_pin)

    @property
    def leg_lengths(self) -> FloatArray:
        """Throat to the outside of each leg's pin, shape (B, 2) [m]."""
        return self.distances[:, :2] + 0.5 * self.frame.leg_pin

    @property
    def to_pins(self) -> FloatArray:
        """Tape laid along the body and each leg, outside to outside, shape (B, 2) [m]."""
        return self.leg_lengths + (self.distances[:, 2] + 0.5 * self.frame.body_pin)[:, None]

    @property
    def throat_run(self) -> FloatArray:
        """Throat from the middle of the axle, along the pull, shape (B,) [m]."""
        return self.throat[:, 1]

    @property
    def leg_angles(self) -> FloatArray:
        """Angle of each leg to the body's line, shape (B, 2) [rad]."""
        line = -self.toward[:, 2]
        legs = self.toward[:, :2]
        turned = legs[..., 0] * line[:, None, 1] - legs[..., 1] * line[:, None, 0]
        return np.abs(np.arctan2(turned, (legs * line[:, None]).sum(axis=2)))

    @property
    def pull_difference(self) -> FloatArray:
        """Pull of leg 1 less that of leg 2, shape (B,) [N]."""
        return self.pulls[:, 0] - self.pulls[:, 1]

    @property
    def side_moment(self) -> FloatArray:
        """Moment of the legs about the middle of the axle, shape (B,) [N m].

        Positive where leg 1 draws its end of the axle towards the body, so that the rim on the
        side away from the body leans towards the pin of leg 1.
        """
        pins = leg_pins(self.frame, self.lean)
        forces = -self.pulls[:, :2, None] * self.toward[:, :2]
        return (pins[..., 0] * forces[..., 1] - pins[..., 1] * forces[..., 0]).sum(axis=1)


def leg_pins(frame: Frame, lean: FloatArray) -> FloatArray:
    """Centres of the leg pins of an axle at an angle.

    Parameters
    ----------
    frame : Frame
        The pins.
    lean : ndarray
        Angle of the axle, shape (B,) [rad]

    Returns
    -------
    ndarray
        Of leg 1 and leg 2, across and along, shape (B, 2, 2) [m]
    """
    half = 0.5 * frame.span * np.stack([np.cos(lean), np.sin(lean)], axis=-1)
    return np.stack([half, -half], axis=1)
