"""What a plan says of itself: target, strength, fits, how surely it lands, what it learned."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

from strandwright.numerics.budget import Contribution
from strandwright.planning.estimate import Estimate
from strandwright.planning.worth.grounds import Grounds
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
    """

    length: Estimate
    notes: tuple[str, ...]


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
    per_brace : float or None
        Change of the length for a brace height higher by a little, below zero, where the length
        follows from a brace height; None elsewhere [m/m]
    """

    length: Estimate
    measuring_load: float
    pin_diameter: float
    tolerance: float
    source: str
    notes: tuple[str, ...]
    original: OriginalLength | None = None
    per_brace: float | None = None


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
class BreakPlace:
    """A place at which a line may break, and what it holds there.

    Attributes
    ----------
    name : str
        ``loop`` with its end's name, ``legs`` of a yoke, or ``middle``.
    strands : Estimate
        Strands that bear there over those of the line, each as far as it can [-]
    keeps : Estimate
        Strength that bends leave there [-]
    load : Estimate
        Load at which it breaks there [N]
    """

    name: str
    strands: Estimate
    keeps: Estimate
    load: Estimate


@dataclass(frozen=True)
class Strength:
    """Strength of the finished line.

    Attributes
    ----------
    strands : float
        Sum of the strands' break loads [N]
    twist, bundle, ends : Estimate
        Factors for twist, unequal strands and the loops, or the middle where that is weakest [-]
    derated : Estimate
        Break load to work with [N]
    checks : tuple of LoadCheck
        Loads against it.
    places : tuple of BreakPlace
        Where it may break, the weakest first; none where only the loops are reckoned with.
    """

    strands: float
    twist: Estimate
    bundle: Estimate
    ends: Estimate
    derated: Estimate
    checks: tuple[LoadCheck, ...]
    places: tuple[BreakPlace, ...] = ()

    @property
    def weakest(self) -> str:
        """Where the last factor is from: ``loops``, ``legs`` or ``middle``."""
        first = self.places[0].name if self.places else "loops"
        return first if first in ("legs", "middle") else "loops"


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
        Chance to land within tolerance with it, corrected at the proof [-]
    chance_first : float
        Chance to be within tolerance with it when the proof is first read [-]
    gain, gain_first : float
        What it adds to the two chances [-]
    time : float
        What it costs with each line; 0 where nothing [s]
    once : str
        What it costs once; empty where it does not.
    saves : float
        Time that it saves with each line on the average, its own cost not taken off [s]
    """

    name: str
    u: float
    chance: float
    chance_first: float
    gain: float
    gain_first: float
    time: float
    once: str
    saves: float


@dataclass(frozen=True)
class ReadingWorth:
    """What one reading is worth that could still be taken.

    Attributes
    ----------
    key : str
        ``length``, ``again``, ``further``, ``diameter``, ``masses`` or ``ear``.
    title : str
        What to do, a verb first.
    stage : str
        The stage it is taken in; empty where it belongs to none.
    asked : bool
        True where the route asks for it.
    before : float
        Chance to be right at the first proof without it [-]
    chance_first, chance : float
        Chance at the first proof and after correction with it [-]
    gain_first, gain : float
        What it adds to the two chances beside the readings that come anyway [-]
    alone : float
        What it would add to the chance if the line were corrected by it alone [-]
    time : float
        What it costs [s]
    saves : float
        Time that it saves on the average beside the others, its own cost not taken off [s]
    when : str
        ``now``, ``later`` or ``not at all``: later where the readings that come anyway tell the
        same.
    """

    key: str
    title: str
    stage: str
    asked: bool
    before: float
    chance_first: float
    chance: float
    gain_first: float
    gain: float
    alone: float
    time: float
    saves: float
    when: str


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
    chance_first : float
        Chance to be within tolerance when the proof is first read, before any correction there;
        of the line as it stands, once it was [-]
    chance : float
        Chance to land within tolerance of the length asked, corrected at the proof [-]
    chance_of_original : float
        Chance to land within tolerance of what that length stands for: its own +- counted [-]
    budget : tuple of Contribution
        What makes the blind uncertainty, largest first.
    guided_budget : tuple of Contribution
        What is left of it at the proof, largest first.
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
    grounds : Grounds
        What the chances rest on.
    """

    blind: Estimate
    chance_blind: float
    guided_u: float
    chance_first: float
    chance: float
    chance_of_original: float
    budget: tuple[Contribution, ...]
    guided_budget: tuple[Contribution, ...]
    proof: Judgement
    proved: bool
    proof_u: float
    heard: str
    to_come: float
    grounds: Grounds = field(repr=False, compare=False)

    @cached_property
    def remedies(self) -> tuple[Remedy, ...]:
        """What would make it surer, the greatest gain first, worked out when it is asked for.

        Other stretches and jigs are left out: they take as long as the rest of the plan.
        """
        from strandwright.planning.worth.remedies import find_remedies

        return find_remedies(self.grounds, anew=False)

    @cached_property
    def every_remedy(self) -> tuple[Remedy, ...]:
        """The same, with builds predicted anew for another stretch, rest or jig."""
        from strandwright.planning.worth.remedies import find_remedies

        return find_remedies(self.grounds, anew=True)

    @cached_property
    def readings(self) -> tuple[ReadingWorth, ...]:
        """What each reading is worth that could still be taken, in order."""
        from strandwright.planning.worth.readings import worth_of_readings

        return worth_of_readings(self.grounds)


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
