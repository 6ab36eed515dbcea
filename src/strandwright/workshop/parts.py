"""The nouns of a job: the bow, what was read off the original, the line, make-up and bench."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from strandwright.workshop.fields import (
    Colour,
    Duration,
    Energy,
    Force,
    HandLetter,
    Length,
    LinearDensity,
    Load,
    Mass,
    Noun,
    Offset,
    Rating,
    Ratio,
    Speed,
    Stiffness,
    Temperature,
    TurnRate,
    WrapRate,
)
from strandwright.workshop.makings import BuildLegs, LaidIn, SplitYoke
from strandwright.workshop.riser import CableGuard, LimbBolts, StringStop

BowKind = Literal["one-cam", "two-cam", "hybrid-cam", "recurve", "longbow", "crossbow"]
CrossbowKind = Literal["recurve", "compound"]
LimbMaterial = Literal["wood", "wood and glass", "glass", "carbon"]
LineKind = Literal["string", "cable"]
#: A picture's name: the SHA-256 of its bytes in 64 hexadecimal digits.
PhotoName = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
ServingUse = Literal["end", "loop", "track", "stop", "centre", "free", "throat"]
MarkKind = Literal[
    "peep",
    "nocking point",
    "string loop",
    "silencer",
    "weight",
    "button",
    "stop",
    "centre",
    "other",
]
RulesClass = Literal["recurve", "barebow", "compound", "flatbow", "longbow", "traditional"]
Decision = Literal["ask", "mended", "note", "refuse"]
#: What may be found on a bow; what to look at and why stands in the reference table of stops.
Finding = Literal[
    "burred peg or track",
    "cracked limb",
    "low-stretch string on an old or wooden bow",
    "dirt in the slide",
    "bent wheel",
    "dry-fired",
    "cut strand",
    "bent axle",
    "loose limb bolt or pocket",
    "twisted limb",
    "worn string groove",
    "wheels out of line",
    "changed wheels or limbs",
    "steel cables",
    "worn rail or latch",
    "nock that does not hold",
    "unknown draw weight",
    "other",
]


class Track(Noun):
    """A track of the bow that the line runs in."""

    name: str
    width: Length


class Peg(Noun):
    """A peg, post or limb tip that a loop goes over."""

    name: str
    diameter: Length
    limb_width: Length | None = Field(
        default=None,
        description="of the limb where the loop lies when a recurve or longbow is unstrung",
    )
    limb_thickness: Length | None = Field(
        default=None, description="of the limb at the same place, belly to back"
    )


class Nock(Noun):
    """The nock that snaps on the centre serving: its seat and the gap it enters by."""

    seat: Length
    entry: Length | None = None


class LineLoads(Noun):
    """Loads of this line on the bow, where they are known better than by the kind of bow."""

    resting: Force | None = None
    highest: Force | None = None
    release: Force | None = None


class BoardPoint(Noun):
    """One point read on a draw board."""

    draw: Length = Field(
        description="true draw length: pivot to nocking point and 1 3/4 in; of a crossbow from "
        "where its brace height is measured, to the string"
    )
    force: Force


class BowFigures(Noun):
    """Figures of a bow as it stands: measured, or wanted with a +- that says how near."""

    brace_height: Length | None = None
    axle_to_axle: Length | None = None
    draw_length: Length | None = None
    draw_weight: Force | None = None
    centring: Offset | None = Field(
        default=None,
        description="of a crossbow: its string's centre mark from the middle of the rail, to the "
        "right as it is shot; below zero to the left",
    )


class TurnsPut(Noun):
    """Turns put into one line of the bow; taken out where negative."""

    line: str = Field(min_length=1, max_length=60)
    turns: float = Field(ge=-60, le=60, strict=True)


class TuningTrial(Noun):
    """Turns put into lines, and what the bow read before and after."""

    turns: tuple[TurnsPut, ...] = Field(min_length=1, max_length=6)
    before: BowFigures
    after: BowFigures


class Bow(Noun):
    """The bow, and its state before any press touched it."""

    kind: BowKind
    name: str = ""
    crossbow: CrossbowKind | None = Field(
        default=None,
        description="which kind of crossbow: recurve, with limbs alone, or compound, with wheels",
    )
    rail: Length | None = Field(
        default=None, description="width of a crossbow's rail where the string lies on it"
    )
    latch: Length | None = Field(
        default=None, description="room that a crossbow's latch leaves the served string"
    )
    draw_weight: Force | None = None
    bow_length: Length | None = None
    axle_to_axle: Length | None = None
    brace_height: Length | None = None
    draw_length: Length | None = None
    tiller_top: Length | None = None
    tiller_bottom: Length | None = None
    let_off: Ratio | None = None
    stored_energy: Energy | None = None
    efficiency: Ratio | None = None
    cam_marks: str = ""
    lean: str = ""
    nock_height: Length | None = None
    peep_height: Length | None = None
    old_or_wooden: bool = Field(default=False, strict=True)
    year: int | None = Field(
        default=None, ge=1800, le=2200, strict=True, description="in which it was made"
    )
    limbs: LimbMaterial | None = Field(default=None, description="what its limbs are made of")
    takes_low_stretch: bool | None = Field(
        default=None,
        strict=True,
        description="whether its maker allows a low-stretch string; nobody knows where left out",
    )
    tracks: tuple[Track, ...] = ()
    pegs: tuple[Peg, ...] = ()
    nock: Nock | None = None
    loads: LineLoads = LineLoads()
    cables: Literal["to the axles", "wheel to wheel"] = Field(
        default="to the axles",
        description="where the far ends of a two-cam bow's cables go, or a compound crossbow's",
    )
    upper_wheel: Length | None = Field(
        default=None, description="diameter of a one-cam bow's upper wheel, in its track"
    )
    draw_board: tuple[BoardPoint, ...] = Field(default=(), max_length=60)
    now: BowFigures = Field(default=BowFigures(), description="measured with the new line on")
    wanted: BowFigures = Field(default=BowFigures(), description="what it should measure")
    trials: tuple[TuningTrial, ...] = Field(default=(), max_length=60)
    arrow: Mass | None = Field(default=None, description="mass of the arrow shot from it")
    shot: Speed | None = Field(default=None, description="its speed over a chronograph")
    guard: CableGuard | None = None
    string_stop: StringStop | None = None
    limb_bolts: LimbBolts | None = None
    rules: RulesClass | None = Field(
        default=None, description="class of bow whose competition rules the string is held to"
    )


class OldReading(Noun):
    """One length read off the original, with its conditions."""

    length: Length
    zero_post: Length | None = Field(default=None, description="pin or post, 1/4 in if not said")
    far_post: Length | None = None
    load: Load
    temperature: Temperature | None = None


class OldLabel(Noun):
    """What a label or the bow says about the length."""

    says: Literal["string length", "bow length"]
    length: Length
    convention: Literal["trade standard", "not stated"] = "not stated"


class StopFinding(Noun):
    """Something that must be settled before a new line goes on the bow."""

    finding: Finding
    where: str = ""
    decision: Decision = "ask"
    photos: tuple[PhotoName, ...] = Field(
        default=(), max_length=20, description="pictures of it, each by its SHA-256"
    )


class OldStrands(Noun):
    """Strands counted on the original, of one colour."""

    colour: str
    strands: int = Field(ge=1, le=200, strict=True)


class Original(Noun):
    """The take-off: what was read off the worn line."""

    readings: tuple[OldReading, ...] = ()
    label: OldLabel | None = None
    shorthand: str = Field(default="", description="start-stop shorthand as laid on the original")
    strands: tuple[OldStrands, ...] = ()
    turns: float | None = Field(default=None, ge=0, le=300, strict=True)
    hand: HandLetter | None = None
    serving_hand: HandLetter | None = None
    bare_diameter: Length | None = None
    served_diameter: Length | None = None
    wraps: WrapRate | None = None
    zero_loop: Length | None = None
    far_loop: Length | None = None
    mass: Mass | None = None
    wear: str = ""
    stop: tuple[StopFinding, ...] = ()


class LoopEnd(Noun):
    """The loop at one end of the line."""

    name: str
    size: Length = Field(description="inside length of the closed loop laid flat")
    thread: str | None = Field(default=None, description="thread of the loop; none for bare")
    peg: str | None = Field(default=None, description="the bow's peg it goes over")
    reinforced: int | None = Field(
        default=None,
        ge=2,
        le=200,
        strict=True,
        description="strands laid in beside those of the line, in both legs of the loop together; "
        "each piece runs round the loop and counts twice",
    )
    reinforced_length: Length | None = Field(
        default=None,
        description="how far they run from the loop's throat, to the middle of where they end one "
        "after the other; as practice has it where left out",
    )


class ServingSpec(Noun):
    """One serving; its edges come from the shorthand unless they are given here."""

    name: str
    use: ServingUse = "end"
    thread: str
    hand: HandLetter | None = None
    colour: Colour = "#3A3A3A"
    start: Length | None = None
    stop: Length | None = None
    from_far_end: bool = Field(
        default=False, strict=True, description="start and stop are measured from the far end"
    )
    track: str | None = Field(default=None, description="the bow's track it runs in")
    tension: Force | None = None
    trial_diameter: Length | None = Field(
        default=None, description="diameter over a trial wrap of this thread on this bundle"
    )
    trial_in_nock: Literal["fits", "tight", "loose"] | None = Field(
        default=None, description="how a trial wrap of this thread sits in the bow's nock"
    )
    made: Literal["on the jig", "on the bow"] = Field(
        default="on the jig",
        description="where it is served; on the bow is after fitting, at the load of the brace",
    )


class MarkSpec(Noun):
    """A marked place: nock, peep, centre."""

    name: str
    at: Length
    from_far_end: bool = Field(default=False, strict=True)
    mass: Mass | None = None
    kind: MarkKind | None = Field(
        default=None, description="what sits there; told from the name where it is plain"
    )


class LineSpec(Noun):
    """The line to be built."""

    name: str
    kind: LineKind = "string"
    zero_end: LoopEnd
    far_end: LoopEnd
    finished: Length | None = Field(
        default=None, description="length when finished; left out, it comes from the original"
    )
    shorthand: str = ""
    servings: tuple[ServingSpec, ...] = ()
    marks: tuple[MarkSpec, ...] = ()
    tolerance: Length | None = None
    yoke: SplitYoke | None = Field(default=None, description="its far end parts in two legs")
    laid: LaidIn | None = Field(
        default=None, description="its bundles are laid about each other, not wound as a skein"
    )


class ColourStrands(Noun):
    """Strands of one colour."""

    name: str
    colour: Colour
    strands: int = Field(ge=1, le=200, strict=True)
    second: Colour | None = Field(default=None, description="of a speckled yarn")
    third: Colour | None = Field(
        default=None, description="of a speckled yarn of three colours, beside a second"
    )


class Separator(Noun):
    """A thread laid between two bundles to mark where they part for a peep; it bears nothing."""

    name: str = Field(default="separator", min_length=1, max_length=40)
    colour: Colour = "#F4F1E8"
    thread: str | None = Field(
        default=None, description="of the serving threads; a strand of the line where left out"
    )


class OwnStrand(Noun):
    """A strand that is not in the reference table, from its label or a weighed length."""

    name: str
    fibre: Literal["polyester", "hmpe", "hmpe-lcp", "aramid"]
    linear_density: LinearDensity | None = None
    weighed_length: Length | None = None
    weighed_mass: Mass | None = None
    break_load: Force | None = None
    break_strain: Ratio | None = None
    stiffness: Force | None = Field(default=None, description="secant EA to break")


class MakeUp(Noun):
    """Fibre, strands, colours and twist."""

    strand: str = Field(description="name of a reference strand, or of own_strand")
    own_strand: OwnStrand | None = None
    lot: str = Field(default="", max_length=60, description="lot of the spools")
    strands: int = Field(ge=2, le=200, strict=True)
    colours: tuple[ColourStrands, ...] = ()
    pattern: Literal["halves", "thirds", "pinstripe", "free"] = "free"
    separator: Separator | None = Field(
        default=None, description="laid between the two halves, to mark the split for a peep"
    )
    hand: HandLetter = "Z"
    twist: TurnRate | None = Field(default=None, description="turns over the finished body")
    turns: float | None = Field(default=None, ge=0, le=300, strict=True)


class EarCheck(Noun):
    """A load that was heard at this jig while a known one was on the line."""

    heard: Force
    true: Force = Field(description="a hanging weight, or what a load gauge showed")
    line: str = Field(
        default="", max_length=40, description="id of the job whose line was on the jig"
    )
    served: bool | None = Field(
        default=None, strict=True, description="whether that line had its servings on"
    )


class SwingArms(Noun):
    """The arms of a four-post jig, one at each end: an outer and an inner post on each."""

    between: Length = Field(description="between the middles of the two posts of an arm")
    pivot: Ratio | None = Field(
        default=None,
        description="where the arm turns: share of the way from the outer post to the inner one; "
        "half way where left out",
    )
    post: Length | None = Field(
        default=None,
        description="diameter of the inner posts; as the outer post of that arm where left out",
    )


class BenchSpec(Noun):
    """The jig and the technician's habits at it."""

    name: str = "bench"
    zero_post: Length
    far_post: Length | None = None
    loop_pin: Length | None = None
    arms: SwingArms | None = Field(
        default=None,
        description="swinging arms on which loops are served; the zero and the far post are then "
        "the outer posts. Left out, the jig has two posts",
    )
    longest: Length
    shortest: Length | None = None
    post_stiffness: Stiffness | None = Field(
        default=None, description="force along the line that moves one post by a unit of length"
    )
    drag: Force | None = None
    layers: float = Field(default=2.0, ge=1, le=12, strict=True)
    gauge: Literal["load cell", "spring scale", "by ear", "none"] = Field(
        default="none", description="what tells the load; by ear is by the pluck of the line"
    )
    gauge_uncertainty: Ratio | None = None
    ear_checks: tuple[EarCheck, ...] = Field(
        default=(), description="loads that were heard at this jig beside known ones"
    )
    rating: Rating = "unknown"
    tape: Literal["steel", "glass fibre", "cloth"] = "steel"
    tape_reads: Length | None = Field(
        default=None,
        description="step to which a length is read; half the paper's fraction where left out",
    )
    beam: Literal["steel", "aluminium", "wood"] = "wood"
    temperature: Temperature | None = None
    bobbin: Length | None = None
    scale_reads: Mass | None = Field(default=None, description="smallest step of the scale")


class RouteSpec(Noun):
    """The order of work with its loads and times; what is left out comes from practice."""

    order: Literal[
        "serve, then twist",
        "twist, stretch, then serve",
        "stretch, twist, stretch, then serve",
    ] = "stretch, twist, stretch, then serve"
    wound_at: Length | None = Field(
        default=None, description="post setting, outside to outside, where it is already chosen"
    )
    equalise: Force | None = None
    stretch: Force | None = None
    stretch_dwell: Duration | None = None
    settle: Force | None = None
    serve: Force | None = None
    measure: Force | None = None
    rest: Duration | None = None


class BuildReading(Noun):
    """A length read during the build, with the stage it was read in."""

    stage: Literal["bare", "half", "twisted", "proof"]
    length: Length
    load: Force | None = Field(default=None, description="load on the gauge, if not the stage's")
    heard: bool = Field(
        default=False, strict=True, description="the load was told by the pluck of the line"
    )
    turns: float | None = Field(default=None, ge=0, le=300, strict=True)
    zero_pin: Length | None = Field(default=None, description="pin or post, if not the stage's")
    far_pin: Length | None = None
    rest: Duration | None = Field(default=None, description="time since the last stretch")
    temperature: Temperature | None = None


class BuildDiameter(Noun):
    """A diameter read by caliper during the build."""

    of: str = Field(description="bare, or a serving's name")
    diameter: Length


class BuildMass(Noun):
    """What a spool lost while its colour was wound."""

    run: int = Field(ge=0, le=40, strict=True, description="colour, from 0 in winding order")
    lost: Mass
    planned: Mass = Field(description="what it should have lost by the plan it was wound by")


class BuildRecord(Noun):
    """What has been done and read so far, so that the rest can be planned again."""

    wound_at: Length | None = None
    turns: float | None = Field(default=None, ge=0, le=300, strict=True)
    strands: int | None = Field(
        default=None, ge=2, le=200, strict=True, description="strands counted, if not as planned"
    )
    readings: tuple[BuildReading, ...] = ()
    diameters: tuple[BuildDiameter, ...] = ()
    masses: tuple[BuildMass, ...] = ()
    legs: tuple[BuildLegs, ...] = Field(
        default=(), description="both legs of a yoke, read before the throat was served"
    )
