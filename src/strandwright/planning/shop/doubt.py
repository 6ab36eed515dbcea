"""Doubt: finished builds that do not fit the others, said aloud, and those that were left out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from strandwright.planning.shop.aside import LeftOut
from strandwright.planning.shop.knowledge import POOLED
from strandwright.planning.shop.memory import ShopMemory
from strandwright.planning.shop.natural import SAYINGS
from strandwright.planning.shop.outcome import Outcome
from strandwright.statistics.doubt import Doubts, doubts_among, misfit_of_new
from strandwright.statistics.pooling import Pool

#: A second thing is looked at where it explains so much of what the first does [-]
_AS_GOOD = 0.6
_MOST_LOOKS = 2
#: Chances below this are not told apart [-]
_LEAST = 1e-6
#: A build left out that chance brings more often than this would fit again [-]
_FITS = 0.01


@dataclass(frozen=True)
class Named:
    """A finished build as people name it.

    Attributes
    ----------
    build, job : str
        The build and its job.
    number : int
        Its place among all finished builds, from 1; 0 for one whose outcome is not kept [-]
    """

    build: str
    job: str
    number: int

    @property
    def words(self) -> str:
        """Its number, or the beginning of its identity, with its job."""
        return f"build {self.number or self.build[:8]}" + (f" ({self.job})" if self.job else "")


@dataclass(frozen=True)
class DoubtedBuild:
    """A build that does not fit the others.

    Attributes
    ----------
    named : Named
        Which.
    chance : float
        Chance that a good build lies so far off [-]
    text : str
        The same, and what to look at.
    """

    named: Named
    chance: float
    text: str


@dataclass(frozen=True)
class BuildLeftOut:
    """A build that somebody left out.

    Attributes
    ----------
    named : Named
        Which.
    because, at : str
        Why and when.
    chance : float
        Chance that a good build lies as far off from those that teach [-]
    text : str
        The same in words.
    """

    named: Named
    because: str
    at: str
    chance: float
    text: str


@dataclass(frozen=True)
class ShopDoubts:
    """What is doubted in a shop, and what was left out.

    Attributes
    ----------
    doubted : tuple of DoubtedBuild
        The worst first.
    left_out : tuple of BuildLeftOut
        In the order in which they were built.
    said : str
        A sentence where so many do not fit that it is not the builds; else empty.
    """

    doubted: tuple[DoubtedBuild, ...]
    left_out: tuple[BuildLeftOut, ...]
    said: str


#: A pool never changes, and neither do the doubts about its builds.
_FOUND: WeakKeyDictionary[Pool, Doubts[str]] = WeakKeyDictionary()


def shop_doubts(memory: ShopMemory) -> ShopDoubts:
    """Say which finished builds do not fit the others.

    Parameters
    ----------
    memory : ShopMemory
        What the shop has learned.

    Returns
    -------
    ShopDoubts
        Nothing doubted where builds are few.
    """
    outcomes, pool = memory.outcomes(), memory.pool
    if pool not in _FOUND:
        _FOUND[pool] = doubts_among(pool, memory.lessons)
    found = _FOUND[pool]
    places = {o.build: (i, o) for i, o in enumerate(outcomes, start=1)}
    left_out = [
        _left_out(pool, _named(build, places), out)
        for build, out in sorted(memory.left_out.items(), key=lambda kv: _place(kv[0], places))
    ]
    if found.are_many:
        said = (
            "More than a quarter of the builds do not fit the others: then it is not the builds. "
            "Lots, benches or builders differ more here than the table of spreads has it."
        )
        return ShopDoubts((), tuple(left_out), said)
    doubted = [
        DoubtedBuild(
            named := _named(doubt.name, places),
            doubt.misfit.chance,
            _doubt_words(
                named,
                doubt.misfit.chance,
                _looks(doubt.misfit.explains),
                [_named(name, places) for name in doubt.or_else],
            ),
        )
        for doubt in found.doubted
    ]
    return ShopDoubts(tuple(doubted), tuple(left_out), "")


def chance_words(chance: float) -> str:
    """Write a small chance.

    Parameters
    ----------
    chance : float
        The chance [-]

    Returns
    -------
    str
        ``one good build in 4,000``; never finer than two figures.
    """
    if chance < _LEAST:
        return "fewer than one good build in a million"
    return f"one good build in {float(f'{1.0 / chance:.2g}'):,.0f}"


def _named(build: str, places: Mapping[str, tuple[int, Outcome]]) -> Named:
    if build not in places:
        return Named(build, "", 0)
    number, outcome = places[build]
    return Named(build, outcome.job, number)


def _place(build: str, places: Mapping[str, tuple[int, Outcome]]) -> tuple[int, str]:
    return (places[build][0] if build in places else 0, build)


def _doubt_words(named: Named, chance: float, looks: str, or_else: list[Named]) -> str:
    words = named.words[0].upper() + named.words[1:]
    said = (
        f"{words} fits the others badly: {chance_words(chance)} lies so far off. "
        f"Look at {looks}. If something was wrong, leave it out: till then it pulls its lot and "
        "the shop."
    )
    if or_else:
        others = " or ".join(other.words for other in or_else[:2])
        said += f" It may as well be {others} that is odd: without this one it fits."
    return said


def _left_out(pool: Pool, named: Named, out: LeftOut) -> BuildLeftOut:
    if out.lesson is None:
        said = "What it taught cannot be read any more."
        return BuildLeftOut(named, out.because, out.at, 1.0, said)
    chance = misfit_of_new(pool, out.lesson).chance
    odd = f"It would not fit: {chance_words(chance)} lies so far off."
    said = odd if chance < _FITS else "It would fit the others."
    return BuildLeftOut(named, out.because, out.at, chance, said)


def _looks(explains: NDArray[np.float64]) -> str:
    """What is looked at first: what alone would explain most of it."""
    said: list[str] = []
    best = 0.0
    for i in np.argsort(-explains, kind="stable").tolist():
        share = float(explains[i])
        best = best or share
        if share < _AS_GOOD * best or len(said) == _MOST_LOOKS:
            break
        saying = SAYINGS.get(POOLED[i])
        if saying is not None and saying.look_at not in said:
            said.append(saying.look_at)
    return "; then at ".join(said) if said else "its readings"
