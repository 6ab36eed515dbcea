r"""Mode waves: the swing of a mode as exponentials in each section, and exact integrals of it.

Every part of a swing is :math:`c\,e^{\lambda x}` with some complex :math:`\lambda`, so that any
derivative of it, and the integral of the product of two, is had in closed form.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from strandwright.vibration.phases import sines
from strandwright.vibration.sounding_line import SoundingLine
from strandwright.vibration.stiff_modes import in_two, stiff_parts

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]
#: Places along a section, as shares of it, from which its crests are sought, and how many are.
_NET, _CRESTS = np.linspace(0.0, 1.0, 65), 8


@dataclass(frozen=True)
class ModeWaves:
    """How modes swing, section by section.

    Attributes
    ----------
    line : SoundingLine
        The line; where it resists bending and has one section, that is parted in two.
    omega : ndarray, shape (batch, modes)
        Angular frequencies [rad/s].
    rate : ndarray of complex, shape (batch, modes, sections, waves)
        How each part grows along its section [1/m].
    near, far : ndarray of complex, shape (batch, modes, sections, waves)
        Each part where its section starts, and where it ends [-].
    """

    line: SoundingLine
    omega: Floats
    rate: Complexes
    near: Complexes
    far: Complexes

    def at(self, places: Floats, derivative: int = 0) -> Floats:
        """Give the swing at places along the line.

        Parameters
        ----------
        places : ndarray, shape (places,)
            From the start [m]
        derivative : int
            How many times it is derived along the line [-]

        Returns
        -------
        ndarray, shape (batch, modes, places)
            The swing, to the scale of the mode [-], or a derivative of it [1/m], [1/m^2]
        """
        out = np.zeros((*self.omega.shape, len(places)))
        edge, last = np.zeros(self.line.cases), self.rate.shape[2] - 1
        for i in range(last + 1):
            long = self.line.length[:, i]
            along = places[None, :] - edge[:, None]
            here = (along >= 0.0) & ((along <= long[:, None]) | (i == last))
            inside = np.clip(along, 0.0, long[:, None])[:, None, :]
            (parts,) = self._inside(i, inside, (derivative,))
            out = np.where(here[:, None, :], parts, out)
            edge = edge + long
        return out

    def _inside(self, i: int, along: Floats, derivatives: tuple[int, ...]) -> list[Floats]:
        """Give the swing and what is derived of it along one section, (batch, modes, places)."""
        rate = self.rate[:, :, i, None, :]
        fades = rate.real > 0.0
        # Each from the end at which it is largest.
        grown = np.exp(np.where(fades, 0.0, rate) * along[..., None])
        left = along - self.line.length[:, i, None, None]
        shrunk = np.exp(np.where(fades, rate, 0.0) * left[..., None]) if np.any(fades) else grown
        near, far = self.near[:, :, i, None, :], self.far[:, :, i, None, :]
        parts = np.where(fades, shrunk * far, grown * near)
        return [(parts * rate**d).sum(axis=-1).real for d in derivatives]

    def largest(self) -> Floats:
        """Give how far each mode swings where it swings most.

        Returns
        -------
        ndarray, shape (batch, modes)
            Deflection to the scale of the mode, > 0 [-]
        """
        start, stop = self.joints()
        best = np.maximum(np.abs(start), np.abs(stop)).max(axis=-1)
        if not self.line.stiff:
            # Of a sine, a crest is there if its phase passes a quarter turn.
            turned = np.angle(self.near[..., 0]) / np.pi
            gained = self.rate[..., 0].imag * self.line.length[:, None, :] / np.pi
            crest = np.floor(turned + gained) > np.floor(turned)
            size = 2.0 * np.abs(self.near[..., 0])
            return np.maximum(best, np.where(crest, size, 0.0).max(axis=-1))
        for i in range(self.rate.shape[2]):
            best = np.maximum(best, self._crests(i))
        return best

    def _crests(self, i: int) -> Floats:
        """Give how far each mode swings at the highest crest within one section."""
        long = self.line.length[:, i, None, None]
        step = long * _NET[1]
        along = np.broadcast_to(long * _NET, (*self.omega.shape, len(_NET)))
        swing, slope, bow = self._inside(i, along, (0, 1, 2))
        rest = np.abs(slope) / np.where(bow == 0.0, np.inf, np.abs(bow))
        # Crests may be all but alike: the likeliest are gone to, each from the place nearest it.
        likely = np.abs(swing) + np.where(swing * bow < 0.0, 0.5 * np.abs(slope), 0.0) * np.minimum(
            rest, step
        )
        few = np.argpartition(likely, -_CRESTS, axis=-1)[..., -_CRESTS:]
        place = np.take_along_axis(along, few, axis=-1)
        best = np.abs(swing).max(axis=-1)
        for _ in range(4):
            swing, slope, bow = self._inside(i, place, (0, 1, 2))
            best = np.maximum(best, np.abs(swing).max(axis=-1))
            move = slope / np.where(bow == 0.0, np.inf, bow)
            place = np.clip(place - np.clip(move, -step, step), 0.0, long)
        return best

    def joints(self, derivative: int = 0) -> tuple[Floats, Floats]:
        """Give the swing where each section starts, and where it ends.

        Parameters
        ----------
        derivative : int
            How many times it is derived along the line [-]

        Returns
        -------
        (ndarray, ndarray), shape (batch, modes, sections)
            The swing [-], or a derivative of it [1/m], [1/m^2]
        """
        by = self.rate**derivative
        return (self.near * by).sum(axis=-1).real, (self.far * by).sum(axis=-1).real

    def squares(self, derivative: int = 0) -> Floats:
        """Give the integral of the square of each mode's swing over each section.

        Parameters
        ----------
        derivative : int
            How many times the swing is derived along the line first [-]

        Returns
        -------
        ndarray, shape (batch, modes, sections)
            Integral [m], or of a derivative [1/m], [1/m^3]
        """
        return self._integrals(self, derivative)

    def products(self, derivative: int = 0) -> Floats:
        """Give the integral of the product of each two modes over each section.

        Parameters
        ----------
        derivative : int
            How many times the swings are derived along the line first [-]

        Returns
        -------
        ndarray, shape (batch, modes, modes, sections)
            Integral [m], or of a derivative [1/m], [1/m^3]
        """
        one = ModeWaves(
            self.line,
            self.omega[:, :, None],
            *(v[:, :, None] for v in (self.rate, self.near, self.far)),
        )
        other = ModeWaves(
            self.line,
            self.omega[:, None, :],
            *(v[:, None, :] for v in (self.rate, self.near, self.far)),
        )
        return one._integrals(other, derivative)

    def _integrals(self, other: ModeWaves, derivative: int) -> Floats:
        extra = (1,) * (self.rate.ndim - 3)
        long = self.line.length.reshape(self.line.cases, *extra, -1)[..., None, None]
        one, two = self.rate[..., :, None], other.rate[..., None, :]
        turns = (one + two) * long
        fades = turns.real > 0.0
        ends = np.where(
            fades,
            self.far[..., :, None] * other.far[..., None, :],
            self.near[..., :, None] * other.near[..., None, :],
        )
        parts = (
            ends * (one * two) ** derivative * long * _mean_growth(np.where(fades, -turns, turns))
        )
        return parts.sum(axis=(-2, -1)).real

    def scaled(self) -> ModeWaves:
        """Give the modes each to such a scale that its mass is one.

        Returns
        -------
        ModeWaves
            Integral of mass times square of the swing, weights included, is 1 [kg].
        """
        start, _ = self.joints()
        mass = (self.line.mass_per_length[:, None, :] * self.squares()).sum(axis=-1)
        mass = mass + (self.line.weight[:, None, :] * start[..., 1:] ** 2).sum(axis=-1)
        by = 1.0 / np.sqrt(mass)[..., None, None]
        return ModeWaves(self.line, self.omega, self.rate, self.near * by, self.far * by)


def mode_waves(line: SoundingLine, frequency: Floats) -> ModeWaves:
    """Give how modes of a line swing.

    Parameters
    ----------
    line : SoundingLine
        One line or a batch.
    frequency : ndarray, shape (batch, modes)
        Of its modes, as :func:`strandwright.vibration.modes.modes` finds them [Hz]

    Returns
    -------
    ModeWaves
        To any scale.
    """
    omega = 2.0 * np.pi * frequency
    if not line.stiff:
        case = np.repeat(np.arange(line.cases), omega.shape[1])
        found = sines(line, case, omega.ravel())
        turn = np.exp(1j * found.phase) * found.size * -0.5j
        number = 1j * found.number
        reach = np.exp(number * line.length[case]) * turn
        waves = [np.stack([v, np.conj(v)], axis=-1) for v in (number, turn, reach)]
        return _made(line, omega, *waves)
    waves, parts = stiff_parts(line, omega)
    turning = 0.5 * (parts[..., 2] - 1j * parts[..., 3])
    number, faded = 1j * waves.turning, waves.faded
    reach = turning * np.exp(number * waves.long)
    rate = np.stack([-waves.fading, waves.fading, number, np.conj(number)], axis=-1)
    near = np.stack([parts[..., 0], parts[..., 1] * faded, turning, np.conj(turning)], axis=-1)
    far = np.stack([parts[..., 0] * faded, parts[..., 1], reach, np.conj(reach)], axis=-1)
    return _made(in_two(line), omega, rate, near, far)


def _made(line: SoundingLine, omega: Floats, *waves: NDArray[np.generic]) -> ModeWaves:
    """Put rate and ends of all rows' waves in order of case and mode."""
    shape = (*omega.shape, *waves[0].shape[1:])
    rate, near, far = (np.asarray(v, dtype=np.complex128).reshape(shape) for v in waves)
    return ModeWaves(line, omega, rate, near, far)


def _mean_growth(turns: Complexes) -> Complexes:
    """Mean of an exponential over a section by how much it grows there, (e^z - 1)/z."""
    small = turns == 0.0
    safe = np.where(small, 1.0, turns)
    return np.asarray(np.where(small, 1.0, np.expm1(safe) / safe), dtype=np.complex128)
