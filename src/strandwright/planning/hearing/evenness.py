"""Evenness heard: how strand groups, or legs of a yoke, share a load, by the pitch of each.

Parts of one length between the same two posts, plucked one after another under the same standing
load, sound by the load on each strand: f^2 = t / (4 L^2 m), with t the load on one strand and m
its mass over length. Length and mass are the same for all and fall out, so that shares of the
load need no scale and no gauge: t_i over its mean is f_i^2 over the mean of f^2.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from strandwright.errors import SpecError
from strandwright.fibre.evenness import share_load
from strandwright.numerics.parameters import Parameter, ParameterVector
from strandwright.numerics.propagation import Propagation, propagate
from strandwright.planning.estimate import Estimate
from strandwright.planning.written import Written
from strandwright.reference import practice

Floats = NDArray[np.float64]
Kind = Literal["groups", "legs"]


class Evenness(StrEnum):
    """What the pitches say."""

    EVEN = "even"
    UNEVEN = "uneven"
    UNSURE = "cannot be told"


@dataclass(frozen=True)
class Plucked:
    """One part that was plucked by itself.

    Attributes
    ----------
    name : str
        Its name: a colour, ``left leg``.
    pitch : float
        Pitch of its first mode at small swings, > 0 [Hz]
    u : float
        Its standard uncertainty [Hz]
    strands : int
        How many strands it has [-]
    """

    name: str
    pitch: float
    u: float
    strands: int = 1


@dataclass(frozen=True)
class UnderLoad:
    """What the parts are made of and stand under, so that shares become lengths and strength.

    Attributes
    ----------
    length : float
        Length of each part between the posts [m]
    strand_load : float
        Mean load on a strand while they are plucked [N]
    strand_stiffness : float
        EA of one strand [N]
    strand_break : float
        Load at which a strand breaks [N]
    """

    length: float
    strand_load: float
    strand_stiffness: float
    strand_break: float


@dataclass(frozen=True, eq=False)
class HeardEvenness:
    """How the parts share the load.

    Attributes
    ----------
    plucked : tuple of Plucked
        The parts, as given.
    kind : {"groups", "legs"}
        Strand groups before they are evened out, or legs of one yoke.
    shares : tuple of Estimate
        Load on a strand of each part over the mean of all strands [1]
    spread : Estimate
        Standard deviation of that over all strands, without what the pitches' own +- makes [1]
    worst : int
        Which part is furthest from the mean, from 0 [-]
    longer : tuple of Estimate
        How much longer than the mean each part is, unloaded; below zero shorter; empty where
        nothing is known of its strands [m]
    kept : Estimate or None
        Breaking load over that of even strands; None where nothing is known of them [1]
    tolerated : float
        What of the mean a part may be off [-]
    verdict : Evenness
        What they say.
    """

    plucked: tuple[Plucked, ...]
    kind: Kind
    shares: tuple[Estimate, ...]
    spread: Estimate
    worst: int
    longer: tuple[Estimate, ...]
    kept: Estimate | None
    tolerated: float
    verdict: Evenness

    def sentences(self, to: Written) -> tuple[str, ...]:
        """Say it.

        Parameters
        ----------
        to : Written
            How quantities are written.

        Returns
        -------
        tuple of str
            The verdict first, then what it costs.
        """
        worst, share = self.plucked[self.worst], self.shares[self.worst]
        off = Estimate(abs(share.value - 1.0), share.u, "1")
        way = "more" if share.value > 1.0 else "less"
        told = f"{worst.name} carries {to.share_estimate(off)} {way} than the mean on a strand"
        border = f"{100.0 * self.tolerated:g} %"
        said = [
            {
                Evenness.EVEN: f"Even to within {border}: {told}.",
                Evenness.UNEVEN: f"Uneven: {told}. {self._mend()}",
                Evenness.UNSURE: f"At the border of {border}: {told}. Pluck each again, softly.",
            }[self.verdict]
        ]
        if self.longer:
            long = self.longer[self.worst]
            size = to.small_estimate(Estimate(abs(long.value), long.u, "m"))
            said.append(
                f"{worst.name} is {size} {'longer' if long.value > 0.0 else 'shorter'} than the "
                "mean of all."
            )
        if self.kept is not None:
            lost = Estimate(max(1.0 - self.kept.value, 0.0), self.kept.u, "1")
            said.append(f"Left so it would cost {to.share_estimate(lost)} of the strength.")
        return tuple(said)

    def _mend(self) -> str:
        worst, tight = self.plucked[self.worst].name, self.shares[self.worst].value > 1.0
        if self.kind == "legs":
            make = "longer" if tight else "shorter"
            return f"Make it {make}, or the other {'shorter' if tight else 'longer'}."
        return f"Even out again; if it stays so, let {worst} off and tie it off again."


def compare_by_ear(
    plucked: Sequence[Plucked],
    *,
    kind: Kind = "groups",
    under: UnderLoad | None = None,
) -> HeardEvenness:
    """Compare parts of one line by their pitches.

    .. math:: \\frac{t_i}{\\bar t} = \\frac{f_i^2 \\sum n_j}{\\sum n_j f_j^2}

    Parameters
    ----------
    plucked : sequence of Plucked
        Two parts at the least, each plucked by itself under the same load.
    kind : {"groups", "legs"}
        What they are.
    under : UnderLoad or None
        What they are made of and stand under; None gives shares of the load only.

    Returns
    -------
    HeardEvenness
        Shares with their +-, the worst, what it costs, a verdict.

    Raises
    ------
    SpecError
        If there is but one part, or a pitch, its +- or a count of strands is none.

    Notes
    -----
    Valid for parts of one free length and one kind of strand, straight between the same two
    posts, each swinging free of the others; bending stiffness raises a part's pitch by its
    thickness and is left out, which is why parts of very unequal strand counts are not compared
    closer than about a per cent. Round a post friction holds unequal loads: what is heard is the
    load of the side that was plucked. Strength is by the linear law, strands fixed in place.
    """
    parts = tuple(plucked)
    _refuse_unheard(parts)
    counts = np.array([part.strands for part in parts], dtype=float)
    vector = ParameterVector.from_parameters(
        [Parameter(f"pitch:{i}", p.pitch, p.u / p.pitch, "log") for i, p in enumerate(parts)]
    )
    found = propagate(lambda q: _outputs(q, counts, under), vector, cross_terms=True)
    shares = tuple(_estimate(found, f"share:{i}", "1") for i in range(len(parts)))
    off = [abs(share.value - 1.0) for share in shares]
    worst = int(np.argmax(off))
    tolerated = practice("evenness.tolerated").value
    longer = () if under is None else tuple(
        _estimate(found, f"longer:{i}", "m") for i in range(len(parts))
    )  # fmt: skip
    return HeardEvenness(
        plucked=parts,
        kind=kind,
        shares=shares,
        spread=_spread(shares, counts),
        worst=worst,
        longer=longer,
        kept=None if under is None else _estimate(found, "kept", "1"),
        tolerated=tolerated,
        verdict=_verdict(shares, tolerated),
    )


def _refuse_unheard(parts: Sequence[Plucked]) -> None:
    if len(parts) < 2:
        rule = "must be two parts at the least"
        raise SpecError("plucked", str(len(parts)), rule, "pluck each of them by itself")
    for part in parts:
        if not (part.pitch > 0.0 and part.u >= 0.0):
            rule = "must be a pitch above 0 with its +-"
            raise SpecError(f"plucked.{part.name}", str(part.pitch), rule, "pluck it again")
        if part.strands < 1:
            rule = "must have one strand at the least"
            raise SpecError(f"plucked.{part.name}.strands", str(part.strands), rule, "count them")


def _outputs(q: dict[str, Floats], counts: Floats, under: UnderLoad | None) -> dict[str, Floats]:
    """Shares, and what follows of them, for many cases."""
    squares = np.stack([q[f"pitch:{i}"] for i in range(len(counts))], axis=1) ** 2
    shares = squares * counts.sum() / (squares @ counts)[:, None]
    out = {f"share:{i}": shares[:, i] for i in range(len(counts))}
    if under is None:
        return out
    strain = under.strand_load / under.strand_stiffness
    natural = under.length / (1.0 + strain * shares)
    mean = natural @ counts / counts.sum()
    out |= {f"longer:{i}": natural[:, i] - mean for i in range(len(counts))}
    each = natural.repeat(counts.astype(int), axis=1)
    at_break = under.strand_break / under.strand_stiffness
    drawn = each.min(axis=1) * (1.0 + at_break)
    pulls = under.strand_stiffness * np.maximum(drawn[:, None] / each - 1.0, 0.0)
    shared = share_load(each, under.strand_stiffness, pulls.sum(axis=1))
    return out | {"kept": 1.0 / shared.greatest}


def _estimate(found: Propagation, output: str, unit: str) -> Estimate:
    place = found.index(output)
    return Estimate(float(found.value[place]), float(found.second_order[place]), unit)


def _spread(shares: Sequence[Estimate], counts: Floats) -> Estimate:
    """Standard deviation over the strands, what the pitches' own +- makes of it taken off.

    .. math:: s^2 = \\max\\left(0, \\sum n_i d_i^2/N - \\sum n_i u_i^2/N\\right)
    """
    weights = counts / counts.sum()
    off = np.array([share.value - 1.0 for share in shares])
    own = np.array([share.u for share in shares])
    seen, noise = float(weights @ off**2), float(weights @ own**2)
    spread = np.sqrt(max(seen - noise, 0.0))
    # Of the mean square; near nothing its root is not known better than the noise itself.
    u_square = 2.0 * float(np.sqrt(weights**2 @ (off * own) ** 2))
    u = u_square / (2.0 * spread) if spread > np.sqrt(noise) else np.sqrt(noise)
    return Estimate(float(spread), float(u), "1")


def _verdict(shares: Sequence[Estimate], tolerated: float) -> Evenness:
    off = [(abs(share.value - 1.0), share.u95) for share in shares]
    if any(size - half > tolerated for size, half in off):
        return Evenness.UNEVEN
    return Evenness.EVEN if all(s + h <= tolerated for s, h in off) else Evenness.UNSURE
