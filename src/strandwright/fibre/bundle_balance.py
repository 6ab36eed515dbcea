"""The balance of a twisted bundle with its load: at which length its strands carry it.

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
from numpy.typing import NDArray

from strandwright.fibre.strand_law import FloatArray, strand_slope, strand_tension
from strandwright.fibre.strand_set import StrandSet
from strandwright.numerics.few_points import FewPoints

_ITERATIONS = 40
_RELATIVE = 1e-13
#: Plain steps are tried so often
_PLAIN = 12
#: Step over which length, strains and pulls are carried by their slopes; what that leaves is its
#: square times some fifty: 1e-12 of the length at most
_CARRIED = 1e-7
#: How many places stand for all up to which square of the slope of the outermost helix: a load
#: then misses by less than 1e-13 of what the strands carry at a strain of 1, for 4 to 200 strands
_FEW = ((7, 0.025), (9, 0.09), (12, 0.25))
#: How far over that the slope may get as the twist shortens the span, squared [-]
_STEEPER = 1.2
#: Share of the break strain up to which the outermost strand surely follows its law [-]
_WHOLE = 1.0 - 1e-6


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


@dataclass(frozen=True)
class Found:
    """A span that balances its load.

    Attributes
    ----------
    balance : Balance
        What its strands do.
    length : ndarray
        Shape (...); length along the line [m]
    last : Carried
        What the strands carried before the last step.
    step : ndarray
        Shape (...); that step, next to nothing: change of the logarithm of the length [-]
    """

    balance: Balance
    length: FloatArray
    last: Carried
    step: FloatArray

    @property
    def moment(self) -> FloatArray:
        """Pulls times squared radii over that of the bundle, over all strands, shape (...) [N]."""
        pull = self.last.pull + self.step * self.last.pull_slope
        return self.balance.strands.count * self.last.mean(pull * self.balance.squares)

    def slopes(self) -> tuple[FloatArray, FloatArray]:
        """Slopes of the logarithms of length and moment with that of the turns, the load held.

        Returns
        -------
        tuple of ndarray
            Of the length and of the moment, shape (...) [-]

        Notes
        -----
        Turns and length come in by the helix angles, of which a share of length counts as much
        as two of turns squared the other way, and the length by the strains besides.
        """
        last, squares = self.last, self.balance.squares
        by_strain = self.balance.pull_by_strain(last)
        by_turns = by_strain - last.pull_slope
        shorter = -last.mean(by_turns) / last.load_slope
        moment = last.mean((by_turns + shorter * last.pull_slope) * squares)
        return shorter, moment / last.mean(last.pull * squares)

    def beyond_few(self) -> NDArray[np.bool_]:
        """Where few strands could not stand for all: the outermost breaks, or is too steep.

        Returns
        -------
        ndarray of bool
            Shape (...).
        """
        balance = self.balance
        whole = self.last.strain[-1] < _WHOLE * balance.strands.break_strain
        return ~(whole & (balance.around <= balance.steepest * np.square(self.length)))


def balanced(
    balance: Balance, load: FloatArray, straight: FloatArray, start: FloatArray | None
) -> Found:
    """Find the length at which a bundle carries a load.

    Parameters
    ----------
    balance : Balance
        The bundle.
    load : ndarray
        Load along the line, shape (...) [N]
    straight : ndarray
        Length without turns [m]
    start : ndarray or None
        Length to begin from [m]

    Returns
    -------
    Found
        The span.
    """
    plain = plainly_balanced(balance, load, straight, start)
    return plain or _bounded(balance, load, straight)


def plainly_balanced(
    balance: Balance, load: FloatArray, straight: FloatArray, start: FloatArray | None
) -> Found | None:
    """Find the length by Newton's plain steps.

    The last step is so small that strains and pulls are carried over it by their slopes.

    Parameters
    ----------
    balance : Balance
        The bundle.
    load : ndarray
        Load along the line, shape (...) [N]
    straight : ndarray
        Length without turns [m]
    start : ndarray or None
        Length to begin from, where strands are taut at it [m]

    Returns
    -------
    Found or None
        The span; None where the steps do not close in.
    """
    each = load / balance.strands.count
    length = balance.shared_length(straight) if start is None else start
    now = balance.at(length)
    if start is not None and not now.load_slope.min() > 0.0:
        length = np.where(now.load_slope > 0.0, length, balance.shared_length(straight))
        now = balance.at(length)
    for _ in range(_PLAIN):
        if not now.load_slope.min() > 0.0:
            return None
        step = (each - now.load) / now.load_slope
        length = length * (1.0 + step)
        if not np.abs(step).max() > _CARRIED:
            return Found(balance, length, now, step)
        now = balance.at(length)
    return None


def _bounded(balance: Balance, load: FloatArray, straight: FloatArray) -> Found:
    """Do it by Newton between the longest length known too short and the shortest too long."""
    each = load / balance.strands.count
    length = balance.shared_length(straight)
    low, high = 0.5 * length, straight
    now, step = balance.at(length), np.zeros_like(length)
    for _ in range(_ITERATIONS):
        miss = now.load - each
        low, high = np.where(miss < 0.0, length, low), np.where(miss > 0.0, length, high)
        new = _next_length(length, miss, now.load_slope, low, high)
        step = new / length - 1.0
        length = new
        if not (np.abs(step) > _RELATIVE).any():
            break
        now = balance.at(length)
    return Found(balance, length, now, step)


def _next_length(
    length: FloatArray, miss: FloatArray, slope: FloatArray, low: FloatArray, high: FloatArray
) -> FloatArray:
    """Newton's next length, or the middle of the bracket where a step cannot be trusted.

    A softening law makes steps too long: some land where every strand is slack.
    """
    trial = length * (1.0 - miss / np.where(slope > 0.0, slope, 1.0))
    trusted = (slope > 0.0) & (trial >= low) & (trial <= high)
    return np.where(trusted | (miss == 0.0), trial, 0.5 * (low + high))


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
