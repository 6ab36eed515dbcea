"""What a four-post jig needs of a plan: the swing, the loops on the arms, the legs."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.geometry.swung_arms import Arms
from strandwright.line.swung_loop import ArmSide, Spot


@dataclass(frozen=True)
class Swing:
    """Swinging the two arms square with the skein on them.

    Attributes
    ----------
    load : float
        Load on the gauge to let the skein down to first [N]
    let_in : float
        How much nearer the pivots stand square than in line for the same load; below zero where
        they stand further apart [m]
    together, apart : float
        Highest load on the way, the beam held after it was let in where that is needed: both
        arms at once, or one after the other [N]
    held : float
        Load it would come to were the beam held where it stood in line [N]
    moment : float
        With which the skein turns one square arm at the serving load, above zero back into
        line [N m]
    serve_load : float
        Load on the gauge under which the loops are marked and served [N]
    square : float
        Outside to outside of the arms along the beam, square, at that load [m]
    """

    load: float
    let_in: float
    together: float
    apart: float
    held: float
    moment: float
    serve_load: float
    square: float


@dataclass(frozen=True)
class Legs:
    """Both legs of a loop served together, from where its ends lie level.

    Attributes
    ----------
    serving : str
        The end serving that this is; empty where it only binds the loop.
    later : str
        The end serving that goes on after the twist over the binding; empty where there is none.
    thread, colour : str
        Its thread and colour; no thread where the job names none.
    start, stop : float
        From the outside of the outer post, at the serving load [m]
    wraps : float
        Wraps [-]
    thread_length : float
        Thread used [m]
    clear_of_inner : bool
        False where the inner post, between the legs, would stand in the way.
    """

    serving: str
    later: str
    thread: str
    colour: str
    start: float
    stop: float
    wraps: float
    thread_length: float
    clear_of_inner: bool


@dataclass(frozen=True)
class ArmLoop:
    """One loop served on its arm, at the serving load.

    Attributes
    ----------
    name : str
        Which end.
    far : bool
        True for the far end.
    size : float
        Inside length of the closed loop laid flat [m]
    peg : str
        The bow's peg it goes over; empty where the job names none.
    least_size : float or None
        Smallest loop that passes over that peg [m]
    served : float
        Between the two marks, as the skein lies there [m]
    marks : tuple of Spot
        The two marks, towards the outer post and towards the inner one.
    ends : tuple of Spot
        Where the thread begins and ends, past the marks.
    side : ArmSide
        The short side and its corners.
    reach : float
        How far the skein is slid, either way, so that each half comes off its post; 0 where all of
        it lies free [m]
    thread, colour : str
        Its thread and colour; no thread for a bare loop.
    wraps : float
        Wraps, from end to end of the thread [-]
    thread_length : float
        Thread used [m]
    off_allowed : float
        How far off its place the pair of marks may lie for a tenth of uneven load [m]
    uneven : float
        Load of the tighter leg over the mean, less one, for marks 1/32 in off, before the
        twist [-]
    legs : Legs
        What holds the loop closed.
    """

    name: str
    far: bool
    size: float
    peg: str
    least_size: float | None
    served: float
    marks: tuple[Spot, Spot]
    ends: tuple[Spot, Spot]
    side: ArmSide
    reach: float
    thread: str
    colour: str
    wraps: float
    thread_length: float
    off_allowed: float
    uneven: float
    legs: Legs


@dataclass(frozen=True)
class FourPosts:
    """A line's loops made on the swinging arms of its bench.

    Attributes
    ----------
    arms : Arms
        The arms as the centreline of the skein sees them.
    posts : tuple of (float, float)
        Diameter of the outer and the inner post, at the zero and at the far end [m]
    offset : float
        Mean distance of the strands' centreline from the posts' surface [m]
    swing : Swing
        Swinging the arms.
    loops : tuple of ArmLoop
        Zero and far.
    between_marks : float
        Along each long side from mark to mark, square, at the serving load [m]
    tails_from_middle : float
        From the loop's middle along the skein to where tails and colour changes begin [m]
    """

    arms: Arms
    posts: tuple[tuple[float, float], tuple[float, float]]
    offset: float
    swing: Swing
    loops: tuple[ArmLoop, ArmLoop]
    between_marks: float
    tails_from_middle: float

    @property
    def slide(self) -> float:
        """How far the skein is slid, either way, to serve both loops by halves; 0 for none [m]."""
        return max(loop.reach if loop.thread else 0.0 for loop in self.loops)

    @property
    def on_already(self) -> frozenset[str]:
        """Names of the servings that are on before the rest is served."""
        return frozenset(loop.legs.serving for loop in self.loops if loop.legs.serving)

    def tails_at(self, loop: ArmLoop) -> Spot:
        """Give where the tails begin on a long side of a loop's arm.

        Parameters
        ----------
        loop : ArmLoop
            One of the two.

        Returns
        -------
        Spot
            Past the outer post.
        """
        return loop.side.outer.spot(self.tails_from_middle)
