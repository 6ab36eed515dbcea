"""Settings: post distance, turns and marks, rounded to what a shop can set."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from strandwright.errors import OutsideValidRange, SpecError
from strandwright.fibre.strand_law import FloatArray
from strandwright.line.build import (
    Settings,
    map_position,
    marking_edges,
    naturals_for,
    posts_for,
    turns_for,
)
from strandwright.line.model import LineModel
from strandwright.line.states import ClosedCase
from strandwright.line.unknowns import Unknowns
from strandwright.line.winding import WoundSkein
from strandwright.planning.prepare import Prepared
from strandwright.planning.readings.tape import paper_step
from strandwright.planning.written import FINEST_SETTING, Written
from strandwright.reference import practice
from strandwright.units import INCH, Entered
from strandwright.workshop.job import Job

#: Posts are never asked to be set finer than they are written, 1/32 in [m]
FINEST_POSTS = INCH / FINEST_SETTING
#: Steepest twist that is tried; far beyond what the trade uses [turn/m]
STEEPEST = 2.0 / INCH


#: The mean length before any turn lies so many standard uncertainties above the one asked for:
#: all but 2.5 of a hundred skeins are then long enough [-]
RESERVE = 1.96


@dataclass(frozen=True)
class Aim:
    """Where the nominal build is aimed, so that the line comes to length on the average.

    Attributes
    ----------
    ahead : float
        Mean of the finished length, as the marks are laid, less the one asked for, where turns
        are chosen for the means of the unknowns [m]
    u : float
        Standard uncertainty of the finished length; 0 asks for no reserve [m]
    """

    ahead: float = 0.0
    u: float = 0.0


@dataclass(frozen=True)
class Chosen:
    """Settings of a plan and how they were arrived at.

    Attributes
    ----------
    settings : Settings
        What the technician does.
    exact_posts : float
        Post setting before it was rounded to the shop's fraction [m]
    exact_turns : float
        Turns before they were rounded to a half turn [turn]
    skein : WoundSkein
        The nominal skein at the post setting.
    naturals : ndarray
        Nominal natural segment lengths of the finished line, shape (1, K) [m]
    by_kind : ndarray
        Natural over drawn length of each kind of segment at the turns wanted, shape (kinds,) [-]
    slope : float
        Natural length that the square of the turns asks for [m/turn^2]
    aim : Aim
        What they aim off for.
    reserve : float
        How much longer than the turns wanted need the skein is wound, to be taken up by more [m]
    """

    settings: Settings
    exact_posts: float
    exact_turns: float
    skein: WoundSkein
    naturals: FloatArray
    by_kind: FloatArray
    slope: float
    aim: Aim
    reserve: float


def round_to(value: float, step: float) -> float:
    """Round to the nearest multiple of a step.

    Parameters
    ----------
    value : float
        The value [m]
    step : float
        The step, > 0 [m]

    Returns
    -------
    float
        The rounded value [m]
    """
    return float(np.round(value / step) * step)


def wanted_turns(prepared: Prepared) -> float:
    """Turns the job asks for, or practice's rate for that kind of line.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.

    Returns
    -------
    float
        Turns throat to throat, to a half turn [turn]

    Raises
    ------
    SpecError
        If the job gives both turns and a twist rate.
    """
    makeup = prepared.job.makeup
    if makeup.turns is not None and makeup.twist is not None:
        raise SpecError(
            "makeup.turns",
            f"{makeup.turns:g}",
            "must stand alone, without makeup.twist",
            "give one of them",
        )
    body = prepared.model.twisting_length
    if makeup.turns is not None:
        field, given, rate = "makeup.turns", f"{makeup.turns:g}", makeup.turns / body
    elif makeup.twist is not None:
        field, given, rate = "makeup.twist", makeup.twist.text, makeup.twist.si
    else:
        field, given, rate = "makeup.twist", "nothing", _usual_rate(prepared.job)
    if rate > STEEPEST:
        raise SpecError(
            field,
            given,
            "must be at most 2 turns per inch of the body",
            "check the unit: turns per inch, or turns in all",
        )
    return round_to(rate * body, 0.5)


def _usual_rate(job: Job) -> float:
    if job.line.kind == "cable":
        return practice("twist.cable").value
    kind = job.bow.kind
    if job.line.laid is not None:
        return practice("twist.laid_in").value
    row = {"recurve": "recurve_endless", "longbow": "recurve_endless", "crossbow": "crossbow"}
    return practice(f"twist.{row.get(kind, 'compound_string')}").value


def _posts_step(prepared: Prepared, q: Unknowns, wanted: float, step: float) -> float:
    """Step of the post setting: the shop's, or finer where that would cost a turn or more.

    One turn takes up about :math:`\\pi^2 D^2 N / 2L`, little in a lightly twisted line.
    """
    model = prepared.model
    diameter = 2.0 * float(model.twist_radius(q)[0])
    one = 0.5 * np.pi**2 * diameter**2 * max(wanted, 1.0) / float(model.layout.lengths.sum())
    while step > FINEST_POSTS * 1.001 and 0.5 * step > one:
        step = 0.5 * step
    return step


def _unreachable(
    job: Job, given: Entered, failure: OutsideValidRange, better: float
) -> SpecError:
    """Say that no turns bring a line to length that is wound at that setting, and which will."""
    field = "build.wound_at" if job.build.wound_at is not None else "route.wound_at"
    off = Written.on(job.paper).small(abs(failure.residual))
    short = failure.residual > 0.0
    return SpecError(
        field,
        given.text,
        "must be a setting from which turns reach the length; the line would be "
        + (f"{off} too short before any turn" if short else f"{off} too long at 2 turns per inch"),
        f"wind a skein anew, the posts {'wider' if short else 'closer'}: at "
        + Written.on(job.paper).fine(better),
    )


def choose_settings(
    prepared: Prepared, q: Unknowns, near: Chosen | None = None, aim: Aim | None = None
) -> Chosen:
    """Choose post setting, turns and marks for the means of the unknowns.

    Parameters
    ----------
    prepared : Prepared
        The job made ready.
    q : mapping
        Unknowns at their means, arrays of shape (1,).
    near : Chosen or None
        Settings of nearly the same line, to begin from; they do not change what is found.
    aim : Aim or None
        What to aim off for; None takes that of ``near``, or nothing.

    Returns
    -------
    Chosen
        The settings.

    Raises
    ------
    SpecError
        If a given post setting cannot be brought to length by any turns.
    """
    model, job = prepared.model, prepared.job
    if aim is None:
        aim = near.aim if near is not None else Aim()
    step = paper_step(job)
    given = job.build.wound_at or job.route.wound_at
    body = model.twisting_length
    wanted = wanted_turns(prepared)
    start, slope = _start(model, near)
    # A line of one section comes home by the square of its helix angle at a step, one of several
    # by less.
    close = 1e-5 if model.layout.bare_count == 1 else 1e-9
    naturals = naturals_for(model, q, np.array([wanted]), start, close=close)
    posts_step = _posts_step(prepared, q, wanted, step)
    reserve = 0.0
    if given is not None:
        exact_posts = posts = given.si
    else:
        reserve = _reserve(model, q, naturals, aim)
        wound = naturals * (1.0 + (reserve - aim.ahead) / naturals.sum())
        exact_posts = float(posts_for(model, q, wound, close=2e-8)[0])
        posts = round_to(exact_posts, posts_step)
    highest = STEEPEST * body
    skein = model.wound(q, posts)
    guess = max(wanted if near is None else near.exact_turns, 1.0)
    try:
        reached = turns_for(model, q, skein, guess, highest, naturals, slope, aim.ahead)
    except OutsideValidRange as failure:
        if given is not None:
            better = float(posts_for(model, q, naturals, close=2e-8)[0])
            raise _unreachable(job, given, failure, better) from failure
        # A setting rounded down can leave a nearly untwisted line short: the next step up.
        posts = posts + posts_step
        skein = model.wound(q, posts)
        reached = turns_for(model, q, skein, guess, highest, naturals, slope, aim.ahead)
    turns = round_to(reached.turns, 0.5)
    edges = marking_edges(model, q, skein, turns, reached.naturals)
    drawn = np.array([m.position for m in model.line.marks])
    laid = map_position(drawn, model.layout.edges, edges)
    marks, spots = (tuple(round_to(float(x), step) for x in xs) for xs in (edges[1:-1], laid))
    return Chosen(
        settings=Settings(posts, turns, marks, spots),
        exact_posts=exact_posts,
        exact_turns=reached.turns,
        skein=skein,
        naturals=reached.naturals,
        by_kind=_by_kind(model, naturals),
        slope=reached.slope,
        aim=aim,
        reserve=reserve,
    )


def _reserve(model: LineModel, q: Unknowns, naturals: FloatArray, aim: Aim) -> float:
    """What the take-up of the turns wanted lacks for all but few skeins to be long enough [m].

    ``naturals`` are those of a line that comes to length with these turns, shape (1, K) [m].
    """
    load = np.full(1, model.line.measuring_load)
    if model.layout.bare_count == 1:
        straight = float((naturals.sum() * (1.0 + model.strain(q, load)))[0])
    else:
        # What legs were twisted with when they were made no turn of the body gives back.
        case = ClosedCase(model.route.stage("proof"), load, naturals, np.zeros(1))
        spans, _ = model.stretched_kinds(q, [case])[0]
        straight = float(naturals[0] @ spans.length[0, model.kinds])
    take_up = straight - float(model.layout.lengths.sum())
    return max(RESERVE * aim.u - take_up, 0.0)


def _by_kind(model: LineModel, naturals: FloatArray) -> FloatArray:
    """Natural over drawn length of each kind of segment; those of a kind are alike."""
    shares = np.ones(int(model.kinds.max()) + 1)
    shares[model.kinds] = naturals[0] / model.layout.lengths
    return shares


def _start(model: LineModel, near: Chosen | None) -> tuple[FloatArray | None, float | None]:
    """Give the natural lengths, shape (1, K), and the slope to begin from."""
    if near is None or len(near.by_kind) <= model.kinds.max():
        return None, None
    return (model.layout.lengths * near.by_kind[model.kinds])[None, :], near.slope
