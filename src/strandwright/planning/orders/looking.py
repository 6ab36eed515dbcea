"""Looking: what is not known of a bow yet, in the order in which it matters, before any press."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from strandwright.planning.fits.low_stretch import why_polyester
from strandwright.reference.stops import Stop, stop, stops_for
from strandwright.workshop.order_state import OrderState
from strandwright.workshop.parts import Bow

Part = Literal["who", "look", "photo", "baseline", "bow", "wants"]

_WHEELED = ("one-cam", "two-cam", "hybrid-cam")
_BENT = ("recurve", "longbow")
_CARRIED = (*_WHEELED, *_BENT)


@dataclass(frozen=True)
class Figure:
    """A figure of a bow as it came.

    Attributes
    ----------
    name : str
        Its field in a :class:`strandwright.workshop.happenings.order.Baseline`.
    label : str
        What a page calls it.
    why : str
        What it is for.
    such : str
        An example.
    drawn : bool
        Whether the bow is drawn for it.
    needed : bool
        Whether the work waits for it.
    """

    name: str
    label: str
    why: str
    such: str
    drawn: bool = False
    needed: bool = False


#: Figures in the order in which they are read: what needs a draw comes last.
_FIGURES: tuple[tuple[Figure, tuple[str, ...]], ...] = (
    (
        Figure(
            "axle_to_axle", "axle to axle", "the new set brings it back to this",
            "32 1/4 in", needed=True,
        ),
        _WHEELED,
    ),
    (
        Figure("axle_to_axle", "axle to axle", "of a crossbow with wheels", "18 1/2 in"),
        ("crossbow",),
    ),
    (
        Figure(
            "brace_height", "brace height", "a set bow differs from its label; this is the target",
            "6 7/8 in", needed=True,
        ),
        (*_CARRIED, "crossbow"),
    ),
    (
        Figure(
            "cam_marks", "timing marks", "where each stands against its line or limb",
            "upper on the cable, lower 1/16 in past", needed=True,
        ),
        _WHEELED,
    ),
    (Figure("lean", "lean of the wheels", "at rest, from the string", "upper 1/8 in"), _WHEELED),
    (Figure("tiller_top", "tiller, upper limb", "string to limb at the pocket", "7 1/4 in"),
     _CARRIED),
    (Figure("tiller_bottom", "tiller, lower limb", "string to limb at the pocket", "7 1/8 in"),
     _CARRIED),
    (Figure("nock_height", "nocking point over square", "the new one goes there", "1/8 in"),
     _CARRIED),
    (Figure("peep_height", "peep over the nocking point", "the new one goes there", "5 in"),
     _WHEELED),
    (Figure("draw_weight", "peak draw weight", "on a scale, once all above was sound", "61 lbf",
            drawn=True), (*_CARRIED, "crossbow")),
    (Figure("draw_length", "draw length", "to the wall, or as the archer draws", "28 1/2 in",
            drawn=True), _CARRIED),
    (Figure("let_off", "let-off", "from peak and holding weight", "80 %", drawn=True), _WHEELED),
    (Figure("temperature", "room, when it was weighed", "a bow draws more in the cold", "19 degC",
            drawn=True), _CARRIED),
)  # fmt: skip


@dataclass(frozen=True)
class Missing:
    """Something that is not known yet.

    Attributes
    ----------
    part : str
        Where it is told.
    name : str
        What it is, unique within its part.
    ask : str
        What to do or to ask.
    why : str
        What it is for.
    needed : bool
        Whether the work waits for it.
    """

    part: Part
    name: str
    ask: str
    why: str
    needed: bool


def figures_of(kind: str) -> tuple[Figure, ...]:
    """Give the figures that are read of one kind of bow.

    Parameters
    ----------
    kind : str
        Kind of bow, as a job names it.

    Returns
    -------
    tuple of Figure
        In the order of reading.
    """
    return tuple(figure for figure, kinds in _FIGURES if kind in kinds)


def may_draw(state: OrderState) -> bool:
    """Tell whether the bow may be drawn as it stands.

    Parameters
    ----------
    state : OrderState
        The order.

    Returns
    -------
    bool
        False while anything is found that forbids it and is not mended, and while what would
        forbid it was not looked at.
    """
    if state.bow is None:
        return False
    grave = {one.name for one in stops_for(state.bow.kind) if one.undrawn}
    bad = any(f.decision != "mended" and stop(f.finding).undrawn for f in state.findings)
    return not bad and grave <= {*state.sound, *(f.finding for f in state.findings)}


def unlooked(state: OrderState) -> tuple[Stop, ...]:
    """Give what was not looked at yet.

    Parameters
    ----------
    state : OrderState
        The order.

    Returns
    -------
    tuple of Stop
        In the order of looking; *other* asks for nothing.
    """
    return tuple(stop(name) for name in state.open_stops)


def missing(state: OrderState, *, reached: bool = True) -> tuple[Missing, ...]:
    """Give what is not known yet, in the order in which it is to be asked for.

    Parameters
    ----------
    state : OrderState
        The order.
    reached : bool
        Whether the customer left a way to be reached.

    Returns
    -------
    tuple of Missing
        First whether the bow is whole, then how it stood, then what is wanted.
    """
    if state.opened is None or state.bow is None:
        return (Missing("bow", "kind", "What kind of bow is it?", "all else follows", True),)
    found = [
        *(Missing("look", one.name, one.look, one.why, True) for one in unlooked(state)),
        *_photos(state),
        *_figures(state),
        *_about(state.bow),
    ]
    if not state.opened.work and not state.opened.wants:
        why = "a set, one line, or only to be looked over"
        found.append(Missing("wants", "wants", "What is wanted?", why, False))
    if not reached:
        why = "a question holds the work until it is answered"
        found.append(Missing("who", "reach", "How can they be reached?", why, False))
    return tuple(found)


def _photos(state: OrderState) -> Iterator[Missing]:
    """Ask for pictures of the routing, where a press will undo it."""
    kind = state.bow.kind if state.bow else ""
    if kind in _WHEELED and not state.photos and _stands(state):
        ask = "Take pictures of both wheels, the slide and the whole bow from both sides."
        why = "how the lines ran, and what wears them: settled by a picture later"
        yield Missing("photo", "routing", ask, why, True)


def _stands(state: OrderState) -> bool:
    """Whether it came with its lines on."""
    return state.baseline is None or state.baseline.braced


def _figures(state: OrderState) -> Iterator[Missing]:
    """Ask for the figures of a bow that came with its lines on."""
    bow, told = state.bow, state.baseline
    if bow is None or not _stands(state):
        return
    drawable = may_draw(state)
    for figure in figures_of(bow.kind):
        if figure.drawn and not drawable:
            continue
        if told is None or not getattr(told, figure.name):
            yield Missing(
                "baseline", figure.name, f"Read {figure.label}.", figure.why, figure.needed
            )


def _about(bow: Bow) -> Iterator[Missing]:
    """Ask what tells whether a low-stretch string may go on a bow without wheels."""
    known = (bow.takes_low_stretch, bow.year, bow.limbs)
    if bow.kind in _BENT and why_polyester(bow) == "" and known == (None, None, None):
        ask = "When was it made, of what, and does its maker allow a low-stretch string?"
        yield Missing("bow", "age", ask, "an old or wooden bow can break under one", False)
    if bow.kind in _BENT and bow.bow_length is None:
        ask = "How long is the bow, as its label says or nock to nock along the back?"
        yield Missing("bow", "bow_length", ask, "a string can be made by it alone", False)
