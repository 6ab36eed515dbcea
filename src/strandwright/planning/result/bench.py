"""What the bench needs of a plan: winding, states, servings, loops, marks, turns."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.planning.estimate import Estimate


@dataclass(frozen=True)
class ColourRun:
    """Winding of one colour.

    Attributes
    ----------
    name, colour : str
        Its name and ``#rrggbb``.
    strands : int
        Strands laid; each pass from post to post lays one [-]
    rounds : float
        Rounds past the post where its tail is tied; a half round ends at the other post [-]
    starts_at, ends_at : str
        ``zero post`` or ``far post``: where its two tails lie.
    thread_length : float
        Strand used, tails included [m]
    mass : Estimate
        What the spool loses [kg]
    scale_finds_missing : bool
        True when weighing with this scale can tell one missing strand.
    """

    name: str
    colour: str
    strands: int
    rounds: float
    starts_at: str
    ends_at: str
    thread_length: float
    mass: Estimate
    scale_finds_missing: bool


@dataclass(frozen=True)
class Winding:
    """Setting the posts and winding the skein.

    Attributes
    ----------
    posts_outside : Estimate
        Post setting, outside to outside, before the first strand [m]
    posts_centres : Estimate
        The same between post centres [m]
    after_winding : Estimate
        Outside to outside once wound, before any pull; a check of the posts' give [m]
    drag : float
        Winding drag on the strand [N]
    load : Estimate
        Pull of the wound skein on the posts [N]
    slack_passes : int
        First strands that hang slack after winding until the skein is evened out [-]
    passes, rounds, strands : float
        The same winding counted three ways [-]
    runs : tuple of ColourRun
        Colours in order.
    tail_hold : Estimate
        Tail length under a serving that just holds a strand at the highest load [m]
    tail_cut : float
        Tail length to leave, with its margin [m]
    tail_place : str
        Under which serving tails and colour changes belong.
    shift : float
        How far to shift the skein so that they lie there [m]
    tightest : float
        Tension of the tightest strand over the mean, at the measuring load, before the skein is
        evened out [-]
    weighing : str
        Whether and how weighing the spools finds a missing strand.
    warnings : tuple of str
        What to look at.
    """

    posts_outside: Estimate
    posts_centres: Estimate
    after_winding: Estimate
    drag: float
    load: Estimate
    slack_passes: int
    passes: int
    rounds: float
    strands: int
    runs: tuple[ColourRun, ...]
    tail_hold: Estimate
    tail_cut: float
    tail_place: str
    shift: float
    tightest: float = 1.0
    weighing: str = ""
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True)
class StagePlan:
    """One recorded state: what the tape should read there.

    Attributes
    ----------
    key, title : str
        Its short name and what the technician reads.
    load : float
        Load on the gauge [N]
    pins : tuple of float
        Zero and far pin or post [m]
    turns : float
        Turns in by then [turn]
    length : Estimate
        Expected reading [m]
    edges : tuple of Estimate
        Segment edges, throats first and last [m]
    reading : bool
        True when a reading is asked for.
    buys : float
        What the reading takes off the finished length's standard uncertainty [m]
    """

    key: str
    title: str
    load: float
    pins: tuple[float, float]
    turns: float
    length: Estimate
    edges: tuple[Estimate, ...]
    reading: bool
    buys: float


@dataclass(frozen=True)
class ServingPlan:
    """One serving: where, what with, and how it will hold.

    Attributes
    ----------
    name, use, thread, hand, colour : str
        What the technician calls it, what it is for, its thread, hand and colour.
    now_start, now_stop : float
        Edges in the marking state, from the outside of the zero pin [m]
    start, stop : Estimate
        Finished edges [m]
    wraps : Estimate
        Wraps [-]
    wraps_per_length : float
        Wraps over length [1/m]
    thread_length : Estimate
        Thread used [m]
    bobbins : int
        Bobbins of the shop's size it takes [-]
    core, outside : Estimate
        Diameter inside and over the thread [m]
    hold : Estimate
        Force along the line at which it slides, finished [N]
    tension_laid, tension_finished : float
        Thread tension when laid and after the twist [N]
    mass : Estimate
        Thread mass [kg]
    locked_by_twist : str
        ``tightened``, ``loosened`` or ``untouched`` by the twist.
    warnings : tuple of str
        What to look at.
    """

    name: str
    use: str
    thread: str
    hand: str
    colour: str
    now_start: float
    now_stop: float
    start: Estimate
    stop: Estimate
    wraps: Estimate
    wraps_per_length: float
    thread_length: Estimate
    bobbins: int
    core: Estimate
    outside: Estimate
    hold: Estimate
    tension_laid: float
    tension_finished: float
    mass: Estimate
    locked_by_twist: str
    warnings: tuple[str, ...]


@dataclass(frozen=True)
class LoopPlan:
    """The loop at one end: how much to serve and with what.

    Attributes
    ----------
    name : str
        Which end.
    size : float
        Inside length of the closed loop laid flat [m]
    served_length : float
        Length of skein to serve before it is closed; zero for a bare loop [m]
    thread : str
        Its thread; empty for a bare loop.
    wraps : float
        Wraps [-]
    thread_length : float
        Thread used [m]
    mass : float
        Its mass [kg]
    """

    name: str
    size: float
    served_length: float
    thread: str
    wraps: float
    thread_length: float
    mass: float


@dataclass(frozen=True)
class MarkPlan:
    """A marked place.

    Attributes
    ----------
    name : str
        What it marks.
    now : float
        In the marking state [m]
    position : Estimate
        Finished [m]
    """

    name: str
    now: float
    position: Estimate


@dataclass(frozen=True)
class TwistPlan:
    """Turns: how many, what the next one does, what they cost.

    Attributes
    ----------
    turns : float
        Planned turns, throat to throat, to a half turn [turn]
    turns_low, turns_high : float
        95 % range of the turns that will bring the line to length [turn]
    rate : float
        Planned turns over the finished body [turn/m]
    rate_low, rate_high : float
        95 % range [turn/m]
    hand : str
        S or Z.
    take_up : Estimate
        Shortening by the planned turns [m]
    next_turn, next_half : Estimate
        Change of length by one turn or half a turn more, negative when shorter [m]
    less_turn : Estimate
        Change of length by one turn less [m]
    shortest, longest : float
        Length with the most turns we advise, and with none [m]
    most_turns : float
        The most turns we advise [turn]
    slack_strands : int
        Inner strands that carry nothing at the measuring load, finished [-]
    torque : Estimate
        Torque to be held when a loop is off its pin at the measuring load [N m]
    strength_kept : Estimate
        Break load with twist over without [-]
    """

    turns: float
    turns_low: float
    turns_high: float
    rate: float
    rate_low: float
    rate_high: float
    hand: str
    take_up: Estimate
    next_turn: Estimate
    next_half: Estimate
    less_turn: Estimate
    shortest: float
    longest: float
    most_turns: float
    slack_strands: int
    torque: Estimate
    strength_kept: Estimate
