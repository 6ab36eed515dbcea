"""The result of planning a set: what only all lines of a bow together can say."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from strandwright.planning.estimate import Estimate
from strandwright.planning.result import Plan
from strandwright.workshop.line_set import LineSet

#: What a check of the lines against each other found.
Verdict = Literal["agrees", "differs", "not said"]


@dataclass(frozen=True)
class FibreCut:
    """Strand of one fibre, lot and colour that the set takes.

    Attributes
    ----------
    strand, lot, name, colour : str
        Fibre, lot, the colour's name and ``#rrggbb``.
    jobs : tuple of str
        Ids of the lines that take it.
    length : Estimate
        Off the spool, tails and posts counted in [m]
    mass : Estimate
        What the spool loses [kg]
    spool : float
        Share of a full spool [-]
    """

    strand: str
    lot: str
    name: str
    colour: str
    jobs: tuple[str, ...]
    length: Estimate
    mass: Estimate
    spool: float


@dataclass(frozen=True)
class ThreadCut:
    """Serving thread of one kind and colour that the set takes.

    Attributes
    ----------
    thread, colour : str
        Its name and ``#rrggbb``.
    jobs : tuple of str
        Ids of the lines that take it.
    length : Estimate
        Servings and loops together [m]
    bobbins : int
        Bobbins to fill [-]
    """

    thread: str
    colour: str
    jobs: tuple[str, ...]
    length: Estimate
    bobbins: int


@dataclass(frozen=True)
class SmallPart:
    """Something that goes onto a line.

    Attributes
    ----------
    name : str
        What it is.
    count : int
        How many [-]
    mass : float
        Of all of them [kg]
    jobs : tuple of str
        Ids of the lines that take it.
    """

    name: str
    count: int
    mass: float
    jobs: tuple[str, ...]


@dataclass(frozen=True)
class CutList:
    """Everything the set takes off the shelf.

    Attributes
    ----------
    fibres : tuple of FibreCut
        Strand.
    threads : tuple of ThreadCut
        Serving thread.
    parts : tuple of SmallPart
        Small parts.
    spool_mass : float
        Strand on a full spool [kg]
    spool_source : str
        Where that comes from.
    """

    fibres: tuple[FibreCut, ...]
    threads: tuple[ThreadCut, ...]
    parts: tuple[SmallPart, ...]
    spool_mass: float
    spool_source: str


@dataclass(frozen=True)
class BenchOrder:
    """The order of winding on one bench.

    Attributes
    ----------
    bench : str
        Its name.
    jobs : tuple of str
        Ids of the lines, the first wound first.
    posts : tuple of float
        Where the posts stand for each, outside to outside [m]
    together : tuple of tuple of str
        Ids of lines that are wound on one setting, where there are such.
    moves : int
        Times the posts are set anew after the first line [-]
    travel : float
        How far they are moved in all [m]
    spool_changes : int
        Times another spool is put on the tool from one line to the next [-]
    time : float
        What moves and changes cost [s]
    worst_moves, worst_spool_changes : int
        The same in the order that costs most [-]
    worst_travel : float
        How far the posts are moved in that order [m]
    saves : float
        Time saved over that order [s]
    source : str
        Where the times come from.
    """

    bench: str
    jobs: tuple[str, ...]
    posts: tuple[float, ...]
    together: tuple[tuple[str, ...], ...]
    moves: int
    travel: float
    spool_changes: int
    time: float
    worst_moves: int
    worst_spool_changes: int
    worst_travel: float
    saves: float
    source: str


@dataclass(frozen=True)
class BenchFit:
    """Whether one line could be built on one bench of the set.

    Attributes
    ----------
    bench, job : str
        The bench's name and the line's job.
    fits : bool
        True when it can.
    said : str
        Why not; empty where it can.
    """

    bench: str
    job: str
    fits: bool
    said: str


@dataclass(frozen=True)
class Span:
    """One piece of work or waiting of one line.

    Attributes
    ----------
    job, step, title : str
        The line's job, its step, what is done.
    kind : str
        ``work``: hands and bench; ``stretch``: the bench alone; ``rest``: neither.
    bench : str
        The bench it is done at.
    start, stop : float
        From when to when [s]
    """

    job: str
    step: str
    title: str
    kind: str
    bench: str
    start: float
    stop: float


@dataclass(frozen=True)
class Schedule:
    """How long the set takes when one line stands or rests while another is worked on.

    Attributes
    ----------
    spans : tuple of Span
        All work and waiting, in the order in which it begins.
    total : Estimate
        From the first post to the last proof [s]
    one_by_one : float
        The same, each line built to its end before the next [s]
    hands : Estimate
        Of that, hands at work [s]
    said : tuple of str
        What may be done meanwhile.
    source : str
        Where the times come from.
    caution : str
        Where one line stands under its stretch while hands are at another; empty where none does.
    uncounted : tuple of str
        Titles of steps that nothing says the time of: they are left out.
    """

    spans: tuple[Span, ...]
    total: Estimate
    one_by_one: float
    hands: Estimate
    said: tuple[str, ...]
    source: str
    caution: str = ""
    uncounted: tuple[str, ...] = ()


@dataclass(frozen=True)
class Check:
    """One thing in which the lines of a bow are to agree.

    Attributes
    ----------
    of : str
        What: ``hand of twist``, ``fibre``, ``lot``, ``measuring load``, a figure of the bow.
    verdict : str
        ``agrees``, ``differs`` or ``not said``.
    said : str
        What was found.
    remedy : str
        What to do; empty where they agree.
    jobs : tuple of str
        Ids of the lines it is about.
    """

    of: str
    verdict: Verdict
    said: str
    remedy: str
    jobs: tuple[str, ...]


@dataclass(frozen=True)
class PairAnswer:
    """How two lines of a matched pair compare.

    Attributes
    ----------
    one, other : str
        Ids of their jobs.
    is_read : bool
        True when both were proved: lengths as they were read; else as they are asked for.
    difference : Estimate
        Finished length of the one less that of the other [m]
    bound : float
        Within which they match [m]
    chance : float or None
        Chance that they match at their first proofs; None once both were read [-]
    turns : float
        Turns more in the longer one that make it as long as the other, to half a turn [turn]
    longer : str
        Id of the longer one's job.
    checks : tuple of Check
        Length, turns, strands, load.
    """

    one: str
    other: str
    is_read: bool
    difference: Estimate
    bound: float
    chance: float | None
    turns: float
    longer: str
    checks: tuple[Check, ...]


@dataclass(frozen=True)
class SetChance:
    """How surely all lines land.

    Attributes
    ----------
    first : float
        Chance that every line is within tolerance when its proof is first read [-]
    after : float
        Chance that every one is once the turns were corrected at the proof [-]
    each : tuple of float
        Chance of each line to be so when its proof is first read [-]
    alone : float
        What the first would be if the lines shared nothing: the product of the single ones [-]
    shared : tuple of str
        What makes the lines go together, in words, the most first.
    """

    first: float
    after: float
    each: tuple[float, ...]
    alone: float
    shared: tuple[str, ...]


@dataclass(frozen=True)
class Heed:
    """A caution of the set, and where it belongs.

    Attributes
    ----------
    said : str
        It, in plain words.
    steps : tuple of (str, tuple of str)
        Each act it stands at, with the ids of the lines that have it.
    """

    said: str
    steps: tuple[tuple[str, tuple[str, ...]], ...]


@dataclass(frozen=True)
class Unplanned:
    """A line of the set that cannot be planned.

    Attributes
    ----------
    job : str
        Id of its job.
    said : str
        Why.
    """

    job: str
    said: str


@dataclass(frozen=True)
class PlannedSet:
    """A set with the plan of each line and what they say together.

    Attributes
    ----------
    line_set : LineSet
        The set.
    plans : tuple of Plan
        Of its lines: strings before cables, the longest first.
    unplanned : tuple of Unplanned
        Lines that have none; the answers are those of the others.
    cut : CutList
        What it takes.
    orders : tuple of BenchOrder
        The order of winding on each bench.
    fits : tuple of BenchFit
        Whether each line fits each bench used.
    schedule : Schedule
        How long it takes.
    checks : tuple of Check
        Agreement of the lines.
    pairs : tuple of PairAnswer
        Matched pairs.
    chance : SetChance or None
        How surely all land that are still to be built; None where none is.
    built : tuple of str
        Ids of the lines that are built already: order, time, chance and cautions are those of the
        others.
    heeds : tuple of Heed
        Cautions of the lines that are still to be built.
    """

    line_set: LineSet
    plans: tuple[Plan, ...]
    unplanned: tuple[Unplanned, ...]
    cut: CutList
    orders: tuple[BenchOrder, ...]
    fits: tuple[BenchFit, ...]
    schedule: Schedule
    checks: tuple[Check, ...]
    pairs: tuple[PairAnswer, ...]
    chance: SetChance | None
    built: tuple[str, ...] = ()
    heeds: tuple[Heed, ...] = ()
