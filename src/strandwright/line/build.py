"""Building a line in numbers: post setting, turns and marks in, lengths of every stage out.

The *settings* are what the technician does (post distance, turns, where the marks go); the
*outcome* is what the line then is, for one or many cases of the unknowns.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from strandwright.errors import OutsideValidRange
from strandwright.fibre.strand_law import FloatArray
from strandwright.line.model import LineModel
from strandwright.line.route import Stage
from strandwright.line.states import ClosedCase, StageState
from strandwright.line.unknowns import Unknowns
from strandwright.line.winding import WoundSkein

_STEPS = 60
#: Times that sections share turns and length out between two looks at what is missing [-]
_SHARED_OUT = 8
#: Lengths are solved to this, far below what any tape reads [m]
_CLOSE = 1e-9


@dataclass(frozen=True)
class Settings:
    """What the technician sets, turns and marks.

    Attributes
    ----------
    posts : float
        Outside to outside of the winding posts [m]
    turns : float
        Turns throat to throat [turn]
    marks : tuple of float
        Inner segment edges as laid on the line in the stage ``marking``, from the outside of
        the zero pin, shape (K - 1,) [m]
    spots : tuple of float
        The line's marks as laid in that stage, shape (M,) [m]
    """

    posts: float
    turns: float
    marks: tuple[float, ...]
    spots: tuple[float, ...] = ()


@dataclass(frozen=True)
class Outcome:
    """What a line comes to, for every case of a batch.

    Attributes
    ----------
    stages : dict
        State in every stage of the route, as read with this bench's gauge and tape.
    finished : StageState
        The finished line, true, at the true measuring load.
    turn_effect : ndarray
        Change of the finished length by one turn more, shape (B,) [m]
    skein : WoundSkein
        The skein as it was wound.
    """

    stages: dict[str, StageState]
    finished: StageState
    turn_effect: FloatArray
    skein: WoundSkein


def naturals_for(
    model: LineModel,
    q: Unknowns,
    turns: FloatArray,
    start: FloatArray | None = None,
    close: float = _CLOSE,
) -> FloatArray:
    """Natural segment lengths that make the finished line true to its drawing.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (B,).
    turns : ndarray
        Turns throat to throat, >= 0, shape (B,) [turn]
    start : ndarray or None
        First guess, shape (B, K) [m]
    close : float
        Largest last change of a segment that is left [m]

    Returns
    -------
    ndarray
        Natural lengths, shape (B, K) [m]

    Notes
    -----
    Fixed point on the sharing out of the turns; it contracts by the square of the helix angle.
    """
    naturals = _straight(model, q) if start is None else start
    for _ in range(_STEPS):
        new = _true_to_drawing(model, q, turns, naturals)
        change = np.abs(new - naturals).max()
        naturals = new
        if not change > close:
            break
    return naturals


def _straight(model: LineModel, q: Unknowns) -> FloatArray:
    """Natural lengths that would give the drawing without any turn, shape (B, K)."""
    load = model.line.measuring_load * np.ones_like(q["stiffness"])
    return model.layout.lengths / (1.0 + model.strain(q, load))[:, None]


def _true_to_drawing(
    model: LineModel, q: Unknowns, turns: FloatArray, naturals: FloatArray
) -> FloatArray:
    """One step: natural lengths whose stretch, at their present turns, gives the drawing."""
    load = np.full(len(turns), model.line.measuring_load)
    case = ClosedCase(model.route.stage("proof"), load, naturals, turns)
    spans, _ = model.stretched_kinds(q, [case])[0]
    return model.layout.lengths / spans.length[:, model.kinds]


def posts_for(
    model: LineModel, q: Unknowns, naturals: FloatArray, close: float = _CLOSE
) -> FloatArray:
    """Post setting that gives the body its natural length.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (B,).
    naturals : ndarray
        Natural segment lengths when finished, shape (B, K) [m]
    close : float
        Largest error of the natural round that is left [m]

    Returns
    -------
    ndarray
        Outside to outside of the posts, shape (B,) [m]
    """
    proof = model.route.stage("proof")
    target = model.round_from_body(q, naturals.sum(axis=1), proof)
    setting = model.setting_for(q, target)
    for _ in range(_STEPS):
        miss = target - model.wound(q, setting).natural_loop
        setting = setting + 0.5 * miss
        # The next miss is some thousand times smaller: dQ/dS differs from 2 by the drag strain.
        if not np.abs(miss).max() > 1e3 * close:
            break
    return setting


class Reached(NamedTuple):
    """Turns that bring a line to length.

    Attributes
    ----------
    turns : float
        Turns throat to throat [turn]
    naturals : ndarray
        Natural segment lengths of the finished line, shape (1, K) [m]
    slope : float
        Natural length that the square of the turns asks for [m/turn^2]
    """

    turns: float
    naturals: FloatArray
    slope: float


def turns_for(
    model: LineModel,
    q: Unknowns,
    skein: WoundSkein,
    guess: float,
    highest: float,
    start: FloatArray | None = None,
    slope: float | None = None,
    ahead: float = 0.0,
) -> Reached:
    """Turns that bring a wound line to its finished length.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (1,).
    skein : WoundSkein
        The skein as wound.
    guess : float
        First guess, > 0 [turn]
    highest : float
        Most turns that are tried [turn]
    start : ndarray or None
        First guess of the natural lengths, shape (1, K) [m]
    slope : float or None
        First guess of the slope, > 0 [m/turn^2]
    ahead : float
        How much longer the line has to be thought than these unknowns make it [m]

    Returns
    -------
    Reached
        Turns, natural lengths, and the slope found on the way.

    Raises
    ------
    OutsideValidRange
        If even no turns leave it short (residual > 0, what it lacks [m]), or ``highest`` leaves
        it long (residual < 0).

    Notes
    -----
    The natural length needed grows with the square of the turns, very nearly in a straight
    line: secant in that square, the natural lengths carried along at the sum that is there. The
    last step is not looked at again: what it misses is the miss before it times the share by
    which the slope still changed.
    """
    proof = model.route.stage("proof")
    have = float(model.body_natural(q, skein.natural_loop, proof, rested=True)[0])
    have += ahead
    naturals = model.layout.lengths[None, :] if start is None else start
    if slope is None:
        # Small-angle take-up, pi^2 D^2 N^2 / 4L.
        diameter = 2.0 * float(model.twist_radius(q)[0])
        slope = 2.5 * diameter**2 / float(model.layout.lengths.sum())
    before = miss_before = miss = np.nan
    now = min(guess, highest) ** 2
    # Sections settle between them how they share turns and length, which must not pass for the
    # effect of the turns.
    rounds = 1 if model.layout.bare_count == 1 else _SHARED_OUT
    for _ in range(_STEPS):
        for _ in range(rounds):
            naturals = naturals * (have / naturals.sum())
            naturals = _true_to_drawing(model, q, np.array([np.sqrt(now)]), naturals)
        miss = float(naturals.sum()) - have
        if abs(miss) < _CLOSE or now == before:
            if rounds > 1:
                # What is left would be seen in the turns, by half its share of their take-up.
                now = min(max(now - miss / slope, 0.0), highest**2)
                naturals = naturals * (have / naturals.sum())
            break
        unsure = 1.0
        if np.isfinite(before):
            old, slope = slope, (miss - miss_before) / (now - before)
            unsure = abs(1.0 - old / slope)
        before, miss_before = now, miss
        now = min(max(now - miss / slope, 0.0), highest**2)
        if rounds == 1 and 0.0 < now < highest**2 and abs(miss) * unsure < _CLOSE:
            naturals = naturals * (have / naturals.sum())
            break
    _refuse_unreachable(miss, now, highest)
    return Reached(float(np.sqrt(now)), naturals, slope)


def _refuse_unreachable(miss: float, square: float, highest: float) -> None:
    """Refuse a line that is short without any turn, or long with all of them."""
    if square == 0.0 and miss > 1e-8:
        raise OutsideValidRange("the wound line is too short before any turn", miss)
    if square >= highest**2 and miss < -1e-8:
        raise OutsideValidRange(f"{highest:.0f} turns leave the wound line too long", miss)


def _case(
    model: LineModel,
    q: Unknowns,
    stage: Stage,
    skein: WoundSkein,
    turns: FloatArray,
    fractions: FloatArray | None,
    *,
    finished: bool = False,
) -> ClosedCase:
    """Give a closed stage with its load, natural lengths and turns; finished, it is itself.

    The finished line lies under the true load and has rested until nothing moves it.
    """
    body = model.body_natural(q, skein.natural_loop, stage, rested=finished)[:, None]
    load = stage.load * (np.ones_like(q["gauge"]) if finished else q[stage.gauge])
    share = stage.turns_share * turns
    shares = model.layout.open_shares if fractions is None else fractions
    return ClosedCase(stage, load, body * shares, share)


def build(model: LineModel, q: Unknowns, settings: Settings) -> Outcome:
    """Build the line: every stage of its route, and the finished line.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (B,).
    settings : Settings
        What the technician does.

    Returns
    -------
    Outcome
        States for every case.
    """
    skein, turns = _wound(model, q, settings)
    route = model.route
    stages, fractions = _before_serving(model, q, settings, skein, turns, route.stages)
    later = [s for s in route.stages if s.closed and s.served]
    cases = [_case(model, q, s, skein, turns, fractions) for s in later]
    cases += _finished_cases(model, q, skein, turns, fractions)
    *read, finished, tighter = model.closed_states(q, cases)
    stages |= {s.key: state for s, state in zip(later, read, strict=True)}
    scale = 1.0 + q["tape_scale"]
    return Outcome(
        stages={s.key: _as_read(stages[s.key], scale) for s in route.stages},
        finished=finished,
        turn_effect=tighter.length - finished.length,
        skein=skein,
    )


def build_finished(
    model: LineModel, q: Unknowns, settings: Settings, turns: FloatArray | None = None
) -> tuple[StageState, StageState]:
    """Build the finished line alone: of :func:`build` no stage that is read.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (B,).
    settings : Settings
        What the technician does.
    turns : ndarray or None
        Turns of each case, shape (B,); None takes those of the settings for all [turn]

    Returns
    -------
    tuple of StageState
        The finished line, and with one turn more.
    """
    skein, turns = _wound(model, q, settings, turns)
    marking = [model.route.stage("marking")]
    _, fractions = _before_serving(model, q, settings, skein, turns, marking)
    finished, tighter = model.closed_states(
        q, _finished_cases(model, q, skein, turns, fractions)
    )
    return finished, tighter


def read_lengths(
    model: LineModel,
    q: Unknowns,
    settings: Settings,
    keys: Collection[str],
    turns: FloatArray | None = None,
) -> dict[str, FloatArray]:
    """Lengths that the tape shows in some stages: what :func:`build` gives of them, and no more.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (B,).
    settings : Settings
        What the technician does.
    keys : collection of str
        The stages.
    turns : ndarray or None
        Final turns of each case, shape (B,); None takes those of the settings for all [turn]

    Returns
    -------
    dict
        By stage, arrays of shape (B,) [m]
    """
    skein, turns = _wound(model, q, settings, turns)
    wanted = [s for s in model.route.stages if s.key in keys]
    needed = wanted
    if any(s.served for s in wanted):
        needed = [model.route.stage("marking"), *(s for s in wanted if s.key != "marking")]
    stages, fractions = _before_serving(model, q, settings, skein, turns, needed)
    later = [s for s in wanted if s.closed and s.served]
    if later:
        cases = [_case(model, q, s, skein, turns, fractions) for s in later]
        read = model.closed_states(q, cases)
        stages |= {s.key: state for s, state in zip(later, read, strict=True)}
    scale = 1.0 + q["tape_scale"]
    return {s.key: stages[s.key].length * scale for s in wanted}


def _wound(
    model: LineModel, q: Unknowns, settings: Settings, turns: FloatArray | None = None
) -> tuple[WoundSkein, FloatArray]:
    """The skein at the post setting, and the turns of every case."""
    skein = model.wound(q, settings.posts)
    if turns is None:
        turns = np.full(len(skein.natural_loop), float(settings.turns))
    return skein, turns


def _finished_cases(
    model: LineModel,
    q: Unknowns,
    skein: WoundSkein,
    turns: FloatArray,
    fractions: FloatArray | None,
) -> list[ClosedCase]:
    """The finished line by itself, and with one turn more."""
    proof = model.route.stage("proof")
    return [
        _case(model, q, proof, skein, turns + more, fractions, finished=True)
        for more in (0.0, 1.0)
    ]


def _before_serving(
    model: LineModel,
    q: Unknowns,
    settings: Settings,
    skein: WoundSkein,
    turns: FloatArray,
    stages: Sequence[Stage],
) -> tuple[dict[str, StageState], FloatArray | None]:
    """States before the servings are on, and how the marks divide the body where it is marked."""
    found = {
        s.key: model.bare_state(q, s, skein.natural_loop) for s in stages if not s.closed
    }
    first = [s for s in stages if s.closed and not s.served]
    if not first:
        return found, None
    states = model.closed_states(q, [_case(model, q, s, skein, turns, None) for s in first])
    found |= {s.key: state for s, state in zip(first, states, strict=True)}
    if "marking" not in found:
        return found, None
    scale = 1.0 + q["tape_scale"]
    shares = model.layout.open_shares
    fractions, places = _as_marked(found["marking"].edges, settings.marks, scale, shares)
    found["marking"] = replace(found["marking"], edges=places)
    return found, fractions


def _as_read(state: StageState, scale: FloatArray) -> StageState:
    """Give a state as the tape shows it."""
    edges = state.edges * scale[:, None]
    return StageState(state.length * scale, edges, state.spans, state.turn_rates)


def _as_marked(
    edges: FloatArray, marks: tuple[float, ...], scale: FloatArray, shares: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Each segment's share of the body, and the edges, from marks laid between the throats.

    ``edges`` are those of the sections then, of which each has its share of the body.
    """
    first, last = edges[:, :1], edges[:, -1:]
    inner = np.asarray(marks) / scale[:, None]
    places = np.concatenate([first, inner, last], axis=1)
    if len(shares) == 1:
        return np.diff(places, axis=1) / (last - first), places
    ends = np.concatenate([[0.0], np.cumsum(shares)])
    within = map_position(np.asarray(marks), edges * scale[:, None], ends)
    zero = np.zeros_like(first)
    return np.diff(np.concatenate([zero, within, zero + 1.0], axis=1), axis=1), places


def finished_lengths(
    model: LineModel, q: Unknowns, skein: WoundSkein, naturals: FloatArray, turns: FloatArray
) -> FloatArray:
    """Finished lengths of one wound line for several numbers of turns.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (1,).
    skein : WoundSkein
        The skein as wound, arrays of shape (1,).
    naturals : ndarray
        Natural segment lengths of the finished line, shape (1, K): how the body is divided [m]
    turns : ndarray
        Turns to try, shape (T,) [turn]

    Returns
    -------
    ndarray
        Lengths at the true measuring load, shape (T,) [m]
    """
    many = {name: value.repeat(len(turns)) for name, value in q.items()}
    whole = replace(skein, natural_loop=skein.natural_loop.repeat(len(turns)))
    fractions = np.broadcast_to(naturals / naturals.sum(), (len(turns), naturals.shape[1]))
    proof = model.route.stage("proof")
    case = _case(model, many, proof, whole, turns, fractions, finished=True)
    return model.closed_states(many, [case])[0].length


def map_position(
    positions: ArrayLike, edges_from: FloatArray, edges_to: FloatArray
) -> FloatArray:
    """Carry places on the line from one state's scale to another's.

    Piecewise linear between segment edges; beyond the throats the loop's own distance from the
    throat is kept.

    Parameters
    ----------
    positions : array_like
        Places on the first scale, shape (M,) [m]
    edges_from : ndarray
        Segment edges on the first scale, shape (K + 1,) or (B, K + 1) [m]
    edges_to : ndarray
        The same edges on the second scale, shape (K + 1,) or (B, K + 1) [m]

    Returns
    -------
    ndarray
        Places on the second scale, shape (M,), or (B, M) where either scale has a batch [m]
    """
    place = np.asarray(positions, dtype=float)
    if edges_from.ndim == 2 and len(edges_from) == 1:
        # One case needs no search of its own for each row of the other scale.
        edges_from, edges_to = edges_from[0], np.atleast_2d(edges_to)
    last = edges_from.shape[-1] - 2
    if edges_from.ndim == 1:
        index = (edges_from.searchsorted(place, side="right") - 1).clip(0, last)
        left, right = edges_from[index], edges_from[index + 1]
        new_left, new_right = edges_to[..., index], edges_to[..., index + 1]
    else:
        edges_to = np.broadcast_to(edges_to, edges_from.shape)
        below = (place[:, None] >= edges_from[..., None, :]).sum(axis=-1) - 1
        index = below.clip(0, last)
        left, right, new_left, new_right = (
            np.take_along_axis(edges, at, axis=-1)
            for edges in (edges_from, edges_to)
            for at in (index, index + 1)
        )
    inside = new_left + (place - left) * (new_right - new_left) / (right - left)
    before = edges_to[..., :1] + (place - edges_from[..., :1])
    after = edges_to[..., -1:] + (place - edges_from[..., -1:])
    carried = np.where(place < edges_from[..., :1], before, inside)
    return np.where(place > edges_from[..., -1:], after, carried)


def marking_edges(
    model: LineModel, q: Unknowns, skein: WoundSkein, turns: float, naturals: FloatArray
) -> FloatArray:
    """Segment edges as they lie in the marking stage, for a nominal case.

    Parameters
    ----------
    model : LineModel
        The line.
    q : mapping
        Unknowns, arrays of shape (1,).
    skein : WoundSkein
        The skein as wound.
    turns : float
        Turns throat to throat [turn]
    naturals : ndarray
        Natural segment lengths when finished, shape (1, K) [m]

    Returns
    -------
    ndarray
        Shape (K + 1,); from the outside of the zero pin, the throats first and last [m]
    """
    stage = model.route.stage("marking")
    case = _case(model, q, stage, skein, np.array([turns]), None)
    edges = model.closed_states(q, [case])[0].edges[0]
    share = np.concatenate([[0.0], np.cumsum(naturals[0]) / naturals[0].sum()])
    ends = np.concatenate([[0.0], np.cumsum(model.layout.open_shares)])
    if len(ends) == 2:
        return edges[0] + share * (edges[-1] - edges[0])
    return np.interp(share, ends, edges)
