r"""Systems: how the lines of a bow with wheels run, for bows laid out by a handful of sizes.

Each wheel is drawn as it stands at brace, its string leaving towards the archer at the normal 0
(an upper wheel; a lower one is its mirror image) and its taking-up track meeting its cable on the
far side, at the normal :math:`\pi`. Drawing turns the upper wheel clockwise, so that the string
is paid out from normal 0 to :math:`\Phi` and cable taken up from :math:`\pi` to
:math:`\pi + \Phi`, the wheel's whole turn:

.. math:: h_\text{string} = m_s (1 + e_s \cos(\psi - \Phi)), \qquad
    h_\text{cable} = m_c (1 + e_c \cos(\psi - \Phi - \delta) + \dots)

The string's lever is long and the cable's short at the end of the draw: that is the let-off.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, fields, replace
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from strandwright.bow.limb import PivotLimb
from strandwright.bow.parts import RISER, UPRIGHT, Bow, BowLine, Mount, Reach, Stop, Wheel
from strandwright.bow.rig import Rig
from strandwright.bow.strung import Strung, strung
from strandwright.errors import SpecError
from strandwright.geometry.taut import Contact
from strandwright.geometry.track import Track, circle, point

Floats = NDArray[np.float64]
System = Literal["two-cam", "slaved two-cam", "hybrid-cam", "one-cam"]
SYSTEMS: tuple[System, ...] = get_args(System)
#: Line left on a track past the part that ever comes off it, at a fastened end [rad].
_SPARE = 0.9
_ONE = np.array(1.0)
#: A stop against the limb's own stiffness: hard enough to feel as a wall [-].
_HARD = 400.0


def _none() -> Floats:
    return np.zeros(())


@dataclass(frozen=True)
class Sizes:
    """Sizes that lay out a bow with wheels, each one number or one for each bow.

    Attributes
    ----------
    axle_to_axle : ndarray
        At brace [m].
    brace_height : ndarray
        Pivot of the grip to the string [m].
    nock_height : ndarray
        Nocking point over the pivot, along the string [m].
    link : ndarray
        Virtual pivot of a limb to its axle [m].
    lean : ndarray
        Of the link from the archer's direction at brace; small where limbs lie level [rad].
    limb_stiffness : ndarray
        Of each limb about its virtual pivot [N m/rad].
    string_tension : ndarray
        At brace [N].
    string_lever, string_throw : ndarray
        Mean lever of the string's track, and its swing over the mean [m, -].
    cable_lever, cable_throw, cable_second, cable_third : ndarray
        Mean lever of the taking-up track, its swing, second and third harmonic [m, -, -, -].
    cable_lag : ndarray
        By how much the cable's least lever comes after the string's longest [rad].
    control_lever, control_throw : ndarray
        Mean lever of the track that pays out line to the other wheel, and its swing, in step
        with the string's: the return side of a one-cam bow's string, the control cable of a
        hybrid's, the far ends of slaved cables [m, -].
    follower_lever, follower_throw : ndarray
        Mean lever of a hybrid's upper wheel where it takes the control cable up, and its swing,
        in step with the taking-up track of the lower [m, -].
    turn : ndarray
        Turn of a wheel between brace and where its string's lever is longest, near full draw [rad].
    idler : ndarray
        Radius of a one-cam bow's upper wheel [m].
    string_stiffness, cable_stiffness : ndarray
        EA of the lines [N].
    thickness : ndarray
        Diameter of the served lines where they run in tracks [m].
    string_second, string_third : ndarray
        Second and third harmonic of the string's track over its mean; none in a round one [-].
    roller_x, roller_y, roller_radius : ndarray
        Axle and radius of a roller on the riser that cables run over in the bow's plane; a
        radius of 0 stands for none [m].
    roller_side : ndarray
        +1 where the cables pass it on the archer's side, -1 on the riser's; the same for all
        bows of a batch [-].
    """

    axle_to_axle: Floats
    brace_height: Floats
    nock_height: Floats
    link: Floats
    lean: Floats
    limb_stiffness: Floats
    string_tension: Floats
    string_lever: Floats
    string_throw: Floats
    cable_lever: Floats
    cable_throw: Floats
    cable_second: Floats
    cable_third: Floats
    cable_lag: Floats
    control_lever: Floats
    control_throw: Floats
    follower_lever: Floats
    follower_throw: Floats
    turn: Floats
    idler: Floats
    string_stiffness: Floats
    cable_stiffness: Floats
    thickness: Floats
    string_second: Floats = field(default_factory=_none)
    string_third: Floats = field(default_factory=_none)
    roller_x: Floats = field(default_factory=_none)
    roller_y: Floats = field(default_factory=_none)
    roller_radius: Floats = field(default_factory=_none)
    roller_side: Floats = field(default_factory=_none)


#: Names of all sizes.
SIZES: tuple[str, ...] = tuple(f.name for f in fields(Sizes))


@dataclass(frozen=True)
class _Layout:
    """Bodies and tracks of one bow, ready to be routed, and what its two sides are called."""

    sizes: Sizes
    string: Track
    cable: Track
    control: Track
    follower: Track
    tips: tuple[int, int]
    wheels: tuple[int, int]
    nock: int
    sides: tuple[str, str]

    def fastened(self, track: Track, *, upper: bool, pays_out: bool, start: bool) -> Contact:
        """An end of a line on a wheel: paying out or taking up, as the line's start or its end."""
        turn = np.asarray(self.sizes.turn)
        near = 0.0 if pays_out else np.pi
        side, peg = (1, turn + _SPARE) if pays_out else (-1, np.pi - _SPARE + 0.0 * turn)
        body = self.wheels[0] if upper else self.wheels[1]
        if not upper:
            side, peg, near, track = -side, -peg, -near, track.mirrored()
        if start:
            side = -side
        return Contact(body, track, side, peg=peg, near=near)

    def axle(self, *, upper: bool) -> Contact:
        """A line's loop or yoke on an axle."""
        return Contact(self.tips[0] if upper else self.tips[1], point(0.0, 0.0))

    def at_nock(self) -> Contact:
        """The nocking point."""
        return Contact(self.nock, point(0.0, 0.0))


def lay_out(system: System, sizes: Sizes, sides: tuple[str, str] = UPRIGHT) -> Strung:
    """Lay out a bow with wheels so that it stands at its brace.

    Parameters
    ----------
    system : {'two-cam', 'slaved two-cam', 'hybrid-cam', 'one-cam'}
        How its lines run.
    sizes : Sizes
        Its sizes, or those of a batch of bows.
    sides : (str, str)
        What the limb at +y and the other are called, with wheels and cables.

    Returns
    -------
    Strung
        The bow at brace, every line's natural length set; nothing ends its draw yet.

    Raises
    ------
    SpecError
        If the system is not known, or sizes do not go together.
    """
    if system not in SYSTEMS:
        raise SpecError("bow.system", system, f"must be one of {', '.join(SYSTEMS)}", "name one")
    layout = _layout(system, sizes, sides)
    lines = _ROUTES[system](layout)
    both = tuple(Wheel(side, i) for i, side in enumerate(sides))
    wheels = (Wheel("cam", 1),) if system == "one-cam" else both
    bow = Bow(_mounts(system, sizes, sides), wheels, lines)
    return strung(bow, _brace(bow, sizes), sizes.string_tension)


def _layout(system: System, s: Sizes, sides: tuple[str, str]) -> _Layout:
    half = 0.5 * s.thickness
    zero = np.zeros_like(s.turn + s.cable_lag)
    ones = 1.0 + zero
    waves = (s.string_throw, s.string_second, s.string_third)
    string = _waved(s.string_lever * ones, waves, s.turn, half)
    late = s.turn + s.cable_lag
    cable = _waved(s.cable_lever * ones, (s.cable_throw, s.cable_second, s.cable_third), late, half)
    control = _waved(s.control_lever * ones, (s.control_throw,), s.turn, half)
    follower = _waved(s.follower_lever * ones, (s.follower_throw,), late, half)
    one = system == "one-cam"
    wheels = (-1, 3) if one else (3, 4)
    nock = 4 if one else 5
    return _Layout(s, string, cable, control, follower, (1, 2), wheels, nock, sides)


def _waved(lever: Floats, waves: tuple[Floats, ...], at: Floats, half: Floats) -> Track:
    """Track of a mean lever with harmonics over it, in step at a normal."""
    order = [(k, lever * wave) for k, wave in enumerate(waves, 1)]
    cosine = np.stack([wave * np.cos(k * at) for k, wave in order], axis=-1)
    sine = np.stack([wave * np.sin(k * at) for k, wave in order], axis=-1)
    return Track(lever + half, cosine, sine)


def _mounts(system: System, s: Sizes, sides: tuple[str, str]) -> tuple[Mount, Mount]:
    """Limbs, their axles before the upright string by the levers of the tracks there."""
    half = 0.5 * s.thickness
    lower = s.string_lever * _at_brace(s) + half
    upper = s.idler + half if system == "one-cam" else lower
    rise = 0.5 * np.sqrt(s.axle_to_axle**2 - (lower - upper) ** 2)
    limb = PivotLimb(s.link, s.limb_stiffness)
    mounts: list[Mount] = []
    for side, lever, up in zip(sides, (upper, lower), (1.0, -1.0), strict=True):
        x = s.brace_height - lever - s.link * np.cos(s.lean)
        y = up * (rise - s.link * np.sin(s.lean))
        mounts.append(Mount(f"{side} limb", limb, x, y, up * s.lean + 0.0 * x, mirrored=up > 0))
    return mounts[0], mounts[1]


def stopped(standing: Strung, full: Floats) -> Strung:
    """Give a bow a stop for each wheel, all just touched in a state.

    Parameters
    ----------
    standing : Strung
        The bow, without stops.
    full : ndarray, shape (batch, n)
        Its state at full draw [-, rad, m, rad]

    Returns
    -------
    Strung
        The same bow with its stops.
    """
    bow, rig = standing.bow, standing.rig
    at, rest = rig.poses(full).at, rig.poses(standing.brace).at
    limb = bow.mounts[0].limb
    assert isinstance(limb, PivotLimb)
    hard = _HARD * np.asarray(limb.stiffness) * np.ones(len(full))
    stops: list[Stop] = []
    for j, wheel in enumerate(bow.wheels):
        turn = at[:, bow.wheel(j), 2] - at[:, bow.tip(wheel.limb), 2]
        since = at[:, bow.wheel(j), 2] - rest[:, bow.wheel(j), 2]
        sense = 1 if float(np.median(since)) > 0 else -1
        stops.append(Stop(((j, sense),), sense * turn, hard))
    held = replace(bow, stops=tuple(stops))
    return replace(standing, bow=held, rig=Rig(held))


def _at_brace(s: Sizes) -> Floats:
    """Lever of the string's track at brace over its mean."""
    waves = (s.string_throw, s.string_second, s.string_third)
    first, second, third = (wave * np.cos(k * s.turn) for k, wave in enumerate(waves, 1))
    return 1.0 + first + second + third


def roundest(sizes: Sizes) -> Floats:
    """Give the least radius of curvature of the tracks where lines run, over their mean lever.

    Parameters
    ----------
    sizes : Sizes
        Of a batch of bows.

    Returns
    -------
    ndarray, shape (batch,)
        Below zero where a track would have to be hollow [-].
    """
    s = sizes
    used = np.linspace(-0.1, 1.0, 24)[:, None] * s.turn
    string = ((2, s.string_second), (3, s.string_third))
    cable = ((2, s.cable_second), (3, s.cable_third))
    least: list[Floats] = []
    for waves, off in ((string, -s.turn), (cable, np.pi - s.turn - s.cable_lag)):
        hollow = [(k * k - 1) * wave * np.cos(k * (used + off)) for k, wave in waves]
        least.append(np.min(1.0 - hollow[0] - hollow[1], axis=0))
    return np.minimum(*least)


def _two_cam(a: _Layout) -> tuple[BowLine, ...]:
    string = _string(a)
    upper = (a.axle(upper=False), a.fastened(a.cable, upper=True, pays_out=False, start=False))
    lower = (a.axle(upper=True), a.fastened(a.cable, upper=False, pays_out=False, start=False))
    return string, _cable(a, _named(a, 0), upper), _cable(a, _named(a, 1), lower)


def _slaved(a: _Layout) -> tuple[BowLine, ...]:
    upper = (
        a.fastened(a.control, upper=False, pays_out=True, start=True),
        a.fastened(a.cable, upper=True, pays_out=False, start=False),
    )
    lower = (
        a.fastened(a.control, upper=True, pays_out=True, start=True),
        a.fastened(a.cable, upper=False, pays_out=False, start=False),
    )
    return _string(a), _cable(a, _named(a, 0), upper), _cable(a, _named(a, 1), lower)


def _hybrid(a: _Layout) -> tuple[BowLine, ...]:
    buss = (a.axle(upper=True), a.fastened(a.cable, upper=False, pays_out=False, start=False))
    control = (
        a.fastened(a.control, upper=False, pays_out=True, start=True),
        a.fastened(a.follower, upper=True, pays_out=False, start=False),
    )
    return _string(a), _cable(a, "buss cable", buss), _cable(a, "control cable", control)


def _one_cam(a: _Layout) -> tuple[BowLine, ...]:
    s = a.sizes
    idler = Contact(a.tips[0], circle(s.idler + 0.5 * s.thickness), 1)
    far = a.fastened(a.control, upper=False, pays_out=True, start=False)
    lower = Reach(
        (a.fastened(a.string, upper=False, pays_out=True, start=True), a.at_nock()),
        _ONE,
        s.string_stiffness,
    )
    upper = Reach(
        (a.at_nock(), *_guided(a, (idler, far))),
        _ONE,
        s.string_stiffness,
    )
    cable = (a.axle(upper=True), a.fastened(a.cable, upper=False, pays_out=False, start=False))
    return BowLine("string", (lower, upper)), _cable(a, "cable", cable)


_ROUTES: dict[System, Callable[[_Layout], tuple[BowLine, ...]]] = {
    "two-cam": _two_cam,
    "slaved two-cam": _slaved,
    "hybrid-cam": _hybrid,
    "one-cam": _one_cam,
}


def _string(a: _Layout) -> BowLine:
    lower = a.fastened(a.string, upper=False, pays_out=True, start=True)
    upper = a.fastened(a.string, upper=True, pays_out=True, start=False)
    stiffness = a.sizes.string_stiffness
    reaches = ((lower, a.at_nock()), (a.at_nock(), upper))
    return BowLine("string", tuple(Reach(r, _ONE, stiffness) for r in reaches))


def _named(a: _Layout, side: int) -> str:
    return f"{a.sides[side]} cable"


def _cable(a: _Layout, name: str, contacts: tuple[Contact, Contact]) -> BowLine:
    return BowLine(name, (Reach(_guided(a, contacts), _ONE, a.sizes.cable_stiffness),))


def _guided(a: _Layout, ends: tuple[Contact, Contact]) -> tuple[Contact, ...]:
    """A line from one wheel to the other, past the roller on the riser if there is one."""
    s = a.sizes
    if not np.any(np.asarray(s.roller_radius) > 0.0):
        return ends
    track = circle(s.roller_radius + 0.5 * s.thickness, s.roller_x, s.roller_y)
    upward = ends[0].body in (a.tips[1], a.wheels[1])
    # Going up, the riser is on the left of a line that passes on the archer's side.
    side = int(np.sign(np.ravel(s.roller_side)[0])) * (1 if upward else -1)
    return ends[0], Contact(RISER, track, side, optional=True), ends[1]


def _brace(bow: Bow, s: Sizes) -> Floats:
    """State at brace: links and wheels as drawn, the nocking point on the upright string."""
    x, y, *_ = np.broadcast_arrays(s.brace_height, s.nock_height, s.turn, s.link, s.string_tension)
    x, y = np.atleast_1d(x), np.atleast_1d(y)
    q = np.zeros((len(x), len(bow.mounts) + len(bow.wheels) + 2))
    q[:, -2], q[:, -1] = np.hypot(x, y), np.arctan2(y, x)
    return q
