"""The route: in which order a line is stretched, looped, twisted and served.

A route is a list of *stages*, the recorded states the line passes through. Each says what has
been done by then and under what conditions the line lies there; the model gives its length and
the place of every edge and mark in that state.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum

#: Evening out is two pulls of a minute each, settling one as long, as the steps tell it [s]
TWO_PULLS = 120.0


class Order(StrEnum):
    """The three orders of work."""

    SERVE_THEN_TWIST = "serve, then twist"
    TWIST_THEN_SERVE = "twist, stretch, then serve"
    STRETCH_TWIST_SERVE = "stretch, twist, stretch, then serve"


@dataclass(frozen=True)
class Pull:
    """A load that has acted on the line and left some of its delayed strain.

    Attributes
    ----------
    load : float
        Load on the gauge [N]
    dwell : float
        How long it acted [s]
    before : float
        How long before the last let-down it ended; 0 for the last pull [s]
    """

    load: float
    dwell: float
    before: float = 0.0


@dataclass(frozen=True)
class Stage:
    """One recorded state of the line.

    Attributes
    ----------
    key : str
        Short name: ``bare``, ``marking``, ``half``, ``proof``, ``as fitted``.
    title : str
        What the technician reads.
    load : float
        Load on the gauge [N]
    closed : bool
        True when the loops are closed and hang on pins, False for a bare skein on the posts.
    zero_pin, far_pin : float
        Diameter of the pins or posts it lies on [m]
    turns_share : float
        Turns put in by then over the final turns, in [0, 1] [-]
    served : bool
        True when the body servings are on.
    highest_load : float
        Highest load since winding, on the gauge [N]
    highest_twisted : float
        Highest load since the last turns went in [N]
    creep_load : float
        Load of the long stretch; 0 before it [N]
    creep_dwell : float
        How long the stretch lasted [s]
    rest : float
        Time since the last pull was let down [s]
    reading : bool
        True when the technician is asked to read the length here.
    pulls : tuple of Pull
        What has pulled the line long enough to be felt still.
    gauge : str
        The unknown that the load is true times: ``gauge`` of the bench, or ``heard``.
    """

    key: str
    title: str
    load: float
    closed: bool
    zero_pin: float
    far_pin: float
    turns_share: float
    served: bool
    highest_load: float
    highest_twisted: float
    creep_load: float
    creep_dwell: float
    rest: float
    reading: bool
    pulls: tuple[Pull, ...] = ()
    gauge: str = "gauge"


@dataclass(frozen=True)
class Loads:
    """The loads and times of a route.

    Attributes
    ----------
    equalise : float
        Load at which the skein is evened out [N]
    stretch : float
        Load of the stretch [N]
    stretch_dwell : float
        Time at that load [s]
    second_dwell : float
        Time of a second stretch, after the twist, at that load [s]
    settle : float
        Short load after the twist of a line that is served first [N]
    serve : float
        Load under which marks are laid and servings wound [N]
    measure : float
        Measuring load [N]
    rest : float
        Rest between the last pull and the next length reading [s]
    serve_dwell : float
        Time under the serving load while the servings are laid [s]
    """

    equalise: float
    stretch: float
    stretch_dwell: float
    second_dwell: float
    settle: float
    serve: float
    measure: float
    rest: float
    serve_dwell: float


@dataclass(frozen=True)
class Route:
    """An order of work with its stages.

    Attributes
    ----------
    order : Order
        Which order.
    stages : tuple of Stage
        Recorded states, first to last; one has key ``marking`` and the last key ``proof``.
    served_before_twist : bool
        True when the twist has to find its way through the servings.
    """

    order: Order
    stages: tuple[Stage, ...]
    served_before_twist: bool

    def stage(self, key: str) -> Stage:
        """Give the stage of that key.

        Parameters
        ----------
        key : str
            The stage's short name.

        Returns
        -------
        Stage
            The stage.
        """
        return next(s for s in self.stages if s.key == key)


@dataclass(frozen=True)
class Pins:
    """Diameters the line lies on along the route.

    Attributes
    ----------
    zero_post, far_post : float
        Posts of the bare skein [m]
    loop_pin : float
        Pins of closed loops on the bench [m]
    proof_pin : float
        Pins of the measuring condition [m]
    """

    zero_post: float
    far_post: float
    loop_pin: float
    proof_pin: float


def make_route(order: Order, loads: Loads, pins: Pins, *, laid: bool = False) -> Route:
    """Lay out the stages of an order of work.

    Parameters
    ----------
    order : Order
        Which order.
    loads : Loads
        Loads and times.
    pins : Pins
        Diameters along the route.
    laid : bool
        True for a line whose loops are laid in before anything else: it is first read on them.

    Returns
    -------
    Route
        The stages, with the readings that separate the unknowns: bare at the measuring load
        after the first pull, with part of the turns in, and the final proof.
    """
    makers = {
        Order.SERVE_THEN_TWIST: _serve_then_twist,
        Order.TWIST_THEN_SERVE: _twist_then_serve,
        Order.STRETCH_TWIST_SERVE: _stretch_twist_serve,
    }
    route = makers[order](loads, pins)
    if not laid:
        return route
    bare, *later = route.stages
    when = "after the stretch" if bare.creep_load > 0.0 else "after a first pull"
    title, pin = f"both loops laid in, no turns yet, {when}", pins.loop_pin
    first = replace(bare, title=title, closed=True, zero_pin=pin, far_pin=pin)
    return replace(route, stages=(first, *later))


def _bare(loads: Loads, pins: Pins, stretched: bool) -> Stage:
    title = "bare, after the stretch" if stretched else "bare, after equalising"
    return Stage(
        key="bare",
        title=title,
        load=loads.measure,
        closed=False,
        zero_pin=pins.zero_post,
        far_pin=pins.far_post,
        turns_share=0.0,
        served=False,
        highest_load=loads.stretch if stretched else loads.equalise,
        highest_twisted=0.0,
        creep_load=loads.stretch if stretched else 0.0,
        creep_dwell=loads.stretch_dwell if stretched else 0.0,
        rest=loads.rest,
        reading=True,
        pulls=(_stretch(loads) if stretched else _equalise(loads),),
    )


def _equalise(loads: Loads) -> Pull:
    return Pull(loads.equalise, TWO_PULLS)


def _stretch(loads: Loads, before: float = 0.0) -> Pull:
    return Pull(loads.stretch, loads.stretch_dwell, before)


def _serving(loads: Loads, before: float = 0.0) -> Pull:
    return Pull(loads.serve, loads.serve_dwell, before)


def _closed(key: str, title: str, loads: Loads, pins: Pins, **changes: object) -> Stage:
    values: dict[str, object] = {
        "key": key,
        "title": title,
        "load": loads.measure,
        "closed": True,
        "zero_pin": pins.loop_pin,
        "far_pin": pins.loop_pin,
        "turns_share": 1.0,
        "served": False,
        "highest_load": loads.stretch,
        "highest_twisted": 0.0,
        "creep_load": loads.stretch,
        "creep_dwell": loads.stretch_dwell,
        "rest": loads.rest,
        "reading": False,
    }
    return Stage(**(values | changes))  # pyright: ignore[reportArgumentType]


def _proof(loads: Loads, pins: Pins, twisted: float, *pulls: Pull) -> Stage:
    return _closed(
        "proof",
        "finished, at the proof",
        loads,
        pins,
        zero_pin=pins.proof_pin,
        far_pin=pins.proof_pin,
        served=True,
        highest_load=max(loads.stretch, loads.serve, twisted),
        highest_twisted=twisted,
        reading=True,
        pulls=pulls,
    )


def _serve_then_twist(loads: Loads, pins: Pins) -> Route:
    served, again = loads.serve_dwell, loads.rest + TWO_PULLS
    settled = Pull(loads.settle, TWO_PULLS)
    stages = (
        _bare(loads, pins, stretched=True),
        _closed("marking", "untwisted, to be served", loads, pins, load=loads.serve, turns_share=0),
        _closed(
            "half",
            "served, part of the turns in",
            loads,
            pins,
            turns_share=0.5,
            served=True,
            highest_load=max(loads.stretch, loads.serve, loads.settle),
            highest_twisted=loads.settle,
            reading=True,
            pulls=(_stretch(loads, again + served), _serving(loads, TWO_PULLS), settled),
        ),
        _proof(
            loads,
            pins,
            loads.settle,
            _stretch(loads, 2.0 * again + served),
            _serving(loads, again + TWO_PULLS),
            replace(settled, before=again),
            settled,
        ),
    )
    return Route(Order.SERVE_THEN_TWIST, stages, served_before_twist=True)


def _twist_then_serve(loads: Loads, pins: Pins) -> Route:
    early = {"highest_load": loads.equalise, "creep_load": 0.0, "creep_dwell": 0.0}
    early |= {"pulls": (_equalise(loads),)}
    stages = (
        _bare(loads, pins, stretched=False),
        _half_bare(loads, pins, **early),
        *_twisted_tail(loads, pins, loads.stretch_dwell, _stretch(loads)),
    )
    return Route(Order.TWIST_THEN_SERVE, stages, served_before_twist=False)


def _stretch_twist_serve(loads: Loads, pins: Pins) -> Route:
    stages = (
        _bare(loads, pins, stretched=True),
        _half_bare(loads, pins, pulls=(_stretch(loads),)),
        *_twisted_tail(
            loads,
            pins,
            loads.stretch_dwell + loads.second_dwell,
            Pull(loads.stretch, loads.second_dwell),
            _stretch(loads, loads.rest + loads.second_dwell),
        ),
    )
    return Route(Order.STRETCH_TWIST_SERVE, stages, served_before_twist=False)


def _half_bare(loads: Loads, pins: Pins, **changes: object) -> Stage:
    return _closed(
        "half",
        "bare, part of the turns in",
        loads,
        pins,
        turns_share=0.5,
        highest_twisted=loads.measure,
        reading=True,
        **changes,
    )


def _twisted_tail(
    loads: Loads, pins: Pins, dwell: float, *pulls: Pull
) -> tuple[Stage, ...]:
    """Give the stages of a line that is stretched after its twist and then served.

    From pull to pull it takes a rest, before the reading between them, and the time of the work.
    """
    after = {"highest_twisted": loads.stretch, "creep_dwell": dwell, "pulls": pulls}
    later = loads.rest + loads.serve_dwell
    earlier = (replace(pull, before=pull.before + later) for pull in pulls)
    proof = _proof(loads, pins, max(loads.stretch, loads.serve), *earlier, _serving(loads))
    return (
        _closed("twisted", "twisted and stretched", loads, pins, reading=True, **after),
        _closed("marking", "twisted, to be served", loads, pins, load=loads.serve, **after),
        replace(proof, creep_dwell=dwell),
    )
