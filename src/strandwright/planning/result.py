"""The plan: everything a technician needs to build one line, every number with its +-."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from strandwright.line.route import Loads, Route
from strandwright.numerics.budget import Contribution
from strandwright.numerics.parameters import ParameterVector
from strandwright.planning.estimate import Estimate
from strandwright.statistics.acceptance import Judgement
from strandwright.workshop.job import Job


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
    """

    length: Estimate
    measuring_load: float
    pin_diameter: float
    tolerance: float
    source: str
    notes: tuple[str, ...]


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
    posts_centres : float
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
    posts_centres: float
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
class Step:
    """One step of the route as the technician does it.

    Attributes
    ----------
    number : int
        From 1 [-]
    key : str
        ``posts``, ``wind``, ``even``, ``shift``, ``stretch``, ``read``, ``loops``, ``serve``,
        ``twist``, ``proof``, ``tag``.
    title : str
        The act, a verb first.
    headline : str
        The one number to act on, with its unit.
    lines : tuple of str
        What else to know.
    caution : str
        Plain words where something can hurt; empty where nothing can.
    done : bool
        True when a reading shows that it is behind.
    """

    number: int
    key: str
    title: str
    headline: str
    lines: tuple[str, ...]
    caution: str
    done: bool = False


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


@dataclass(frozen=True)
class Plan:
    """A plan for one line, whole: the job it was made from and every answer.

    Attributes
    ----------
    id : str
        Identity of this plan: the same job and program give the same.
    job : Job
        The job.
    target : Target
        The length asked for.
    route : Route
        The order of work with its stages.
    loads : Loads
        Loads and times of the route.
    winding : Winding
        Posts, passes, colours, tails.
    stages : tuple of StagePlan
        Recorded states in order.
    servings : tuple of ServingPlan
        Servings along the line.
    loops : tuple of LoopPlan
        The two loops, zero end first.
    marks : tuple of MarkPlan
        Marks along the line.
    throats : tuple of float
        Finished distance of each throat from the outside of its own pin, zero and far [m]
    twist : TwistPlan
        Turns.
    bare_diameter : Estimate
        Diameter of the bare bundle at the measuring load [m]
    strength : Strength
        Break load against the loads.
    fits : tuple of Fit
        Diameters against nock, tracks and pegs.
    mass : Estimate
        Mass of the finished line [kg]
    arrow_mass : Estimate or None
        Arrow mass that costs as much speed as this line does; None for a cable [kg]
    load_per_kelvin : Estimate
        Change of the load on locked posts when everything gets a kelvin warmer [N/K]
    landing : Landing
        How sure it is.
    rest : float
        Rest before the proof so that the delayed recovery no longer matters [s]
    warnings : tuple of str
        What to settle first.
    learned : tuple of Learned
        Readings used so far.
    parameters : ParameterVector
        What is known of the unknowns, after those readings.
    """

    id: str
    job: Job
    target: Target
    route: Route
    loads: Loads
    winding: Winding
    stages: tuple[StagePlan, ...]
    servings: tuple[ServingPlan, ...]
    loops: tuple[LoopPlan, ...]
    marks: tuple[MarkPlan, ...]
    throats: tuple[float, float]
    twist: TwistPlan
    bare_diameter: Estimate
    strength: Strength
    fits: tuple[Fit, ...]
    mass: Estimate
    arrow_mass: Estimate | None
    load_per_kelvin: Estimate
    landing: Landing
    rest: float
    warnings: tuple[str, ...]
    learned: tuple[Learned, ...]
    parameters: ParameterVector

    @cached_property
    def steps(self) -> tuple[Step, ...]:
        """The route as the technician does it, one act and one number each."""
        from strandwright.planning.steps import lay_out_steps

        return lay_out_steps(self)

    def _repr_svg_(self) -> str:
        """Show the line on its strip in a notebook."""
        from strandwright.drawing import notebook_svg
        from strandwright.planning.picture import strip_picture

        return notebook_svg(strip_picture(self))

    def stage(self, key: str) -> StagePlan:
        """Give the stage of that key.

        Parameters
        ----------
        key : str
            The stage's short name.

        Returns
        -------
        StagePlan
            The stage.
        """
        return next(s for s in self.stages if s.key == key)
