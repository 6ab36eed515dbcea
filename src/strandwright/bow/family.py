r"""The family of bows that agree with what is known of one whose wheels nobody has measured.

Each member starts from its own draw of the prior (sizes met with on such bows) and is fitted to
its own draw of what is known, each with its +-: it takes the least

.. math:: \tfrac12 |x - x_i|^2 + \tfrac12 \sum_k \bigl((f_k(x) - y_{k,i})/u_k\bigr)^2,

:math:`x` the sizes in units of their prior's spread. Members so found are draws of what the
knowledge leaves open, exactly so where f is straight (randomise, then optimise: Bardsley,
Solonen, Haario and Laine, SIAM J. Sci. Comput. 36 (2014)). All members are fitted at once.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.draw_cycle import DrawCycle, draw_cycle
from strandwright.bow.equilibrium import Trouble
from strandwright.bow.figures import Figures, figures
from strandwright.bow.following import Followed, follow
from strandwright.bow.parts import FLAT, UPRIGHT
from strandwright.bow.rig import rows_of
from strandwright.bow.sketch import force_at, sketch, states_of
from strandwright.bow.strung import Strung
from strandwright.bow.systems import Sizes, System, lay_out, roundest, stopped
from strandwright.errors import SpecError, StrandwrightError

Floats = NDArray[np.float64]
#: Sizes that are positive, so that their logarithm is spread.
LOGARITHMIC = frozenset(
    {
        "link", "limb_stiffness", "string_tension", "string_lever", "cable_lever",
        "control_lever", "follower_lever", "turn",
    }
)  # fmt: skip
#: States of the draw that finds where the wheels stand at the wall.
_POINTS = 9
_STEPS = 30
#: Steps before which every slope is worked out anew; between them, steps teach them.
_ANEW = (3, 7)
_NUDGE = 2e-3
#: Misfit in standard uncertainties past which a member does not agree with what is known.
_AGREES = 3.0


@dataclass(frozen=True)
class Spread:
    """What is met with on bows of a kind: a middle and a spread.

    Attributes
    ----------
    middle : float
        Median [unit of the size].
    spread : float
        Standard deviation; of the logarithm, so relative, for a size that is positive [unit].
    """

    middle: float
    spread: float


@dataclass(frozen=True)
class Known:
    """What is known of the bow.

    Attributes
    ----------
    system : str
        How its lines run.
    exact : tuple of (str, float)
        Sizes that are taken as known: axle-to-axle, brace height, nock height, EA of the lines,
        their thickness, the idler [SI].
    figures : tuple of (str, (float, float))
        Figures of the draw with their standard uncertainties: ``peak``, ``holding``,
        ``stored_energy``, ``axle_to_axle_drawn``; and how far the nocking point strays and the
        wheels part, ``nock_travel``, ``timing``, each also ``_midway``; how far the limbs are
        bent at brace, ``limb_bend`` [SI].
    full : (float, float)
        Nocking point to pivot at full draw, and its standard uncertainty, both [m].
    board : tuple of (float, float, float)
        Draw board: draw from the pivot [m], force and its standard uncertainty [N].
    rail : (float, float) or None
        Width of the rail a crossbow's string slides on, and its standard uncertainty; None for a
        bow held upright, which draws to a wall. A crossbow ends at its latch, wherever its wheels
        then are [m].
    """

    system: System
    exact: tuple[tuple[str, float], ...]
    figures: tuple[tuple[str, tuple[float, float]], ...]
    full: tuple[float, float]
    board: tuple[tuple[float, float, float], ...] = ()
    rail: tuple[float, float] | None = None


@dataclass(frozen=True)
class Family:
    """Bows that agree with what is known.

    Attributes
    ----------
    known : Known
        What they agree with.
    strung : Strung
        The members, as a batch, at their braces.
    cycle : DrawCycle
        Their draws.
    figures : Figures
        Their figures.
    sizes : Sizes
        Their sizes.
    misfit : ndarray, shape (members,)
        Worst misfit of each member, in standard uncertainties [-].
    tried : int
        Members begun; those that did not come to agree are left out [-].
    """

    known: Known
    strung: Strung
    cycle: DrawCycle
    figures: Figures
    sizes: Sizes
    misfit: Floats
    tried: int

    @property
    def members(self) -> int:
        """How many bows [-]."""
        return len(self.misfit)


def fit_family(
    known: Known, prior: Mapping[str, Spread], members: int = 64, seed: int = 1
) -> Family:
    """Find bows that agree with what is known.

    Parameters
    ----------
    known : Known
        What is known.
    prior : Mapping of str to Spread
        Sizes met with, for every size that is not exact; tension at brace and limb stiffness
        are refined to the known weight at once, so theirs may be rough.
    members : int
        Bows to look for, >= 4 [-]
    seed : int
        Of the draws; the same seed gives the same family [-]

    Returns
    -------
    Family
        At least a quarter of the members asked for.

    Raises
    ------
    SpecError
        If hardly any bow of this kind agrees with what is known.
    """
    names = tuple(prior)
    middle, spread = _scales(prior)
    rng = np.random.default_rng(seed)
    own = rng.standard_normal((members, len(names)))
    fit = _Fit(known, names, middle, spread)
    noise = rng.standard_normal((members, fit.count))
    full = known.full[0] + known.full[1] * rng.standard_normal(members)
    x, misfit = _descend(fit, fit.start(members), own, noise, full)
    good = misfit < _AGREES
    _refuse_few(int(np.count_nonzero(good)), members)
    sizes = fit.sizes(x[good])
    standing, cycle = drawn(known, sizes, full[good])
    # Where wheels run apart, what was followed need not be the bow that stands there.
    misfit, stands = fit.missed(standing, cycle, noise[good])
    family = Family(known, standing, cycle, figures(cycle), sizes, misfit, members)
    rows = np.flatnonzero(stands & (misfit < _AGREES))
    _refuse_few(len(rows), members)
    return family if len(rows) == len(misfit) else taken(family, rows)


def _refuse_few(agree: int, members: int) -> None:
    if agree < members // 4:
        raise SpecError(
            "bow",
            f"{agree} of {members}",
            "bows of this kind agree with axle-to-axle, brace, draw length, weight and let-off",
            "check these numbers and the kind of bow, or give them a wider +-",
        )


def drawn(known: Known, sizes: Sizes, full: Floats) -> tuple[Strung, DrawCycle]:
    """Lay bows out and draw them, a bow held upright to stops that it meets there.

    Parameters
    ----------
    known : Known
        How their lines run, and whether they lie on a rail.
    sizes : Sizes
        Their sizes, as a batch.
    full : ndarray, shape (bows,)
        Nocking point to pivot at full draw [m]

    Returns
    -------
    standing : Strung
        The bows at brace, with their stops where they have any.
    cycle : DrawCycle
        Their draws to the wall or the latch. A bow that would not stand all the way without its
        stops, which push at the wall only, is in trouble.
    """
    free = _laid_out(known, sizes)
    if known.rail is not None:
        return free, draw_cycle(free.rig, free.brace, free.directions, full).value
    last = draw_cycle(free.rig, free.brace, free.directions, full, _POINTS).value
    standing = stopped(free, last.q[:, -1])
    cycle = draw_cycle(standing.rig, standing.brace, standing.directions, full).value
    met = (b if a is Trouble.NONE else a for a, b in zip(last.trouble, cycle.trouble, strict=True))
    return standing, replace(cycle, trouble=tuple(met))


def _laid_out(known: Known, sizes: Sizes) -> Strung:
    return lay_out(known.system, sizes, UPRIGHT if known.rail is None else FLAT)


def _scales(prior: Mapping[str, Spread]) -> tuple[Floats, Floats]:
    middle = [np.log(s.middle) if n in LOGARITHMIC else s.middle for n, s in prior.items()]
    return np.array(middle), np.array([s.spread for s in prior.values()])


@dataclass
class _Fit:
    """What a member's sizes say of the known figures."""

    known: Known
    names: tuple[str, ...]
    middle: Floats
    spread: Floats
    wanted: Floats = field(init=False)
    within: Floats = field(init=False)

    def __post_init__(self) -> None:
        pairs = [pair for _, pair in self.known.figures]
        pairs += [(force, u) for _, force, u in self.known.board]
        self.wanted, self.within = np.array([p[0] for p in pairs]), np.array([p[1] for p in pairs])

    @property
    def count(self) -> int:
        """Figures compared [-]."""
        return len(self.wanted)

    def start(self, members: int) -> Floats:
        """Middle of the prior, its forces brought to the known weight, one row a member."""
        x = np.zeros((1, len(self.names)))
        for _ in range(3):
            value, ok = self.read(x, np.array([self.known.full[0]]))
            if not ok[0]:
                break
            forces = [i for i, n in enumerate(self.names) if n in _FORCES]
            index = [name for name, _ in self.known.figures].index("peak")
            ratio = np.log(self.wanted[index] / value[0, index])
            x[0, forces] += ratio / self.spread[forces]
        return np.repeat(x, members, axis=0)

    def sizes(self, x: Floats) -> Sizes:
        """Sizes of members from their standing in the prior."""
        value = self.middle + self.spread * x
        named: dict[str, Any] = {
            name: np.exp(value[:, i]) if name in LOGARITHMIC else value[:, i]
            for i, name in enumerate(self.names)
        }
        ones = np.ones(len(x))
        named |= {name: number * ones for name, number in self.known.exact}
        return Sizes(**named)

    def read(self, x: Floats, full: Floats) -> tuple[Floats, NDArray[np.bool_]]:
        """Figures of members, and which of them could be drawn."""
        sizes = self.sizes(x)
        try:
            standing = _laid_out(self.known, sizes)
        except StrandwrightError:
            return self._halved(x, full)
        followed = follow(standing.rig, standing.brace, standing.directions, full)
        seen = self._seen(standing, followed)
        sound = followed.ok & (roundest(sizes) > 0.0)
        return seen, sound & np.isfinite(seen).all(axis=1)

    def missed(
        self, standing: Strung, cycle: DrawCycle, noise: Floats
    ) -> tuple[Floats, NDArray[np.bool_]]:
        """Worst misfit of members drawn, in standard uncertainties, and which of them stand.

        Two wheels alike may run apart before full draw and meet again at it: what is known of
        them midway holds all along, twice as wide. A hybrid's differ, and part as its tracks
        make them.
        """
        states = states_of(cycle)
        off = (self._seen(standing, states) - self.wanted) / self.within - noise
        worst = np.abs(off).max(axis=1)
        midway = dict(self.known.figures).get("timing_midway")
        if midway is not None and self.known.system != "hybrid-cam":
            parted = np.abs(figures(cycle).timing - midway[0]).max(axis=1)
            worst = np.maximum(worst, parted / (2.0 * midway[1]))
        return worst, states.ok

    def _halved(self, x: Floats, full: Floats) -> tuple[Floats, NDArray[np.bool_]]:
        """A batch in which one bow cannot stand is halved until that one is alone."""
        if len(x) == 1:
            return np.full((1, self.count), np.nan), np.zeros(1, dtype=bool)
        half = len(x) // 2
        parts = (self.read(x[:half], full[:half]), self.read(x[half:], full[half:]))
        return np.concatenate([p[0] for p in parts]), np.concatenate([p[1] for p in parts])

    def _seen(self, standing: Strung, followed: Followed) -> Floats:
        read = sketch(standing.rig, followed)
        columns = [getattr(read, name) for name, _ in self.known.figures]
        if self.known.board:
            draws = np.array([draw for draw, _, _ in self.known.board])
            columns += list(force_at(followed, np.tile(draws, (len(followed.q), 1))).T)
        return np.stack(columns, axis=1)


_FORCES = frozenset({"limb_stiffness", "string_tension"})


def _descend(
    fit: _Fit, x: Floats, own: Floats, noise: Floats, full: Floats
) -> tuple[Floats, Floats]:
    """Levenberg's method on every member at once, each with its own damping."""
    members, count = x.shape
    wanted = fit.wanted + fit.within * noise
    damping = np.full(members, 0.1)
    value, ok = fit.read(x, full)
    cost = _cost(fit, x, value, ok, own, wanted)
    # All members begin in one place, so one table of slopes serves them all.
    slope = np.repeat(_slopes(fit, x[:1], value[:1], full[:1]), members, axis=0)
    for turn in range(_STEPS):
        if turn in _ANEW:
            slope = _slopes(fit, x, value, full)
        jacobian = slope / fit.within[:, None]
        rest = (value - wanted) / fit.within
        normal = np.swapaxes(jacobian, 1, 2) @ jacobian + np.eye(count)
        pull = np.einsum("mkn,mk->mn", jacobian, rest) + (x - own)
        normal[:, np.arange(count), np.arange(count)] *= 1.0 + damping[:, None]
        step = -np.linalg.solve(normal, pull[..., None])[..., 0]
        step *= np.minimum(1.0, 1.5 / np.maximum(np.abs(step).max(axis=1), 1e-12))[:, None]
        after, fine = fit.read(x + step, full)
        new = _cost(fit, x + step, after, fine, own, wanted)
        better = new < cost
        slope = _learned(slope, step, after - value, fine)
        x = np.where(better[:, None], x + step, x)
        value = np.where(better[:, None], after, value)
        settled = np.where(damping > 1e3, 0.0, np.inf)
        gain = np.where(better, cost - np.where(better, new, 0.0), settled)
        damping = np.where(better, damping * 0.2, damping * 5.0).clip(1e-6, 1e6)
        cost = np.where(better, new, cost)
        if turn > max(_ANEW) and np.all(gain < 0.02):
            break
    misfit = np.abs((value - wanted) / fit.within).max(axis=1)
    return x, np.where(np.isfinite(cost), misfit, np.inf)


def _learned(slope: Floats, step: Floats, change: Floats, fine: NDArray[np.bool_]) -> Floats:
    """Broyden's correction: what a step showed of the slopes along it."""
    square = np.einsum("mn,mn->m", step, step)
    use = fine & (square > 1e-10)
    missed = change - np.einsum("mkn,mn->mk", slope, step)
    missed = np.where(use[:, None], missed, 0.0) / np.where(use, square, 1.0)[:, None]
    return slope + missed[:, :, None] * step[:, None, :]


def _cost(
    fit: _Fit, x: Floats, value: Floats, ok: NDArray[np.bool_], own: Floats, wanted: Floats
) -> Floats:
    rest = (value - wanted) / fit.within
    cost = 0.5 * np.sum((x - own) ** 2, axis=1) + 0.5 * np.sum(rest**2, axis=1)
    return np.where(ok, cost, np.inf)


def _slopes(fit: _Fit, x: Floats, value: Floats, full: Floats) -> Floats:
    """Change of the figures by each size, one-sided, all members and sizes in one batch."""
    members, count = x.shape
    moved = np.repeat(x, count, axis=0)
    moved[np.arange(members * count), np.tile(np.arange(count), members)] += _NUDGE
    after, ok = fit.read(moved, np.repeat(full, count))
    change = (after - np.repeat(value, count, axis=0)) / _NUDGE
    change[~ok] = 0.0
    return np.swapaxes(change.reshape(members, count, -1), 1, 2)


def taken(family: Family, rows: NDArray[np.intp]) -> Family:
    """Give some members of a family.

    Parameters
    ----------
    family : Family
        The family.
    rows : ndarray of int
        Members to keep [-]

    Returns
    -------
    Family
        Laid out anew from their sizes, so that nothing is carried over.
    """
    sizes = rows_of(family.sizes, rows)
    standing, cycle = drawn(family.known, sizes, family.cycle.draw[rows, -1])
    read, misfit = figures(cycle), family.misfit[rows]
    return replace(family, strung=standing, cycle=cycle, figures=read, sizes=sizes, misfit=misfit)
