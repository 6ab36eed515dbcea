"""Effects: what a shop has learned of each bench, fibre, lot and builder, told in natural units.

The pool knows its unknowns in standard uncertainties of the tables, which differ from fibre to
fibre and from bench to bench. They are told by the tables of the group's newest build: what the
next line of it is most likely to be planned by.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import InputError, InputErrors, NotFound, SolveError
from strandwright.line.build import Settings
from strandwright.line.model import LineModel
from strandwright.line.unknowns import HEARD, LAY, UNKNOWNS
from strandwright.numerics.parameters import ParameterVector
from strandwright.planning.estimate import Estimate
from strandwright.planning.predict import predict_length
from strandwright.planning.prepare import at_mean, prepare
from strandwright.planning.settings import choose_settings
from strandwright.planning.shop.groups import name_of
from strandwright.planning.shop.knowledge import POOLED, pooled_name
from strandwright.planning.shop.memory import ShopMemory
from strandwright.planning.shop.natural import (
    SAYINGS,
    Factor,
    change_of,
    factor_of,
    written_change,
    written_factor,
)
from strandwright.planning.take_off.target import find_target
from strandwright.planning.written import Written
from strandwright.statistics.pooling import Pool

Floats = NDArray[np.float64]
Group = tuple[str, str]

LABELS = {name: label for name, _, label in (*UNKNOWNS, HEARD, LAY)} | {
    "hand_pull": "the hand's pull while a loop is laid in",
    "loop_place": "where the second loop is laid in",
}
#: A difference is told where it is so many of the tables' standard uncertainties, the group's own
#: part of it so many, and where a next line is as sure of it, or its +- so much of the tables' [-]
_WORTH_SAYING, _OWN, _SURER = 0.3, 0.12, 0.8
#: Without a difference, an unknown is told whose +- is so much of the tables', at a level that has
#: so much of its variance [-]
_MUCH_SURER, _SHARE = 0.6, 0.15
#: Effects that are told of each group [-]
MOST = 4
#: A line that comes out longer by so much of its tolerance is spoken of [-]
_LARGE = 0.25
_WHOSE = {
    "shop": "of this shop",
    "bench": "at this bench",
    "family": "of this family of fibres",
    "fibre": "of this fibre",
    "lot": "of this lot",
    "builder": "by this builder",
}
#: Step for slopes of the finished length [standard uncertainties of the tables]
_STEP = 0.25


@dataclass(frozen=True)
class Effect:
    """One unknown of a next line of a group, held against the tables.

    Attributes
    ----------
    name : str
        The unknown.
    change : Estimate
        What is expected of it less the table's value, with its +- for one line [-], [N] or [m]
    tables : Estimate
        The same by the tables alone: nought, with their +- [-], [N] or [m]
    factor : Factor or None
        The same as a factor, for what is known so poorly that it is told as one.
    """

    name: str
    change: Estimate
    tables: Estimate
    factor: Factor | None

    def text(self, to: Written) -> str:
        """Write it.

        Parameters
        ----------
        to : Written
            How quantities are written.

        Returns
        -------
        str
            ``3.0 ± 1.0 % denser than the table; the table alone ± 6 %``.
        """
        if self.factor is not None:
            return written_factor(self.factor)
        return written_change(self.name, self.change, self.tables, to)


@dataclass(frozen=True)
class GroupEffects:
    """What is known of a group.

    Attributes
    ----------
    level, key, name : str
        The group, and what it is called.
    builds : int
        Finished builds of it that teach [-]
    job : str
        The job of its newest build, by whose tables it is told; empty where nothing is told.
    effects : tuple of Effect
        The largest first.
    longer : Estimate or None
        How much longer a line like that job's would come out, posts and turns chosen by the tables
        alone; None where nothing is told [m]
    tolerance : float
        What that line may be off either way [m]
    """

    level: str
    key: str
    name: str
    builds: int
    job: str
    effects: tuple[Effect, ...]
    longer: Estimate | None
    tolerance: float

    def next_line(self, to: Written) -> str:
        """Say what all of it together does to the next line.

        Parameters
        ----------
        to : Written
            How quantities are written.

        Returns
        -------
        str
            One sentence; empty where it is little, or less than it is uncertain.
        """
        if self.longer is None:
            return ""
        off, u = abs(self.longer.value), self.longer.u
        if off < _LARGE * self.tolerance or off < u:
            return ""
        way = "longer" if self.longer.value > 0.0 else "shorter"
        how = to.small_estimate(Estimate(off, u, "m"))
        whose = _WHOSE[self.level]
        return (
            f"Set by the tables alone, a line like {self.job} {whose} would come out {how} {way}; "
            "the next plan allows for it."
        )


@dataclass(frozen=True, eq=False)
class _Tables:
    """A job's unknowns and settings as the tables alone have them."""

    parameters: ParameterVector
    #: Where each unknown stands among those pooled
    rows: NDArray[np.intp]
    model: LineModel
    settings: Settings
    tolerance: float

    @property
    def pairs(self) -> list[tuple[int, str]]:
        """Place among those pooled, and name, of each unknown."""
        return list(zip(self.rows.tolist(), self.parameters.names, strict=True))


#: A build's first plan never changes, and neither do its tables.
_READ: WeakKeyDictionary[ShopMemory, dict[str, _Tables | None]] = WeakKeyDictionary()


def group_effects(memory: ShopMemory) -> tuple[GroupEffects, ...]:
    """Tell what is known of the shop and of each of its groups.

    Parameters
    ----------
    memory : ShopMemory
        What the shop has learned.

    Returns
    -------
    tuple of GroupEffects
        Level by level from the widest, the group of most builds first.
    """
    pool, newest, chains = memory.pool, dict[Group, tuple[str, str]](), dict[Group, list[Group]]()
    kin: dict[str, set[str]] = {}
    lessons = memory.lessons
    for outcome in memory.outcomes():
        if outcome.build in lessons:
            named = pool.spreads.members(lessons[outcome.build].groups)
            kin.setdefault(named.get("family", ""), set()).add(named.get("fibre", ""))
            for group in named.items():
                newest[group] = (outcome.build, outcome.job)
                chains[group] = _chain(group, named)
    levels = pool.spreads.levels
    ranked = sorted(pool.counts.items(), key=lambda kv: (levels.index(kv[0][0]), -kv[1], kv[0]))
    return tuple(
        _told(memory, pool, group, builds, newest.get(group), chains.get(group, [group]))
        for group, builds in ranked
        # A family of one strand is told of as that strand.
        if group[0] != "family" or len(kin.get(group[1], ())) > 1
    )


def _chain(group: Group, named: Mapping[str, str]) -> list[Group]:
    """The group with what it is a part of: a lot is of one fibre, a fibre of one family."""
    above = {"lot": ("family", "fibre"), "fibre": ("family",)}.get(group[0], ())
    return [*((level, named[level]) for level in above if level in named), group]


def _told(
    memory: ShopMemory,
    pool: Pool,
    group: Group,
    builds: int,
    newest: tuple[str, str] | None,
    chain: list[Group],
) -> GroupEffects:
    level, key = group
    name = name_of(level, key or "shop")
    said = _worth_saying(pool, group, chain)
    tables = _tables_of(memory, newest[0]) if newest is not None and said else None
    if newest is None or tables is None:
        return GroupEffects(level, key, name, builds, "", (), None, 0.0)
    mean, covariance = pool.prior_for(chain)
    spread = np.sqrt(np.diagonal(covariance))
    here = {POOLED[row]: name for row, name in tables.pairs}
    effects = tuple(
        Effect(
            pooled,
            change_of(tables.parameters, here[pooled], float(mean[i]), float(spread[i])),
            change_of(tables.parameters, here[pooled], 0.0, 1.0),
            factor_of(tables.parameters, here[pooled], float(mean[i]), float(spread[i])),
        )
        for i, pooled in ((POOLED.index(pooled), pooled) for pooled in said if pooled in here)
        if tables.parameters.standard_uncertainty(here[pooled]) > 0.0
    )[:MOST]
    longer = _longer(tables, *pool.shared_for(chain)) if effects else None
    return GroupEffects(level, key, name, builds, newest[1], effects, longer, tables.tolerance)


def _worth_saying(pool: Pool, group: Group, chain: list[Group]) -> list[str]:
    """Unknowns of a group that differ from the tables clearly, or are known much better."""
    own = np.abs(pool.effect(*group)[0])
    mean, covariance = pool.prior_for(chain)
    u = np.sqrt(np.maximum(np.diagonal(covariance), 0.0))
    size, share = np.abs(mean), pool.spreads.variance[pool.spreads.levels.index(group[0])]
    differs = (size >= _WORTH_SAYING) & (own >= _OWN) & ((size >= u) | (u <= _SURER))
    told = differs | ((u <= _MUCH_SURER) & (share >= _SHARE))
    order = sorted(np.flatnonzero(told).tolist(), key=lambda i: -float(size[i]))
    return [POOLED[i] for i in order if POOLED[i] in SAYINGS]


def _tables_of(memory: ShopMemory, build: str) -> _Tables | None:
    """The unknowns of a build's job by the tables; None where its plan cannot be read any more."""
    read = _READ.setdefault(memory, {})
    if build not in read:
        try:
            job = memory.job_of(build)
            target = find_target(job)
            prepared = prepare(job, target.length.value)
            chosen = choose_settings(prepared, at_mean(prepared.parameters))
        except (InputError, InputErrors, NotFound, SolveError):
            read[build] = None
        else:
            names = prepared.parameters.names
            rows = np.array([POOLED.index(pooled_name(job, name)) for name in names])
            read[build] = _Tables(
                prepared.parameters, rows, prepared.model, chosen.settings, target.tolerance
            )
    return read[build]


def _longer(tables: _Tables, mean: Floats, covariance: Floats) -> Estimate:
    """How much longer the finished line comes out where all unknowns are as the group has them."""
    known, u = tables.parameters, tables.parameters.deviations
    there = known.mean + u * mean[tables.rows]
    reach = np.diag(_STEP * u)
    points = np.concatenate([known.mean[None], there[None], there + reach, there - reach])
    lengths = predict_length(tables.model, tables.settings, known.natural(points))["finished"]
    count = u.size
    slopes = (lengths[2 : 2 + count] - lengths[2 + count :]) / (2.0 * _STEP)
    variance = float(slopes @ covariance[np.ix_(tables.rows, tables.rows)] @ slopes)
    return Estimate(float(lengths[1] - lengths[0]), float(np.sqrt(max(variance, 0.0))), "m")
