"""What a study found: shares of the builds, each with the +- of having drawn only so many."""

from __future__ import annotations

import math
from dataclasses import dataclass

from strandwright.numerics.tally import Counted, Tally
from strandwright.planning.estimate import Estimate
from strandwright.planning.tolerance.bow_slopes import ALL, BowFigure
from strandwright.planning.tolerance.study import BLIND, GUIDED, Study

#: Shares of the builds below which the lengths are told [-]
QUANTILES = (0.005, 0.025, 0.25, 0.5, 0.75, 0.975, 0.995)


@dataclass(frozen=True)
class Spread:
    """Values of many builds.

    Attributes
    ----------
    mean, deviation : float
        Their mean and standard deviation [unit of the values]
    quantiles : tuple of (float, float)
        Share of the builds [-], and the value below which it lies [unit of the values]
    """

    mean: float
    deviation: float
    quantiles: tuple[tuple[float, float], ...]

    def at(self, share: float) -> float:
        """Give one of the quantiles.

        Parameters
        ----------
        share : float
            One of ``QUANTILES`` [-]

        Returns
        -------
        float
            The value below which it lies [unit of the values]
        """
        return dict(self.quantiles)[share]


@dataclass(frozen=True)
class Way:
    """What comes of building in one way.

    Attributes
    ----------
    within : Estimate
        Share within the tolerance of the length asked for [-]
    of_original : Estimate
        Share within the tolerance of what the original is, where that is asked for [-]
    off : Spread
        Finished length less the one asked for [m]
    """

    within: Estimate
    of_original: Estimate
    off: Spread


@dataclass(frozen=True)
class Proof:
    """One verdict of the proof reading, over all builds.

    Attributes
    ----------
    verdict : str
        ``accepted``, ``undecided`` or ``rejected``.
    within, out : Estimate
        Share of all builds that are so judged and within tolerance, and that are not [-]
    """

    verdict: str
    within: Estimate
    out: Estimate


@dataclass(frozen=True)
class OnBow:
    """One figure of the bow.

    Attributes
    ----------
    figure : BowFigure
        Which, and what is allowed.
    blind, guided : Estimate
        Share of builds that leave it within that [-]
    blind_change, guided_change : Spread
        Its change by the line's error [unit of the figure]
    """

    figure: BowFigure
    blind: Estimate
    guided: Estimate
    blind_change: Spread
    guided_change: Spread


@dataclass(frozen=True)
class StudyResult:
    """What a study found.

    Attributes
    ----------
    builds : int
        Builds drawn [-]
    failed : int
        Of which the model made no line; they count as not within [-]
    blind, guided : Way
        Built as planned by numbers alone, and corrected by the readings asked for.
    reached : Spread
        As ``guided``, of those alone that some number of turns was expected to bring to length
        [m]
    reached_within : Estimate
        Share of those that are within tolerance [-]
    short, long : Estimate
        Share that cannot be brought to length: too short without any turn, or too long with as
        many as can be put in [-]
    turns : Spread
        Turns they end with [turn]
    over_twisted : Estimate
        Share that takes more turns than are advised [-]
    proofs : tuple of Proof
        What the proof reading says against what is so.
    line : str
        Which line of the bow it is; empty where the bow was not asked.
    on_bow : tuple of OnBow
        Figures of the bow; empty where it was not asked.
    all_blind, all_guided : Estimate or None
        Share of builds that leave all of them within; None where the bow was not asked [-]
    """

    builds: int
    failed: int
    blind: Way
    guided: Way
    reached: Spread
    reached_within: Estimate
    short: Estimate
    long: Estimate
    turns: Spread
    over_twisted: Estimate
    proofs: tuple[Proof, ...]
    line: str
    on_bow: tuple[OnBow, ...]
    all_blind: Estimate | None
    all_guided: Estimate | None


def found(study: Study, tally: Tally) -> StudyResult:
    """Say what the draws of a study came to.

    Parameters
    ----------
    study : Study
        The study.
    tally : Tally
        Its draws, counted; one at the least.

    Returns
    -------
    StudyResult
        Shares and spreads.
    """
    counts, spreads = tally.counts, tally.spreads
    builds = counts["builds"]

    def share(name: str, of: int = builds) -> Estimate:
        return share_of(counts[name], of)

    def way(name: str) -> Way:
        off = _spread(spreads[f"{name}.length"])
        return Way(share(f"{name}.within"), share(f"{name}.of_original"), off)

    bow = study.bow
    return StudyResult(
        builds=builds,
        failed=counts["failed"],
        blind=way(BLIND),
        guided=way(GUIDED),
        reached=_spread(spreads["reached.length"]),
        reached_within=share("reached.within", counts["reached"]),
        short=share("short"),
        long=share("long"),
        turns=_spread(spreads["turns"]),
        over_twisted=share("over_twisted"),
        proofs=tuple(
            Proof(verdict, share(f"{verdict}.within"), share(f"{verdict}.out"))
            for verdict in ("accepted", "undecided", "rejected")
        ),
        line="" if bow is None else bow.line,
        on_bow=() if bow is None else tuple(_on_bow(f, tally, builds) for f in bow.figures),
        all_blind=None if bow is None else share(f"{BLIND}.bow.{ALL}"),
        all_guided=None if bow is None else share(f"{GUIDED}.bow.{ALL}"),
    )


def _on_bow(figure: BowFigure, tally: Tally, builds: int) -> OnBow:
    names = [f"{way}.bow.{figure.name}" for way in (BLIND, GUIDED)]
    blind, guided = (share_of(tally.counts[name], builds) for name in names)
    return OnBow(figure, blind, guided, *(_spread(tally.spreads[name]) for name in names))


def share_of(count: int, of: int) -> Estimate:
    """Give a share with the uncertainty of having drawn only so many.

    Parameters
    ----------
    count : int
        How many are so [-]
    of : int
        Of how many drawn [-]

    Returns
    -------
    Estimate
        The share as counted, 0 of none; its standard uncertainty is that of a share of which
        nothing was known before, so that none is certain for having been drawn always or never
        [-]
    """
    value = count / of if of else 0.0
    # Of the beta distribution with one more of either kind.
    u = math.sqrt((count + 1) * (of - count + 1) / (of + 3)) / (of + 2)
    return Estimate(value, u, "1")


def _spread(counted: Counted) -> Spread:
    quantiles = tuple((p, counted.quantile(p)) for p in QUANTILES)
    return Spread(counted.mean, counted.standard_deviation, quantiles)
