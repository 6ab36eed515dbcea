"""What a plan says of a yoke: its legs, what turns do, reserve, lean, how it was matched."""

from __future__ import annotations

from dataclasses import dataclass

from strandwright.planning.estimate import Estimate


@dataclass(frozen=True)
class LegPlan:
    """One leg as it is made.

    Attributes
    ----------
    name : str
        ``left`` or ``right``, seen from behind the drawn bow.
    strands : int
        Strands in it [-]
    colours : tuple of (str, str, int)
        Name, ``#rrggbb`` and strands of each colour that goes into it [-]
    turns : float
        Turns put into it when it is made [turn]
    """

    name: str
    strands: int
    colours: tuple[tuple[str, str, int], ...]
    turns: float


@dataclass(frozen=True)
class YokeTurns:
    """What turns do to the loaded cable on given pins.

    Attributes
    ----------
    span : float
        Between the middles of the leg loops; 0 on one pin [m]
    one_leg, both_legs, body : Estimate
        Change of the overall length by a turn there [m]
    moved : tuple of (float, Estimate, Estimate)
        Turns into one leg and out of the other [turn], what they do to the overall length [m] and
        to the side moment, positive towards the leg they go into [N m]
    """

    span: float
    one_leg: Estimate
    both_legs: Estimate
    body: Estimate
    moved: tuple[tuple[float, Estimate, Estimate], ...]


@dataclass(frozen=True)
class Reserve:
    """How far the legs can be set apart by moving turns.

    Attributes
    ----------
    turns : float
        Turns in each leg [turn]
    least : float
        Turns in each that a usual correction of lean takes [turn]
    correction : float
        That correction: length of one leg less that of the other [m]
    apart : float
        How far all turns of one leg moved over set them apart [m]
    """

    turns: float
    least: float
    correction: float
    apart: float

    @property
    def is_enough(self) -> bool:
        """Whether a usual correction fits either way."""
        return self.turns >= self.least - 1e-9


@dataclass(frozen=True)
class Lean:
    """How legs of unlike length lean a wheel, on the axle.

    Attributes
    ----------
    span : float
        Between the middles of the leg loops [m]
    pulls : tuple of (float, float, float)
        Length of one leg less the other's [m], pull of the shorter and of the longer one [N]
    moments : tuple of Estimate
        Side moment of each of them on a level axle, towards the shorter leg [N m]
    righting : float
        By how much the yoke itself rights the axle, for each radian [N m/rad]
    angle : float
        Of each leg to the body's line [rad]
    shorter : float
        How much shorter the cable is on the axle than on one pin [m]
    """

    span: float
    pulls: tuple[tuple[float, float, float], ...]
    moments: tuple[Estimate, ...]
    righting: float
    angle: float
    shorter: float


@dataclass(frozen=True)
class LegsMatched:
    """Both legs as they were read, and what makes them alike.

    Attributes
    ----------
    difference : Estimate
        Left less right at an equal pull [m]
    bound : float
        Difference within which they match [m]
    matched : bool
        Whether they do.
    longer : str
        ``left`` or ``right``, which takes turns.
    turns : float
        Turns into the longer leg that make them alike, to a half [turn]
    moved : float or None
        Instead, turns into the longer and out of the shorter; None where it has too few [turn]
    left_turns, right_turns : float
        Turns in them as they were read [turn]
    load : float
        Load they were read at [N]
    together : bool
        Whether both pulled at once.
    said : tuple of str
        The same in words.
    """

    difference: Estimate
    bound: float
    matched: bool
    longer: str
    turns: float
    moved: float | None
    left_turns: float
    right_turns: float
    load: float
    together: bool
    said: tuple[str, ...]


@dataclass(frozen=True)
class StrapPlan:
    """A strap that hangs in the far loop of a cable.

    Attributes
    ----------
    strands : int
        Strands in it [-]
    length : float
        Outside to outside of its pins, pulled straight at half the measuring load [m]
    posts : Estimate or None
        Post setting to wind it at; None where it cannot be planned [m]
    cut : float
        Strand it takes, without tails [m]
    turns : float
        Turns in the whole of it [turn]
    turns_range : tuple of float
        Where they may end once it was read [turn]
    loop : float
        Size of its loops [m]
    thread : str
        Thread of its loops; empty for bare ones.
    overall : Estimate
        Cable and strap together, on the axle or, without a span, on one pin [m]
    friction : float
        Coefficient in the eye [-]
    ratio : float
        Most that one side pulls over the other before it slides [-]
    shares : tuple of float
        Load on the tighter and on the looser side there, over the cable's [-]
    most_moment : float
        Side moment there, 0 on one pin [N m]
    why_not : str
        Why this bench cannot make it; empty where it can.
    """

    strands: int
    length: float
    posts: Estimate | None
    cut: float
    turns: float
    turns_range: tuple[float, float]
    loop: float
    thread: str
    overall: Estimate
    friction: float
    ratio: float
    shares: tuple[float, float]
    most_moment: float
    why_not: str


@dataclass(frozen=True)
class YokePlan:
    """A yoke cable's fork, whole.

    Attributes
    ----------
    made : str
        ``halves`` or ``strap``.
    leg : float
        From where the legs part to the outside of a leg's pin [m]
    overall : Estimate
        Outside to outside on one pin, as it is proved on the jig [m]
    throat : tuple of Estimate or None
        Start and stop of the throat's serving on the finished line; None with a strap [m]
    legs : tuple of LegPlan
        Left and right; none with a strap.
    on_pin, on_axle : YokeTurns or None
        What turns do; on the axle where the job says its span.
    reserve : Reserve or None
        Of legs of half the strands.
    lean : Lean or None
        On the axle.
    half_turn_apart : float
        How far half a turn more in one leg sets them apart [m]
    read : tuple of LegsMatched
        Readings of both legs, in order.
    strap : StrapPlan or None
        The strap.
    """

    made: str
    leg: float
    overall: Estimate
    throat: tuple[Estimate, Estimate] | None
    legs: tuple[LegPlan, ...]
    on_pin: YokeTurns | None
    on_axle: YokeTurns | None
    reserve: Reserve | None
    lean: Lean | None
    half_turn_apart: float
    read: tuple[LegsMatched, ...]
    strap: StrapPlan | None

    @property
    def matched(self) -> bool:
        """Whether the legs matched when they were read last."""
        return bool(self.read) and self.read[-1].matched
