"""The balance of a twisted bundle: what its strands carry at a length.

Written for every strand, or for a few that stand for all: what taut strands carry is smooth in
the square of their radius, and its mean over seven to twelve places, chosen and weighted by
:func:`~strandwright.numerics.few_points.few_points`, is that over all to the last digits. The
strands within some radius are slack: for what they would carry the weights leave out what the
places stand for there.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from strandwright.fibre.strand_law import FloatArray, strand_slope, strand_tension
from strandwright.fibre.strand_set import StrandSet
from strandwright.numerics.few_points import FewPoints

#: How many places stand for all up to which square of the slope of the outermost helix: a load
#: then misses by less than 2e-13 of what the strands carry at a strain of 1, for 4 to 200 strands
_FEW = ((7, 0.025), (8, 0.05), (9, 0.09), (10, 0.15), (12, 0.25))
#: How far over that the slope may get as the twist shortens the span, squared [-]
_STEEPER = 1.2


@dataclass(frozen=True)
class Balance:
    """What the strands of a batch of spans do at a length; the strands stand on the first axis.

    With :math:`c_i` the cosine of a strand's helix angle and m the mean of :math:`1/c_i`, the
    ratio of path to natural length is :math:`(L/l_0)/g_i`, :math:`g_i = (1-s)c_i + s/m`.

    Attributes
    ----------
    natural : ndarray
        Shape (...); natural length of the strands [m]
    around : ndarray
        Shape (...); square of what the bundle's surface goes about the axis in the span [m^2]
    squares : ndarray
        Shape (n, ...); square of each strand's radius over the bundle radius [-]
    strands : StrandSet
        The strands.
    points : FewPoints or None
        The few that stand for all, None where they are all there.
    steepest : float
        Square of the slope of the outermost helix up to which they do [-]
    """

    natural: FloatArray
    around: FloatArray
    squares: FloatArray
    strands: StrandSet
    points: FewPoints | None
    steepest: float

    @classmethod
    def whole(
        cls, natural: FloatArray, around: FloatArray, strands: StrandSet, axes: int
    ) -> Balance:
        """Give the balance of every strand.

        Parameters
        ----------
        natural : ndarray
            Natural length of the strands [m]
        around : ndarray
            Square of what the bundle's surface goes about the axis [m^2]
        strands : StrandSet
            The strands.
        axes : int
            Axes of the batch at least [-]

        Returns
        -------
        Balance
            The balance.
        """
        squares = strands.radii * strands.radii
        if squares.ndim == 1:
            squares = _first(squares, max(axes, around.ndim, strands.share.ndim))
        else:
            squares = np.moveaxis(squares, -1, 0)
        return cls(natural, around, squares, strands, None, np.inf)

    @classmethod
    def few(
        cls, natural: FloatArray, around: FloatArray, strands: StrandSet, straight: FloatArray
    ) -> Balance | None:
        """Give the balance of a few strands that stand for all, where there are such.

        Parameters
        ----------
        natural : ndarray
            Natural length of the strands [m]
        around : ndarray
            Square of what the bundle's surface goes about the axis [m^2]
        strands : StrandSet
            The strands.
        straight : ndarray
            Length without turns, in the shape of the batch [m]

        Returns
        -------
        Balance or None
            The balance; None where all of them are no more, or the twist is too steep.
        """
        steepest = float((around / (straight * straight)).max())
        for count, steep in _FEW:
            if strands.radii.ndim > 1 or count >= strands.count:
                return None
            if steepest <= steep:
                points = strands.few(count)
                axes = max(straight.ndim, around.ndim, strands.share.ndim)
                places = _first(points.places, axes)
                return cls(natural, around, places, strands, points, _STEEPER * steep)
        return None

    @cached_property
    def _weights(self) -> FloatArray:
        """Share of all strands that each of the few stands for."""
        assert self.points is not None
        return _first(self.points.weights, self.squares.ndim - 1)

    def mean(self, values: FloatArray) -> FloatArray:
        """Mean over the strands of what is smooth in their radius.

        Parameters
        ----------
        values : ndarray
            Shape (n, ...); of each strand [any unit]

        Returns
        -------
        ndarray
            Shape (...) [unit of the values]
        """
        if self.points is None:
            return np.add.reduce(values) / self.strands.count
        return np.add.reduce(self._weights * values)

    def shared_length(self, straight: FloatArray) -> FloatArray:
        """Length if the strands share, near the straight length.

        They carry more along themselves than along the line, as much more as their paths are
        longer, and stretch the more for it.

        Parameters
        ----------
        straight : ndarray
            Length without turns [m]

        Returns
        -------
        ndarray
            Length, shape (...) [m]
        """
        path = np.sqrt(1.0 + self.squares * (self.around / (straight * straight)))
        longer = self.mean(path)
        return (straight + (straight - self.natural) * (longer - 1.0)) / longer

    def at(self, length: FloatArray) -> Carried:
        """Give what the strands carry at a length.

        Parameters
        ----------
        length : ndarray
            Length of the span, shape (...) [m]

        Returns
        -------
        Carried
            Load, strains and pulls, and their slopes.
        """
        share = self.strands.share
        slope_square = self.around / (length * length)
        steep = self.squares * slope_square
        steep += 1.0
        path = np.sqrt(steep)
        cosine = 1.0 / path
        mean = self.mean(path)
        even = share / mean
        # Slope of g: paths shorten as the span lengthens, and with them the shares.
        even_slope = even * (self.mean(cosine) / mean)
        own = (1.0 - share) * cosine
        divisor = own + even
        longer = length / self.natural
        strain = longer / divisor
        own /= steep
        own += even_slope
        own *= strain
        own /= divisor
        strain -= 1.0
        tension, slope = _law(strain, self.strands, cut=self.points is None)
        pull = tension * cosine
        # The pull's slope: by the strain, and by the cosine that grows as the helix opens.
        slope *= own
        tension /= steep
        slope -= tension
        slope *= cosine
        slope += pull
        bearing = self._bearing(strain, longer - even, slope_square)
        load, load_slope = np.add.reduce(bearing * pull), np.add.reduce(bearing * slope)
        return Carried(load, load_slope, strain, pull, slope, cosine, bearing)

    def pull_by_strain(self, carried: Carried) -> FloatArray:
        """Slope of each strand's pull with the logarithm of the length by its strain alone.

        Parameters
        ----------
        carried : Carried
            What the strands carry.

        Returns
        -------
        ndarray
            Shape (n, ...); the helix angles held [N]
        """
        _, slope = _law(carried.strain, self.strands, cut=self.points is None)
        return slope * (1.0 + carried.strain) * carried.cosine

    def _bearing(
        self, strain: FloatArray, own: FloatArray, slope_square: FloatArray
    ) -> FloatArray | float:
        """What share of all strands each stands for that is taut.

        ``own`` is (1 - s) times the cosine of the strand that just hangs slack: by that cosine and
        the slope of the surface its radius is known.
        """
        if self.points is None:
            return 1.0 / self.strands.count
        if strain[0].min() > 0.0:
            return self._weights
        inner, outer = strain[0] > 0.0, strain[-1] > 0.0
        slack = np.where(inner, -1.0, np.inf)
        square, own_square = np.square(1.0 - self.strands.share), own * own
        over = own_square * slope_square
        np.divide(square - own_square, over, out=slack, where=outer & ~inner)
        first = self.points.cloud.searchsorted(slack, side="right")
        return self.points.onward.take(first, axis=1)


def _first(values: FloatArray, axes: int) -> FloatArray:
    """Values of strands, on the first axis before so many of a batch."""
    return values.reshape((-1,) + (1,) * axes)


@dataclass(frozen=True)
class Carried:
    """What the strands of a bundle carry at a length.

    Attributes
    ----------
    load : ndarray
        Shape (...); load along the line over the number of strands [N]
    load_slope : ndarray
        Shape (...); its slope with the logarithm of the length [N]
    strain : ndarray
        Shape (n, ...); strain of each strand, negative where slack [-]
    pull : ndarray
        Shape (n, ...); its load along the line [N]
    pull_slope : ndarray
        Shape (n, ...); slope of the pull [N]
    cosine : ndarray
        Shape (n, ...); cosine of its helix angle [-]
    bearing : ndarray or float
        Shape (n, ...); what share of all strands each stands for that is taut [-]
    """

    load: FloatArray
    load_slope: FloatArray
    strain: FloatArray
    pull: FloatArray
    pull_slope: FloatArray
    cosine: FloatArray
    bearing: FloatArray | float

    def mean(self, values: FloatArray) -> FloatArray:
        """Mean over all strands of what taut ones alone have.

        Parameters
        ----------
        values : ndarray
            Shape (n, ...); of each strand [any unit]

        Returns
        -------
        ndarray
            Shape (...) [unit of the values]
        """
        return np.add.reduce(self.bearing * values)


def _law(strain: FloatArray, strands: StrandSet, *, cut: bool) -> tuple[FloatArray, FloatArray]:
    """Tension and slope of the law, written out for strains short of the break.

    Where it is not cut it goes on below no strain, as smooth as above.
    """
    # A strain that is no number takes the general way.
    if cut and not strain.max() <= strands.break_strain:
        return strand_tension(strain, *strands.law), strand_slope(strain, *strands.law)
    bend = strands.stiffness * ((strands.softening - 1.0) / strands.break_strain)
    all_taut = not cut or strain.min() > 0.0
    taut = strain if all_taut else np.maximum(strain, 0.0)
    bent = bend * taut
    tension = strands.stiffness * strands.softening - bent
    slope = tension - bent
    tension *= taut
    if not all_taut:
        slope *= strain > 0.0
    return tension, slope
