"""Comparison: what the sizes of bows say of the figures that are known, and how they answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.draw_cycle import DrawCycle
from strandwright.bow.figures import figures
from strandwright.bow.following import Followed, follow
from strandwright.bow.knowledge import LOGARITHMIC, Known, Spread
from strandwright.bow.nearby import follow_nearby
from strandwright.bow.parts import FLAT, UPRIGHT
from strandwright.bow.rig import Rig, rows_of
from strandwright.bow.sketch import force_at, sketch, states_of
from strandwright.bow.strung import Strung
from strandwright.bow.systems import Sizes, lay_out, roundest
from strandwright.errors import StrandwrightError

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
#: Change of a size that its slopes are worked out from, in its spread [-].
_NUDGE = 1e-4
_FORCES = frozenset({"limb_stiffness", "string_tension"})


@dataclass(frozen=True)
class Seen:
    """Figures of bows, and the states they were read off.

    Attributes
    ----------
    value : ndarray, shape (bows, figures)
        The figures; not a number where a bow does not stand [SI].
    ok : ndarray of bool, shape (bows,)
        Which bows could be drawn [-].
    followed : Followed
        Their states.
    """

    value: Floats
    ok: Flags
    followed: Followed

    def put(self, rows: NDArray[Any], other: Seen) -> None:
        """Put other bows in place of some.

        Parameters
        ----------
        rows : ndarray of int or of bool
            Bows to replace [-]
        other : Seen
            Those that come in their place.
        """
        self.value[rows], self.ok[rows] = other.value, other.ok
        for field in fields(Followed):
            getattr(self.followed, field.name)[rows] = getattr(other.followed, field.name)


def laid_out(known: Known, sizes: Sizes) -> Strung:
    """Lay bows out at their brace.

    Parameters
    ----------
    known : Known
        How their lines run, and whether they lie on a rail.
    sizes : Sizes
        Their sizes, as a batch.

    Returns
    -------
    Strung
        Without stops.
    """
    return lay_out(known.system, sizes, UPRIGHT if known.rail is None else FLAT)


class Comparison:
    """What members' sizes, each in its spread about its middle, say of the known figures.

    Parameters
    ----------
    known : Known
        What is known.
    prior : Mapping of str to Spread
        Sizes met with, in the order they are given in [unit of the size].
    """

    def __init__(self, known: Known, prior: Mapping[str, Spread]) -> None:
        self.known, self.names = known, tuple(prior)
        self._positive = np.array([name in LOGARITHMIC for name in prior])
        middle = np.array([s.middle for s in prior.values()])
        self._middle = np.where(self._positive, np.log(np.where(self._positive, middle, 1)), middle)
        self._spread = np.array([s.spread for s in prior.values()])
        pairs = [pair for _, pair in known.figures]
        pairs += [(force, u) for _, force, u in known.board]
        self.wanted, self.within = np.array([p[0] for p in pairs]), np.array([p[1] for p in pairs])

    @property
    def count(self) -> int:
        """Figures compared [-]."""
        return len(self.wanted)

    def start(self) -> Floats:
        """Give the middle of the prior, its forces brought to the known weight.

        Returns
        -------
        ndarray, shape (1, sizes)
            Where members begin, in the prior's spread [-]
        """
        x = np.zeros((1, len(self.names)))
        for _ in range(3):
            seen = self.read(x, np.array([self.known.full[0]]))
            if not seen.ok[0]:
                break
            forces = [i for i, n in enumerate(self.names) if n in _FORCES]
            index = [name for name, _ in self.known.figures].index("peak")
            ratio = np.log(self.wanted[index] / seen.value[0, index])
            x[0, forces] += ratio / self._spread[forces]
        return x

    def sizes(self, x: Floats) -> Sizes:
        """Give the sizes of members from their standing in the prior.

        Parameters
        ----------
        x : ndarray, shape (members, sizes)
            In the prior's spread [-]

        Returns
        -------
        Sizes
            Of all members.
        """
        value = self._middle + self._spread * x
        value[:, self._positive] = np.exp(value[:, self._positive])
        named: dict[str, Any] = dict(zip(self.names, value.T.copy(), strict=True))
        ones = np.ones(len(x))
        named |= {name: number * ones for name, number in self.known.exact}
        return Sizes(**named)

    def read(self, x: Floats, full: Floats, strides: int | None = None) -> Seen:
        """Read the figures of members.

        Parameters
        ----------
        x : ndarray, shape (members, sizes)
            In the prior's spread [-]
        full : ndarray, shape (members,)
            Nocking point to pivot at full draw [m]
        strides : int, optional
            Strides of the draw; as many as its length asks for if left out [-]

        Returns
        -------
        Seen
            And which of them could be drawn.
        """
        stands, sizes = np.ones(len(x), dtype=bool), self.sizes(x)
        try:
            standing = laid_out(self.known, sizes)
        except StrandwrightError:
            stands = self._stands(x)
            if not np.any(stands):
                return Seen(np.full((len(x), self.count), np.nan), stands, _nowhere(len(x)))
            # One that cannot even be laid out is stood in for by one that can.
            sizes = self.sizes(x[np.where(stands, np.arange(len(x)), np.argmax(stands))])
            standing = laid_out(self.known, sizes)
        followed = follow(standing.rig, standing.brace, standing.directions, full, strides)
        value = self.figures(standing.rig, followed)
        sound = stands & followed.ok & (roundest(sizes) > 0.0)
        return Seen(value, sound & np.isfinite(value).all(axis=1), followed)

    def slopes(self, x: Floats, seen: Seen) -> Floats:
        """Work out how the figures of members answer to their sizes.

        Parameters
        ----------
        x : ndarray, shape (members, sizes)
            In the prior's spread [-]
        seen : Seen
            What was read there.

        Returns
        -------
        ndarray, shape (members, figures, sizes)
            Change of each figure by each size; 0 where none can be told [SI]
        """
        members, count = x.shape
        moved = np.repeat(x, count, axis=0)
        moved[np.arange(members * count), np.tile(np.arange(count), members)] += _NUDGE
        try:
            rig = laid_out(self.known, self.sizes(np.concatenate([x, moved]))).rig
        except StrandwrightError:
            return self._slopes_halved(x, seen)
        old, new = rig.taken(np.arange(members)), rig.taken(np.arange(members, len(x) + len(moved)))
        value = self.figures(new, follow_nearby(old, seen.followed, new, count))
        change = (value.reshape(members, count, -1) - seen.value[:, None]) / _NUDGE
        return np.where(np.isfinite(change), change, 0.0).swapaxes(1, 2)

    def _slopes_halved(self, x: Floats, seen: Seen) -> Floats:
        if len(x) == 1:
            return np.zeros((1, self.count, x.shape[1]))
        halves = np.array_split(np.arange(len(x)), 2)
        return np.concatenate([self.slopes(x[rows], rows_of(seen, rows)) for rows in halves])

    def _stands(self, x: Floats) -> Flags:
        """Tell which bows can be laid out; a batch with one that cannot is halved."""
        try:
            laid_out(self.known, self.sizes(x))
        except StrandwrightError:
            if len(x) == 1:
                return np.zeros(1, dtype=bool)
            return np.concatenate([self._stands(part) for part in np.array_split(x, 2)])
        return np.ones(len(x), dtype=bool)

    def missed(self, standing: Strung, cycle: DrawCycle, noise: Floats) -> tuple[Floats, Flags]:
        """Give the worst misfit of members drawn, and which of them stand.

        Two wheels alike may run apart before full draw and meet again at it: what is known of
        them midway holds all along, twice as wide. A hybrid's differ, and part as its tracks
        make them.

        Parameters
        ----------
        standing : Strung
            The members.
        cycle : DrawCycle
            Their draws.
        noise : ndarray, shape (members, figures)
            Their own draws of what is known, in standard uncertainties [-]

        Returns
        -------
        worst : ndarray, shape (members,)
            In standard uncertainties [-].
        stands : ndarray of bool, shape (members,)
            Whether a member stands all along its draw [-].
        """
        states = states_of(cycle)
        off = (self.figures(standing.rig, states) - self.wanted) / self.within - noise
        worst = np.abs(off).max(axis=1)
        midway = dict(self.known.figures).get("timing_midway")
        if midway is not None and self.known.system != "hybrid-cam":
            parted = np.abs(figures(cycle).timing - midway[0]).max(axis=1)
            worst = np.maximum(worst, parted / (2.0 * midway[1]))
        return worst, states.ok

    def figures(self, rig: Rig, followed: Followed) -> Floats:
        """Give the figures compared, off states that were followed.

        Parameters
        ----------
        rig : Rig
            The bows.
        followed : Followed
            Their states.

        Returns
        -------
        ndarray, shape (bows, figures)
            In the order they are known in, then the forces of the draw board [SI]
        """
        read = sketch(rig, followed)
        columns = [getattr(read, name) for name, _ in self.known.figures]
        if self.known.board:
            draws = np.array([draw for draw, _, _ in self.known.board])
            columns += list(force_at(followed, np.tile(draws, (len(followed.q), 1))).T)
        return np.stack(columns, axis=1)


def _nowhere(bows: int) -> Followed:
    none = np.zeros((bows, 0))
    states = none[..., None]
    return Followed(none, states, states, none, none, states, np.zeros(bows, dtype=bool))
