"""What a plan says of itself: target, strength, fits, how surely it lands, what it learned."""

from __future__ import annotations

from dataclasses import dataclass, field

from strandwright.numerics.budget import Contribution
from strandwright.planning.conversion import ConvertedReadings
from strandwright.planning.estimate import Estimate
from strandwright.statistics.acceptance import Judgement


@dataclass(frozen=True)
class OriginalLength:
    """Length of the original at the measuring condition.

    Attributes
    ----------
    length : Estimate
        From all its readings and its label [m]
    notes : tuple of str
        Where these contradict each other.
    converted : ConvertedReadings or None
        The readings, carried to the measuring condition; None where there are none.
    """

    length: Estimate
    notes: tuple[str, ...]
    converted: ConvertedReadings | None = field(default=None, repr=False, compare=False)


@dataclass(frozen=True)
class Target:
    """The finished length that is asked for.

    Attributes
    ----------
    length : Estimate
        At the measuring condition; its uncertainty is how well the original is known [m]
    measuring_load : float
        Measuring load [N]
    pin_diameter : float
        Measuring pins [m]
    tolerance : float
        Half-width that counts as landed [m]
    source : str
        Where the length comes from.
    notes : tuple of str
        What to know about it.
    original : OriginalLength or None
        What the original comes to; None where nothing of it was read.
    """

    length: Estimate
    measuring_load: float
    pin_diameter: float
    tolerance: float
    source: str
    notes: tuple[str, ...]
    original: OriginalLength | None = None


@dataclass(frozen=True)
class LoadCheck:
    """One load against the derated break.

    Attributes
    ----------
    name : str
        Resting, highest slow draw, release, stretch on the jig.
    load : Estimate
        The load [N]
    share : Estimate
        Over the derated break [-]
    verdict : str
        ``fine``, ``warn`` or ``refuse``.
    source : str
        Where the load comes from.
    """

    name: str
    load: Estimate
    share: Estimate
    verdict: str
    source: str


@dataclass(frozen=True)
class Strength:
    """Strength of the finished line.

    Attributes
    ----------
    strands : float
        Sum of the strands' break loads [N]
    twist, bundle, ends : Estimate
        Factors for twist, unequal strands and the loops [-]
    derated : Estimate
        Break load to work with [N]
    checks : tuple of LoadCheck
        Loads against it.
    """

    strands: float
    twist: Estimate
    bundle: Estimate
    ends: Estimate
    derated: Estimate
    checks: tuple[LoadCheck, ...]


@dataclass(frozen=True)
class Remedy:
    """Something that would make the landing surer.

    Attributes
    ----------
    name : str
        What to do.
    u : float
        Standard uncertainty of the finished length with it [m]
    chance : float
        Chance to land within tolerance with it [-]
    """

    name: str
    u: float
    chance: float


@dataclass(frozen=True)
class Landing:
    """How surely the line lands within tolerance.

    Attributes
    ----------
    blind : Estimate
        Finished length by the numbers alone, no reading used [m]
    chance_blind : float
        Chance to land so [-]
    guided_u : float
        Standard uncertainty with the readings that the route asks for and the turns corrected
        to half a turn [m]
    chance : float
        Chance to land within tolerance of the length asked [-]
    chance_of_original : float
        Chance to land within tolerance of what that length stands for: its own +- counted [-]
    budget : tuple of Contribution
        What makes the blind uncertainty, largest first.
    guided_budget : tuple of Contribution
        What is left of it at the proof, largest first.
    remedies : tuple of Remedy
        What would shrink it most, best first.
    proof : Judgement
        The acceptance rule for the proof reading as this bench can make it; once the proof has
        been read, its verdict.
    proved : bool
        True when the proof has been read.
    proof_u : float
        Standard uncertainty of the proof reading [m]
    heard : str
        What it did to the +- that loads are heard; empty where they are not.
    to_come : float
        What the tape shows at the proof over the length of the rested line by itself: stretch
        that is still to go back, and what is known of the gauge and the tape by then [m]
    """

    blind: Estimate
    chance_blind: float
    guided_u: float
    chance: float
    chance_of_original: float
    budget: tuple[Contribution, ...]
    guided_budget: tuple[Contribution, ...]
    remedies: tuple[Remedy, ...]
    proof: Judgement
    proved: bool
    proof_u: float
    heard: str
    to_come: float


@dataclass(frozen=True)
class Fit:
    """A diameter against the part of the bow it must fit.

    Attributes
    ----------
    what, against : str
        The serving or the bare line, and the nock, track or peg.
    size, allowed : float
        The two diameters [m]
    verdict : str
        ``fits``, ``tight``, ``loose`` or ``cannot tell``.
    sentence : str
        What to do.
    """

    what: str
    against: str
    size: Estimate
    allowed: float
    verdict: str
    sentence: str


@dataclass(frozen=True)
class Learned:
    """What readings have changed.

    Attributes
    ----------
    stage : str
        Where it was read.
    text : str
        The reading as it was typed.
    turns : float
        Turns that were in [turn]
    load : float
        Load on the gauge [N]
    expected : Estimate
        What was expected [m]
    read : float
        What was read [m]
    surprising : bool
        True when the reading is further off than its uncertainty explains.
    sentences : tuple of str
        What moved, in words.
    """

    stage: str
    text: str
    turns: float
    load: float
    expected: Estimate
    read: float
    surprising: bool
    sentences: tuple[str, ...]
