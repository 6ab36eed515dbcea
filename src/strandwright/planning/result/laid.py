"""What a laid-in line needs of a plan: bundles to cut, ends to lay, and how surely they hold."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.planning.estimate import Estimate


@dataclass(frozen=True)
class Share:
    """The strands of one colour in one bundle.

    Attributes
    ----------
    bundle : int
        Which bundle, from 1 [-]
    name, colour : str
        The colour's name and ``#rrggbb``.
    strands : int
        How many [-]
    alone : bool
        True where the bundle has no other colour.
    """

    bundle: int
    name: str
    colour: str
    strands: int
    alone: bool


@dataclass(frozen=True)
class CutBundle:
    """One bundle as it is cut.

    Attributes
    ----------
    number : int
        From 1 [-]
    shares : tuple of Share
        Its colours.
    lengths : tuple of float
        To cut each strand to, the longest first [m]
    """

    number: int
    shares: tuple[Share, ...]
    lengths: tuple[float, ...]

    @property
    def strands(self) -> int:
        """How many strands it has [-]."""
        return sum(share.strands for share in self.shares)


@dataclass(frozen=True)
class CutSum:
    """A common sum for the length to cut, beside the one worked out.

    Attributes
    ----------
    name : str
        How it reckons, in words.
    length : float
        What it comes to [m]
    far_off : bool
        True where the length worked out is much longer or shorter.
    """

    name: str
    length: float
    far_off: bool


@dataclass(frozen=True)
class CutList:
    """The strands to cut.

    Attributes
    ----------
    bundles : tuple of CutBundle
        In order.
    board : str
        ``stepped`` or ``two nails``.
    step : float
        By which one strand of a tail ends before the next [m]
    needed : Estimate
        Length of the longest strand, worked out [m]
    longest : float
        What it is cut to: rounded up, the rest lies in the tails [m]
    taper : float
        Length over which a tail fades out, strand by strand [m]
    fibre : float
        Strand in all [m]
    mass : Estimate
        Mass of it, waxed [kg]
    sums : tuple of CutSum
        Common sums beside it.
    """

    bundles: tuple[CutBundle, ...]
    board: str
    step: float
    needed: Estimate
    longest: float
    taper: float
    fibre: float
    mass: Estimate
    sums: tuple[CutSum, ...]


@dataclass(frozen=True)
class LaidRope:
    """How the bundles are laid in one place, by hand.

    Attributes
    ----------
    where : str
        ``loop`` or ``married part``.
    strands : float
        Strands in all there, a fading tail counted by half [-]
    by_hand : float
        Turns to put into each bundle by hand, over length of bundle [turn/m]
    lay : float
        Turns of lay that come of it, over length of the line [turn/m]
    angle : float
        Angle of the bundles to the line's axis that it comes to [rad]
    diameter : Estimate
        Outside of the laid bundles [m]
    """

    where: str
    strands: float
    by_hand: float
    lay: float
    angle: float
    diameter: Estimate


@dataclass(frozen=True)
class LaidEnd:
    """One end: its loop and its tails, measured along the straight bundles.

    Attributes
    ----------
    name : str
        Which end.
    far : bool
        True for the far end, which is laid second.
    size : float
        Inside length of the closed loop laid flat [m]
    round : float
        Round the loop, along the middle of its leg [m]
    turns : float
        Turns of lay in the loop [turn]
    tail : float
        From the longest strand's end to where the loop begins [m]
    loop : float
        Of bundle in the loop [m]
    standing : float
        Of standing bundle in the married part [m]
    married : float
        Length of the married part on the line [m]
    throat : float
        From the outside of the peg to where the loop closes [m]
    """

    name: str
    far: bool
    size: float
    round: float
    turns: float
    tail: float
    loop: float
    standing: float
    married: float
    throat: float

    @property
    def fold(self) -> float:
        """From the longest strand's end to the middle of the loop [m]."""
        return self.tail + 0.5 * self.loop

    @property
    def throat_on_bundle(self) -> float:
        """From the longest strand's end to where the loop closes on the standing bundle [m]."""
        return self.tail + self.loop

    @property
    def married_on_bundle(self) -> float:
        """From the longest strand's end to where the body begins [m]."""
        return self.tail + self.loop + self.standing


@dataclass(frozen=True)
class SecondMarks:
    """Marks of the second loop on the straight bundles, from the outside of the first peg.

    The first loop hangs on it, the bundles are untwisted and pulled straight by hand.

    Attributes
    ----------
    body_ends, throat, fold, begin : Estimate
        Where the married part begins, the loop closes, its middle is, and its laying begins [m]
    quarter : float
        What a quarter of an inch at the marks does to the finished length [m]
    turns : float
        Turns of the line that take as much up [turn]
    """

    body_ends: Estimate
    throat: Estimate
    fold: Estimate
    begin: Estimate
    quarter: float
    turns: float


@dataclass(frozen=True)
class Hold:
    """How surely the married parts hold, by dry friction alone.

    Attributes
    ----------
    married : float
        Length of a married part on the line [m]
    needed : float
        Length that the lay alone needs for the factor wanted; infinite where none does [m]
    with_turns : float
        The same with the bundles' own turns; not counted on [m]
    wanted : float
        Factor wanted on the tension that a tail brings in [-]
    factor : float
        Factor of the married part as it is, by the lay alone [-]
    load : Estimate
        Highest load of the bow [N]
    tail : float
        What one tail brings in of it at the throat [N]
    friction : float
        Of strand on strand, waxed [-]
    cover : float
        Share of the standing strands' pressure that is taken to pass through a tail [-]
    taper : float
        Share of the married part over which the tail fades out [-]
    """

    married: float
    needed: float
    with_turns: float
    wanted: float
    factor: float
    load: Estimate
    tail: float
    friction: float
    cover: float
    taper: float

    @property
    def is_enough(self) -> bool:
        """True where the married part is as long as friction by the lay alone needs."""
        return self.needed <= self.married


@dataclass(frozen=True)
class LaidIn:
    """A line laid in, from the cut list to the second loop's marks.

    Attributes
    ----------
    cut : CutList
        The strands to cut.
    hand, by_hand : str
        S or Z of the lay, and of the turns that each bundle gets by hand.
    loop, married : LaidRope
        How the bundles are laid there.
    ends : tuple of LaidEnd
        Zero end, laid first, and far end.
    marks : SecondMarks
        Where the second loop lies.
    hold : Hold
        How surely the married parts hold.
    body_diameter : float
        Outside of the laid bundles in the finished body [m]
    nesting : float
        How near soft bundles lie over round ones [-]
    fewest : float
        Turns under which its bundles gape, by practice [turn]
    warnings : tuple of str
        What to look at.
    """

    cut: CutList
    hand: str
    by_hand: str
    loop: LaidRope
    married: LaidRope
    ends: tuple[LaidEnd, LaidEnd]
    marks: SecondMarks
    hold: Hold
    body_diameter: float
    nesting: float
    fewest: float
    warnings: tuple[str, ...]
